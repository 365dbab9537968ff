//! Variants of a face: the same face in another mood, and how a shape is changed for one.

use kurbo::{Affine, Vec2};

use super::{Direction, Face, Feature, Work};

/// A face in another mood.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// What the mood is called: `cross`.
    pub name: String,
    /// All its features, the unchanged ones too; later ones lie on top.
    pub features: Vec<Feature>,
}

impl Face {
    /// The names of the variants, in the order of the file.
    pub fn variant_names(&self) -> impl Iterator<Item = &str> {
        self.variants.iter().map(|variant| variant.name.as_str())
    }

    /// The face in one of its variants, a face like any other but without variants of its own. Its
    /// name says both: `Wide grin, cross`.
    #[must_use]
    pub fn variant(&self, name: &str) -> Option<Self> {
        let variant = self.variants.iter().find(|variant| variant.name == name)?;
        Some(Self {
            name: format!("{}, {}", self.name, variant.name),
            features: variant.features.clone(),
            variants: Vec::new(),
            threads: self.threads.clone(),
            ..*self
        })
    }
}

/// How a shape is changed about its own middle, the middle of its box: turned over, then
/// stretched, then tilted, then moved. Of a pair this is the right side; the left one stays its
/// mirror image.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reshape {
    /// Upside down: what was above is below; left and right stay.
    pub turn_over: bool,
    /// Times as wide, more than 0.
    pub wider: f64,
    /// Times as tall, more than 0.
    pub taller: f64,
    /// Degrees, counter-clockwise as seen on the page.
    pub tilt_deg: f64,
    /// Face units, x to the right, y toward the toe.
    pub shift: Vec2,
}

impl Default for Reshape {
    fn default() -> Self {
        Self {
            turn_over: false,
            wider: 1.0,
            taller: 1.0,
            tilt_deg: 0.0,
            shift: Vec2::ZERO,
        }
    }
}

impl Reshape {
    /// The feature changed. The strands of a fill turn with the shape; those that are mirrored at
    /// the centre line are not tilted.
    #[must_use]
    pub fn of(&self, feature: &Feature) -> Feature {
        let middle = feature.outline.bounds().center().to_vec2();
        // A pair may be drawn on the left; what is asked for is said of the right side.
        let mirror = match feature.pair && middle.x < 0.0 {
            true => Affine::scale_non_uniform(-1.0, 1.0),
            false => Affine::IDENTITY,
        };
        let about_middle = Affine::translate(self.shift) * self.linear(self.tilt_deg);
        let onto =
            Affine::translate(middle) * mirror * about_middle * mirror * Affine::translate(-middle);
        let work = match feature.work {
            Work::Fill { fill, direction } => Work::Fill {
                fill,
                direction: self.direction(direction, onto),
            },
            other => other,
        };
        Feature {
            outline: feature.outline.moved(onto),
            work,
            ..feature.clone()
        }
    }

    /// What happens about the middle.
    fn linear(&self, tilt_deg: f64) -> Affine {
        let over = if self.turn_over { -1.0 } else { 1.0 };
        // On a page with y down, counter-clockwise is the negative turn.
        Affine::rotate(-tilt_deg.to_radians())
            * Affine::scale_non_uniform(self.wider, over * self.taller)
    }

