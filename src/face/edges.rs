//! Outlines as straight edges.

use kurbo::{BezPath, PathEl, Point};

/// The straight edges of a path, from one place to the next, subpaths closed where they say so;
/// curves are laid out to `tolerance`, in the unit of the path.
pub(crate) fn edges(path: &BezPath, tolerance: f64) -> Vec<(Point, Point)> {
    let mut edges = Vec::new();
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(path.elements().iter().copied(), tolerance, |element| {
        let to = match element {
            PathEl::MoveTo(p) => {
                (start, last) = (p, p);
                return;
            }
            PathEl::LineTo(p) => p,
            _ => start,
        };
        if to != last {
            edges.push((last, to));
        }
        last = to;
    });
    edges
}
