//! The Lagrangian dual: each line chooses its own strands, and pays for them.
//!
//! The lines of the page, a line for each layer, share nothing but their strands, and the two
//! layers their evenness. Let each choose by itself, exactly (`chain.rs`), and let the cost of a
//! strand be divided among its lines in any way: then the sum of what the lines are worth is at
//! least what the best filling is worth, for a filling is a choice that all lines agree on. The
//! division is bettered step by step: lines that chose a strand pay more for it, its others less.
//! So are a worth and a penalty of up to 0.4 for each place, which makes good what the layers
//! cover unlike each other: `0.4 |a - b|` is the most of `s (a - b)` for s from -0.4 to 0.4. And a
//! needle point where more strands end than may has a price.
//!
//! The steps are Polyak's (1969), by the filling known, along the sum of the latest directions. A
//! strand with which the bound is less than the filling known falls out for good: of the many
//! strands of fine yarn most do while the bound still comes down, and the rest takes little time.

use std::collections::BTreeMap;
use std::ops::Range;

use super::chain::Desk;
use super::conflict::Conflicts;
use super::lines::{Crossing, Line, Lines};
use super::page::{Page, cover};
use super::strand::Candidate;
use crate::weave::score;

/// Length of the first steps, as a share of what would bring the bound to the filling known. A
/// fifth more overshoots; with 0.7, bounds lie a twentieth farther over their fillings.
const THETA: f64 = 1.0;
/// By how much steps are shortened after a look at all strands without gain, and when they are too
/// short to gain anything.
const SHRINK: f64 = 0.7;
const SHORTEST: f64 = 0.1;
/// Share of the filling that counts as a gain.
const WORTHWHILE: f64 = 0.0002;
/// All strands are looked at in every so manieth step, else those that lines chose lately. Every
/// third time takes longer, every eighth, and the rest miss what has become worth choosing.
const FULL: u32 = 5;
/// Share of the last direction that a step keeps. Less, and the steps zigzag; more, and they
/// run on past the turn.
const KEPT: f64 = 0.6;
/// Weight of evenness against cost in a step; from a fifth to five times that it hardly matters.
const TILT: f64 = 0.15;
/// Strands that a line chooses, usually at most.
const USUAL: usize = 16;
/// Weight of a price of needle points.
const HOLE: f64 = 4.0;
/// Strands are let fall as soon as the bound lies less than this over the filling known, in shares
/// of it: before, next to none does. Then again each time the bound has come this much nearer.
const NEAR: f64 = 0.24;
const NEARER: f64 = 0.6;
/// Where at most this share of the intervals is left then, steps are so much longer again.
const THINNED: f64 = 0.9;
const LENGTHEN: f64 = 1.5;

/// What a bound is sought for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal<'a> {
    /// What the filling known is worth, mm2.
    pub(super) known: f64,
    /// How far over it a bound tells all that can be told, mm2.
    pub(super) enough: f64,
    /// By how much the lines may measure a filling too low, mm2.
    pub(super) loose: f64,
    /// The strands of the filling known, which never fall out.
    pub(super) is_sewn: &'a [bool],
}

/// A division of the costs, and what it says.
#[derive(Debug)]
pub(super) struct Dual<'a> {
    page: &'a Page,
    layers: usize,
    /// Strands that are in no better filling.
    pub(super) fallen: Vec<bool>,
    prices: Prices,
    /// First interval of each strand, by id, and one past the last.
    starts: Vec<usize>,
    /// How readily the cost of each interval gives way.
    weights: Vec<f64>,
    /// What each step is worth, line by line.
    worth: Vec<f64>,
    holes: Vec<Hole>,
    /// Where the costs, and the tilts, went last.
    pull: Vec<f64>,
    lean: Vec<f64>,
    /// One for each half of the lines.
    desks: [Desk; 2],
    chosen: Chosen,
}

/// The multipliers.
#[derive(Debug, Clone)]
struct Prices {
    /// What of its strand's cost each interval bears, mm2, by id.
    costs: Vec<f64>,
    /// What each step is worth more on layer 0 and less on layer 1, mm2.
    tilt: Vec<f64>,
    /// Of each hole, mm2 for a strand.
    holes: Vec<f64>,
}

