//! The canvas of a search: which samples are covered how often, and what one strand more or less
//! would change.
//!
//! Cover is kept as a thermometer: plane `d` holds the samples covered more than `d` times, so
//! that a strand's gain is a handful of word operations and bit counts.

use super::candidate::Cell;
use super::score;

/// Times a sample may be covered. A filling that piles higher is no good: each time over costs,
/// and the hole limit keeps strand ends apart.
const DEPTH: usize = 3;

/// What a strand wins that would pile too high.
pub(super) const TOO_HIGH: i64 = i64::MIN / 4;

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
    /// The samples it covers, in the order of the tiles.
    pub(super) cells: Vec<Cell>,
    /// What it costs whatever it covers, in thousandths of a sample.
    pub(super) price: i64,
    /// The layer it lies on; `None` where it lies on both.
    layer: Option<u32>,
    /// Samples covered, on both layers.
    pub(super) size: i64,
    /// The most points it can ever win: nothing in its way inside the outline, all that it spills
    /// spilt by others before, and all of it evening out the other layer.
    pub(super) most: i64,
}

impl Strand {
    /// A strand with its price in mm2.
    ///
    /// `inside` counts its samples in the outline; `even` is true where layers are coupled.
    pub(super) fn new(
        cells: Vec<Cell>,
        price_mm2: f64,
        sample_mm2: f64,
        inside: i64,
        even: bool,
    ) -> Self {
        let ones = |cell: &Cell| i64::from(cell.bits.count_ones());
        let size: i64 = cells.iter().map(ones).sum();
        let evened = if even { UNEVEN * size } else { 0 };
        let covered = SAMPLE * inside - DOUBLED * (size - inside);
        let layer = cells.first().map(|cell| cell.tile & 1);
        Self {
            most: covered + evened - points(price_mm2, sample_mm2),
            size,
            price: points(price_mm2, sample_mm2),
            layer: layer.filter(|layer| cells.iter().all(|cell| cell.tile & 1 == *layer)),
            cells,
        }
    }

    /// Two strands as if they were one; `None` where they have samples in common.
    pub(super) fn with(&self, other: &Self) -> Option<Self> {
        let (cells, overlap) = together([self, other]);
        (overlap == 0).then(|| Self {
            cells,
            price: self.price + other.price,
            layer: self.layer.filter(|_| self.layer == other.layer),
            size: self.size + other.size,
            most: self.most + other.most,
        })
    }

    /// True where it lies on both layers.
    pub(super) fn is_on_both_layers(&self) -> bool {
        self.layer.is_none()
    }
}

