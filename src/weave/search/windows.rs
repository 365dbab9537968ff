//! Windows of neighbouring strands taken out and filled anew.

use std::cmp::Reverse;
use std::collections::{BTreeSet, VecDeque};
use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering::Relaxed};

use super::Filling;
use super::unit::Unit;

/// Strands weighed exactly, the best at a glance, for two that are weighed in the end.
const GLANCED: usize = 3;

/// Strands of a row taken out at once, on both sides, at most: few rows have more, and six win
/// nothing over four.
const ROW: usize = 4;
/// Strands that a window is filled with, more than were taken out. Two take a seventh longer and
/// win nothing more.
const MORE: usize = 1;

/// Windows laid out before they are tried, two at a time.
const LAID_OUT: usize = 8;

/// How large windows are, and how thoroughly they are filled.
#[derive(Debug, Clone, Copy)]
pub(in crate::weave) struct Windows {
    /// Strands taken out, at most on a side, and in all at least and at most.
    pub(in crate::weave) on_a_side: usize,
    pub(in crate::weave) in_all: (usize, usize),
    /// Strands weighed for a window, the best alone first.
    pub(in crate::weave) pool: usize,
    /// Partial fillings kept at each depth.
    pub(in crate::weave) beam: usize,
    /// Whether they are also filled with strands that end where one of theirs took the last room in
    /// a needle point: where needle points are few, that is what keeps a better strand out.
    pub(in crate::weave) at_freed: bool,
    /// Whether strands that win in couples alone are sewn before.
    pub(in crate::weave) in_couples: bool,
    /// What windows on both sides are filled with.
    pub(in crate::weave) on_both: Units,
}

/// What windows are filled with, one after the other. Two sides that are alike, filled strand by
/// strand, are uneven half of the way, and a beam is soon full of what is so in another order.
#[derive(Debug, Clone, Copy)]
pub(in crate::weave) enum Units {
    Strands,
    /// Couples, of which half as many make as much.
    Couples,
    /// The better of the two.
    Either,
}

/// Strands round which a window is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Kind {
    /// So many of each side; the row where it is `None`.
    size: Option<usize>,
    sides: usize,
}

/// A window with its place in the line of those to be looked at.
#[derive(Debug)]
struct Next {
    place: usize,
    window: Vec<u32>,
}

/// What a window is filled with.
#[derive(Debug, Default)]
struct Refill {
    /// Points won with these alone, whatever was lost before.
    won: i64,
    /// In the order of the candidates.
    strands: Vec<u32>,
}

/// A window filled in part.
#[derive(Debug, Clone)]
struct Partial {
    won: i64,
    /// In the order of the candidates.
    strands: Vec<u32>,
    /// The most that each strand of the pool may still win, in the order of the pool.
    at_most: Rc<[i64]>,
    /// The strand sewn last, by its place in the pool.
    last: Option<usize>,
}