/// A needle point in which more strands might end than may.
#[derive(Debug)]
struct Hole {
    free: f64,
    strands: Vec<u32>,
}

/// What the lines chose last.
#[derive(Debug)]
struct Chosen {
    /// By id.
    taken: Vec<bool>,
    ids: Vec<u32>,
    /// Strands chosen by some line since this was last cleared.
    touched: Vec<bool>,
    /// What of each step layer 0 covers and layer 1 does not.
    skew: Vec<f64>,
}

impl<'a> Dual<'a> {
    pub(super) fn new(
        page: &'a Page,
        layers: usize,
        strands: &[Candidate],
        crossings: &[Vec<Crossing>],
        free: &[u32],
    ) -> Self {
        let mut starts = vec![0];
        let (mut costs, mut weights) = (Vec::new(), Vec::new());
        for (own, strand) in crossings.iter().zip(strands) {
            let inside = |c: &Crossing| page.inside_mm2(c.0, c.2, c.3);
            let all: f64 = own.iter().map(inside).sum();
            for crossing in own {
                costs.push(strand.cost * inside(crossing) / all);
                weights.push(((crossing.3 - crossing.2) * page.step_mm2()).sqrt());
            }
            starts.push(costs.len());
        }
        let holes = holes(strands, free);
        let steps = page.lines * page.steps;
        Self {
            page,
            layers,
            fallen: vec![false; strands.len()],
            starts,
            weights,
            worth: (0..page.lines).flat_map(|line| page.worth(line)).collect(),
            pull: vec![0.0; costs.len()],
            lean: vec![0.0; steps],
            desks: Default::default(),
            chosen: Chosen {
                taken: vec![false; costs.len()],
                ids: Vec::new(),
                touched: vec![false; strands.len()],
                skew: vec![0.0; steps],
            },
            prices: Prices {
                costs,
                tilt: vec![0.0; steps],
                holes: vec![0.0; holes.len()],
            },
            holes,
        }
    }

    /// The least bound found, mm2, or the first that is near enough: with so much work, in
    /// intervals looked at, or until less than a share of the intervals is left of `lines`, those
    /// of all strands that have not fallen out. Left at the division of costs that says so.
    pub(super) fn descend(
        &mut self,
        lines: &mut Lines,
        conflicts: &Conflicts,
        goal: &Goal<'_>,
        (mut work, until): (f64, f64),
    ) -> f64 {
        let size = |lines: &Lines| lines.intervals.len() as f64;
        let known = goal.known;
        let until = until * size(lines);
        let mut near = NEAR * known.abs();
        let mut theta = THETA;
        let mut best = f64::INFINITY;
        let mut kept = self.prices.clone();
        let mut some = Lines::default();
        for step in 0.. {
            let full = step % FULL == 0;
            let looked_at = if full { &*lines } else { &some };
            work -= size(looked_at);
            let bound = self.evaluate(looked_at, conflicts);
            if full {
                if bound >= best - WORTHWHILE * known.abs() {
                    theta *= SHRINK;
                }
                if bound < best {
                    best = bound;
                    kept.clone_from(&self.prices);
                }
                if best - known <= goal.enough || theta < SHORTEST || work <= 0.0 {
                    break;
                }
                if bound - known < near {
                    near = NEARER * (bound - known);
                    let before = size(lines);
                    work -= before;
                    self.let_fall(lines, conflicts, goal, bound);
                    *lines = lines.of(|strand| !self.fallen[strand as usize]);
                    if size(lines) < until {
                        break;
                    }
                    if size(lines) < THINNED * before {
                        theta = THETA.min(LENGTHEN * theta);
                    }
                }
                some = lines.of(|strand| self.chosen.touched[strand as usize]);
            }
            self.step(theta * (bound - known));
            if full {
                self.chosen.forget();
            }
        }
        self.prices = kept;
        best
    }

