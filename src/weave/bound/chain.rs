//! The best choice of intervals on one line, exactly: dynamic programming from one end to the
//! other.
//!
//! An interval covers what it covers first; so of a choice in the order of their right ends, each
//! adds the stretch from its left end, or from the right end of the one before if that lies
//! farther, to its own right end. An interval that begins before the one before it, and ends
//! after it, may also add what lies between their left ends: there it is credited with all that
//! is worth something, so that the result is never less than the best choice is worth.

use std::sync::atomic::{AtomicU32, Ordering};

use super::conflict::Conflicts;

/// A strand on a line; the intervals of a line are in the order of their right ends.
#[derive(Debug, Clone, Copy)]
pub(super) struct Interval {
    pub(super) strand: u32,
    /// Its place in the order of all strands' intervals.
    pub(super) id: u32,
    /// Intervals of the line that end where this one begins or before.
    pub(super) before: u32,
    /// The last interval that begins before this one ends.
    pub(super) after: u32,
    pub(super) from: Spot,
    pub(super) to: Spot,
}

/// A place on a line: a step, and the share of it that lies before.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub(super) struct Spot {
    pub(super) step: u32,
    share: f64,
}

impl Spot {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the line, not negative"
    )]
    pub(super) fn new(steps: f64) -> Self {
        let step = steps as u32;
        Self {
            step,
            share: steps - f64::from(step),
        }
    }

    pub(super) fn steps(self) -> f64 {
        f64::from(self.step) + self.share
    }
}

/// The interval before one in the best choice when its line was last looked at.
pub(super) type Hint = AtomicU32;

/// Puts the intervals of a line in order.
pub(super) fn order(intervals: &mut [Interval]) {
    intervals.sort_by(|a, b| {
        let ends = a.to.steps().total_cmp(&b.to.steps());
        ends.then(a.id.cmp(&b.id))
    });
    relate(intervals);
}

/// Tells the intervals of a line, in order, which of them come before which.
pub(super) fn relate(intervals: &mut [Interval]) {
    let mut reached = vec![0_u32; intervals.len() + 1];
    for at in 0..intervals.len() {
        let from = intervals[at].from;
        let before = intervals[..at].partition_point(|other| other.to <= from);
        intervals[at].before = u32::try_from(before).unwrap_or(u32::MAX);
        reached[before] = u32::try_from(at).unwrap_or(u32::MAX);
    }
    let mut after = 0;
    for (interval, reached) in intervals.iter_mut().zip(reached) {
        after = after.max(reached);
        interval.after = after;
    }
}

/// Worth of a line up to a place, and of what lies before it and is worth something.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    all: f64,
    worthy: f64,
}

/// Worth, and an interval.
#[derive(Debug, Clone, Copy)]
struct Best {
    worth: f64,
    at: u32,
}

/// No interval.
pub(super) const NONE: u32 = u32::MAX;

/// Room to work in.
#[derive(Debug, Default)]
pub(super) struct Desk {
    sums: Vec<Sum>,
    /// Worth before and up to each interval's ends: all before its left end, all before its right
    /// end, what is worth something before its left end.
    ends: Vec<[f64; 3]>,
    /// The best choice of the first intervals: its worth, and its last.
    best: Vec<Best>,
    /// The interval before each, in the best choice that it is the last of.
    parents: Vec<u32>,
    front: Front,
    back: Front,
    /// The best that may follow each interval as the last so far.
    follow: Vec<f64>,
    /// The best that begins where so many intervals have ended.
    apart: Vec<f64>,
}

/// Intervals looked through at once.
const BLOCK: usize = 16;

/// What intervals are worth to those that overlap them; with the most of each block, so that most
/// blocks need no look.
#[derive(Debug, Default)]
struct Front {
    /// To one that begins after it, and to one that begins before, less what is worth something
    /// before that one.
    worth: Vec<[f64; 2]>,
    blocks: Vec<[f64; 2]>,
}

impl Front {
    fn clear(&mut self, length: usize) {
        self.worth.clear();
        self.worth.resize(length, [f64::NEG_INFINITY; 2]);
        self.blocks.clear();
        self.blocks
            .resize(length / BLOCK + 1, [f64::NEG_INFINITY; 2]);
    }

    #[inline(always)]
    fn set(&mut self, at: usize, worth: f64, wrapped: f64) {
        self.worth[at] = [worth, wrapped];
        let block = &mut self.blocks[at / BLOCK];
        *block = [block[0].max(worth), block[1].max(wrapped)];
    }

    /// Some intervals, with their places and what they are worth.
    #[inline(always)]
    fn among<'a>(
        &'a self,
        intervals: &'a [Interval],
        from: usize,
        until: usize,
    ) -> impl Iterator<Item = (u32, (&'a Interval, &'a [f64; 2]))> {
        let worth = &self.worth[from..until];
        (u32::try_from(from).unwrap_or(NONE)..).zip(intervals[from..until].iter().zip(worth))
    }
}

impl Desk {
    /// Takes up a stretch of a line, from step `first` on, with the worth of each of its steps.
    pub(super) fn lay(
        &mut self,
        worth: impl Iterator<Item = f64>,
        first: u32,
        intervals: &[Interval],
    ) {
        self.sums.clear();
        let mut sum = Sum::default();
        self.sums.push(sum);
        self.sums.extend(worth.map(|step| {
            sum.all += step;
            sum.worthy += step.max(0.0);
            sum
        }));
        self.sums.push(sum);
        let sums = &self.sums;
        let to = |place: Spot| {
            let step = (place.step - first) as usize;
            let (low, high) = (sums[step], sums[step + 1]);
            let all = low.all + place.share * (high.all - low.all);
            (all, low.worthy + place.share * (high.worthy - low.worthy))
        };
        self.ends.clear();
        self.ends.extend(intervals.iter().map(|interval| {
            let (left, worthy) = to(interval.from);
            [left, to(interval.to).0, worthy]
        }));
    }