/// What strands cover together, in the order of the tiles, and where in these some do so twice.
fn together<'s>(strands: impl IntoIterator<Item = &'s Strand>) -> (Vec<Cell>, u64) {
    let cells = strands.into_iter().flat_map(|strand| &strand.cells);
    let mut cells: Vec<Cell> = cells.copied().collect();
    cells.sort_unstable_by_key(|cell| cell.tile);
    let mut overlap = 0;
    cells.dedup_by(|cell, before| {
        let is_same = cell.tile == before.tile;
        if is_same {
            overlap |= cell.bits & before.bits;
            before.bits |= cell.bits;
        }
        is_same
    });
    (cells, overlap)
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

/// The samples of a tile on one layer.
#[derive(Debug, Clone, Copy, Default)]
struct Tile {
    target: u64,
    cover: [u64; DEPTH],
}

impl Tile {
    /// True where one more cover would pile too high.
    fn is_full(&self, bits: u64) -> bool {
        self.cover[DEPTH - 1] & bits != 0
    }

    /// What stays covered without a strand that covers `bits`.
    fn without(&self, bits: u64) -> u64 {
        let [once, twice] = [self.cover[0], self.cover[1]];
        once & !(bits & !twice)
    }
}

/// A tile on both layers, side by side in memory: what is sewn on one is evened on the other.
#[derive(Debug, Clone, Copy, Default)]
#[repr(align(64))]
struct Tiles([Tile; 2]);

fn ones(bits: u64) -> i32 {
    bits.count_ones().cast_signed()
}

/// Samples whose cover an exchange begins, less those whose cover it ends.
#[derive(Debug, Clone, Copy)]
struct Change {
    inside: i32,
    all: i32,
    /// Those covered on the other layer as well.
    both: i32,
    /// The last tile looked at, and what it covers after the exchange.
    last: (u32, u64),
}

impl Change {
    fn none() -> Self {
        Self {
            inside: 0,
            all: 0,
            both: 0,
            last: (u32::MAX, 0),
        }
    }

    /// Adds samples whose cover begins, of a tile with its target and what its other layer covers.
    #[inline]
    fn add(&mut self, begun: u64, target: u64, opposite: u64) {
        self.inside += ones(begun & target);
        self.all += ones(begun);
        self.both += ones(begun & opposite);
    }

    /// The same with more or fewer covered on both layers.
    fn evened(self, more: i32) -> Self {
        Self {
            both: self.both + more,
            ..self
        }
    }

    /// What the other layer of a tile covers, with what the exchange has done to it.
    #[inline]
    fn opposite(&self, tiles: &Tiles, tile: u32) -> u64 {
        if self.last.0 == tile ^ 1 {
            self.last.1
        } else {
            tiles.0[(tile & 1 ^ 1) as usize].cover[0]
        }
    }

    /// Takes a tile, seen in `tiles` as it was, for covering `after`.
    #[inline]
    fn take(&mut self, tiles: &Tiles, tile: u32, after: u64) {
        let Tile { target, cover } = tiles.0[(tile & 1) as usize];
        let opposite = self.opposite(tiles, tile);
        let (begun, ended) = (after & !cover[0], cover[0] & !after);
        self.inside += ones(begun & target) - ones(ended & target);
        self.all += ones(begun) - ones(ended);
        self.both += ones(begun & opposite) - ones(ended & opposite);
        self.last = (tile, after);
    }

    /// Points of what is covered. Doubled cover is priced by the strands' sizes, which count each
    /// sample each time, less what is given back here for its first time.
    fn points(&self, uneven: i64) -> i64 {
        let all = i64::from(self.all);
        2 * SAMPLE * i64::from(self.inside) + (DOUBLED - SAMPLE) * all
            - uneven * (all - 2 * i64::from(self.both))
    }
}

/// Cover of both layers over the outline.
#[derive(Debug, Clone)]
pub(super) struct Canvas {
    tiles: Vec<Tiles>,
    /// Points lost where one layer is covered and the other is not; 0 for a single layer.
    uneven: i64,
}

impl Canvas {
    /// A bare canvas. `even` couples the two layers.
    pub(super) fn new(target: &[u64], even: bool) -> Self {
        let both = |&target: &u64| {
            let bare = Tile {
                target,
                ..Tile::default()
            };
            Tiles([bare; 2])
        };
        Self {
            tiles: target.iter().map(both).collect(),
            uneven: if even { UNEVEN } else { 0 },
        }
    }

    /// Points that strands lose on bare fabric where one layer is covered and the other is not.
    pub(super) fn unevenness<'s>(&self, strands: impl IntoIterator<Item = &'s Strand>) -> i64 {
        if self.uneven == 0 {
            return 0;
        }
        let (cells, _) = together(strands);
        let all: i32 = cells.iter().map(|cell| ones(cell.bits)).sum();
        let opposite = cells
            .windows(2)
            .filter(|two| two[0].tile ^ 1 == two[1].tile);
        let both: i32 = opposite.map(|two| ones(two[0].bits & two[1].bits)).sum();
        self.uneven * i64::from(all - 2 * both)
    }

    #[inline]
    fn tiles(&self, tile: u32) -> &Tiles {
        &self.tiles[(tile >> 1) as usize]
    }

    #[inline]
    fn tile(&mut self, tile: u32) -> &mut Tile {
        &mut self.tiles[(tile >> 1) as usize].0[(tile & 1) as usize]
    }

    /// Points won by sewing a strand; very negative where it would pile too high.
    pub(super) fn gain(&self, new: &Strand) -> i64 {
        let mut full = 0;
        let begun = |here: &Tile, bits: u64| {
            full |= bits & here.cover[DEPTH - 1];
            bits & !here.cover[0]
        };
        let (begun, evened) = match new.layer {
            Some(_) => (self.counted(new.cells.iter(), new.layer, begun), 0),
            None => self.counted_on_both_layers(&new.cells, begun),
        };
        if full != 0 {
            return TOO_HIGH;
        }
        // What it begins to cover on both layers at once is even.
        begun.evened(evened).points(self.uneven) - DOUBLED * new.size - new.price
    }

    /// About the points won by sewing a strand, from every second tile. From every third, half as
    /// many again must be weighed exactly, for fillings worth 0.04 % less.
    pub(super) fn gain_at_a_glance(&self, new: &Strand) -> i64 {
        let some = new.cells.iter().step_by(2);
        let begun = self.counted(some, new.layer, |here, bits| bits & !here.cover[0]);
        2 * begun.points(self.uneven) - DOUBLED * new.size - new.price
    }

    /// Points won by unpicking a strand that is sewn.
    pub(super) fn loss(&self, old: &Strand) -> i64 {
        let ended = |here: &Tile, bits: u64| here.cover[0] & !here.without(bits);
        let (ended, evened) = match old.layer {
            Some(_) => (self.counted(old.cells.iter(), old.layer, ended), 0),
            None => self.counted_on_both_layers(&old.cells, ended),
        };
        // What it bares on both layers at once was even, and counted for both.
        DOUBLED * old.size + old.price - ended.evened(-evened).points(self.uneven)
    }

    /// Counts the samples whose cover begins, or ends, as `changed` tells for each tile, each
    /// against the other layer as it lies; of cells on one layer or on both.
    #[inline]
    fn counted<'c>(
        &self,
        cells: impl Iterator<Item = &'c Cell>,
        layer: Option<u32>,
        mut changed: impl FnMut(&Tile, u64) -> u64,
    ) -> Change {
        let mut change = Change::none();
        // To know the layer beforehand saves a sixth of this.
        match layer {
            Some(0) => cells.for_each(|cell| {
                self.count(cell, 0, &mut change, &mut changed);
            }),
            Some(_) => cells.for_each(|cell| {
                self.count(cell, 1, &mut change, &mut changed);
            }),
            None => cells.for_each(|cell| {
                self.count(cell, cell.tile & 1, &mut change, &mut changed);
            }),
        }
        change
    }

    /// The same for a strand that covers tiles on both layers, and the samples that change on
    /// both.
    #[inline]
    fn counted_on_both_layers(
        &self,
        cells: &[Cell],
        mut changed: impl FnMut(&Tile, u64) -> u64,
    ) -> (Change, i32) {
        let mut change = Change::none();
        let mut twice = 0;
        let mut last = (u32::MAX, 0);
        for cell in cells {
            let bits = self.count(cell, cell.tile & 1, &mut change, &mut changed);
            if last.0 == cell.tile ^ 1 {
                twice += ones(last.1 & bits);
            }
            last = (cell.tile, bits);
        }
        (change, twice)
    }

    /// Adds what changes in one tile on a layer, and returns it.
    #[inline]
    fn count(
        &self,
        &Cell { tile, bits }: &Cell,
        layer: u32,
        change: &mut Change,
        changed: &mut impl FnMut(&Tile, u64) -> u64,
    ) -> u64 {
        let tiles = self.tiles(tile);
        let here = &tiles.0[layer as usize];
        let opposite = tiles.0[(layer ^ 1) as usize].cover[0];
        let changed = changed(here, bits);
        change.add(changed, here.target, opposite);
        changed
    }

    /// Points won by unpicking one strand and sewing another; very negative where it would pile
    /// too high.
    pub(super) fn swap(&self, old: &Strand, new: &Strand) -> i64 {
        let change = self.exchanged(&old.cells, &new.cells);
        change.map_or(TOO_HIGH, |change| {
            change.points(self.uneven) + DOUBLED * (old.size - new.size) + old.price - new.price
        })
    }

    /// Counts what changes where some cells are bared and others covered, in one pass over the
    /// tiles of both; `None` where it would pile too high.
    #[inline]
    fn exchanged(&self, mut olds: &[Cell], mut news: &[Cell]) -> Option<Change> {
        let mut change = Change::none();
        loop {
            let (tile, out, into) = match (olds.first(), news.first()) {
                (Some(a), Some(b)) if a.tile == b.tile => {
                    (olds, news) = (&olds[1..], &news[1..]);
                    (a.tile, a.bits, b.bits)
                }
                (Some(a), Some(b)) if a.tile < b.tile => {
                    olds = &olds[1..];
                    (a.tile, a.bits, 0)
                }
                (_, Some(b)) => {
                    news = &news[1..];
                    (b.tile, 0, b.bits)
                }
                (Some(a), None) => {
                    olds = &olds[1..];
                    (a.tile, a.bits, 0)
                }
                (None, None) => return Some(change),
            };
            let tiles = self.tiles(tile);
            let here = tiles.0[(tile & 1) as usize];
            if here.is_full(into) {
                return None;
            }
            change.take(tiles, tile, here.without(out) | into);
        }
    }

    /// The most points a strand may lose to unevenness, and win back when it is evened out.
    pub(super) fn evened(&self, strand: &Strand) -> i64 {
        self.uneven * strand.size
    }

    /// Sews a strand.
    pub(super) fn sew(&mut self, strand: &Strand) {
        for &Cell { tile, bits } in &strand.cells {
            let mut carry = bits;
            for plane in &mut self.tile(tile).cover {
                let above = *plane & carry;
                *plane |= carry;
                carry = above;
            }
        }
    }

    /// Unpicks a strand that is sewn.
    pub(super) fn unpick(&mut self, strand: &Strand) {
        for &Cell { tile, bits } in &strand.cells {
            let mut rest = bits;
            for plane in self.tile(tile).cover.iter_mut().rev() {
                let here = *plane & rest;
                *plane &= !here;
                rest &= !here;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two strands as one win what they win one after the other, over what others cover.
    #[test]
    fn a_couple_wins_what_its_strands_win() {
        let mut random = fastrand::Rng::with_seed(1);
        let mut couples = 0;
        for _ in 0..500 {
            let mut bits = || random.u64(..) & random.u64(..);
            let target = [bits(), bits(), bits()];
            let mut strand = |layer: Option<u32>| {
                let tiles = (0..6).filter(|tile| layer.is_none_or(|layer| tile & 1 == layer));
                let cells = tiles.map(|tile| Cell { tile, bits: bits() }).collect();
                Strand::new(cells, 0.3, 0.01, 40, true)
            };
            let mut canvas = Canvas::new(&target, true);
            canvas.sew(&strand(None));
            for [one, other] in [[Some(0), Some(1)], [Some(1), Some(1)]] {
                let [one, other] = [strand(one), strand(other)];
                let Some(both) = one.with(&other) else {
                    let meet = |a: &Cell, b: &Cell| a.tile == b.tile && a.bits & b.bits != 0;
                    assert!(
                        one.cells
                            .iter()
                            .any(|a| other.cells.iter().any(|b| meet(a, b)))
                    );
                    continue;
                };
                couples += 1;
                let first = canvas.gain(&one);
                let mut with_one = canvas.clone();
                with_one.sew(&one);
                assert_eq!(canvas.gain(&both), first + with_one.gain(&other));
            }
        }
        assert!(couples >= 500, "{couples}");
    }
}
