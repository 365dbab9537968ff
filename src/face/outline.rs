//! Outlines: shapes of a face, read from SVG path data (W3C SVG 2, "Paths") and checked.

use kurbo::{Affine, BezPath, ParamCurveArclen, PathEl, Point, Rect, Shape};

use super::crossing::{Clash, first_clash};
use super::path_data;

/// Shapes smaller than this share of their box have no area or no length; end points closer than
/// this are one.
const NOTHING: f64 = 1e-9;

/// A checked shape.
///
/// # Guarantees
/// Finite coordinates. A fill has closed subpaths, each with an area, whose edges may touch at
/// points but neither cross nor lie on each other; which parts are inside follows the even-odd
/// rule. A line is one open subpath with a length. A knot is one place.
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
    /// Edges run along each other: a spike, or a border drawn twice.
    #[error("edges lie on each other near {x:.2},{y:.2}")]
    Overlapping {
        /// Where, x.
        x: f64,
        /// Where, y.
        y: f64,
    },
    /// More commands than a face of stitches can need.
    #[error("the path has more than {limit} commands")]
    TooManyCommands {
        /// Most commands accepted.
        limit: usize,
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

impl Outline {
    /// A shape to be filled: every subpath closed by `Z` or by ending exactly where it began.
    ///
    /// # Errors
    /// [`OutlineError`] with the place in the text or on the face.
    pub fn fill(text: &str) -> Result<Self, OutlineError> {
        let path = drawing(text)?;
        let size = size(&path);
        let mut closed = BezPath::new();
        let mut subpaths = Vec::new();
        for (index, subpath) in split(&path).into_iter().enumerate() {
            let subpath = close(subpath, size).map_err(|end| OutlineError::Open {
                subpath: index + 1,
                end_x: end.x,
                end_y: end.y,
            })?;
            closed.extend(subpath.elements().iter().copied());
            subpaths.push(subpath);
        }
        let clash = first_clash(&closed, size);
        if let Some(Clash::Cross(Point { x, y })) = clash {
            return Err(OutlineError::Crossing { x, y });
        }
        let flat = |subpath: &BezPath| subpath.area().abs() <= NOTHING * size * size;
        if let Some(index) = subpaths.iter().position(flat) {
            return Err(OutlineError::NoArea { subpath: index + 1 });
        }
        if let Some(Clash::Overlap(Point { x, y })) = clash {
            return Err(OutlineError::Overlapping { x, y });
        }
        Ok(Self { path: closed })
    }

    /// A line with two ends. A ring is drawn back to its start without a `Z`; a line may cross
    /// itself.
    ///
    /// # Errors
    /// [`OutlineError`] with the place in the text.
    pub fn line(text: &str) -> Result<Self, OutlineError> {
        let path = drawing(text)?;
        let subpaths = split(&path).len();
        if subpaths > 1 {
            return Err(OutlineError::ManyLines { subpaths });
        }
        if path.elements().contains(&PathEl::ClosePath) {
            return Err(OutlineError::ClosedLine);
        }
        let size = size(&path);
        let length: f64 = path
            .segments()
            .map(|segment| segment.arclen(1e-3 * size))
            .sum();
        if length <= NOTHING * size {
            return Err(OutlineError::Empty);
        }
        Ok(Self { path })
    }

    /// A single place, `M x,y`.
    ///
    /// # Errors
    /// [`OutlineError`] with the place in the text.
    pub fn knot(text: &str) -> Result<Self, OutlineError> {
        let path = path_data::read(text)?;
        match path.elements() {
            [] => Err(OutlineError::Empty),
            [PathEl::MoveTo(_)] => Ok(Self { path }),
            _ => Err(OutlineError::NotAPlace),
        }
    }

    /// The shape, face units; several subpaths even-odd.
    #[must_use]
    pub fn path(&self) -> &BezPath {
        &self.path
    }

    /// Its mirror image across x = 0.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        self.moved(Affine::scale_non_uniform(-1.0, 1.0))
    }

    /// Turned, stretched, mirrored or moved: a map that can be undone leaves a good shape good.
    pub(super) fn moved(&self, onto: Affine) -> Self {
        Self {
            path: onto * &self.path,
        }
    }

    /// Its box, face units; a knot's is a point.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        bounds_of(&self.path)
    }
}