    /// The best that an interval may follow, with it up to its own right end; nothing of its cost.
    #[inline(always)]
    fn before(
        &self,
        (intervals, hints): (&[Interval], &[Hint]),
        at: usize,
        conflicts: &Conflicts,
    ) -> Best {
        let interval = &intervals[at];
        let [left, _, worthy] = self.ends[at];
        let before = interval.before as usize;
        let mut top = self.best[before];
        top.worth -= left;
        // Often it is the same again, and then there is little to look through.
        let hint = hints[at].load(Ordering::Relaxed);
        if hint != NONE && hint >= interval.before {
            let [open, wrapped] = self.front.worth[hint as usize];
            let worth = open.max(wrapped - worthy);
            if worth > top.worth {
                top = Best { worth, at: hint };
            }
        }
        let own = conflicts.of(interval.strand);
        let mut until = at;
        while until > before {
            let block = (until - 1) / BLOCK;
            let from = (block * BLOCK).max(before);
            let [open, wrapped] = self.front.blocks[block];
            if open > top.worth || wrapped - worthy > top.worth {
                for (h, (other, [open, wrapped])) in self.front.among(intervals, from, until) {
                    let worth = open.max(wrapped - worthy);
                    if worth > top.worth && !conflicts.has(own, other.strand) {
                        top = Best { worth, at: h };
                    }
                }
            }
            until = from;
        }
        top
    }

    /// The worth of the best choice of intervals; which they are is told last to first.
    pub(super) fn best(
        &mut self,
        (intervals, hints): (&[Interval], &[Hint]),
        costs: &[f64],
        conflicts: &Conflicts,
        mut chosen: impl FnMut(&Interval),
    ) -> f64 {
        let mut best = self.begin(intervals.len());
        for (at, interval) in intervals.iter().enumerate() {
            let top = self.before((intervals, hints), at, conflicts);
            hints[at].store(top.at, Ordering::Relaxed);
            self.parents.push(top.at);
            let gain = top.worth - costs[interval.id as usize];
            best = self.end(best, at, gain);
        }
        let mut which = best.at;
        while which != NONE {
            chosen(&intervals[which as usize]);
            which = self.parents[which as usize];
        }
        best.worth
    }

    fn begin(&mut self, length: usize) -> Best {
        let best = Best {
            worth: 0.0,
            at: NONE,
        };
        self.best.clear();
        self.best.push(best);
        self.parents.clear();
        self.front.clear(length);
        best
    }

    #[inline(always)]
    fn end(&mut self, mut best: Best, at: usize, gain: f64) -> Best {
        let [_, right, worthy] = self.ends[at];
        self.front.set(at, gain, gain + worthy);
        if gain + right > best.worth {
            best = Best {
                worth: gain + right,
                at: u32::try_from(at).unwrap_or(NONE),
            };
        }
        self.best.push(best);
        best
    }

    /// How much less than the best choice of intervals is the best with each of them.
    pub(super) fn short(
        &mut self,
        (intervals, hints): (&[Interval], &[Hint]),
        costs: &[f64],
        conflicts: &Conflicts,
        mut each: impl FnMut(&Interval, f64),
    ) {
        let worth = self.backward(intervals, costs, conflicts);
        let mut best = self.begin(intervals.len());
        for (at, interval) in intervals.iter().enumerate() {
            let gain =
                self.before((intervals, hints), at, conflicts).worth - costs[interval.id as usize];
            let with = gain + self.ends[at][1] + self.follow[at];
            each(interval, (worth - with).max(0.0));
            best = self.end(best, at, gain);
        }
    }

    /// What may follow each interval; returns the worth of the best choice.
    fn backward(&mut self, intervals: &[Interval], costs: &[f64], conflicts: &Conflicts) -> f64 {
        let length = intervals.len();
        self.back.clear(length);
        self.follow.clear();
        self.follow.resize(length, 0.0);
        self.apart.clear();
        self.apart.resize(length + 1, 0.0);
        let mut far = 0.0_f64;
        for at in (0..length).rev() {
            far = far.max(self.apart[at + 1]);
            let interval = &intervals[at];
            let [left, right, worthy] = self.ends[at];
            let own = conflicts.of(interval.strand);
            let mut top = far + right;
            let last = interval.after as usize + 1;
            let mut from = at + 1;
            while from < last {
                let block = from / BLOCK;
                let until = ((block + 1) * BLOCK).min(last);
                let [open, wrapped] = self.back.blocks[block];
                if open > top || wrapped + worthy > top {
                    for (_, (other, [open, wrapped])) in self.back.among(intervals, from, until) {
                        let worth = open.max(wrapped + worthy);
                        if worth > top
                            && other.before as usize <= at
                            && !conflicts.has(own, other.strand)
                        {
                            top = worth;
                        }
                    }
                }
                from = until;
            }
            self.follow[at] = top - right;
            let worth = top - costs[interval.id as usize];
            self.back.set(at, worth, worth - worthy);
            let before = &mut self.apart[interval.before as usize];
            *before = before.max(worth - left);
        }
        far.max(self.apart[0])
    }
}

#[cfg(test)]
mod tests;
