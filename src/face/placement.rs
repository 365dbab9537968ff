//! Where a face goes on the instep: one scale, one distance from the edge.

use kurbo::{Affine, BezPath, Point};

use super::outline::bounds_of;
use super::{Direction, Face, Feature, Work};
use crate::fabric::Instep;

/// Who sees the face upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Facing {
    /// Someone facing the wearer: upright when the toe points down the page.
    #[default]
    Onlooker,
    /// The wearer looking down at the foot.
    Wearer,
}

impl Facing {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Onlooker => "onlooker",
            Self::Wearer => "wearer",
        }
    }
}

/// What a maker asks of the placement; what is absent is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Place {
    /// Width of the face as worn, mm.
    pub width_mm: Option<f64>,
    /// Distance from the opening edge to the nearest side of the box, mm.
    pub below_mm: Option<f64>,
    /// Who sees it upright.
    pub facing: Facing,
}

/// Which side of the centre line a feature lies on, as seen on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Left of the centre line.
    Left,
    /// Right of it.
    Right,
    /// Across it.
    Centre,
}

impl Side {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Right => "right",
            Self::Centre => "centre",
        }
    }
}

/// A feature, or one side of a pair, on the instep.
#[derive(Debug, Clone)]
pub struct PlacedFeature<'a> {
    /// The feature as drawn.
    pub feature: &'a Feature,
    /// Its place in the face's list, 0 the first.
    pub index: usize,
    /// Which side this is.
    pub side: Side,
    /// Its outline in the instep frame, mm.
    pub outline: BezPath,
    /// The point its strands are told to radiate from, instep frame, mm.
    pub fan_from: Option<Point>,
}

/// A face on an instep.
#[derive(Debug, Clone)]
pub struct PlacedFace<'a> {
    /// Width of the face's box, mm.
    pub width_mm: f64,
    /// Height of the face's box, mm.
    pub height_mm: f64,
    /// Distance from the opening edge to the box, mm.
    pub below_mm: f64,
    /// Who sees it upright.
    pub facing: Facing,
    /// The features in the face's order, the left side of a pair before the right.
    pub features: Vec<PlacedFeature<'a>>,
}

/// Share of the worn circumference that a face takes when no width is asked for: about a hundred
/// degrees of the foot, of which an onlooker sees all.
const SHARE_OF_AROUND: f64 = 0.3;
/// Rows left free below the opening edge when no distance is asked for.
const ROWS_BELOW: f64 = 2.0;

impl Face {
    /// Places the face on an instep.
    ///
    /// Without a width the face takes 0.3 of the worn circumference, or less where the rows from
    /// two rows below the edge to the cap would run out; a very short tube lends half of what
    /// is left of the centre line.
    #[must_use]
    pub fn placed<'a>(&'a self, instep: &Instep, place: &Place) -> PlacedFace<'a> {
        let below_mm = place.below_mm.unwrap_or(ROWS_BELOW * instep.row_mm());
        let longest = (instep.cap_mm() - below_mm)
            .max((instep.centre_line_mm() - below_mm) / 2.0)
            .max(instep.row_mm());
        let width_mm = place.width_mm.unwrap_or_else(|| {
            (SHARE_OF_AROUND * instep.around_mm()).min(longest * self.width / self.height)
        });
        let scale = width_mm / self.width;
        // The wearer looks from the other side: half a turn about the middle of the box.
        let turned = match place.facing {
            Facing::Onlooker => Affine::IDENTITY,
            Facing::Wearer => Affine::new([-1.0, 0.0, 0.0, -1.0, 0.0, self.height]),
        };
        let onto = Affine::translate((0.0, below_mm)) * Affine::scale(scale) * turned;
        let features = self
            .features
            .iter()
            .enumerate()
            .flat_map(|(index, feature)| placed_sides(feature, index, onto))
            .collect();
        PlacedFace {
            width_mm,
            height_mm: scale * self.height,
            below_mm,
            facing: place.facing,
            features,
        }
    }
}

/// A feature's one side, or its left and its right.
fn placed_sides(feature: &Feature, index: usize, onto: Affine) -> Vec<PlacedFeature<'_>> {
    let outline = onto * feature.outline.path();
    let box_ = bounds_of(&outline);
    let drawn_from = match feature.work {
        Work::Fill {
            direction: Direction::Fan(from),
            ..
        } => from.map(|from| onto * from),
        _ => None,
    };
    let placed = |side, outline| PlacedFeature {
        feature,
        index,
        side,
        outline,
        fan_from: drawn_from,
    };
    if feature.pair {
        let mirror = Affine::scale_non_uniform(-1.0, 1.0);
        let mirrored = mirror * &outline;
        let drawn_left = box_.center().x < 0.0;
        let (left, right) = if drawn_left {
            (outline, mirrored)
        } else {
            (mirrored, outline)
        };
        let mut sides = vec![placed(Side::Left, left), placed(Side::Right, right)];
        let other = &mut sides[usize::from(drawn_left)];
        other.fan_from = drawn_from.map(|from| mirror * from);
        sides
    } else if box_.x0 < 0.0 && box_.x1 <= 0.0 {
        vec![placed(Side::Left, outline)]
    } else if box_.x0 >= 0.0 && box_.x1 > 0.0 {
        vec![placed(Side::Right, outline)]
    } else {
        vec![placed(Side::Centre, outline)]
    }
}
