//! The search: which of the candidate strands to sew.
//!
//! Strands are sewn by greatest gain first ([`Filling::grow`]), all over the shape or at even
//! distances ([`Filling::grow_on`]), one after the other across the shape (`sweep`), or row by row
//! (`rows`); an annealing exchanges them (`anneal`); then window by window rows and neighbours are
//! taken out and the gap filled anew (`windows`); and the best parts of several fillings make one
//! (`splice`). All stop on counts, never on time, and random numbers come from a fixed seed, so the
//! same input gives the same strands.

mod anneal;
mod joints;
mod problem;
mod rows;
mod splice;
mod sweep;
mod unit;
mod windows;

use std::cmp::Reverse;
use std::collections::BinaryHeap;

pub(super) use joints::Joints;
pub(super) use problem::Problem;
pub(super) use splice::Seam;
pub(super) use windows::{Units, Windows};

use super::canvas::{Canvas, TOO_HIGH};
use problem::Lie;

/// Candidates up to which a strand is coupled with the best of what lies opposite, not with its twin
/// alone: small pairs need it. Where they are more, that takes a twentieth longer and wins nothing.
const FEW_TO_COUPLE: usize = 700;

/// Strands to unpick and strands to sew.
#[derive(Debug, Clone, Default)]
struct Exchange {
    out: Vec<u32>,
    new: Vec<u32>,
}

/// Joints that are to lie apart.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stagger<'a> {
    pub(super) joints: &'a Joints,
    /// What two in line cost, in points.
    pub(super) price: i64,
    /// What the strands must be worth whatever that costs, in points.
    pub(super) least: i64,
}

/// Places across the direction at even distances, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Comb {
    /// From one tooth to the next.
    pub(super) apart: f64,
    /// Where a tooth lies.
    pub(super) from: f64,
    /// How far from a tooth a strand may lie.
    pub(super) slack: f64,
}

/// Strands sewn so far, and what they are worth in points.
#[derive(Debug, Clone)]
pub(super) struct Filling<'a> {
    problem: &'a Problem,
    canvas: Canvas,
    sewn: Vec<u32>,
    /// How each of these lies, in the same order.
    lying: Vec<Lie>,
    is_sewn: Vec<bool>,
    free: Vec<u32>,
    /// Joints that are to lie apart.
    stagger: Option<Stagger<'a>>,
    /// Kept between steps for its memory alone.
    exchange: Exchange,
    pub(super) score: i64,
}

impl<'a> Filling<'a> {
    pub(super) fn new(problem: &'a Problem, canvas: Canvas) -> Self {
        Self {
            canvas,
            sewn: Vec::new(),
            lying: Vec::new(),
            is_sewn: vec![false; problem.strands.len()],
            free: problem.free.clone(),
            stagger: None,
            exchange: Exchange::default(),
            score: 0,
            problem,
        }
    }

    /// Lets joints in line cost something while windows round them are refilled.
    pub(super) fn stagger(&mut self, stagger: Stagger<'a>) {
        self.stagger = Some(stagger);
    }

    /// Points won by sewing a strand.
    fn gain(&self, strand: u32) -> i64 {
        self.canvas.gain(&self.problem.strands[strand as usize]) - self.in_line(strand)
    }

    /// Points won by unpicking a strand that is sewn.
    fn loss(&self, strand: u32) -> i64 {
        self.canvas.loss(&self.problem.strands[strand as usize]) + self.in_line(strand)
    }

    /// What the joints of a strand in line with those of others cost, in points.
    fn in_line(&self, strand: u32) -> i64 {
        self.stagger.map_or(0, |stagger| {
            let others = self.sewn.iter().filter(|&&other| other != strand);
            stagger.price * i64::from(stagger.joints.in_line_with(strand, others))
        })
    }

    /// True where the filling would be worth enough, but for its joints in line, if these strands
    /// were sewn as well and won so much.
    pub(super) fn is_worth_enough(&mut self, strands: &[u32], won: i64) -> bool {
        let Some(stagger) = self.stagger else {
            return true;
        };
        self.sew_back(strands);
        let in_line: i64 = self.sewn.iter().map(|&s| self.in_line(s)).sum::<i64>() / 2;
        for &strand in strands {
            self.unpick(strand);
        }
        self.score + won + in_line >= stagger.least
    }

    /// The strands sewn, in the order of the candidates.
    pub(super) fn chosen(&self) -> Vec<u32> {
        let mut chosen = self.sewn.clone();
        chosen.sort_unstable();
        chosen
    }

    /// True where there are candidates of both sides or halves.
    pub(super) fn has_twins(&self) -> bool {
        self.problem.twins
    }

    /// The strands of one side, each with what lies opposite, in the order of the candidates.
    pub(super) fn on_both_sides(&self, layer: usize) -> Vec<u32> {
        let of_side = |strand: &&u32| self.problem.lies[**strand as usize].layer() == layer;
        let side = self.sewn.iter().filter(of_side);
        let mut both: Vec<u32> = side
            .flat_map(|&strand| [Some(strand), self.problem.twin(strand)])
            .flatten()
            .collect();
        both.sort_unstable();
        both.dedup();
        both
    }

    /// Sews those strands, one after the other, for which there is room: at their needle points,
    /// and where they lie, which a finer grid may see otherwise than the one they were chosen on.
    pub(super) fn sew_all(&mut self, strands: &[u32]) {
        for &strand in strands {
            self.sew_with_room(strand);
        }
    }