    fn direction(&self, direction: Direction, onto: Affine) -> Direction {
        let turned = |degrees: f64, tilt_deg| {
            let (down, right) = degrees.to_radians().sin_cos();
            let [a, b, c, d, ..] = self.linear(tilt_deg).as_coeffs();
            let (x, y) = (a * right - c * down, b * right - d * down);
            (-y).atan2(x).to_degrees().rem_euclid(180.0)
        };
        match direction {
            Direction::Auto | Direction::Along => direction,
            Direction::Fan(from) => Direction::Fan(from.map(|from| onto * from)),
            Direction::Degrees(degrees) => Direction::Degrees(turned(degrees, self.tilt_deg)),
            Direction::Chevron(degrees) => Direction::Chevron(turned(degrees, 0.0)),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use kurbo::{ParamCurve, Point};

    use super::*;
    use crate::face::{Fill, Outline};

    fn triangle(text: &str, pair: bool, direction: Direction) -> Feature {
        Feature {
            name: "eye".into(),
            pair,
            outline: Outline::fill(text).unwrap(),
            thread: "dark".into(),
            work: Work::Fill {
                fill: Fill::default(),
                direction,
            },
        }
    }

    fn corners(feature: &Feature) -> Vec<Point> {
        let segments = feature.outline.path().segments();
        segments.map(|segment| segment.start()).collect()
    }

    fn near(found: &[Point], expected: &[(f64, f64)]) {
        assert_eq!(found.len(), expected.len());
        for (at, &(x, y)) in found.iter().zip(expected) {
            assert!(at.distance(Point::new(x, y)) < 1e-9, "{found:?}");
        }
    }

    fn degrees(feature: &Feature) -> f64 {
        match feature.work {
            Work::Fill {
                direction: Direction::Degrees(degrees) | Direction::Chevron(degrees),
                ..
            } => degrees,
            _ => f64::NAN,
        }
    }

    const DRAWN: &str = "M10,0 L30,0 L10,10 Z";

    #[test]
    fn a_shape_turns_over_about_the_middle_of_its_box() {
        // Worked out: the box is 10 to 30 by 0 to 10, its middle line y = 5.
        let reshape = Reshape {
            turn_over: true,
            ..Reshape::default()
        };
        let over = reshape.of(&triangle(DRAWN, false, Direction::Degrees(30.0)));
        near(&corners(&over), &[(10.0, 10.0), (30.0, 10.0), (10.0, 0.0)]);
        // A strand that rose to the right by 30 degrees now falls by 30.
        assert!((degrees(&over) - 150.0).abs() < 1e-9);
    }

    #[test]
    fn a_tilt_turns_the_right_side_counter_clockwise_wherever_the_pair_is_drawn() {
        // Worked out: a quarter turn about (20, 5) puts (x, y) at (20 + y - 5, 5 - x + 20).
        let reshape = Reshape {
            tilt_deg: 90.0,
            ..Reshape::default()
        };
        let right = reshape.of(&triangle(DRAWN, true, Direction::Degrees(0.0)));
        near(
            &corners(&right),
            &[(15.0, 15.0), (15.0, -5.0), (25.0, 15.0)],
        );
        assert!((degrees(&right) - 90.0).abs() < 1e-9);
        let drawn_left = "M-10,0 L-30,0 L-10,10 Z";
        let left = reshape.of(&triangle(drawn_left, true, Direction::Degrees(0.0)));
        assert_eq!(left.outline, right.outline.mirrored());
        // A single shape on the left is no pair: it turns as the page shows it.
        let single = reshape.of(&triangle(drawn_left, false, Direction::Auto));
        near(
            &corners(&single),
            &[(-25.0, -5.0), (-25.0, 15.0), (-15.0, -5.0)],
        );
    }

    #[test]
    fn a_shape_is_stretched_before_it_is_tilted_and_moved_last() {
        // Worked out: 20 by 10 becomes 20 by 20, turned a quarter, moved by (1, 2).
        let reshape = Reshape {
            taller: 2.0,
            tilt_deg: 90.0,
            shift: Vec2::new(1.0, 2.0),
            ..Reshape::default()
        };
        let changed = reshape.of(&triangle(DRAWN, false, Direction::Degrees(45.0)));
        near(
            &corners(&changed),
            &[(11.0, 17.0), (11.0, -3.0), (31.0, 17.0)],
        );
        // Rise 1 on run 1 becomes 2 on 1, and a quarter turn more.
        assert!((degrees(&changed) - (2f64.atan().to_degrees() + 90.0)).abs() < 1e-9);
        let mirrored = reshape.of(&triangle(DRAWN, false, Direction::Chevron(45.0)));
        assert!((degrees(&mirrored) - 2f64.atan().to_degrees()).abs() < 1e-9);
    }

    #[test]
    fn a_variant_is_a_face_named_after_both() {
        let eye = triangle(DRAWN, true, Direction::Auto);
        let cross = Reshape {
            tilt_deg: 15.0,
            ..Reshape::default()
        };
        let face = Face {
            name: "Wide grin".into(),
            width: 100.0,
            height: 80.0,
            threads: BTreeMap::new(),
            features: vec![eye.clone()],
            variants: vec![Variant {
                name: "cross".into(),
                features: vec![cross.of(&eye)],
            }],
        };
        assert_eq!(face.variant_names().collect::<Vec<_>>(), ["cross"]);
        let variant = face.variant("cross").unwrap();
        assert_eq!(variant.name, "Wide grin, cross");
        assert_ne!(variant.features, face.features);
        assert!(variant.variants.is_empty());
        assert_eq!(face.variant("sleepy"), None);
    }
}
