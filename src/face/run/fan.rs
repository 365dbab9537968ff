//! The point from which rays run most nearly along the edges of a shape.

use kurbo::{Point, Vec2};

use super::doubled;
use super::sides::Piece;

/// Distances from the middle that are tried, as shares of the way to the outline's farthest piece:
/// from a tenth on, each an eighth more than the last. Rays from the farthest differ by 6 degrees
/// over the shape.
const NEAREST: f64 = 0.1;
const FARTHEST: f64 = 20.0;
const FARTHER: f64 = 1.125;
/// Halvings of the step from the best of these.
const HALVINGS: u32 = 16;

/// The point, on one of some axes through the middle: where it agrees best with the outline, and
/// better than from the other end, for a shape that narrows toward it. So a shape that is even
/// about an axis fans out evenly.
pub(super) fn point(pieces: &[Piece], middle: Point, axes: &[Vec2]) -> Point {
    let reach = pieces
        .iter()
        .map(|piece| piece.at.distance(middle))
        .fold(0.0, f64::max);
    let mut best = (f64::NEG_INFINITY, middle);
    for &axis in axes {
        let ends = [axis, -axis].map(|way| toward(pieces, middle, reach * way));
        let [a, b] = ends.map(|end| end.0);
        for (place, worth) in [(ends[0].1, 2.0 * a - b), (ends[1].1, 2.0 * b - a)] {
            if worth > best.0 {
                best = (worth, place);
            }
        }
    }
    best.1
}

/// The best point on one side of the middle, and how well it agrees.
fn toward(pieces: &[Piece], middle: Point, reach: Vec2) -> (f64, Point) {
    let judged = |far: f64| (agreement(pieces, middle + far * reach), far);
    let better = |a: (f64, f64), b: (f64, f64)| if b.0 > a.0 { b } else { a };
    let mut best = judged(NEAREST);
    let mut far = NEAREST;
    while far < FARTHEST {
        far *= FARTHER;
        best = better(best, judged(far));
    }
    let mut step = (FARTHER - 1.0) * best.1;
    for _ in 0..HALVINGS {
        step /= 2.0;
        best = better(better(best, judged(best.1 - step)), judged(best.1 + step));
    }
    (best.0, middle + best.1 * reach)
}

/// How well rays from a point run along the outline: the sum of `cos 2 a` over its pieces by their
/// weights, `a` the angle between ray and tangent.
fn agreement(pieces: &[Piece], from: Point) -> f64 {
    pieces
        .iter()
        .map(|piece| piece.weight * doubled(piece.at - from).dot(piece.doubled))
        .sum()
}
