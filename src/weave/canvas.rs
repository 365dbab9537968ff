//! The canvas of a search: which samples are covered how often, and what one strand more or less
//! would change.
//!
//! Cover is kept as a thermometer: plane `d` holds the samples covered more than `d` times, so
//! that a strand's gain is a handful of word operations and bit counts.

use super::candidate::Cell;
use super::score;

/// Times a sample may be covered. A filling that piles higher is never good: each time over
/// costs, and the hole limit keeps strand ends apart.
const DEPTH: usize = 6;

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
    pub(super) fn gain(&self, strand: &Strand) -> i64 {
        let (mut inside, mut fresh, mut evened) = (0_i64, 0_i64, 0_i64);
        for cell in &strand.cells {
            let word = &self.words[cell.word as usize];
            let covered = word.cover[0];
            let mut after = covered;
            for (layer, after) in after.iter_mut().enumerate() {
                let new = cell.bits[layer] & !covered[layer];
                *after |= new;
                fresh += i64::from(new.count_ones());
                inside += i64::from((new & word.target).count_ones());
                if cell.bits[layer] & word.cover[DEPTH - 1][layer] != 0 {
                    return i64::MIN / 4;
                }
            }
            evened += i64::from((covered[0] ^ covered[1]).count_ones())
                - i64::from((after[0] ^ after[1]).count_ones());
        }
        SAMPLE * (2 * inside - fresh) - DOUBLED * (strand.size - fresh) + self.uneven * evened
            - strand.price
    }

    /// Points won by unpicking a strand that is sewn.
    pub(super) fn loss(&self, strand: &Strand) -> i64 {
        let (mut inside, mut bared, mut evened) = (0_i64, 0_i64, 0_i64);
        for cell in &strand.cells {
            let word = &self.words[cell.word as usize];
            let covered = word.cover[0];
            let mut after = covered;
            for (layer, after) in after.iter_mut().enumerate() {
                let lost = cell.bits[layer] & !word.cover[1][layer];
                *after &= !lost;
                bared += i64::from(lost.count_ones());
                inside += i64::from((lost & word.target).count_ones());
            }
            evened += i64::from((covered[0] ^ covered[1]).count_ones())
                - i64::from((after[0] ^ after[1]).count_ones());
        }
        SAMPLE * (bared - 2 * inside)
            + DOUBLED * (strand.size - bared)
            + self.uneven * evened
            + strand.price
    }

    /// Sews a strand.
    pub(super) fn sew(&mut self, strand: &Strand) {
        for cell in &strand.cells {
            let word = &mut self.words[cell.word as usize];
            for layer in 0..2 {
                let mut carry = cell.bits[layer];
                for plane in &mut word.cover {
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
                    let here = plane[layer] & rest;
                    plane[layer] &= !here;
                    rest &= !here;
                }
            }
        }
    }
}
