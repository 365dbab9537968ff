//! Set files: several faces on several slippers, made and looked at together.
//!
//! | key | range | when left out |
//! |---|---|---|
//! | `name` | text of 1 to 60 characters | `Set` |
//! | `slippers` | 1 to 60 slipper files, each its path or a table | needed |
//! | `slippers.file` | a path from the folder of the set file | needed |
//! | `slippers.pairs` | 0 to 1000 pairs of each face | `pairs` |
//! | `faces` | 1 to 60 faces, each its path, the name of a bundled face, or a table | needed |
//! | `faces.face` | a path from the folder of the set file, or the name of a bundled face | needed |
//! | `faces.variants` | `all`, or a list of names; `plain` is the face as drawn | the face as drawn |
//! | `faces.pairs` | 0 to 1000 pairs on each slipper | `pairs` |
//! | `faces.width` | 0.05 to 1 of the way round | `place.width` |
//! | `faces.below` | 0 to 0.9 of the length from edge to toe | `place.below` |
//! | `faces.below_rows` | 0 to 60 rows | `place.below_rows` |
//! | `feet` | `alike`, `mirrored`: one foot as drawn, the other its mirror image | `alike` |
//! | `pairs` | 0 to 1000 pairs of each | 1 |
//! | `margin` | 0 to 1 of the yarn | 0.1 |
//! | `ball` | 1 to 2000 g, the weight of a ball | 50 |
//! | `place.width` | 0.05 to 1 of the way round | as in the slipper file |
//! | `place.below` | 0 to 0.9 of the length from edge to toe | as in the slipper file |
//! | `place.below_rows` | 0 to 60 rows, instead of `below` | as in the slipper file |
//! | `place.facing` | `onlooker`, `wearer` | as in the slipper file |
//! | `threads.NAME.wraps_per_inch` | 1 to 60 | as in the slipper file |
//! | `threads.NAME.metres_per_100g` | 10 to 3000 | as in the slipper file |
//! | `threads.NAME.held` | 1 to 8 strands in the needle | as in the slipper file |
//! | `threads.NAME.colour` | `#rrggbb` | as in the slipper file |
//! | `threads.NAME.ball` | 1 to 2000 g, the weight of a ball | `ball` |

mod pieces;
mod read;
mod report;

use std::collections::BTreeMap;

use super::report::{At, Fault};
use crate::face::Facing;

pub use pieces::{Column, Feet, Foot, Piece, Pieces, Row, gather};
pub use read::{parse_set, read_set};
pub use report::SetReport;

/// What a set file says.
#[derive(Debug, Clone, PartialEq)]
pub struct SetFile {
    /// The file as the maker named it.
    pub file: String,
    /// What the maker calls it.
    pub name: String,
    /// The slippers, in the file's order.
    pub slippers: Vec<SlipperEntry>,
    /// The faces, in the file's order.
    pub faces: Vec<FaceEntry>,
    /// Whether both feet wear the same.
    pub feet: Feet,
    /// Pairs of each piece, unless its slipper or its face says otherwise.
    pub pairs: u32,
    /// Share of yarn to buy on top.
    pub margin: f64,
    /// Weight of a ball, g.
    pub ball_g: f64,
    /// Where faces go.
    pub place: SharedPlace,
    /// Who sees the faces upright.
    pub facing: Option<Facing>,
    /// Threads of all slippers.
    pub threads: BTreeMap<String, SharedThread>,
}

/// A slipper of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct SlipperEntry {
    /// Its path, from the folder of the set file.
    pub path: Written,
    /// Pairs of each face on it.
    pub pairs: Option<u32>,
}

/// A face of the set.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceEntry {
    /// Its path, or the name of a bundled face.
    pub face: Written,
    /// Which moods of it.
    pub variants: Variants,
    /// Pairs of it on each slipper.
    pub pairs: Option<u32>,
    /// Where it goes, where that is not as for all.
    pub place: SharedPlace,
}

/// Moods of a face.
#[derive(Debug, Clone, PartialEq)]
pub enum Variants {
    /// The face as it is drawn.
    Plain,
    /// As it is drawn, and every variant.
    All,
    /// Those named; `plain` is the face as drawn.
    Named(Vec<Written>),
}

/// A text, and where it stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// What it says.
    pub text: String,
    /// Its place.
    pub at: At,
    /// The key it stands under.
    pub key: String,
}

/// Where a face goes, as shares of the slipper, so that it keeps its proportions over sizes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SharedPlace {
    /// Width of the face over the worn circumference, and where that is stated.
    pub width: Option<(f64, At)>,
    /// From the opening edge to the face, and where that is stated.
    pub below: Option<(Below, At)>,
}

/// A distance from the opening edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Below {
    /// A share of the length from the edge to the tip of the toe.
    Share(f64),
    /// Rows.
    Rows(f64),
}

/// What a set says of a thread; the rest is as the slipper has it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SharedThread {
    /// Wraps per inch.
    pub wraps_per_inch: Option<f64>,
    /// Metres in 100 g.
    pub metres_per_100g: Option<f64>,
    /// Strands in the needle.
    pub held: Option<u32>,
    /// Red, green, blue.
    pub colour: Option<[u8; 3]>,
    /// Weight of a ball, g.
    pub ball_g: Option<f64>,
}

impl SetFile {
    /// A fault at a place of this file.
    fn fault(&self, written: &Written, message: String, tip: String) -> Fault {
        Fault {
            file: self.file.clone(),
            at: Some(written.at),
            key: written.key.clone(),
            message,
            tip,
        }
    }
}
