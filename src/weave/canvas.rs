//! The canvas of a search: which samples are covered how often, and what one strand more or less
//! would change.
//!
//! Cover is kept as a thermometer: plane `d` holds the samples covered more than `d` times, so
//! that a strand's gain is a handful of word operations and bit counts.

use super::candidate::Cell;
use super::score;

/// Times a sample may be covered. A filling that piles higher is never good: each time over
/// costs, and the hole limit keeps strand ends apart.
const DEPTH: usize = 5;

/// What a strand wins that would pile too high.
const TOO_HIGH: i64 = i64::MIN / 4;

/// Points a freshly covered sample inside the outline is worth: areas are counted in thousandths
/// of a sample, whole numbers, so that sums do not drift and runs repeat to the bit.
const SAMPLE: i64 = 1000;
#[expect(clippy::cast_possible_truncation, reason = "small constants")]
const DOUBLED: i64 = (score::DOUBLED * SAMPLE as f64) as i64;
#[expect(clippy::cast_possible_truncation, reason = "small constants")]
const UNEVEN: i64 = (score::UNEVEN * SAMPLE as f64) as i64;

/// A strand as the search sees it.
#[derive(Debug, Clone)]
pub(super) struct Strand {
    /// The samples it covers, in the order of the words.
    pub(super) cells: Vec<Cell>,
    /// What it costs whatever it covers, in thousandths of a sample.
    pub(super) price: i64,
    /// Samples covered, on both layers.
    pub(super) size: i64,
}

impl Strand {
    /// A strand with its price in mm2.
    pub(super) fn new(cells: Vec<Cell>, price_mm2: f64, sample_mm2: f64) -> Self {
        let ones = |cell: &Cell| i64::from(cell.bits[0].count_ones() + cell.bits[1].count_ones());
        Self {
            size: cells.iter().map(ones).sum(),
            price: points(price_mm2, sample_mm2),
            cells,
        }
    }
}

/// An area in points: thousandths of a sample.
#[expect(
    clippy::cast_possible_truncation,
    reason = "areas of a slipper in thousandths of a sample are far below 2^52"
)]
pub(super) fn points(mm2: f64, sample_mm2: f64) -> i64 {
    (mm2 / sample_mm2 * SAMPLE as f64).round() as i64
}

/// Points in mm2.
pub(super) fn mm2(points: i64, sample_mm2: f64) -> f64 {
    points as f64 / SAMPLE as f64 * sample_mm2
}

#[derive(Debug, Clone, Copy, Default)]
struct Word {
    target: u64,
    cover: [[u64; 2]; DEPTH],
}

impl Word {
    /// True where one more cover would pile too high.
    fn is_full(&self, bits: [u64; 2]) -> bool {
        let top = self.cover[DEPTH - 1];
        (top[0] & bits[0]) | (top[1] & bits[1]) != 0
    }

    /// What stays covered without a strand that covers `bits`.
    fn without(&self, bits: [u64; 2]) -> [u64; 2] {
        let [once, twice] = [self.cover[0], self.cover[1]];
        [
            once[0] & !(bits[0] & !twice[0]),
            once[1] & !(bits[1] & !twice[1]),
        ]
    }
}

/// Cover of both layers over the outline.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    words: Vec<Word>,
    /// Points lost where one layer is covered and the other is not; 0 for a single layer.
    uneven: i64,
}

impl Canvas {
    /// A bare canvas. `even` couples the two layers.
    pub(super) fn new(target: &[u64], even: bool) -> Self {
        let word = |&target: &u64| Word {
            target,
            ..Word::default()
        };
        Self {
            words: target.iter().map(word).collect(),
            uneven: if even { UNEVEN } else { 0 },
        }
    }

    /// Points won by sewing a strand; very negative where it would pile too high.
    pub(super) fn gain(&self, new: &Strand) -> i64 {
        let mut change = -DOUBLED * new.size - new.price;
        for cell in &new.cells {
            let word = &self.words[cell.word as usize];
            if word.is_full(cell.bits) {
                return TOO_HIGH;
            }
            let covered = word.cover[0];
            let fresh = [cell.bits[0] & !covered[0], cell.bits[1] & !covered[1]];
            change += self.turned(word, fresh);
        }
        change
    }

