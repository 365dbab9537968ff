//! French knots: two needle points each, as near as can be to where the knot is wanted.

use kurbo::{BezPath, ParamCurve, PathEl, Point};

use super::candidate::mirror;
use super::settings::Settings;
use super::thread::Unsewn;
use crate::fabric::{Instep, Placed};

/// The first place of a path: where a knot goes.
pub(super) fn place(path: &BezPath) -> Point {
    match path.elements().first() {
        Some(PathEl::MoveTo(p)) => *p,
        _ => path
            .segments()
            .next()
            .map_or(Point::ZERO, |segment| segment.start()),
    }
}

/// What French knots are sought for: one place, or the two of a pair, the second mirrored.
#[derive(Debug, Clone, Copy)]
pub(super) struct KnotsWanted<'a> {
    pub(super) instep: &'a Instep,
    pub(super) settings: &'a Settings,
    /// Free strand ends by needle point.
    pub(super) free: &'a [u32],
}

/// How much farther than the nearest needle point another may lie to be beside one too: a hook
/// hole has four gaps about as near, which a lean tells apart by little.
const BESIDE: f64 = 1.2;
/// Pairs of needle points weighed for a knot.
const KNOT_CHOICES: usize = 40;

impl KnotsWanted<'_> {
    /// A knot sits between two needle points beside each other, never
    /// in one alone, or it pulls through: the two whose middle is nearest to the place. The knots
    /// of a pair are also to lie at each other's mirror image. `None` without free needle points.
    pub(super) fn knots(&self, places: &[Point]) -> Vec<Option<Unsewn>> {
        let choices: Vec<Vec<Knot>> = places.iter().map(|&at| self.near(at)).collect();
        let [left, right] = choices.as_slice() else {
            return choices
                .iter()
                .map(|near| near.first().map(|knot| knot.strand))
                .collect();
        };
        let both = left.iter().flat_map(|l| right.iter().map(move |r| (l, r)));
        let apart = |(l, r): &(&Knot, &Knot)| {
            let unlike = l.middle().distance(mirror(r.middle()));
            l.off + r.off + unlike
        };
        let best = both
            .filter(|(l, r)| !l.shares_end(r))
            .min_by(|a, b| apart(a).total_cmp(&apart(b)));
        match best {
            Some((l, r)) => vec![Some(l.strand), Some(r.strand)],
            None => vec![None, None],
        }
    }

    fn near(&self, at: Point) -> Vec<Knot> {
        let reach = 1.5 * self.instep.stitch_mm().max(self.instep.row_mm());
        let points: Vec<Placed> = self
            .instep
            .points()
            .iter()
            .zip(self.free)
            .filter(|(placed, free)| {
                self.settings.allows(placed.point) && **free > 0 && placed.at.distance(at) < reach
            })
            .map(|(placed, _)| *placed)
            .collect();
        let apart = |a: &Placed, b: &Placed| a.at.distance(b.at);
        let nearest = |of: &Placed| {
            let others = points.iter().filter(|other| other.point != of.point);
            others
                .map(|other| apart(of, other))
                .fold(f64::INFINITY, f64::min)
        };
        let nearest: Vec<f64> = points.iter().map(nearest).collect();
        let mut knots = Vec::new();
        for (i, up) in points.iter().enumerate() {
            for (j, down) in points.iter().enumerate().skip(i + 1) {
                if apart(up, down) <= BESIDE * nearest[i].max(nearest[j]) {
                    knots.push(Knot {
                        strand: Unsewn {
                            up: *up,
                            down: *down,
                        },
                        off: up.at.midpoint(down.at).distance(at),
                    });
                }
            }
        }
        knots.sort_by(|a, b| a.off.total_cmp(&b.off));
        knots.truncate(KNOT_CHOICES);
        knots
    }
}

/// A knot that could be.
#[derive(Debug, Clone, Copy)]
struct Knot {
    strand: Unsewn,
    /// How far its middle lies from the place, mm.
    off: f64,
}

impl Knot {
    fn middle(&self) -> Point {
        self.strand.up.at.midpoint(self.strand.down.at)
    }

    fn shares_end(&self, other: &Self) -> bool {
        let ends = |k: &Self| [k.strand.up.point, k.strand.down.point];
        ends(self).iter().any(|end| ends(other).contains(end))
    }
}
