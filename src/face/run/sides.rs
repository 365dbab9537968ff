//! The outline in short pieces, each with its weight: sides count, ends hardly.

use kurbo::{Point, Vec2};

use super::{Grid, doubled};

/// A short piece of an outline.
#[derive(Debug, Clone, Copy)]
pub(super) struct Piece {
    /// Its middle.
    pub(super) at: Point,
    /// Its doubled tangent, `(cos, sin)`.
    pub(super) doubled: Vec2,
    /// Its length over the square of the way across the shape.
    pub(super) weight: f64,
    /// The square of half that way, how far it is heard.
    pub(super) reach2: f64,
}

/// The outline in pieces of at most `step`.
pub(super) fn pieces(edges: &[(Point, Point)], step: f64) -> Vec<Piece> {
    let mut pieces = Vec::new();
    for &(a, b) in edges {
        let count = (a.distance(b) / step).ceil();
        let length = a.distance(b) / count;
        let along = (b - a).normalize();
        let mut done = 0.0;
        while done < count {
            let at = a.lerp(b, (done + 0.5) / count);
            let across = across(edges, at, along.turn_90(), step);
            pieces.push(Piece {
                at,
                doubled: doubled(along),
                weight: length / across.powi(2),
                reach2: (across / 2.0).powi(2),
            });
            done += 1.0;
        }
    }
    pieces
}

/// The mirror image across x = 0.
pub(super) fn mirrored(pieces: &[Piece]) -> Vec<Piece> {
    let mirror = |piece: &Piece| Piece {
        at: Point::new(-piece.at.x, piece.at.y),
        doubled: Vec2::new(piece.doubled.x, -piece.doubled.y),
        ..*piece
    };
    pieces.iter().map(mirror).collect()
}

/// The nodes of a grid that lie inside, by the even-odd rule. (kurbo's `winding` miscounts where a
/// corner lies level with the place.)
pub(super) fn inside(edges: &[(Point, Point)], grid: &Grid) -> Vec<bool> {
    let in_row = |row: usize| {
        let first = row * grid.nodes[0];
        let y = grid.at(first).y;
        let crosses = |(a, b): &&(Point, Point)| (a.y > y) != (b.y > y);
        let crossings: Vec<f64> = edges
            .iter()
            .filter(crosses)
            .map(|(a, b)| a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x))
            .collect();
        (first..first + grid.nodes[0]).map(move |node| {
            let x = grid.at(node).x;
            crossings.iter().filter(|&&crossing| x < crossing).count() % 2 == 1
        })
    };
    (0..grid.nodes[1]).flat_map(in_row).collect()
}

/// From a place on the outline straight through the shape to the other side, at least `least`: on
/// that side of the normal from which a ray leaves the shape an odd number of times.
fn across(edges: &[(Point, Point)], at: Point, normal: Vec2, least: f64) -> f64 {
    let mut ways = [(0_u32, f64::INFINITY); 2];
    for &(a, b) in edges {
        let (a, b) = (a - at, b - at);
        let (side_a, side_b) = (normal.cross(a), normal.cross(b));
        if (side_a >= 0.0) == (side_b >= 0.0) {
            continue;
        }
        let share = side_a / (side_a - side_b);
        let far = normal.dot(a) + share * normal.dot(b - a);
        if far.abs() > 1e-6 * least {
            let way = &mut ways[usize::from(far < 0.0)];
            way.0 += 1;
            way.1 = way.1.min(far.abs());
        }
    }
    let through = ways.iter().filter(|way| way.0 % 2 == 1);
    let far = through.map(|way| way.1).fold(f64::INFINITY, f64::min);
    if far.is_finite() {
        far.max(least)
    } else {
        least
    }
}
