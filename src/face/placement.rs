//! Where a face goes on the instep: one scale, one distance from the edge.

use kurbo::{Affine, BezPath};

use super::{Face, Feature};
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
