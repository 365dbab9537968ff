//! Pairs of strands of which one at most is sewn in some best filling.
//!
//! If one of two strands wins nothing once the other is sewn, whatever else is sewn, then a filling
//! with both is no worse without it; unpicked again and again, an equally good filling is left
//! that has no such pair. What a strand can win at most is what the other leaves it of the
//! outline, at the most that this may be worth.

use super::lines::Crossing;
use super::page::Page;

/// Share of a strand's stretch of the line where it is widest inside that another must cover to be
/// looked at: few that leave it nothing cover less. The less, the more pairs are looked at.
const LEAST: f64 = 0.6;

/// What lies inside of a strand from each of its lines on, mm2, and nothing after the last.
fn ahead(page: &Page, own: &[Crossing]) -> Vec<f64> {
    let mut ahead = vec![0.0; own.len() + 1];
    for (at, &(line, _, from, to)) in own.iter().enumerate().rev() {
        ahead[at] = ahead[at + 1] + page.inside_mm2(line, from, to);
    }
    ahead
}

/// Whether a strand shares as much of the outline as `needed`, mm2, with another.
fn share(
    page: &Page,
    (own, ahead): (&[Crossing], &[f64]),
    other: &[Crossing],
    needed: f64,
) -> bool {
    let key = |c: &Crossing| 2 * c.0 + c.1;
    let ends = |crossings: &[Crossing]| Some((key(crossings.first()?), key(crossings.last()?)));
    let Some((mine, theirs)) = ends(own).zip(ends(other)) else {
        return false;
    };
    // A strand's lines follow one another, on one layer or on both: so many of either begin, or
    // end, before the other.
    let past = |one: usize, other: usize| one.saturating_sub(other) / 2;
    let from = past(theirs.0, mine.0).min(own.len());
    let to = own.len().saturating_sub(past(mine.1, theirs.1)).max(from);
    let mut at = past(mine.0, theirs.0);
    let (mut shared, end, size) = (0.0, ahead[to], page.step_mm2());
    for (crossing, ahead) in own[from..to].iter().zip(ahead[from..].windows(2)) {
        if shared + ahead[0] - end < needed {
            return false;
        }
        while at < other.len() && key(&other[at]) < key(crossing) {
            at += 1;
        }
        let Some(theirs) = other.get(at) else {
            break;
        };
        let (from, to) = (crossing.2.max(theirs.2), crossing.3.min(theirs.3));
        let inside = ahead[0] - ahead[1];
        if key(theirs) != key(crossing) || from >= to || inside <= 0.0 {
            continue;
        }
        let wholly = inside > 0.9999 * size * (crossing.3 - crossing.2);
        shared += if wholly {
            size * (to - from)
        } else {
            page.inside_mm2(crossing.0, from, to)
        };
        if shared >= needed {
            return true;
        }
    }
    shared >= needed
}

/// Which strands exclude which.
#[derive(Debug)]
pub(super) struct Conflicts {
    /// Words of a row, one row for each strand.
    words: usize,
    bits: Vec<u64>,
}

impl Conflicts {
    /// None excludes another: one empty row for all.
    pub(super) fn none(strands: usize) -> Self {
        Self {
            words: 0,
            bits: vec![0; strands.div_ceil(64)],
        }
    }

    /// `costs` are those of the strands, mm2; `most` is what a mm2 may be worth. Strands that lie
    /// nowhere exclude none.
    pub(super) fn new(page: &Page, crossings: &[Vec<Crossing>], costs: &[f64], most: f64) -> Self {
        let words = costs.len().div_ceil(64);
        let mut found = Self {
            words,
            bits: vec![0; costs.len() * words],
        };
        // Of each strand what lies inside from each line on, mm2.
        let ahead: Vec<Vec<f64>> = crossings.iter().map(|own| ahead(page, own)).collect();
        let wins = ahead.iter().zip(costs);
        let wins: Vec<f64> = wins.map(|(own, cost)| own[0] - cost / most).collect();
        // Strands by line: one that leaves another nothing also covers it where it is widest
        // inside.
        let mut there: Vec<Vec<(u32, f64, f64)>> = vec![Vec::new(); 2 * page.lines];
        for (strand, own) in (0_u32..).zip(crossings) {
            for &(line, layer, from, to) in own {
                there[2 * line + layer].push((strand, from, to));
            }
        }
        let longest = |there: &Vec<(u32, f64, f64)>| {
            let lengths = there.iter().map(|(_, from, to)| to - from);
            lengths.fold(0.0, f64::max)
        };
        let longest: Vec<f64> = there.iter().map(longest).collect();
        for there in &mut there {
            there.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
        }
        for (a, own) in crossings.iter().enumerate() {
            let inside = ahead[a].windows(2).map(|w| w[0] - w[1]);
            let widest = own.iter().zip(inside).max_by(|x, y| x.1.total_cmp(&y.1));
            let Some((&(line, layer, low, high), _)) = widest else {
                continue;
            };
            let slack = LEAST * (high - low);
            let (there, longest) = (&there[2 * line + layer], longest[2 * line + layer]);
            let first = there.partition_point(|other| other.1 < low + slack - longest);
            for &(b, from, to) in &there[first..] {
                if from > high - slack {
                    break;
                }
                let (other, row) = (b as usize, found.of(b));
                let overlap = high.min(to) - low.max(from);
                if overlap < slack || a == other || row[a / 64] >> (a % 64) & 1 == 1 {
                    continue;
                }
                let needed = wins[a].min(wins[other]);
                if share(page, (own, &ahead[a]), &crossings[other], needed) {
                    found.add(a, other);
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

    /// From the row of a strand on.
    #[inline(always)]
    pub(super) fn of(&self, strand: u32) -> &[u64] {
        &self.bits[strand as usize * self.words..]
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