    /// Sews a strand if there is room for it; true when it is sewn.
    fn sew_with_room(&mut self, strand: u32) -> bool {
        if !self.fits(strand) {
            return false;
        }
        let gain = self.gain(strand);
        if gain <= TOO_HIGH {
            return false;
        }
        self.score += gain;
        self.sew(strand);
        true
    }

    fn lie(&self, strand: u32) -> &Lie {
        &self.problem.lies[strand as usize]
    }

    #[inline]
    fn ends(&self, strand: u32) -> [usize; 2] {
        let [a, b] = self.problem.ends[strand as usize];
        [a as usize, b as usize]
    }

    #[inline]
    fn fits(&self, strand: u32) -> bool {
        let [a, b] = self.ends(strand);
        self.free[a] > 0 && self.free[b] > 0
    }

    /// Takes the room of a strand's ends at its needle points.
    fn take_room(&mut self, strand: u32) {
        for end in self.ends(strand) {
            self.free[end] -= 1;
        }
    }

    fn leave_room(&mut self, strand: u32) {
        for end in self.ends(strand) {
            self.free[end] += 1;
        }
    }

    fn sew(&mut self, strand: u32) {
        self.canvas.sew(&self.problem.strands[strand as usize]);
        self.take_room(strand);
        self.is_sewn[strand as usize] = true;
        self.sewn.push(strand);
        self.lying.push(self.problem.lies[strand as usize]);
    }

    fn unpick(&mut self, strand: u32) {
        self.canvas.unpick(&self.problem.strands[strand as usize]);
        self.leave_room(strand);
        self.is_sewn[strand as usize] = false;
        if let Some(at) = self.sewn.iter().position(|&s| s == strand) {
            self.sewn.swap_remove(at);
            self.lying.swap_remove(at);
        }
    }

    fn sew_back(&mut self, strands: &[u32]) {
        for &strand in strands {
            self.sew(strand);
        }
    }

    /// Sews the strand that wins most, again and again until none wins. A gain only shrinks as
    /// others are sewn (but for evenness), so old gains serve as bounds.
    pub(super) fn grow(&mut self) {
        self.grow_among(
            (0..self.count())
                .filter(|&strand| !self.is_sewn[strand as usize] && self.fits(strand))
                .map(|strand| (self.gain(strand), Reverse(strand)))
                .filter(|strand| strand.0 > 0)
                .collect(),
        );
    }

    /// Sews strands that lose something alone, for the other side is bare there, and win together
    /// with what lies opposite.
    pub(super) fn grow_in_couples(&mut self) {
        if !self.problem.twins {
            return;
        }
        let few = self.problem.strands.len() < FEW_TO_COUPLE;
        for strand in 0..self.count() {
            if self.is_sewn[strand as usize] || !self.fits(strand) {
                continue;
            }
            let evened = self.canvas.evened(&self.problem.strands[strand as usize]);
            let alone = self.gain(strand);
            if alone <= -evened {
                continue;
            }
            let mut opposite = if few {
                self.problem.opposite(strand)
            } else {
                self.problem.twin(strand).into_iter().collect()
            };
            opposite.retain(|&other| !self.is_sewn[other as usize]);
            if opposite.is_empty() {
                continue;
            }
            self.sew(strand);
            let with_room = opposite.into_iter().filter(|&other| self.fits(other));
            let best = with_room.map(|other| (self.gain(other), other)).max();
            match best {
                Some((gain, other)) if alone + gain > 0 => {
                    self.sew(other);
                    self.score += alone + gain;
                }
                _ => self.unpick(strand),
            }
        }
    }

    /// The same on bare fabric with strands that lie on the teeth of a comb; `alone` is what each
    /// strand wins there.
    pub(super) fn grow_on(&mut self, comb: &Comb, alone: &[i64]) {
        let on_tooth = |level: f64| {
            let teeth = (level - comb.from) / comb.apart;
            (teeth - teeth.round()).abs() * comb.apart < comb.slack
        };
        let strands = (0_u32..).zip(&self.problem.levels).zip(alone);
        self.grow_among(
            strands
                .filter(|((_, level), gain)| **gain > 0 && on_tooth(**level))
                .map(|((strand, _), gain)| (*gain, Reverse(strand)))
                .collect(),
        );
    }

    /// What each strand wins as things lie, in points.
    pub(super) fn gains(&self) -> Vec<i64> {
        (0..self.count()).map(|strand| self.gain(strand)).collect()
    }

    fn grow_among(&mut self, mut heap: BinaryHeap<(i64, Reverse<u32>)>) {
        while let Some((bound, Reverse(strand))) = heap.pop() {
            if bound <= 0 {
                return;
            }
            if !self.fits(strand) {
                continue;
            }
            let gain = self.gain(strand);
            if heap.peek().is_none_or(|next| gain >= next.0) {
                if gain > 0 {
                    self.sew(strand);
                    self.score += gain;
                }
            } else {
                heap.push((gain, Reverse(strand)));
            }
        }
    }

    fn restore(&mut self, sewn: &[u32], score: i64) {
        for strand in self.sewn.clone() {
            self.unpick(strand);
        }
        self.sew_back(sewn);
        self.score = score;
    }

    fn count(&self) -> u32 {
        u32::try_from(self.problem.strands.len()).unwrap_or(u32::MAX)
    }
}