impl Filling<'_> {
    /// Takes out every strand with its row, alone, and with its nearest neighbours, each with those
    /// of the other side where there are two; fills the gap anew, and keeps what is better, until
    /// no window can be bettered.
    pub(in crate::weave) fn refill_windows(&mut self, windows: Windows) {
        let kinds = self.kinds(windows);
        let mut waiting = VecDeque::new();
        for strand in self.chosen() {
            if self.stagger.is_none() || self.in_line(strand) > 0 {
                waiting.extend(kinds.iter().map(|&kind| (strand, kind)));
            }
        }
        // Windows that could not be bettered as things lie.
        let mut vain: BTreeSet<Vec<u32>> = BTreeSet::new();
        let mut twin = self.clone();
        while !waiting.is_empty() {
            let (next, seen) = self.next_windows(&waiting, &vain);
            match self.first_better(&mut twin, &next, windows) {
                Some((better, strands)) => {
                    let Next { place, window } = &next[better];
                    waiting.drain(..=place);
                    self.refill_with(window, &strands);
                    twin.refill_with(window, &strands);
                    vain.extend(next[..better].iter().map(|next| next.window.clone()));
                    vain.retain(|other| !self.is_beside(other, window));
                    self.wait_beside(window, &kinds, &mut waiting);
                }
                None => {
                    waiting.drain(..seen);
                    vain.extend(next.into_iter().map(|next| next.window));
                }
            }
        }
    }

    /// The kinds of windows looked at, in this order.
    fn kinds(&self, windows: Windows) -> Vec<Kind> {
        let all_sides = if self.problem.twins { 2 } else { 1 };
        let (least, most) = windows.in_all;
        let rows = (1..=all_sides).map(|sides| Kind { size: None, sides });
        let mut kinds: Vec<Kind> = rows.filter(|_| least == 1).collect();
        for size in 1..=windows.on_a_side {
            let numbers = (1..=all_sides).filter(|sides| (least..=most).contains(&(size * sides)));
            kinds.extend(numbers.map(|sides| Kind {
                size: Some(size),
                sides,
            }));
        }
        kinds
    }

    /// The next few windows, and how much of the line was seen.
    fn next_windows(
        &self,
        waiting: &VecDeque<(u32, Kind)>,
        vain: &BTreeSet<Vec<u32>>,
    ) -> (Vec<Next>, usize) {
        let mut next: Vec<Next> = Vec::new();
        for (place, &(strand, kind)) in waiting.iter().enumerate() {
            if next.len() == LAID_OUT {
                return (next, place);
            }
            if !self.is_sewn[strand as usize] {
                continue;
            }
            let window = match kind.size {
                Some(size) => Some(self.window(strand, size, kind.sides)),
                None => self.row(strand, kind.sides),
            };
            if let Some(window) = window
                && !vain.contains(&window)
                && next.iter().all(|other| other.window != window)
            {
                next.push(Next { place, window });
            }
        }
        (next, waiting.len())
    }

    /// The first of some windows that can be bettered, and the strands that better it. Half of
    /// them are tried on a twin of this filling, at the same time. How many of those are tried
    /// hangs on how quick the first half is, and so does the order in which the twin's strands are
    /// kept: nothing may depend on that order.
    fn first_better(
        &mut self,
        twin: &mut Self,
        next: &[Next],
        windows: Windows,
    ) -> Option<(usize, Vec<u32>)> {
        let half = next.len().div_ceil(2);
        let found = AtomicBool::new(false);
        let better = |filling: &mut Self, at: usize| {
            let strands = filling.better_refill(&next[at].window, windows)?;
            Some((at, strands))
        };
        let first = || {
            let first = (0..half).find_map(|at| better(self, at));
            found.store(first.is_some(), Relaxed);
            first
        };
        let second = || {
            // What comes after the first is not asked for.
            let mut rest = (half..next.len()).take_while(|_| !found.load(Relaxed));
            rest.find_map(|at| better(twin, at))
        };
        let (first, second) = rayon::join(first, second);
        first.or(second)
    }

    /// A strand with those of its row, and of the row opposite where both sides are asked for;
    /// `None` where these are no more than one on a side, or too many.
    fn row(&self, strand: u32, sides: usize) -> Option<Vec<u32>> {
        let lie = self.lie(strand);
        let in_row = |other: &u32| {
            let other = self.lie(*other);
            (sides == 2 || other.layer() == lie.layer()) && lie.is_in_row(other, self.problem.width)
        };
        let mut row: Vec<u32> = self.sewn.iter().copied().filter(in_row).collect();
        row.sort_unstable();
        (sides + 1..=ROW).contains(&row.len()).then_some(row)
    }

    /// Puts the strands beside a changed window in line to be looked at again.
    fn wait_beside(&self, window: &[u32], kinds: &[Kind], waiting: &mut VecDeque<(u32, Kind)>) {
        for strand in self.chosen() {
            if self.is_beside(&[strand], window) && !waiting.contains(&(strand, kinds[0])) {
                waiting.extend(kinds.iter().map(|&kind| (strand, kind)));
            }
        }
    }

    /// True where a change of some strands may matter to others.
    fn is_beside(&self, strands: &[u32], others: &[u32]) -> bool {
        let reach = 2.0 * self.problem.width;
        strands.iter().any(|&strand| {
            let lie = self.lie(strand);
            others.iter().any(|&o| self.lie(o).is_beside(lie, reach))
        })
    }

    /// A strand with the nearest of its side, and as many of the other.
    fn window(&self, strand: u32, size: usize, sides: usize) -> Vec<u32> {
        let pairings = &self.problem.pairings;
        let this = &pairings[strand as usize];
        let mut window = Vec::new();
        for layer in [this.layer, 1 - this.layer].into_iter().take(sides) {
            let mut near: Vec<(f64, u32)> = self
                .sewn
                .iter()
                .map(|&s| (&pairings[s as usize], s))
                .filter(|(that, _)| that.layer == layer)
                .map(|(that, s)| (that.middle().distance_squared(this.middle()), s))
                .collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            window.extend(near.iter().take(size).map(|n| n.1));
        }
        window.sort_unstable();
        window
    }

    /// The strands of a better way to fill a window, if one is found. The filling is left as it was.
    fn better_refill(&mut self, window: &[u32], windows: Windows) -> Option<Vec<u32>> {
        let mut lost = 0;
        for &strand in window {
            lost -= self.loss(strand);
            self.unpick(strand);
        }
        let mut best = Refill::default();
        for &in_couples in self.ways(window, windows) {
            let refill = self.best_refill(window, lost, (windows, in_couples));
            if refill.won > best.won {
                best = refill;
            }
        }
        let is_better = best.won > lost && self.is_worth_enough(&best.strands, best.won - lost);
        self.sew_back(window);
        is_better.then_some(best.strands)
    }

    /// The ways to fill a window that are tried: strand by strand, and couple by couple where true.
    fn ways(&self, window: &[u32], windows: Windows) -> &'static [bool] {
        let is_on = |layer| window.iter().any(|&s| self.lie(s).layer() == layer);
        match windows.on_both {
            Units::Couples if is_on(0) && is_on(1) => &[true],
            Units::Either if is_on(0) && is_on(1) => &[false, true],
            _ => &[false],
        }
    }

    /// Fills a window with other strands.
    fn refill_with(&mut self, window: &[u32], strands: &[u32]) {
        for &strand in window {
            self.score += self.loss(strand);
            self.unpick(strand);
        }
        for &strand in strands {
            self.score += self.gain(strand);
            self.sew(strand);
        }
    }

    /// The best of a few ways to fill a window, strand by strand or couple by couple; of use where
    /// it wins more than was `lost`.
    fn best_refill(
        &mut self,
        window: &[u32],
        lost: i64,
        (windows, in_couples): (Windows, bool),
    ) -> Refill {
        let pool = self.pool(window, (windows, in_couples));
        let most = match in_couples {
            true => window.len().div_ceil(2),
            false => window.len(),
        };
        let mut best = Refill::default();
        let mut beam = vec![Partial {
            won: 0,
            strands: Vec::new(),
            at_most: pool.iter().map(|unit| unit.0).collect(),
            last: None,
        }];
        for left in (0..most + MORE).rev() {
            let mut next: Vec<Partial> = Vec::new();
            for partial in &beam {
                self.sew_back(&partial.strands);
                self.widen(&pool, partial, (lost, left), (&mut next, windows.beam));
                for &strand in partial.strands.iter().rev() {
                    self.unpick(strand);
                }
            }
            let Some(first) = next.first() else { break };
            if first.won > best.won {
                best = Refill {
                    won: first.won,
                    strands: first.strands.clone(),
                };
            }
            beam = next;
        }
        best
    }

    /// The candidates that lie where the window is, or end at a needle point that it freed, with what
    /// each wins alone, the best first.
    fn pool(&self, window: &[u32], (windows, in_couples): (Windows, bool)) -> Vec<(i64, Unit)> {
        let (problem, most) = (self.problem, windows.pool);
        let mut here: Vec<u32> = problem.lying_on(window).collect();
        if windows.at_freed {
            let freed = self.freed(window);
            here.extend(freed.iter().flat_map(|&point| problem.ending_at(point)));
            here.sort_unstable();
            here.dedup();
        }
        let unit = |strand: u32| match in_couples {
            true if !problem.strands[strand as usize].is_on_both_layers() => self.couple(strand),
            _ => Some(Unit::alone(strand)),
        };
        let mut glanced: Vec<(i64, Unit)> = here
            .into_iter()
            .filter_map(unit)
            .filter(|&unit| self.has_room(unit))
            .map(|unit| {
                // What its twin wins is much the same.
                let first = &problem.strands[unit.strand as usize];
                (self.canvas.gain_at_a_glance(first), unit)
            })
            .collect();
        let glances = GLANCED * most / 2;
        if glanced.len() > glances {
            glanced
                .select_nth_unstable_by_key(glances, |(gain, unit)| Reverse((*gain, unit.strand)));
            glanced.truncate(glances);
        }
        let mut pool: Vec<(i64, Unit)> = glanced
            .into_iter()
            .map(|(_, unit)| (self.unit_gain(unit), unit))
            .filter(|&(gain, unit)| gain > -self.evened(unit))
            .collect();
        pool.sort_by_key(|(gain, unit)| (Reverse(*gain), unit.strand));
        pool.truncate(most);
        pool
    }

    /// The needle points that were full before the window's strands were taken out.
    fn freed(&self, window: &[u32]) -> Vec<usize> {
        let mut ends: Vec<usize> = window.iter().flat_map(|&s| self.ends(s)).collect();
        ends.sort_unstable();
        let points = ends.chunk_by(|a, b| a == b);
        points
            .filter(|ends| ends.len() == self.free[ends[0]] as usize)
            .map(|ends| ends[0])
            .collect()
    }

    /// What a filling must have won to make good what was lost with as many units as are still
    /// to come, none of which wins more than the best of the pool may.
    fn enough(&self, pool: &[(i64, Unit)], at_most: &[i64], lost: i64, to_come: usize) -> i64 {
        let most = pool.iter().zip(at_most);
        let most = most.map(|(&(_, unit), at_most)| at_most + 2 * self.evened(unit));
        lost - to_come as i64 * most.max().unwrap_or(0).max(0)
    }

    /// Adds each unit of the pool to a partial filling that is sewn, and keeps the best `beam` in
    /// `next`, the best first, of those that may win more than was `lost` with so many that
    /// are still to come.
    fn widen(
        &self,
        pool: &[(i64, Unit)],
        partial: &Partial,
        (lost, to_come): (i64, usize),
        (next, beam): (&mut Vec<Partial>, usize),
    ) {
        let mut at_most = partial.at_most.to_vec();
        let enough = self.enough(pool, &at_most, lost, to_come);
        for (place, &(alone, unit)) in pool.iter().enumerate() {
            let evened = self.evened(unit);
            // A unit wins ever less as others are sewn, but for what they even out.
            if let Some(last) = partial.last {
                let lie = self.lie(unit.strand);
                if self
                    .lie(pool[last].1.strand)
                    .is_opposite(lie, self.problem.width)
                {
                    at_most[place] += 2 * evened;
                }
            }
            let least = match next.get(beam - 1) {
                Some(last) => enough.max(last.won),
                None => enough,
            };
            let most = partial.won + at_most[place];
            if most <= least || !self.has_room(unit) {
                continue;
            }
            let gain = match partial.last {
                Some(last) if most <= least + self.clash_of(unit, pool[last].1) => continue,
                Some(_) => self.unit_gain(unit),
                None => alone,
            };
            at_most[place] = gain;
            let won = partial.won + gain;
            if gain <= -evened || won <= least {
                continue;
            }
            let mut strands = partial.strands.clone();
            strands.extend(unit.strands());
            strands.sort_unstable();
            let at = next.partition_point(|other| other.won > won);
            let same = next[at..]
                .iter()
                .take_while(|o| o.won == won)
                .any(|o| o.strands == strands);
            if !same {
                let with = Partial {
                    won,
                    strands,
                    at_most: partial.at_most.clone(),
                    last: Some(place),
                };
                next.insert(at, with);
                next.truncate(beam);
            }
        }
        let at_most: Rc<[i64]> = at_most.into();
        for with in next {
            if Rc::ptr_eq(&with.at_most, &partial.at_most) {
                with.at_most = at_most.clone();
            }
        }
    }
}
