//! Lines: a walk over needle points that follows a path.
//!
//! A line is the cheapest walk from one end of the path to the other over the needle points
//! beside it: a shortest path, for the points are taken in the order of their feet on the path.
//! With `t` the width of the thread, a walk costs, in mm2,
//!
//! ```text
//! sum over steps (mean distance of chord and path * length + 0.3 (length - even)^2)
//! + sum over turns 0.2 t^2 pierced
//! + t * length of path left out at the ends
//! ```
//!
//! where `even` is the length of the path over a whole number of stitches of about one stitch of
//! the fabric. The two lines of a pair, and the two halves of one line that is its own mirror
//! image, are walked together, step for step, so that they have the same number of stitches:
//! `t / 2` for each mm between a turn and the mirror image of its fellow is added, and the
//! cheapest couple of walks is found over couples of needle points in the same way ([`joint`]).

mod joint;
mod rail;

use kurbo::{BezPath, Point};

use self::joint::Couple;
use self::rail::{Rail, subpaths};
use super::candidate::mirror;
use super::settings::{ROUNDED_MM, Settings};
use super::thread::Unsewn;
use crate::fabric::{Instep, Placed};
use crate::face::LineStitch;

/// Needle points farther from the path than this share of a stitch are not looked at. Smaller,
/// and a line may find no way; larger, and the search takes longer for the same line.
const BESIDE: f64 = 0.8;
/// Price of a step that is off the even length, per square of the deviation. Smaller, and long
/// stitches stand beside short ones; larger, and a line leaves its path to keep them even.
const UNEVEN: f64 = 0.3;
/// Price of a pierced needle point, in `t^2`.
const PIERCED: f64 = 0.2;

/// What a line is sought for, or the lines of a pair.
#[derive(Debug, Clone, Copy)]
pub(super) struct LineWanted<'a> {
    pub(super) instep: &'a Instep,
    pub(super) settings: &'a Settings,
    /// Width of the thread, mm.
    pub(super) width: f64,
    pub(super) stitch: LineStitch,
    /// The path in the instep frame, mm; of the right side for a pair.
    pub(super) path: &'a BezPath,
    /// Free strand ends by needle point.
    pub(super) free: &'a [u32],
}

/// A needle point beside the path.
#[derive(Debug, Clone, Copy)]
struct Beside {
    placed: Placed,
    /// Where it lies, mirrored onto the right for a left side.
    at: Point,
    /// Where along the path its foot lies, mm.
    along: f64,
    /// Price of turning here, mm2.
    price: f64,
}

/// The strands of a line in working order, a run for each subpath.
type Runs = Vec<Vec<Unsewn>>;