    /// Lets the strands fall out that are in no better filling, as the multipliers stand; `bound`
    /// is what they say.
    pub(super) fn let_fall(
        &mut self,
        lines: &Lines,
        conflicts: &Conflicts,
        goal: &Goal<'_>,
        bound: f64,
    ) {
        let falls = self.falls(lines, conflicts);
        let strands = self.fallen.iter_mut().zip(goal.is_sewn).zip(falls);
        for ((fallen, is_sewn), fall) in strands {
            *fallen |= !is_sewn && bound - fall < goal.known - goal.loose;
        }
    }

    /// The bound as the multipliers stand, mm2, for some of the strands.
    fn evaluate(&mut self, lines: &Lines, conflicts: &Conflicts) -> f64 {
        self.chosen.begin();
        let holes = self.holes.iter().zip(&self.prices.holes);
        let mut bound: f64 = holes.map(|(hole, price)| hole.free * price).sum();
        let choices = self.by_halves(lines, |desk, line, costs| {
            let mut choice = Vec::with_capacity(USUAL);
            let worth = desk.best(lines.with_hints(line), costs, conflicts, |i| {
                choice.push(*i);
            });
            (worth, choice)
        });
        for (line, (worth, choice)) in lines.lines.iter().zip(choices) {
            bound += worth;
            let at = line.line * self.page.steps;
            let skew = &mut self.chosen.skew[at..at + self.page.steps];
            let mut until = f64::INFINITY;
            for interval in choice {
                self.chosen.taken[interval.id as usize] = true;
                self.chosen.touched[interval.strand as usize] = true;
                self.chosen.ids.push(interval.id);
                let from = interval.from.steps();
                cover(skew, from, interval.to.steps().min(until), sign(line.layer));
                until = until.min(from);
            }
        }
        bound
    }

    /// For each strand how far the bound falls when it is sewn, mm2: no filling with it is worth
    /// more than the bound less that.
    fn falls(&mut self, lines: &Lines, conflicts: &Conflicts) -> Vec<f64> {
        let shorts = self.by_halves(lines, |desk, line, costs| {
            let mut shorts = Vec::with_capacity(lines.on(line).len());
            desk.short(
                lines.with_hints(line),
                costs,
                conflicts,
                |interval, short| {
                    shorts.push((interval.strand, short));
                },
            );
            shorts
        });
        let mut falls = vec![0.0; self.starts.len() - 1];
        for (strand, short) in shorts.into_iter().flatten() {
            falls[strand as usize] += short;
        }
        falls
    }

    /// What is found on each line, the lines looked at in two halves at once; `find` is given a
    /// desk on which the line's worth is laid, and the costs.
    fn by_halves<T: Send>(
        &mut self,
        lines: &Lines,
        find: impl Fn(&mut Desk, &Line, &[f64]) -> T + Sync,
    ) -> Vec<T> {
        let (worth, prices, steps) = (&self.worth, &self.prices, self.page.steps);
        let look = |desk: &mut Desk, line: &Line| {
            let at = line.line * steps;
            let end = (line.last as usize + 1).min(steps);
            let laid = at + line.first as usize..at + end;
            let sign = sign(line.layer);
            let steps = worth[laid.clone()].iter().zip(&prices.tilt[laid]);
            let worth = steps.map(|(worth, tilt)| worth + sign * tilt);
            desk.lay(worth, line.first, lines.on(line));
            find(desk, line, &prices.costs)
        };
        let half = lines.intervals.len() / 2;
        let middle = lines.lines.partition_point(|line| line.from < half);
        let (one, other) = lines.lines.split_at(middle);
        let all = |desk: &mut Desk, lines: &[Line]| -> Vec<T> {
            lines.iter().map(|line| look(desk, line)).collect()
        };
        let [here, there] = &mut self.desks;
        let (mut found, rest) = rayon::join(|| all(here, one), || all(there, other));
        found.extend(rest);
        found
    }

    fn own(&self, strand: usize) -> Range<usize> {
        self.starts[strand]..self.starts[strand + 1]
    }

