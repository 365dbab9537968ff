//! Outlines: SVG path data (W3C SVG 2, "Paths") read without loss and checked.

use kurbo::{Affine, Arc, BezPath, ParamCurve, PathEl, Point, Rect, Shape, SvgArc};

/// How finely curves are laid out as straight pieces for checks and measures: a thousandth of
/// the larger side of the outline's box.
const FLATNESS: f64 = 1e-3;

/// A checked shape.
///
/// # Guarantees
/// Finite coordinates; at least one subpath with a length; a closed outline has closed subpaths
/// of more than no area whose edges do not cross.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    path: BezPath,
}

/// Why path data is no outline. `at` counts characters of the path text from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum OutlineError {
    /// The text is not SVG path data.
    #[error("expected {expected}, found {found} at character {at}")]
    Syntax {
        /// Character of the path text, 1 the first.
        at: usize,
        /// What stands there.
        found: String,
        /// What the grammar asks for there.
        expected: &'static str,
    },
    /// Nothing is drawn.
    #[error("the path draws nothing")]
    Empty,
    /// A coordinate is not a finite number of sensible size.
    #[error("a coordinate is not finite or beyond {limit:.0}")]
    NotFinite {
        /// Largest size accepted.
        limit: f64,
    },
    /// A fill needs closed subpaths.
    #[error("subpath {subpath} is open: it ends at {end_x:.2},{end_y:.2} and no `Z` closes it")]
    Open {
        /// Subpath, 1 the first.
        subpath: usize,
        /// Where it ends, x.
        end_x: f64,
        /// Where it ends, y.
        end_y: f64,
    },
    /// A fill needs an area.
    #[error("subpath {subpath} has no area")]
    NoArea {
        /// Subpath, 1 the first.
        subpath: usize,
    },
    /// Edges cross, so inside and outside are not what they seem.
    #[error("edges cross near {x:.2},{y:.2}")]
    Crossing {
        /// Where, x.
        x: f64,
        /// Where, y.
        y: f64,
    },
    /// A line is one open subpath.
    #[error("a line is one open path, found {subpaths} subpaths")]
    ManyLines {
        /// Subpaths found.
        subpaths: usize,
    },
    /// A line must not be closed.
    #[error("the path is closed; a line has two ends")]
    ClosedLine,
    /// A knot is one place.
    #[error("a knot is one place `M x,y`, found a path that draws on")]
    NotAPlace,
}

/// Largest coordinate accepted, face units.
const LIMIT: f64 = 1e6;
