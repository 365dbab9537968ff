//! How even a pair or a centred feature is: of the strands planned, and of the outlines as one
//! who trusts a column and a round would place them.

use kurbo::{BezPath, PathEl, Point};

use super::ink::Ink;
use super::plan::Figures;
use super::sample::{Moments, SampleGrid, count, count_both};
use crate::fabric::Instep;

/// Distance between samples, mm, at most, and as a share of the longer side of what is compared: a
/// knot is so small that its area was off by a hundredth.
const PITCH_MM: f64 = 0.1;
const PITCH_SHARE: f64 = 0.01;

/// What is compared: the left and the right of a pair, or one shape across the centre line.
#[derive(Debug, Clone, Copy)]
pub(super) enum Compared<T> {
    /// Left and right.
    Pair(T, T),
    /// Across the centre line.
    Centred(T),
}

/// Figures of strands by their footprints, or of the shapes wanted.
pub(super) fn figures(compared: Compared<&Ink>, row_mm: f64) -> Figures {
    let (first, second) = match compared {
        Compared::Pair(left, right) => (left.mirrored(), right),
        Compared::Centred(shape) => (shape.mirrored(), shape),
    };
    let Some(area) = first.bounds_with(second) else {
        return Figures::default();
    };
    let pitch_mm = PITCH_MM.min(PITCH_SHARE * area.width().max(area.height()));
    let grid = SampleGrid::new(area, pitch_mm, 0.0);
    let (first, second) = (first.mask(&grid), second.mask(&grid));
    match compared {
        Compared::Pair(..) => figures_of_pair(&grid, &first, &second, row_mm),
        Compared::Centred(_) => figures_of_centred(&grid, &second, &first, row_mm),
    }
}

/// An outline as one who trusts a column and a round would place it.
pub(super) fn counted_naively(instep: &Instep, outline: &BezPath) -> BezPath {
    /// Curves and long edges are laid out as short pieces, for the map bends them, mm.
    const STEP_MM: f64 = 0.5;
    let mut naive = BezPath::new();
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(outline.elements().iter().copied(), 0.01, |element| {
        let to = match element {
            PathEl::MoveTo(p) => {
                naive.move_to(instep.counted_naively(p));
                (start, last) = (p, p);
                return;
            }
            PathEl::LineTo(p) => p,
            _ => start,
        };
        let pieces = (last.distance(to) / STEP_MM).ceil().max(1.0);
        let mut piece = 1.0;
        while piece <= pieces {
            naive.line_to(instep.counted_naively(last.lerp(to, piece / pieces)));
            piece += 1.0;
        }
        if element == PathEl::ClosePath {
            naive.close_path();
        }
        last = to;
    });
    naive
}

/// `left` is given mirrored onto the right.
fn figures_of_pair(grid: &SampleGrid, left: &[u64], right: &[u64], row_mm: f64) -> Figures {
    let (l, r) = (grid.moments(left), grid.moments(right));
    if l.area == 0.0 || r.area == 0.0 {
        return Figures::default();
    }
    Figures {
        offset_mm: r.centroid.x - l.centroid.x,
        tilt_deg: (r.centroid.y - l.centroid.y)
            .atan2(r.centroid.x + l.centroid.x)
            .to_degrees(),
        ..sides(left, right, &l, &r, row_mm)
    }
}

/// `other` is the mirror image of `shape`; level and size compare its halves.
fn figures_of_centred(grid: &SampleGrid, shape: &[u64], other: &[u64], row_mm: f64) -> Figures {
    let right_half = grid.right_of_centre();
    let half =
        |mask: &[u64]| -> Vec<u64> { mask.iter().zip(&right_half).map(|(a, b)| a & b).collect() };
    let whole = grid.moments(shape);
    let (left, right) = (half(other), half(shape));
    let (l, r) = (grid.moments(&left), grid.moments(&right));
    if whole.area == 0.0 {
        return Figures::default();
    }
    Figures {
        mirror_match: share(count_both(shape, other), count(shape), count(other)),
        offset_mm: whole.centroid.x,
        tilt_deg: whole.tilt_deg(),
        ..sides(&left, &right, &l, &r, row_mm)
    }
}

/// What pairs and halves have in common.
fn sides(left: &[u64], right: &[u64], l: &Moments, r: &Moments, row_mm: f64) -> Figures {
    let level_mm = if l.area > 0.0 && r.area > 0.0 {
        r.centroid.y - l.centroid.y
    } else {
        0.0
    };
    Figures {
        mirror_match: share(count_both(left, right), count(left), count(right)),
        level_mm,
        level_rows: level_mm / row_mm,
        size_ratio: l.area.min(r.area) / l.area.max(r.area),
        ..Figures::default()
    }
}

/// Overlap over union.
fn share(both: u64, a: u64, b: u64) -> f64 {
    let either = a + b - both;
    if either == 0 {
        0.0
    } else {
        both as f64 / either as f64
    }
}