/// The box of a path that was an outline, wherever it was moved; a knot's is a point.
#[must_use]
pub fn bounds_of(path: &BezPath) -> Rect {
    match path.elements() {
        [PathEl::MoveTo(at)] => Rect::from_points(*at, *at),
        _ => path.bounding_box(),
    }
}

/// Reads a path that must draw something.
fn drawing(text: &str) -> Result<BezPath, OutlineError> {
    let path = path_data::read(text)?;
    let draws = |element: &PathEl| !matches!(element, PathEl::MoveTo(_) | PathEl::ClosePath);
    if path.elements().iter().any(draws) {
        Ok(path)
    } else {
        Err(OutlineError::Empty)
    }
}

/// Larger side of the box, face units; never 0.
fn size(path: &BezPath) -> f64 {
    let bounds = path.bounding_box();
    bounds
        .width()
        .max(bounds.height())
        .max(f64::MIN_POSITIVE.sqrt())
}

/// The subpaths, each from its move to before the next.
fn split(path: &BezPath) -> Vec<BezPath> {
    let mut subpaths: Vec<BezPath> = Vec::new();
    for &element in path.elements() {
        match (element, subpaths.last_mut()) {
            (PathEl::MoveTo(_), _) | (_, None) => subpaths.push(BezPath::from_vec(vec![element])),
            (_, Some(subpath)) => subpath.push(element),
        }
    }
    subpaths
}