    /// Points won by covering samples of a word that are bare, or by baring samples that are
    /// covered: the change of [`Self::worth`] for less counting, as most strands lie on one layer.
    fn turned(&self, word: &Word, samples: [u64; 2]) -> i64 {
        let covered = word.cover[0];
        let ones = |bits: u64| i64::from(bits.count_ones());
        let (layer, bits) = match samples {
            [bits, 0] => (0, bits),
            [0, bits] => (1, bits),
            _ => {
                let after = [covered[0] ^ samples[0], covered[1] ^ samples[1]];
                return self.worth(word.target, after) - self.worth(word.target, covered);
            }
        };
        let all = ones(bits);
        let inside = ones(bits & word.target);
        let alone = ones(bits & !covered[1 - layer]);
        let won = 2 * SAMPLE * inside + (DOUBLED - SAMPLE) * all;
        let evened = self.uneven * (all - 2 * alone);
        if bits & covered[layer] == 0 {
            won + evened
        } else {
            -won - evened
        }
    }

    /// Points won by unpicking a strand that is sewn.
    pub(super) fn loss(&self, old: &Strand) -> i64 {
        let mut change = DOUBLED * old.size + old.price;
        for cell in &old.cells {
            let word = &self.words[cell.word as usize];
            let [once, twice] = [word.cover[0], word.cover[1]];
            let bared = [
                cell.bits[0] & once[0] & !twice[0],
                cell.bits[1] & once[1] & !twice[1],
            ];
            change += self.turned(word, bared);
        }
        change
    }

    /// Points won by unpicking one strand and sewing another, in one pass over the words of both.
    pub(super) fn swap(&self, old: &Strand, new: &Strand) -> i64 {
        let mut change = DOUBLED * (old.size - new.size) + old.price - new.price;
        let (mut olds, mut news) = (old.cells.as_slice(), new.cells.as_slice());
        loop {
            let (at, out, into) = match (olds.first(), news.first()) {
                (Some(a), Some(b)) if a.word == b.word => {
                    (olds, news) = (&olds[1..], &news[1..]);
                    (a.word, a.bits, b.bits)
                }
                (Some(a), Some(b)) if a.word < b.word => {
                    olds = &olds[1..];
                    (a.word, a.bits, [0; 2])
                }
                (_, Some(b)) => {
                    news = &news[1..];
                    (b.word, [0; 2], b.bits)
                }
                (Some(a), None) => {
                    olds = &olds[1..];
                    (a.word, a.bits, [0; 2])
                }
                (None, None) => return change,
            };
            let word = &self.words[at as usize];
            if word.is_full(into) {
                return TOO_HIGH;
            }
            let covered = word.cover[0];
            let left = word.without(out);
            let after = [left[0] | into[0], left[1] | into[1]];
            if after != covered {
                change += self.worth(word.target, after) - self.worth(word.target, covered);
            }
        }
    }

    /// Points of what is covered in a word. Doubled cover is priced by the strands' sizes, which
    /// count each sample each time, less what is given back here for its first time.
    fn worth(&self, target: u64, covered: [u64; 2]) -> i64 {
        let ones = |bits: u64| i64::from(bits.count_ones());
        let all = ones(covered[0]) + ones(covered[1]);
        let inside = ones(covered[0] & target) + ones(covered[1] & target);
        2 * SAMPLE * inside + (DOUBLED - SAMPLE) * all - self.uneven * ones(covered[0] ^ covered[1])
    }

    /// The most points that two strands may win by evening each other out.
    pub(super) fn evening(&self, a: &Strand, b: &Strand) -> i64 {
        2 * self.uneven * a.size.min(b.size)
    }

    /// Sews a strand.
    pub(super) fn sew(&mut self, strand: &Strand) {
        for cell in &strand.cells {
            let word = &mut self.words[cell.word as usize];
            for layer in 0..2 {
                let mut carry = cell.bits[layer];
                for plane in &mut word.cover {
                    if carry == 0 {
                        break;
                    }
                    let above = plane[layer] & carry;
                    plane[layer] |= carry;
                    carry = above;
                }
            }
        }
    }

    /// Unpicks a strand that is sewn.
    pub(super) fn unpick(&mut self, strand: &Strand) {
        for cell in &strand.cells {
            let word = &mut self.words[cell.word as usize];
            for layer in 0..2 {
                let mut rest = cell.bits[layer];
                for plane in word.cover.iter_mut().rev() {
                    if rest == 0 {
                        break;
                    }
                    let here = plane[layer] & rest;
                    plane[layer] &= !here;
                    rest &= !here;
                }
            }
        }
    }
}
