//! A path as a ruler: places by their distance along it.

use kurbo::{BezPath, PathEl, Point};

use crate::weave::sample::edges;

/// The subpaths of a path, each a path of its own.
pub(super) fn subpaths(path: &BezPath) -> Vec<BezPath> {
    let mut subpaths: Vec<BezPath> = Vec::new();
    for &element in path.elements() {
        match (element, subpaths.last_mut()) {
            (PathEl::MoveTo(_), _) | (_, None) => {
                subpaths.push(BezPath::from_vec(vec![element]));
            }
            (_, Some(last)) => last.push(element),
        }
    }
    subpaths
}

/// The path as a ruler: places by their distance from its beginning.
#[derive(Debug)]
pub(super) struct Rail {
    /// Short straight pieces, each with the distance at its beginning.
    pieces: Vec<(f64, Point, Point)>,
    pub(super) length: f64,
    /// Its end is its beginning.
    pub(super) closed: bool,
}

impl Rail {
    pub(super) fn new(path: &BezPath) -> Self {
        let mut length = 0.0;
        let pieces = edges(path)
            .into_iter()
            .map(|(from, to)| {
                let begin = length;
                length += from.distance(to);
                (begin, from, to)
            })
            .collect();
        let closed = matches!(path.elements().last(), Some(PathEl::ClosePath));
        Self {
            pieces,
            length,
            closed,
        }
    }

    /// The half right of the centre line of a path that is its own mirror image, from the centre
    /// line on.
    pub(super) fn right_half(path: &BezPath) -> Self {
        let whole = Self::new(path);
        let middle = whole.length / 2.0;
        let (mut places, mut other) = (vec![whole.at(middle)], vec![whole.at(middle)]);
        for &(begin, a, b) in &whole.pieces {
            if begin + a.distance(b) > middle {
                places.push(b);
            }
            if begin < middle {
                other.insert(1, a);
            }
        }
        if other[other.len() - 1].x > places[places.len() - 1].x {
            places = other;
        }
        let mut half = BezPath::new();
        half.move_to(places[0]);
        places[1..].iter().for_each(|&to| half.line_to(to));
        Self::new(&half)
    }

    /// The place at a distance along the path; a closed one goes on round.
    pub(super) fn at(&self, along: f64) -> Point {
        let along = if self.closed {
            along.rem_euclid(self.length)
        } else {
            along
        };
        let after = self.pieces.partition_point(|piece| piece.0 <= along);
        let (begin, a, b) = self.pieces[after.max(1) - 1];
        a.lerp(b, ((along - begin) / a.distance(b)).clamp(0.0, 1.0))
    }

    /// The foot of a place on the path: how far along, and how far from it, mm.
    pub(super) fn foot(&self, p: Point) -> (f64, f64) {
        let mut nearest = (0.0, f64::INFINITY);
        for &(begin, a, b) in &self.pieces {
            let run = b - a;
            let share = ((p - a).dot(run) / run.hypot2()).clamp(0.0, 1.0);
            let distance = p.distance(a.lerp(b, share));
            if distance < nearest.1 {
                nearest = (begin + share * run.hypot(), distance);
            }
        }
        nearest
    }
}
