//! All strands that a feature may be sewn with, but for those that win nothing whatever else is
//! sewn.

use kurbo::{Point, Rect, Shape};

use crate::weave::candidate::{Fold, Pairing, Wanted, mirror};
use crate::weave::field::Field;
use crate::weave::score;

/// A strand that may be sewn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub(super) pairing: Pairing,
    /// Its price by the score, mm2.
    pub(super) price: f64,
    /// What it costs wherever it lies, mm2: its price, and its whole area as if doubled. What it
    /// covers first is worth 1.35 inside in return, and costs 0.65 outside.
    pub(super) cost: f64,
}

/// The most that a mm2 inside the outline may be worth when it is covered: 1.35, and what it evens
/// out.
pub(super) fn most(fold: Fold) -> f64 {
    let even = if fold == Fold::None {
        0.0
    } else {
        score::UNEVEN
    };
    1.0 + score::DOUBLED + even
}

/// Strands allowed in a direction, or a field of them; those left out lie so far outside the box round the outline
/// that they can win nothing.
pub(super) fn allowed(wanted: &Wanted<'_>, field: &Field) -> Vec<Candidate> {
    let mut box_ = wanted.outline.bounding_box();
    if wanted.fold == Fold::Centre {
        let [left, right] = [box_.x0.min(-box_.x1), box_.x1.max(-box_.x0)];
        (box_.x0, box_.x1) = (left, right);
    }
    let mut found = on_layer(wanted, field, box_, 0, |p| p);
    if wanted.fold == Fold::Pair {
        found.extend(on_layer(wanted, field, box_, 1, mirror));
    }
    found
}

fn on_layer(
    wanted: &Wanted<'_>,
    field: &Field,
    box_: Rect,
    layer: usize,
    fold: impl Fn(Point) -> Point,
) -> Vec<Candidate> {
    let (_, longest) = wanted.settings.fill_lengths_mm(wanted.width);
    let near = box_.inflate(longest, longest);
    let points = wanted.points_in(near, fold);
    let heading = wanted.heading(field);
    let core = box_.inflate(wanted.width / 2.0, wanted.width / 2.0);
    let most = most(wanted.fold) * wanted.width;
    let mut found = Vec::new();
    for (i, &first) in points.iter().enumerate() {
        for pair in wanted.pairs_with(first, &points[i + 1..], heading) {
            let [(a, _), (b, _)] = pair;
            let length = a.distance(b);
            let within = share_within(a, b, core) * length;
            if within * most <= score::DOUBLED * (length - wanted.width) * wanted.width {
                continue;
            }
            let pairing = wanted.pairing(layer, pair);
            let direction_deg = field.at(pairing.middle());
            if wanted.in_no_half(&pairing, direction_deg) {
                continue;
            }
            let spread_deg = wanted.settings.spread_deg;
            let Some(price) = pairing.price(direction_deg, wanted.width, spread_deg) else {
                continue;
            };
            let cost = price + score::DOUBLED * pairing.footprint(wanted.width).area();
            if within * most > cost {
                found.push(Candidate {
                    pairing,
                    price,
                    cost,
                });
            }
        }
    }
    found
}

/// The share of a straight line that lies in a box: Liang and Barsky 1984.
fn share_within(a: Point, b: Point, box_: Rect) -> f64 {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let sides = [
        (a.x, b.x - a.x, box_.x0, box_.x1),
        (a.y, b.y - a.y, box_.y0, box_.y1),
    ];
    for (start, run, low, high) in sides {
        if run == 0.0 {
            if start < low || start > high {
                return 0.0;
            }
            continue;
        }
        let (enter, leave) = ((low - start) / run, (high - start) / run);
        from = from.max(enter.min(leave));
        to = to.min(enter.max(leave));
    }
    (to - from).max(0.0)
}