impl LineWanted<'_> {
    /// A line by itself; no runs where no walk fits. One that is its own mirror image (`centred`)
    /// is evened out.
    pub(super) fn alone(&self, centred: bool) -> Runs {
        let walk = |path: &BezPath| {
            let both = centred.then(|| self.centred(path)).flatten();
            both.unwrap_or_else(|| {
                let rail = Rail::new(path);
                self.walk(&rail, &self.beside(&rail, |p| p))
            })
        };
        self.runs(subpaths(self.path).iter().map(walk))
    }

    /// The lines of a pair, left and right.
    pub(super) fn pair(&self) -> [Runs; 2] {
        let walks: Vec<[Vec<Placed>; 2]> = subpaths(self.path)
            .iter()
            .map(|path| self.walk_both(&Rail::new(path)))
            .collect();
        [0, 1].map(|side| self.runs(walks.iter().map(|walks| walks[side].clone())))
    }

    fn runs(&self, walks: impl Iterator<Item = Vec<Placed>>) -> Runs {
        walks
            .map(|walk| self.strands(&walk))
            .filter(|run| !run.is_empty())
            .collect()
    }

    fn strands(&self, walk: &[Placed]) -> Vec<Unsewn> {
        let strand = |up: usize, down: usize| Unsewn {
            up: walk[up],
            down: walk[down],
        };
        match self.stitch {
            LineStitch::Backstitch => (1..walk.len()).map(|i| strand(i, i - 1)).collect(),
            LineStitch::Chain => (1..walk.len()).map(|i| strand(i - 1, i)).collect(),
            LineStitch::Stem if walk.len() == 2 => vec![strand(0, 1)],
            LineStitch::Stem => (2..walk.len()).map(|i| strand(i - 2, i)).collect(),
        }
    }

    /// The walks left and right; each by itself, the left one where the right one leaves room,
    /// if they find no way together.
    fn walk_both(&self, rail: &Rail) -> [Vec<Placed>; 2] {
        let sides = [self.beside(rail, mirror), self.beside(rail, |p| p)];
        let couple = Couple::new(self, rail, &sides);
        let together = if rail.closed {
            couple.round()
        } else {
            couple.along()
        };
        let meet = |[left, right]: &[Vec<Placed>; 2]| {
            let mut places = left.iter();
            places.any(|l| right.iter().any(|r| r.point == l.point))
        };
        if let Some(walks) = together.filter(|walks| !meet(walks)) {
            return walks;
        }
        let right = self.walk(rail, &sides[1]);
        let mut open = sides[0].clone();
        open.retain(|beside| right.iter().all(|r| r.point != beside.placed.point));
        [self.walk(rail, &open), right]
    }

    /// A line across the centre line that is its own mirror image, its halves walked together.
    fn centred(&self, path: &BezPath) -> Option<Vec<Placed>> {
        let rail = Rail::new(path);
        if rail.closed {
            return None;
        }
        let half = Rail::right_half(path);
        let sides = [self.beside(&half, mirror), self.beside(&half, |p| p)];
        let [mut walk, right] = Couple::new(self, &half, &sides).out_from_the_middle()?;
        walk.reverse();
        walk.extend(right);
        walk.dedup_by(|a, b| a.point == b.point);
        if rail.at(0.0).x > 0.0 {
            walk.reverse();
        }
        Some(walk)
    }

    /// The needle points at which the line turns, from the beginning of the path to its end; round
    /// a closed path from one of the first needle points back to the same.
    fn walk(&self, rail: &Rail, beside: &[Beside]) -> Vec<Placed> {
        if !rail.closed {
            return self.cheapest(rail, beside, false).1;
        }
        let rounds = self
            .rounds(rail, beside)
            .into_iter()
            .map(|round| self.cheapest(rail, &round, true));
        rounds
            .filter(|(_, walk)| !walk.is_empty())
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(Vec::new, |(_, walk)| walk)
    }

    /// The needle points beside a closed path once round, from each of the first and back to it.
    fn rounds(&self, rail: &Rail, beside: &[Beside]) -> Vec<Vec<Beside>> {
        let longest = self.step_limits().1;
        let anchors = beside.iter().take_while(|b| b.along < longest).count();
        let round = |anchor: usize| {
            let mut round = beside[anchor..].to_vec();
            round.push(Beside {
                along: round[0].along + rail.length,
                ..round[0]
            });
            round
        };
        (0..anchors).map(round).collect()
    }

    /// The cheapest walk and its price, mm2, from any needle point to any other, or from the first
    /// to the last if `whole`; empty when there is none.
    fn cheapest(&self, rail: &Rail, beside: &[Beside], whole: bool) -> (f64, Vec<Placed>) {
        let steps = self.steps(rail, beside);
        let ends = self.left_out(rail, beside, whole);
        let mut best: Vec<(f64, Option<usize>)> = Vec::new();
        for (i, here) in beside.iter().enumerate() {
            let mut cheapest = (ends[i].0 + here.price, None);
            for &(j, step) in &steps[i] {
                let cost = best[j].0 + step + here.price;
                if cost < cheapest.0 {
                    cheapest = (cost, Some(j));
                }
            }
            best.push(cheapest);
        }
        let total = |i: usize| best[i].0 + ends[i].1;
        let mut at = (0..beside.len())
            .filter(|&i| best[i].1.is_some() && total(i).is_finite())
            .min_by(|&a, &b| total(a).total_cmp(&total(b)));
        let price = at.map_or(f64::INFINITY, total);
        let mut walk = Vec::new();
        while let Some(i) = at {
            walk.push(beside[i].placed);
            at = best[i].1;
        }
        walk.reverse();
        (price, walk)
    }

    /// For each needle point the price of beginning and of ending there: for the path left out,
    /// mm2. A whole walk begins at the first and ends at the last.
    fn left_out(&self, rail: &Rail, beside: &[Beside], whole: bool) -> Vec<(f64, f64)> {
        let last = beside.len().saturating_sub(1);
        let only = |at: usize, i: usize| if i == at { 0.0 } else { f64::INFINITY };
        let along = |i: usize| beside[i].along;
        (0..beside.len())
            .map(|i| match whole {
                true => (only(0, i), only(last, i)),
                false => (along(i) * self.width, (rail.length - along(i)) * self.width),
            })
            .collect()
    }

    /// For each needle point those before it from which a step leads there, with its price, mm2.
    fn steps(&self, rail: &Rail, beside: &[Beside]) -> Vec<Vec<(usize, f64)>> {
        let to = |i: usize| {
            let step = |j: usize| Some((j, self.step(rail, &beside[j], &beside[i])?));
            (0..i).filter_map(step).collect()
        };
        (0..beside.len()).map(to).collect()
    }

    /// Price of a step, mm2; `None` when it is too long or too short.
    fn step(&self, rail: &Rail, from: &Beside, to: &Beside) -> Option<f64> {
        self.step_between(rail, (from.along, from.at), (to.along, to.at))
    }

    fn step_between(&self, rail: &Rail, from: (f64, Point), to: (f64, Point)) -> Option<f64> {
        let length = from.1.distance(to.1);
        let (shortest, longest) = self.step_limits();
        let along = to.0 - from.0;
        if length < shortest || length > longest || along < length / 4.0 || along > 3.0 * length {
            return None;
        }
        let off = [0.0, 0.25, 0.5, 0.75, 1.0]
            .into_iter()
            .map(|share| {
                let on_path = rail.at(from.0 + share * along);
                from.1.lerp(to.1, share).distance(on_path)
            })
            .sum::<f64>()
            / 5.0;
        let uneven = length - self.even_mm(rail);
        Some(off * along.max(length) + UNEVEN * uneven * uneven)
    }

    /// Usual length of one step of the walk: a stitch, but never too short for the thread; half of
    /// that for stem stitch, whose strands span two steps.
    fn usual_mm(&self) -> f64 {
        let strand = self.instep.stitch_mm().max(1.8 * self.width);
        match self.stitch {
            LineStitch::Stem => strand / 2.0,
            LineStitch::Backstitch | LineStitch::Chain => strand,
        }
    }

    /// The path over a whole number of usual steps, mm, as far as that is a step that may be.
    fn even_mm(&self, rail: &Rail) -> f64 {
        let (shortest, longest) = self.step_limits();
        let steps = (rail.length / self.usual_mm()).round().max(1.0);
        (rail.length / steps).clamp(shortest, longest)
    }

    fn step_limits(&self) -> (f64, f64) {
        let shortest = 1.5 * self.width;
        let longest = (2.0 * self.usual_mm()).max(shortest * 1.2);
        let (shortest, longest) = match self.stitch {
            LineStitch::Stem => (shortest / 2.0, longest.min(self.settings.longest_mm / 2.0)),
            _ => (shortest, longest.min(self.settings.longest_mm)),
        };
        (shortest - ROUNDED_MM, longest + ROUNDED_MM)
    }

    /// The needle points beside a path in the order of their feet; `fold` brings those of the
    /// left side onto the right.
    fn beside(&self, rail: &Rail, fold: impl Fn(Point) -> Point) -> Vec<Beside> {
        let reach = (BESIDE * self.instep.stitch_mm()).max(self.width);
        let points = self.instep.points().iter().zip(self.free);
        let mut beside: Vec<Beside> = points
            .filter(|(placed, free)| **free >= 2 && self.settings.allows(placed.point))
            .filter_map(|(placed, _)| {
                let at = fold(placed.at);
                let (along, distance) = rail.foot(at);
                let pierced = if placed.point.pierces() { PIERCED } else { 0.0 };
                (distance <= reach).then_some(Beside {
                    placed: *placed,
                    at,
                    along,
                    price: pierced * self.width * self.width,
                })
            })
            .collect();
        beside.sort_by(|a, b| {
            a.along
                .total_cmp(&b.along)
                .then(a.placed.point.cmp(&b.placed.point))
        });
        beside
    }
}