/// The subpath with a close at its end, or where it ends when that is not where it began.
fn close(mut subpath: BezPath, size: f64) -> Result<BezPath, Point> {
    let elements = subpath.elements();
    let start = elements.first().and_then(PathEl::end_point);
    match (start, elements.last()) {
        (_, Some(PathEl::ClosePath)) => Ok(subpath),
        (Some(start), Some(last)) => {
            let end = last.end_point().unwrap_or(start);
            if end.distance(start) > NOTHING * size {
                return Err(end);
            }
            subpath.close_path();
            Ok(subpath)
        }
        _ => Ok(subpath),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> OutlineError {
        Outline::fill(text).unwrap_err()
    }

    #[test]
    fn a_subpath_that_ends_at_its_start_is_closed() {
        let by_letter = Outline::fill("M0,0 L4,0 L4,3 Z").unwrap();
        let by_point = Outline::fill("m0,0 l4,0 l0,3 l-4-3").unwrap();
        // Worked out: a triangle of 4 by 3.
        assert!((by_letter.path().area().abs() - 6.0).abs() < 1e-12);
        assert!((by_point.path().area().abs() - 6.0).abs() < 1e-12);
    }

    #[test]
    fn an_open_subpath_is_named_with_its_end() {
        let fault = refused("M0,0 L9,0 L9,9 Z M2,2 L5,2 L5,5");
        assert_eq!(
            fault,
            OutlineError::Open {
                subpath: 2,
                end_x: 5.0,
                end_y: 5.0
            }
        );
    }

    #[test]
    fn crossing_edges_are_found_where_they_cross() {
        // Worked out: the diagonals of a square of 20 meet in its middle.
        for text in [
            "M0,0 L20,20 L20,0 L0,20 Z",
            // through a shared corner, and through a corner that lies on an edge
            "M0,0 L10,10 L20,20 L20,0 L10,10 L0,20 Z",
            "M0,0 L20,20 L20,0 L10,10 L0,20 Z",
        ] {
            let OutlineError::Crossing { x, y } = refused(text) else {
                unreachable!("{text}: {}", refused(text));
            };
            assert!((x - 10.0).abs() < 1e-9 && (y - 10.0).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn touching_at_points_is_allowed() {
        for text in [
            // two triangles tip to tip in one subpath, and in two
            "M0,0 L10,10 L20,0 L20,20 L10,10 L0,20 Z",
            "M0,0 L10,10 L0,20 Z M20,0 L10,10 L20,20 Z",
            // a corner on another shape's edge
            "M0,0 L10,0 L10,20 L0,20 Z M10,10 L20,5 L20,15 Z",
            // a hole, and a hole that touches the rim
            "M0,0 H20 V20 H0 Z M5,5 H15 V15 H5 Z",
            "M0,0 H20 V20 H0 Z M0,10 L10,5 L10,15 Z",
            // a ring of two circles that touch inside
            "M0,10 A10,10 0 0 1 20,10 A10,10 0 0 1 0,10 Z M0,10 A8,8 0 0 1 16,10 A8,8 0 0 1 0,10 Z",
            // a crescent whose two arcs meet at both tips
            "M0,0 A10,10 0 0 0 20,0 A12,12 0 0 1 0,0 Z",
        ] {
            assert!(Outline::fill(text).is_ok(), "{text}: {}", refused(text));
        }
    }

    #[test]
    fn curves_that_cross_are_found() {
        for text in [
            "M0,0 C30,20 -10,20 20,0 L20,2 C-20,24 40,24 0,2 Z",
            "M0,10 A10,10 0 0 1 20,10 A10,10 0 0 1 0,10 Z M10,10 a10,10 0 0 1 20,0 a10,10 0 0 1-20,0z",
        ] {
            assert!(
                matches!(refused(text), OutlineError::Crossing { .. }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_border_drawn_twice_and_a_spike_are_found() {
        for text in [
            "M0,0 H10 V10 H0 Z M0,0 H10 V10 H0 Z",
            "M0,0 H10 V10 H0 Z M10,2 H20 V8 H10 Z",
            "M0,0 H10 V10 V20 V10 H0 Z",
        ] {
            assert!(
                matches!(refused(text), OutlineError::Overlapping { .. }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_fill_without_area_is_refused() {
        assert_eq!(refused("M0,0 L9,0 Z"), OutlineError::NoArea { subpath: 1 });
        assert_eq!(
            refused("M0,0 H9 V9 Z M3,1"),
            OutlineError::NoArea { subpath: 2 }
        );
        assert_eq!(refused("M3,1 Z"), OutlineError::Empty);
        assert_eq!(refused(""), OutlineError::Empty);
    }

    #[test]
    fn a_line_is_one_open_path_with_a_length() {
        assert!(Outline::line("M0,0 Q5,9 10,0").is_ok());
        assert!(Outline::line("M0,0 L9,0 L9,9 L0,0").is_ok());
        assert_eq!(
            Outline::line("M0,0 L9,0 L9,9 Z"),
            Err(OutlineError::ClosedLine)
        );
        assert_eq!(
            Outline::line("M0,0 L9,0 M0,5 L9,5"),
            Err(OutlineError::ManyLines { subpaths: 2 })
        );
        assert_eq!(Outline::line("M4,4 L4,4"), Err(OutlineError::Empty));
    }

    #[test]
    fn a_knot_is_one_place() {
        let knot = Outline::knot("m 3 4").unwrap();
        assert_eq!(knot.bounds(), Rect::new(3.0, 4.0, 3.0, 4.0));
        assert_eq!(Outline::knot("M3,4 5,6"), Err(OutlineError::NotAPlace));
        assert_eq!(Outline::knot(" "), Err(OutlineError::Empty));
    }

    #[test]
    fn coordinates_beyond_reason_are_refused() {
        for text in ["M0,0 L2e6,0 L0,9 Z", "M0,0 h9e5 h9e5 v1 z"] {
            assert!(
                matches!(refused(text), OutlineError::NotFinite { .. }),
                "{text}"
            );
        }
    }

    #[test]
    fn a_path_of_thousands_of_commands_is_refused_at_once() {
        let text = format!("M0,0 {} Z", "L9,9 L8,7 ".repeat(100_000));
        assert!(matches!(
            refused(&text),
            OutlineError::TooManyCommands { .. }
        ));
    }
}
