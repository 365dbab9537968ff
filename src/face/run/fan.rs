//! The point from which the rays run most nearly along the long sides of a shape.

use kurbo::{Point, Vec2};

use super::sides::Piece;
use super::{doubled, unit};

/// Distances from the middle that are tried, as shares of the way to the outline's farthest piece:
/// from a tenth on, each a quarter more than the last. Rays from the farthest differ by 6 degrees
/// over the shape.
const NEAREST: f64 = 0.1;
const FARTHEST: f64 = 20.0;
const FARTHER: f64 = 1.25;
/// Degrees between the ways that are tried.
const STEP_DEG: u32 = 5;
/// Halvings of the step from the best of these.
const HALVINGS: u32 = 24;
/// What another point must win, as a share of all: less is noise, and the nearest and first stays.
const BETTER: f64 = 1e-6;

/// The point; on the centre line of a centred shape.
pub(super) fn point(pieces: &[Piece], middle: Point, centred: bool) -> Point {
    let reach = pieces
        .iter()
        .map(|piece| piece.at.distance(middle))
        .fold(0.0, f64::max);
    let all: f64 = pieces.iter().map(|piece| piece.weight).sum();
    let ways: Vec<Vec2> = match centred {
        true => vec![Vec2::new(0.0, -1.0), Vec2::new(0.0, 1.0)],
        false => (0..360 / STEP_DEG)
            .map(|step| unit(f64::from(step * STEP_DEG)))
            .collect(),
    };
    let mut best = (f64::NEG_INFINITY, middle);
    let keep = |place: Point, best: &mut (f64, Point)| {
        let worth = agreement(pieces, place);
        let better = worth > best.0 + BETTER * all;
        if better {
            *best = (worth, place);
        }
        better
    };
    let mut far = NEAREST;
    while far <= FARTHEST {
        for &way in &ways {
            keep(middle + far * reach * way, &mut best);
        }
        far *= FARTHER;
    }
    let mut step = (FARTHER - 1.0) * best.1.distance(middle);
    for _ in 0..HALVINGS {
        while ways.iter().any(|&way| {
            best.1.distance(middle) <= FARTHEST * reach && keep(best.1 + step * way, &mut best)
        }) {}
        step /= 2.0;
    }
    best.1
}

/// How well rays from a point run along the outline: the sum of `cos 2 a` over its pieces by their
/// weights, `a` the angle between ray and tangent.
fn agreement(pieces: &[Piece], from: Point) -> f64 {
    pieces
        .iter()
        .map(|piece| piece.weight * doubled(piece.at - from).dot(piece.doubled))
        .sum()
}
