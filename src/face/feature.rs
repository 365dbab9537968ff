//! A face and its features, in face units: x = 0 on the centre line, y down toward the toe,
//! box `-width/2 .. width/2` by `0 .. height`.

use std::collections::BTreeMap;

use kurbo::Point;

use super::{Outline, Variant};
use crate::fabric::colour::Rgb;

/// A face as its maker drew it.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// What it is called.
    pub name: String,
    /// Width of its box, face units.
    pub width: f64,
    /// Height of its box, face units.
    pub height: f64,
    /// What each thread role looks like.
    pub threads: BTreeMap<String, ThreadLook>,
    /// The features; later ones lie on top.
    pub features: Vec<Feature>,
    /// The same face in other moods.
    pub variants: Vec<Variant>,
}

/// How a thread role is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadLook {
    /// Its colour, when the face states one.
    pub colour: Option<Rgb>,
}

impl ThreadLook {
    /// The colour shown for a thread of which none is stated: nearly black.
    pub const UNSTATED: Rgb = [0x28, 0x24, 0x2c];
}

/// One eye, mouth, whisker.
#[derive(Debug, Clone, PartialEq)]
pub struct Feature {
    /// What it is called.
    pub name: String,
    /// Itself and its mirror image across x = 0.
    pub pair: bool,
    /// Its shape, face units.
    pub outline: Outline,
    /// The thread role it is worked in.
    pub thread: String,
    /// How it is worked.
    pub work: Work,
}

/// How a feature is worked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Work {
    /// A closed outline filled with strands side by side.
    Fill {
        /// How the strands follow each other.
        fill: Fill,
        /// Which way they lie.
        direction: Direction,
    },
    /// A path followed by a line stitch, from its beginning to its end, or round a closed shape.
    Line(LineStitch),
    /// A French knot at the single place of the path.
    Knot {
        /// Times the yarn is wound round the needle, 1 to 3.
        wraps: u32,
    },
}

/// How the strands of a fill follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fill {
    /// Back and forth with as little yarn on the inside as possible.
    #[default]
    SurfaceSatin,
    /// Each strand starts beside the last one's up end; about twice the yarn.
    Satin,
}

impl Fill {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::SurfaceSatin => "surface satin",
            Self::Satin => "satin",
        }
    }
}

/// Line stitches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineStitch {
    /// One step back on the face, two ahead on the inside.
    Backstitch,
    /// Each stitch comes up half-way beside the last.
    Stem,
    /// Loops, each caught by the next.
    Chain,
}

impl LineStitch {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Backstitch => "backstitch",
            Self::Stem => "stem stitch",
            Self::Chain => "chain stitch",
        }
    }
}

/// Which way strands lie: degrees, 0 along the rounds, 90 toward the toe, counter-clockwise as
/// seen on the page, modulo 180.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Direction {
    /// The best of every 15 degrees, or a bent one where that is clearly better; a pair's sides
    /// mirror each other.
    #[default]
    Auto,
    /// One direction; for a pair that of the right side.
    Degrees(f64),
    /// One direction mirrored at the centre line; the number is that of the right half.
    Chevron(f64),
    /// Along the shape's own run ([`Run`](super::Run)).
    Along,
    /// Radiating from a point, face units; without one from where rays run most nearly along the
    /// edges ([`Run::fan_point`](super::Run::fan_point)). On a shape that is its own mirror image this is
    /// the point of the right half; the left half radiates from its mirror image.
    Fan(Option<Point>),
}
