//! Lines: a walk over needle points that follows a path.
//!
//! A line is the cheapest walk from one end of the path to the other over the needle points
//! beside it (a shortest path; the points are taken in the order of their feet on the path). A
//! step costs the area between its chord and the path, and more where it is longer or shorter
//! than its neighbours should be, or pierces yarn.

use std::ops::Range;

use kurbo::{BezPath, PathEl, Point};

use super::sample::edges;
use super::settings::Settings;
use super::thread::Unsewn;
use crate::fabric::{Instep, Placed};
use crate::face::LineStitch;

/// Needle points farther from the path than this share of a stitch are not looked at. Smaller,
/// and a line may find no way; larger, and the search takes longer for the same line.
const BESIDE: f64 = 0.8;
/// Price of a step that is off the usual length, per mm of square deviation.
const UNEVEN_MM: f64 = 0.15;
/// Price of a pierced needle point, in `t^2`.
const PIERCED: f64 = 0.2;
/// Price of a point that its mirror image does not have, in `t` a mm.
const UNLIKE: f64 = 0.3;

/// What a line is sought for.
#[derive(Debug, Clone, Copy)]
pub(super) struct LineWanted<'a> {
    pub(super) instep: &'a Instep,
    pub(super) settings: &'a Settings,
    /// Width of the thread, mm.
    pub(super) width: f64,
    pub(super) stitch: LineStitch,
    /// The path in the instep frame, mm.
    pub(super) path: &'a BezPath,
    /// Free strand ends by needle point.
    pub(super) free: &'a [u32],
    /// The turning points of the other side of a pair, mirrored onto this one; empty without.
    pub(super) like: &'a [Point],
}

/// A needle point beside the path.
#[derive(Debug, Clone, Copy)]
struct Beside {
    placed: Placed,
    /// Where along the path its foot lies, mm.
    along: f64,
    /// Price of turning here, mm2.
    price: f64,
}

impl LineWanted<'_> {
    /// Length of one step of the walk: a stitch, but never too short for the thread; half of that
    /// for stem stitch, whose strands span two steps.
    fn step_mm(&self) -> f64 {
        let strand = self.instep.stitch_mm().max(1.8 * self.width);
        match self.stitch {
            LineStitch::Stem => strand / 2.0,
            LineStitch::Backstitch | LineStitch::Chain => strand,
        }
    }

    fn step_limits(&self) -> (f64, f64) {
        let shortest = 1.5 * self.width;
        let longest = (2.0 * self.step_mm()).max(shortest * 1.2);
        match self.stitch {
            LineStitch::Stem => (shortest / 2.0, longest.min(self.settings.longest_mm / 2.0)),
            _ => (shortest, longest.min(self.settings.longest_mm)),
        }
    }

    /// The strands in working order, a run for each subpath; none where no walk fits.
    pub(super) fn runs(&self) -> Vec<Vec<Unsewn>> {
        subpaths(self.path)
            .iter()
            .map(|path| self.strands(&self.walk(&Rail::new(path))))
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

    /// The needle points at which the line turns, from the beginning of the path to its end; round
    /// a closed path from one of the first needle points back to the same.
    fn walk(&self, rail: &Rail) -> Vec<Placed> {
        let beside = self.beside(rail);
        if !rail.closed {
            let all = 0..beside.len();
            return self.cheapest(rail, &beside, all.clone(), all).1;
        }
        let longest = self.step_limits().1;
        let anchors = beside.iter().take_while(|b| b.along < longest).count();
        let rounds = (0..anchors).map(|anchor| {
            let mut round = beside[anchor..].to_vec();
            round.push(Beside {
                along: round[0].along + rail.length,
                ..round[0]
            });
            let last = round.len() - 1;
            self.cheapest(rail, &round, 0..1, last..last + 1)
        });
        rounds
            .filter(|(_, walk)| !walk.is_empty())
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(Vec::new, |(_, walk)| walk)
    }

    /// The cheapest walk from one of the first to one of the last needle points, and its price,
    /// mm2; empty when there is none.
    fn cheapest(
        &self,
        rail: &Rail,
        beside: &[Beside],
        first: Range<usize>,
        last: Range<usize>,
    ) -> (f64, Vec<Placed>) {
        let begin = if rail.closed { beside[0].along } else { 0.0 };
        let end = begin + rail.length;
        let mut best: Vec<(f64, Option<usize>)> = Vec::new();
        for (i, here) in beside.iter().enumerate() {
            let left_out = (here.along - begin) * self.width + here.price;
            let from_here = if first.contains(&i) {
                left_out
            } else {
                f64::INFINITY
            };
            let mut cheapest = (from_here, None);
            for (j, before) in beside[..i].iter().enumerate() {
                if let Some(step) = self.step(rail, before, here) {
                    let cost = best[j].0 + step + here.price;
                    if cost < cheapest.0 {
                        cheapest = (cost, Some(j));
                    }
                }
            }
            best.push(cheapest);
        }
        let total = |i: usize| best[i].0 + (end - beside[i].along) * self.width;
        let mut at = last
            .filter(|&i| best[i].1.is_some())
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

    /// Price of a step, mm2; `None` when it is too long or too short.
    fn step(&self, rail: &Rail, from: &Beside, to: &Beside) -> Option<f64> {
        let length = from.placed.at.distance(to.placed.at);
        let (shortest, longest) = self.step_limits();
        let along = to.along - from.along;
        if length < shortest || length > longest || along < length / 4.0 || along > 3.0 * length {
            return None;
        }
        let off = [0.0, 0.25, 0.5, 0.75, 1.0]
            .into_iter()
            .map(|share| {
                let on_path = rail.at(from.along + share * along);
                from.placed.at.lerp(to.placed.at, share).distance(on_path)
            })
            .sum::<f64>()
            / 5.0;
        let uneven = length - self.step_mm();
        Some(off * along.max(length) + UNEVEN_MM * uneven * uneven)
    }

    fn beside(&self, rail: &Rail) -> Vec<Beside> {
        let reach = (BESIDE * self.instep.stitch_mm()).max(self.width);
        let mut beside: Vec<Beside> = self
            .instep
            .points()
            .iter()
            .zip(self.free)
            .filter(|(_, free)| **free >= 2)
            .filter(|(placed, _)| self.settings.allows(placed.point))
            .filter_map(|(placed, _)| {
                let (along, distance) = rail.foot(placed.at);
                (distance <= reach).then(|| Beside {
                    placed: *placed,
                    along,
                    price: self.price(placed),
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

    fn price(&self, placed: &Placed) -> f64 {
        let pierced = if placed.point.pierces() { PIERCED } else { 0.0 };
        let unlike = self
            .like
            .iter()
            .map(|p| p.distance(placed.at))
            .min_by(f64::total_cmp)
            .unwrap_or(0.0);
        pierced * self.width * self.width + UNLIKE * self.width * unlike
    }
}

/// The subpaths of a path, each a path of its own.
fn subpaths(path: &BezPath) -> Vec<BezPath> {
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
struct Rail {
    /// Short straight pieces, each with the distance at its beginning.
    pieces: Vec<(f64, Point, Point)>,
    length: f64,
    /// Its end is its beginning.
    closed: bool,
}

impl Rail {
    fn new(path: &BezPath) -> Self {
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

    /// The place at a distance along the path; a closed one goes on round.
    fn at(&self, along: f64) -> Point {
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
    fn foot(&self, p: Point) -> (f64, f64) {
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
