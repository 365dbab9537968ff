//! Pairs of strands of which one at most is sewn in some best filling.
//!
//! If one of two strands wins nothing once the other is sewn, whatever else is sewn, then a filling
//! with both is no worse without it; unpicked again and again, an equally good filling is left
//! that has no such pair. What a strand can win at most is what the other leaves it of the
//! outline, at the most that this may be worth.

use super::lines::Crossing;
use super::page::Page;

/// Share of a strand's width on its middle line that must be covered by one that leaves it
/// nothing: less than any does. The more, the fewer pairs are looked at.
const LEAST: f64 = 0.5;

/// Area inside the outline that a strand shares with another, mm2.
fn overlapping(page: &Page, own: &[Crossing], inside: &[f64], other: &[Crossing]) -> f64 {
    let key = |c: &Crossing| 2 * c.0 + c.1;
    let size = page.step_mm2();
    let mut shared = 0.0;
    let mut at = 0;
    for (crossing, inside) in own.iter().zip(inside) {
        let line = key(crossing);
        while at < other.len() && key(&other[at]) < line {
            at += 1;
        }
        if at == other.len() {
            break;
        }
        let theirs = &other[at];
        let (from, to) = (crossing.2.max(theirs.2), crossing.3.min(theirs.3));
        if key(theirs) != line || from >= to || *inside == 0.0 {
            continue;
        }
        let wholly = *inside > 0.9999 * size * (crossing.3 - crossing.2);
        shared += if wholly {
            size * (to - from)
        } else {
            page.inside_mm2(line / 2, from, to)
        };
    }
    shared
}

/// Which strands exclude which.
#[derive(Debug)]
pub(super) struct Conflicts {
    words: usize,
    bits: Vec<u64>,
}

impl Conflicts {
    /// `costs` are those of the strands, mm2; `most` is what a mm2 may be worth.
    pub(super) fn new(page: &Page, crossings: &[Vec<Crossing>], costs: &[f64], most: f64) -> Self {
        let words = costs.len().div_ceil(64);
        let mut found = Self {
            words,
            bits: vec![0; costs.len() * words],
        };
        let inside: Vec<Vec<f64>> = crossings
            .iter()
            .map(|own| {
                let mm2 = |c: &Crossing| page.inside_mm2(c.0, c.2, c.3);
                own.iter().map(mm2).collect()
            })
            .collect();
        let wins: Vec<f64> = inside
            .iter()
            .zip(costs)
            .map(|(own, cost)| own.iter().sum::<f64>() - cost / most)
            .collect();
        // Strands by line: one that leaves another nothing also covers it where it is widest
        // inside.
        let mut there: Vec<Vec<(u32, f64, f64)>> = vec![Vec::new(); 2 * page.lines];
        for (strand, own) in (0_u32..).zip(crossings) {
            for &(line, layer, from, to) in own {
                there[2 * line + layer].push((strand, from, to));
            }
        }
        for (a, own) in crossings.iter().enumerate() {
            let widest = own.iter().zip(&inside[a]).max_by(|x, y| x.1.total_cmp(y.1));
            let Some((&(line, layer, low, high), _)) = widest else {
                continue;
            };
            let slack = LEAST * (high - low);
            for &(b, from, to) in &there[2 * line + layer] {
                if high.min(to) - low.max(from) < slack || a == b as usize {
                    continue;
                }
                let b = b as usize;
                let shared = overlapping(page, own, &inside[a], &crossings[b]);
                if shared >= wins[a].min(wins[b]) {
                    found.add(a, b);
                }
            }
        }
        found
    }

    /// Pairs of some strands, for checks.
    #[cfg(test)]
    pub(super) fn of_pairs(strands: usize, pairs: &[(usize, usize)]) -> Self {
        let words = strands.div_ceil(64);
        let mut found = Self {
            words,
            bits: vec![0; strands * words],
        };
        for &(a, b) in pairs {
            found.add(a, b);
        }
        found
    }

    /// The row of a strand.
    #[inline(always)]
    pub(super) fn of(&self, strand: u32) -> &[u64] {
        &self.bits[strand as usize * self.words..][..self.words]
    }

    /// Whether the row of a strand has another.
    #[inline(always)]
    pub(super) fn has(&self, own: &[u64], other: u32) -> bool {
        own[other as usize / 64] >> (other % 64) & 1 == 1
    }

    fn add(&mut self, a: usize, b: usize) {
        self.bits[a * self.words + b / 64] |= 1 << (b % 64);
        self.bits[b * self.words + a / 64] |= 1 << (a % 64);
    }
}
