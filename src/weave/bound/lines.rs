//! Some strands of a feature as intervals on the lines of its page.

use super::chain::{Hint, Interval, NONE, Spot, order, relate};
use super::page::Page;
use super::strand::Candidate;
use crate::weave::candidate::mirror;
use crate::weave::score;

/// The intervals of some strands, line by line.
#[derive(Debug, Default)]
pub(super) struct Lines {
    pub(super) lines: Vec<Line>,
    pub(super) intervals: Vec<Interval>,
    /// One for each interval.
    hints: Vec<Hint>,
}

/// A line of one layer, with its part of the intervals.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    /// Line of the page.
    pub(super) line: usize,
    pub(super) layer: usize,
    pub(super) from: usize,
    pub(super) to: usize,
    /// The steps that its intervals lie on.
    pub(super) first: u32,
    pub(super) last: u32,
}

/// Where a strand lies: line, layer, and from where to where, in steps.
pub(super) type Crossing = (usize, usize, f64, f64);

impl Lines {
    /// All strands.
    pub(super) fn new(crossings: &[Vec<Crossing>]) -> Self {
        let lines = crossings
            .iter()
            .flatten()
            .map(|c| c.0 + 1)
            .max()
            .unwrap_or(0);
        let mut by_line: Vec<Vec<Interval>> = vec![Vec::new(); 2 * lines];
        let mut count = 0;
        for (strand, own) in (0_u32..).zip(crossings) {
            for &(line, layer, from, to) in own {
                let interval = Interval {
                    strand,
                    id: count,
                    before: 0,
                    after: 0,
                    from: Spot::new(from),
                    to: Spot::new(to),
                };
                by_line[2 * line + layer].push(interval);
                count += 1;
            }
        }
        let mut lines = Self::default();
        for (at, own) in by_line.iter_mut().enumerate() {
            if !own.is_empty() {
                let from = lines.intervals.len();
                order(own);
                lines.intervals.append(own);
                lines.add_line(at / 2, at % 2, from);
            }
        }
        lines
    }

    /// Those of some strands only.
    pub(super) fn of(&self, wanted: impl Fn(u32) -> bool) -> Self {
        let mut lines = Self {
            lines: Vec::with_capacity(self.lines.len()),
            intervals: Vec::with_capacity(self.intervals.len()),
            hints: Vec::with_capacity(self.hints.len()),
        };
        for line in &self.lines {
            let from = lines.intervals.len();
            let own = &self.intervals[line.from..line.to];
            lines
                .intervals
                .extend(own.iter().filter(|interval| wanted(interval.strand)));
            if lines.intervals.len() > from {
                relate(&mut lines.intervals[from..]);
                lines.add_line(line.line, line.layer, from);
            }
        }
        lines
    }

    /// The intervals of a line.
    pub(super) fn on(&self, line: &Line) -> &[Interval] {
        &self.intervals[line.from..line.to]
    }

    /// The intervals of a line, with what was found of each when it was last looked at.
    pub(super) fn with_hints(&self, line: &Line) -> (&[Interval], &[Hint]) {
        (self.on(line), &self.hints[line.from..line.to])
    }

    fn add_line(&mut self, line: usize, layer: usize, from: usize) {
        let own = &self.intervals[from..];
        let first = own.iter().map(|i| i.from.step).min().unwrap_or(0);
        let last = own.iter().map(|i| i.to.step).max().unwrap_or(0);
        self.hints.extend(own.iter().map(|_| Hint::new(NONE)));
        self.lines.push(Line {
            line,
            layer,
            from,
            to: self.intervals.len(),
            first,
            last,
        });
    }
}

/// Where a strand lies on a page.
pub(super) fn crossings(page: &Page, strand: &Candidate, width: f64) -> Vec<Crossing> {
    let pairing = &strand.pairing;
    let mut crossed: Vec<Crossing> = page
        .crossed(pairing.at, width)
        .into_iter()
        .map(|(line, from, to)| (line, pairing.layer, from, to))
        .collect();
    // A strand across the centre line also covers some of the other half.
    if page.is_folded() && pairing.at.iter().any(|p| p.x < width) {
        let other = page.crossed(pairing.at.map(mirror), width);
        crossed.extend(
            other
                .into_iter()
                .map(|(line, from, to)| (line, 1 - pairing.layer, from, to)),
        );
        crossed.sort_by_key(|c| (c.0, c.1));
    }
    crossed
}

/// The objective of a filling on the lines, mm2: the worth of what is covered, less what its
/// strands cost and what layers cover unlike each other.
pub(super) fn objective(page: &Page, layers: usize, sewn: &[(f64, &Vec<Crossing>)]) -> f64 {
    let mut covers = vec![vec![0.0; page.lines * page.steps]; layers];
    let mut all: Vec<&Crossing> = sewn.iter().flat_map(|(_, own)| own.iter()).collect();
    all.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)));
    for own in all.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        let line = &mut covers[own[0].1][own[0].0 * page.steps..][..page.steps];
        let mut until = 0.0_f64;
        for &&(_, _, from, to) in own {
            super::page::cover(line, from.max(until), to, 1.0);
            until = until.max(to);
        }
    }
    let worth: Vec<f64> = (0..page.lines).flat_map(|line| page.worth(line)).collect();
    let won = |cover: &Vec<f64>| cover.iter().zip(&worth).map(|(c, w)| c * w).sum::<f64>();
    let costs: f64 = sewn.iter().map(|(cost, _)| cost).sum();
    let uneven = match &covers[..] {
        [a, b] => a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum::<f64>(),
        _ => 0.0,
    };
    covers.iter().map(won).sum::<f64>() - costs - score::UNEVEN * page.step_mm2() * uneven
}