    /// A step that would bring the bound down by `over` if it fell straight.
    fn step(&mut self, over: f64) {
        let limit = score::UNEVEN * self.page.step_mm2();
        let tilt_weight =
            TILT * self.weights.iter().sum::<f64>() / self.weights.len().max(1) as f64;
        let (mut norm, used) = self.turn();
        if self.layers == 2 {
            let steps = self.chosen.skew.iter().zip(&self.prices.tilt);
            for ((skew, tilt), lean) in steps.zip(&mut self.lean) {
                *lean = KEPT * *lean + skew;
                if (*tilt <= -limit && *lean > 0.0) || (*tilt >= limit && *lean < 0.0) {
                    *lean = 0.0;
                }
                norm += tilt_weight * *lean * *lean;
            }
        }
        let sewn = |hole: &Hole| hole.strands.iter().map(|&s| used[s as usize]).sum::<f64>();
        let crowds: Vec<f64> = self.holes.iter().map(|h| sewn(h) - h.free).collect();
        for (crowd, price) in crowds.iter().zip(&self.prices.holes) {
            if *crowd > 0.0 || *price > 0.0 {
                norm += HOLE * crowd * crowd;
            }
        }
        if norm <= 0.0 {
            return;
        }
        let alpha = over / norm;
        for (own, _) in self
            .starts
            .windows(2)
            .zip(&self.chosen.touched)
            .filter(|s| *s.1)
        {
            for id in own[0]..own[1] {
                self.prices.costs[id] += alpha * self.weights[id] * self.pull[id];
            }
        }
        if self.layers == 2 {
            for (lean, tilt) in self.lean.iter().zip(&mut self.prices.tilt) {
                *tilt = (*tilt - alpha * tilt_weight * lean).clamp(-limit, limit);
            }
        }
        for (hole, crowd) in crowds.iter().enumerate() {
            self.charge(hole, alpha * HOLE * crowd);
        }
    }

    /// Turns the directions of the costs of the strands touched: their square, and what share of
    /// each strand was chosen.
    fn turn(&mut self) -> (f64, Vec<f64>) {
        let mut norm = 0.0;
        let mut used = vec![0.0; self.starts.len() - 1];
        for (strand, used) in used.iter_mut().enumerate() {
            if !self.chosen.touched[strand] {
                continue;
            }
            let (mut all, mut taken) = (0.0, 0.0);
            for id in self.own(strand) {
                all += self.weights[id];
                if self.chosen.taken[id] {
                    taken += self.weights[id];
                }
            }
            *used = taken / all;
            for id in self.own(strand) {
                let chosen = f64::from(u8::from(self.chosen.taken[id]));
                self.pull[id] = KEPT * self.pull[id] + chosen - *used;
                norm += self.weights[id] * self.pull[id] * self.pull[id];
            }
        }
        (norm, used)
    }

    /// Changes the price of a hole, which its strands bear on all their lines.
    fn charge(&mut self, hole: usize, change: f64) {
        let price = &mut self.prices.holes[hole];
        let before = *price;
        *price = (before + change).max(0.0);
        let change = *price - before;
        if change.abs() < f64::MIN_POSITIVE {
            return;
        }
        for &strand in &self.holes[hole].strands {
            let own = self.starts[strand as usize]..self.starts[strand as usize + 1];
            let all: f64 = self.weights[own.clone()].iter().sum();
            for id in own {
                self.prices.costs[id] += change * self.weights[id] / all;
            }
        }
    }
}

fn sign(layer: usize) -> f64 {
    if layer == 0 { 1.0 } else { -1.0 }
}

/// The needle points that more strands might use than may.
fn holes(strands: &[Candidate], free: &[u32]) -> Vec<Hole> {
    let mut users: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for (index, strand) in (0_u32..).zip(strands) {
        for end in strand.pairing.ends {
            users.entry(end).or_default().push(index);
        }
    }
    let crowded = users.into_iter().map(|(end, strands)| Hole {
        free: f64::from(free[end as usize]),
        strands,
    });
    crowded
        .filter(|hole| hole.strands.len() as f64 > hole.free)
        .collect()
}

impl Chosen {
    fn begin(&mut self) {
        for id in self.ids.drain(..) {
            self.taken[id as usize] = false;
        }
        self.skew.fill(0.0);
    }

    fn forget(&mut self) {
        self.touched.fill(false);
    }
}
