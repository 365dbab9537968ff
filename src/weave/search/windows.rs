//! Windows of neighbouring strands taken out and filled anew.

use std::collections::{BTreeSet, VecDeque};
use std::rc::Rc;

use super::Filling;
use super::problem::Lie;
use crate::weave::canvas;

/// Strands weighed exactly, the best at a glance, for two that are weighed in the end.
const GLANCED: usize = 3;

/// Strands of a row taken out at once, on both sides, at most: few rows have more, and six win
/// nothing over four.
const ROW: usize = 4;
/// Strands that a window is filled with, more than were taken out. Two take a seventh longer and
/// win nothing more.
const MORE: usize = 1;

/// What a strand loses at least, in shares of what it has in common with the one sewn last, by how
/// the two lie: 1.35 where that was bare before, nothing where it was not. With less, more strands
/// are weighed and no better ones found; with more, some are missed.
const CLASH: f64 = 0.95;

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
}

/// What a window is filled with: points won, and the strands in the order of the candidates.
type Refill = (i64, Vec<u32>);

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
        let mut waiting: VecDeque<u32> = self.chosen().into();
        if self.joints.is_some() {
            waiting.retain(|&strand| self.in_line(strand) > 0);
        }
        let all_sides = if self.problem.twins { 2 } else { 1 };
        let (least, most) = windows.in_all;
        // How many of each side, or the row.
        let mut kinds: Vec<(Option<usize>, usize)> = Vec::new();
        if least == 1 {
            kinds.extend((1..=all_sides).map(|sides| (None, sides)));
        }
        let numbers =
            (1..=windows.on_a_side).flat_map(|size| (1..=all_sides).map(move |s| (size, s)));
        let numbers = numbers.filter(|(size, sides)| (least..=most).contains(&(size * sides)));
        kinds.extend(numbers.map(|(size, sides)| (Some(size), sides)));
        // Windows that could not be bettered as things lie.
        let mut vain: BTreeSet<Vec<u32>> = BTreeSet::new();
        while let Some(strand) = waiting.pop_front() {
            for &(size, sides) in &kinds {
                if !self.is_sewn[strand as usize] {
                    break;
                }
                let window = match size {
                    Some(size) => self.window(strand, size, sides),
                    None => match self.row(strand, sides) {
                        Some(row) => row,
                        None => continue,
                    },
                };
                if vain.contains(&window) {
                    continue;
                }
                if self.refill(&window, windows) {
                    vain.retain(|other| !self.is_beside(other, &window));
                    self.wait_beside(&window, &mut waiting);
                } else {
                    vain.insert(window);
                }
            }
        }
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
    fn wait_beside(&self, window: &[u32], waiting: &mut VecDeque<u32>) {
        for strand in self.chosen() {
            if self.is_beside(&[strand], window) && !waiting.contains(&strand) {
                waiting.push_back(strand);
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

    /// Fills a window anew; true, and done, when that is better.
    fn refill(&mut self, window: &[u32], windows: Windows) -> bool {
        let before = self.score;
        for &strand in window {
            self.score += self.loss(strand);
            self.unpick(strand);
        }
        let (won, strands) = self.best_refill(window, before - self.score, windows);
        let better = self.score + won > before;
        if better {
            self.score += won;
            self.sew_back(&strands);
        } else {
            self.score = before;
            self.sew_back(window);
        }
        better
    }

    /// The best of a few ways to fill a window, strand by strand; of use where it wins more than
    /// was `lost`.
    fn best_refill(&mut self, window: &[u32], lost: i64, windows: Windows) -> Refill {
        let pool = self.pool(window, windows.pool);
        let mut best: Refill = (0, Vec::new());
        let mut beam = vec![Partial {
            won: 0,
            strands: Vec::new(),
            at_most: pool.iter().map(|strand| strand.0).collect(),
            last: None,
        }];
        for left in (0..window.len() + MORE).rev() {
            let mut next: Vec<Partial> = Vec::new();
            for partial in &beam {
                self.sew_back(&partial.strands);
                self.widen(&pool, partial, (lost, left), (&mut next, windows.beam));
                for &strand in partial.strands.iter().rev() {
                    self.unpick(strand);
                }
            }
            let Some(first) = next.first() else { break };
            if first.won > best.0 {
                best = (first.won, first.strands.clone());
            }
            beam = next;
        }
        best
    }

    /// The candidates that lie where the window is, with what each wins alone, the best first.
    fn pool(&self, window: &[u32], most: usize) -> Vec<(i64, u32)> {
        let problem = self.problem;
        let mut glanced: Vec<(i64, u32)> = problem
            .lying_on(window)
            .filter(|&s| !self.is_sewn[s as usize] && self.fits(s))
            .map(|s| {
                (
                    self.canvas.gain_at_a_glance(&problem.strands[s as usize]),
                    s,
                )
            })
            .collect();
        let glances = GLANCED * most / 2;
        if glanced.len() > glances {
            glanced.select_nth_unstable_by(glances, |a, b| b.cmp(a));
            glanced.truncate(glances);
        }
        let mut pool: Vec<(i64, u32)> = glanced
            .into_iter()
            .map(|(_, s)| (self.gain(s), s))
            .filter(|&(gain, s)| gain > -self.canvas.evened(&problem.strands[s as usize]))
            .collect();
        pool.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        pool.truncate(most);
        pool
    }

    fn lie(&self, strand: u32) -> &Lie {
        &self.problem.lies[strand as usize]
    }

    /// About what a strand loses to another that lies on it, at least.
    fn clash(&self, strand: u32, other: u32) -> i64 {
        let common = self.lie(strand).common(self.lie(other), self.problem.width);
        canvas::points(CLASH * common, self.problem.sample_mm2)
    }

    /// What a filling must have won to make good what was lost with as many strands as are still
    /// to come, none of which wins more than the best of the pool may.
    fn enough(&self, pool: &[(i64, u32)], at_most: &[i64], lost: i64, to_come: usize) -> i64 {
        let strand = |strand: u32| &self.problem.strands[strand as usize];
        let most = pool.iter().zip(at_most);
        let most = most.map(|(&(_, s), at_most)| at_most + 2 * self.canvas.evened(strand(s)));
        lost - to_come as i64 * most.max().unwrap_or(0).max(0)
    }

    /// Adds each strand of the pool to a partial filling that is sewn, and keeps the best `beam` in
    /// `next`, the best first, of those that may win more than was `lost` with so many strands
    /// that are still to come.
    fn widen(
        &self,
        pool: &[(i64, u32)],
        partial: &Partial,
        (lost, to_come): (i64, usize),
        (next, beam): (&mut Vec<Partial>, usize),
    ) {
        let mut at_most = partial.at_most.to_vec();
        let enough = self.enough(pool, &at_most, lost, to_come);
        for (place, &(alone, strand)) in pool.iter().enumerate() {
            let new = &self.problem.strands[strand as usize];
            // A strand wins ever less as others are sewn, but for what they even out.
            if let Some(last) = partial.last {
                let lie = self.lie(strand);
                if self.lie(pool[last].1).is_opposite(lie, self.problem.width) {
                    at_most[place] += 2 * self.canvas.evened(new);
                }
            }
            let least = match next.get(beam - 1) {
                Some(last) => enough.max(last.won),
                None => enough,
            };
            let most = partial.won + at_most[place];
            if most <= least || self.is_sewn[strand as usize] || !self.fits(strand) {
                continue;
            }
            let gain = match partial.last {
                Some(last) if most <= least + self.clash(strand, pool[last].1) => continue,
                Some(_) => self.gain(strand),
                None => alone,
            };
            at_most[place] = gain;
            let won = partial.won + gain;
            if gain <= -self.canvas.evened(new) || won <= least {
                continue;
            }
            let mut strands = partial.strands.clone();
            strands.push(strand);
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
