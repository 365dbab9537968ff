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
    let key = |c: &Crossing| (c.0, c.1);
    let mut shared = 0.0;
    let mut theirs = other.iter().peekable();
    for (crossing, inside) in own.iter().zip(inside) {
        while theirs.next_if(|c| key(c) < key(crossing)).is_some() {}
        if *inside == 0.0 {
            continue;
        }
        if let Some(c) = theirs.peek().filter(|c| key(c) == key(crossing)) {
            let (from, to) = (crossing.2.max(c.2), crossing.3.min(c.3));
            if from < to {
                shared += page.inside_mm2(crossing.0, from, to);
            }
        }
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
        // Strands by line: one that leaves another nothing also covers it where it is widest
        // inside.
        let mut there: Vec<Vec<(u32, u32)>> = vec![Vec::new(); 2 * page.lines];
        for (strand, own) in (0_u32..).zip(crossings) {
            for (index, &(line, layer, ..)) in (0_u32..).zip(own) {
                there[2 * line + layer].push((strand, index));
            }
        }
        for (a, own) in crossings.iter().enumerate() {
            let inside: Vec<f64> = own
                .iter()
                .map(|&(line, _, from, to)| page.inside_mm2(line, from, to))
                .collect();
            let all: f64 = inside.iter().sum();
            let needed = all - costs[a] / most;
            let Some((middle, _)) = own.iter().zip(&inside).max_by(|x, y| x.1.total_cmp(y.1)) else {
                continue;
            };
            for &(b, index) in &there[2 * middle.0 + middle.1] {
                let other = &crossings[b as usize];
                let beside = &other[index as usize];
                let overlap = middle.3.min(beside.3) - middle.2.max(beside.2);
                if overlap < LEAST * (middle.3 - middle.2) || a == b as usize {
                    continue;
                }
                if overlapping(page, own, &inside, other) >= needed {
                    found.add(a, b as usize);
                }
            }
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
