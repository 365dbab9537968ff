//! Where one looks from, and how light falls.

use kurbo::{Point, Rect, Vec2};

use crate::draw::Colour;
use crate::fabric::Space;

/// Who looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// Someone who faces the wearer: the toe points down the page.
    ByOnlooker,
    /// The wearer: the toe points up the page.
    ByWearer,
}

impl Seen {
    /// A word for the group of shapes.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::ByOnlooker => "onlooker",
            Self::ByWearer => "wearer",
        }
    }
}

/// Degrees above the level of the foot from which an onlooker looks: standing, a step away from
/// someone who sits or stands. Smaller: more toe, the face shrinks. Larger: a map.
const ONLOOKER_DEG: f64 = 52.0;

/// The same for the wearer, whose eyes are nearly above the foot.
const WEARER_DEG: f64 = 64.0;

/// A parallel projection: lengths across the view are true, the rest is foreshortened.
#[derive(Debug, Clone, Copy)]
pub struct Look {
    /// Who looks.
    pub seen: Seen,
    right: Space,
    up: Space,
    /// Toward the one who looks, of length 1.
    pub toward: Space,
    /// Where the light comes from, of length 1.
    light: Space,
    /// Sheet mm for a mm of the slipper.
    pub scale: f64,
    /// Where the middle of the opening edge, inside the foot, lies on the sheet.
    pub origin: Point,
}

impl Look {
    /// The view of someone, true to size, around the corner of the sheet.
    ///
    /// The light comes from above and from the one who looks, the same for left and right, so
    /// that no side of a face looks larger.
    #[must_use]
    pub fn new(seen: Seen) -> Self {
        let (degrees, sign) = match seen {
            Seen::ByOnlooker => (ONLOOKER_DEG, 1.0),
            Seen::ByWearer => (WEARER_DEG, -1.0),
        };
        let (sin, cos) = degrees.to_radians().sin_cos();
        let toward = Space::new(0.0, sign * cos, sin);
        let up = Space::new(0.0, -sign * sin, cos);
        Self {
            seen,
            right: Space::new(sign, 0.0, 0.0),
            up,
            toward,
            light: (toward * 0.8 + up * 0.45).unit(),
            scale: 1.0,
            origin: Point::ORIGIN,
        }
    }

    /// The same view at a scale, so that `bounds` of it (true to size) begin at a corner.
    #[must_use]
    pub fn placed(mut self, bounds: Rect, corner: Point, scale: f64) -> Self {
        self.scale = scale;
        self.origin = corner - scale * bounds.origin().to_vec2();
        self
    }

    /// A place of the slipper on the sheet.
    #[must_use]
    pub fn sheet(&self, place: Space) -> Point {
        self.origin + self.shift(place)
    }

    /// A direction of the slipper on the sheet.
    #[must_use]
    pub fn shift(&self, direction: Space) -> Vec2 {
        Vec2::new(direction.dot(self.right), -direction.dot(self.up)) * self.scale
    }

    /// How much a surface faces the one who looks: the cosine of the angle; under 0 it is hidden.
    #[must_use]
    pub fn facing(&self, outward: Space) -> f64 {
        outward.dot(self.toward)
    }

    /// How bright a surface is: 1 shows its own colour.
    #[must_use]
    pub fn light_on(&self, outward: Space) -> f64 {
        0.40 + 0.66 * outward.dot(self.light).max(0.0)
    }
}

/// Steps of brightness in a picture; fewer show as bands, more make a larger file.
const LEVELS: f64 = 24.0;

/// Brightness in whole steps.
#[must_use]
pub fn level(light: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "a few dozen steps at most")]
    let level = (light.clamp(0.0, 1.5) * LEVELS).round() as i32;
    level
}

/// A colour at a step of brightness: darker toward a warm black, lighter toward a warm white; a
/// dark one more, for on dark yarn only the shine tells its form.
#[must_use]
pub fn lit(colour: Colour, level: i32) -> Colour {
    let light = f64::from(level) / LEVELS;
    if light <= 1.0 {
        colour.mix(SHADE, 1.0 - light)
    } else {
        let shine = 0.8 + 0.4 * (1.0 - colour.luminance()).powi(4);
        colour.mix(SHINE, shine * (light - 1.0))
    }
}

/// What colours lighten to.
const SHINE: Colour = Colour([0xff, 0xf6, 0xe0]);

/// What colours darken to.
const SHADE: Colour = Colour([0x1c, 0x0e, 0x10]);
