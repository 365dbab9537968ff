//! Areas by sample points: a square grid, turned against the strands, one bit a point, a word for
//! each tile of 8 by 8 points, so that a strand touches few words.
//!
//! A bar that runs along the rows of a grid is measured wrong by up to a whole row on each side;
//! one that runs across them slantwise is not. So the grid is turned by 38 degrees against the
//! direction of the strands: within the usual spread of 20 degrees no bar comes nearer than 18
//! degrees to a row or a column.

use std::ops::Range;

use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::footprint::Footprint;

/// Turn of the grid against the strands, degrees.
const TURN_DEG: f64 = 38.0;

/// A grid of sample points over a part of the instep frame.
#[derive(Debug, Clone)]
pub(super) struct SampleGrid {
    /// From the instep frame to grid units: samples lie at whole numbers plus a half.
    map: Affine,
    pitch: f64,
    /// Tiles side by side, and in a column.
    tiles: [usize; 2],
}

/// Samples along a side of a tile.
const TILE: usize = 8;

/// Some bits of one word of the grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Bits {
    pub(super) word: u32,
    pub(super) bits: u64,
}

impl SampleGrid {
    /// A grid over `area` (mm) with `pitch` mm between samples, for strands in a direction
    /// (degrees, counter-clockwise on the page).
    pub(super) fn new(area: Rect, pitch: f64, direction_deg: f64) -> Self {
        // The page's y runs down: a direction of d degrees lies at -d for `Affine::rotate`.
        let level = Affine::rotate((direction_deg + TURN_DEG).to_radians());
        let turned = level.transform_rect_bbox(area);
        let map = Affine::scale(1.0 / pitch) * Affine::translate((-turned.x0, -turned.y0)) * level;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a count of samples, not negative"
        )]
        let tiles = |length: f64| (length / pitch).ceil() as usize / TILE + 1;
        Self {
            map,
            pitch,
            tiles: [tiles(turned.width()), tiles(turned.height())],
        }
    }

    /// Words of a full mask.
    pub(super) fn words(&self) -> usize {
        self.tiles[0] * self.tiles[1]
    }

    /// Area that one sample stands for, mm2.
    pub(super) fn sample_mm2(&self) -> f64 {
        self.pitch * self.pitch
    }

    /// The samples in a bar, a few bits a word, in the order of the words.
    pub(super) fn bar(&self, footprint: &Footprint) -> Vec<Bits> {
        let bar = footprint.transformed(self.map, 1.0 / self.pitch);
        let (low, high) = bar.y_range();
        let rows = sample_range(low, high, self.tiles[1] * TILE);
        let lines = rows.start / TILE..rows.end.div_ceil(TILE);
        let spans = bar.spans();
        // A strand is about two tiles wide.
        let mut out = Vec::with_capacity(4 * lines.len());
        for line in lines {
            let mut covered = [const { 0..0 }; TILE];
            let (mut first, mut end) = (usize::MAX, 0);
            for row in rows.start.max(line * TILE)..rows.end.min((line + 1) * TILE) {
                let (from, to) = spans.at(row as f64 + 0.5);
                let span = sample_range(from, to, self.tiles[0] * TILE);
                if !span.is_empty() {
                    first = first.min(span.start);
                    end = end.max(span.end);
                    covered[row % TILE] = span;
                }
            }
            for from in (first / TILE..end.div_ceil(TILE)).step_by(TILE) {
                let mut rows = [0; TILE];
                for (row, span) in rows.iter_mut().zip(&covered) {
                    *row = in_tiles(span, from);
                }
                for tile in from..end.div_ceil(TILE).min(from + TILE) {
                    let mut bits = 0;
                    for (at, row) in rows.iter_mut().enumerate() {
                        bits |= (*row & 0xff) << (at * TILE);
                        *row >>= TILE;
                    }
                    if bits != 0 {
                        let word = self.word(line, tile);
                        out.push(Bits { word, bits });
                    }
                }
            }
        }
        out
    }

    /// The samples inside an outline, even-odd, as a full mask.
    pub(super) fn outline(&self, outline: &BezPath) -> Vec<u64> {
        let [across, down] = self.tiles.map(|tiles| tiles * TILE);
        // Row and place of each crossing of an edge with a row.
        let mut crossings: Vec<(usize, f64)> = Vec::new();
        for (a, b) in edges(&(self.map * outline)) {
            for row in sample_range(a.y.min(b.y), a.y.max(b.y), down) {
                let y = row as f64 + 0.5;
                crossings.push((row, a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)));
            }
        }
        crossings.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut mask = vec![0; self.words()];
        for pair in crossings.chunks_exact(2) {
            let (row, span) = (pair[0].0, sample_range(pair[0].1, pair[1].1, across));
            let line = &mut mask[row / TILE * self.tiles[0]..][..self.tiles[0]];
            let (first, last) = (span.start / TILE, span.end / TILE);
            let bits = |bits: u64| bits << (row % TILE * TILE);
            for tile in [first, last] {
                // A span may end where the last tile does.
                if let Some(word) = line.get_mut(tile) {
                    *word |= bits(in_tile(&span, tile));
                }
            }
            for word in line.iter_mut().take(last).skip(first + 1) {
                *word |= bits(0xff);
            }
        }
        mask
    }

    /// The samples covered by any of some bars, as a full mask, and how often samples are covered
    /// again after the first time.
    pub(super) fn bars(&self, bars: &[Footprint]) -> (Vec<u64>, u64) {
        let cover = |bars: &[Footprint]| {
            let mut mask = vec![0_u64; self.words()];
            let mut all = 0;
            for Bits { word, bits } in bars.iter().flat_map(|bar| self.bar(bar)) {
                mask[word as usize] |= bits;
                all += u64::from(bits.count_ones());
            }
            (mask, all)
        };
        let (some, others) = bars.split_at(bars.len() / 2);
        let ((mut mask, all), (other, all_others)) = rayon::join(|| cover(some), || cover(others));
        for (word, other) in mask.iter_mut().zip(other) {
            *word |= other;
        }
        let once = count(&mask);
        (mask, all + all_others - once)
    }

    /// The word of a tile: `line` counts tiles down, `tile` across.
    fn word(&self, line: usize, tile: usize) -> u32 {
        u32::try_from(line * self.tiles[0] + tile).unwrap_or(u32::MAX)
    }
}

/// The samples of a row that lie in a tile, as bits of one row.
fn in_tile(span: &Range<usize>, tile: usize) -> u64 {
    in_tiles(span, tile) & 0xff
}

/// The samples of a row that lie in a tile and the seven after it, as bits.
#[inline]
fn in_tiles(span: &Range<usize>, tile: usize) -> u64 {
    let within = |at: usize| at.saturating_sub(tile * TILE).min(TILE * TILE);
    let (start, end) = (within(span.start), within(span.end));
    if start == end {
        return 0;
    }
    u64::MAX >> (TILE * TILE - (end - start)) << start
}

/// Whole numbers `i` with `low <= i + 1/2 < high`, kept within `0..limit`.
#[inline]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast of less than 0 is 0, and of more than fits the limit"
)]
fn sample_range(low: f64, high: f64, limit: usize) -> Range<usize> {
    let at = |value: f64| ((value - 0.5).ceil() as u32 as usize).min(limit);
    let start = at(low);
    start..at(high).max(start)
}

/// The straight edges of a path, from one place to the next; curves are laid out to a two hundred
/// and fiftieth of a unit, so that the area along a line is right to 1 %.
pub(super) fn edges(path: &BezPath) -> Vec<(Point, Point)> {
    crate::face::edges(path, 0.004)
}

/// Samples set in a mask.
pub(super) fn count(mask: &[u64]) -> u64 {
    mask.iter().map(|word| u64::from(word.count_ones())).sum()
}

/// Samples set in both of two masks.
pub(super) fn count_both(a: &[u64], b: &[u64]) -> u64 {
    a.iter()
        .zip(b)
        .map(|(a, b)| u64::from((a & b).count_ones()))
        .sum()
}

/// Area, centroid and second moments about the centroid of a set of samples, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moments {
    pub(super) area: f64,
    pub(super) centroid: Point,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Moments {
    /// How far the long axis is off the level or the upright, whichever is nearer: degrees,
    /// positive where its right end is lower. 0 for a shape without a long axis (its breadths
    /// within 5 % of each other), where the angle means nothing.
    pub(super) fn tilt_deg(&self) -> f64 {
        let spread = (self.xx - self.yy).hypot(2.0 * self.xy);
        if spread < 0.1 * (self.xx + self.yy) / 2.0 {
            return 0.0;
        }
        let axis = (2.0 * self.xy).atan2(self.xx - self.yy).to_degrees() / 2.0;
        axis - (axis / 90.0).round() * 90.0
    }
}

impl SampleGrid {
    /// Samples right of the centre line.
    pub(super) fn right_of_centre(&self) -> Vec<u64> {
        const FAR_MM: f64 = 1e5;
        self.outline(&Rect::new(0.0, -FAR_MM, FAR_MM, FAR_MM).to_path(0.1))
    }

    /// Width of the widest disc of samples of a mask, mm; 0 for none. Distances to the nearest
    /// sample that is not in it, first up and down each column, then across.
    pub(super) fn widest_disc_mm(&self, mask: &[u64]) -> f64 {
        let [across, down] = self.tiles.map(|tiles| tiles * TILE);
        let is_in = |x: usize, y: usize| {
            let word = mask[y / TILE * self.tiles[0] + x / TILE];
            word >> (y % TILE * TILE + x % TILE) & 1 == 1
        };
        let mut upright = vec![0_usize; across * down];
        for x in 0..across {
            let mut run = 0;
            for y in 0..down {
                run = if is_in(x, y) { run + 1 } else { 0 };
                upright[y * across + x] = run;
            }
            run = 0;
            for y in (0..down).rev() {
                run = if is_in(x, y) { run + 1 } else { 0 };
                let here = &mut upright[y * across + x];
                *here = run.min(*here);
            }
        }
        let mut widest = 0;
        for row in upright.chunks_exact(across) {
            for (x, &own) in row.iter().enumerate() {
                let mut least = own * own;
                let mut off = 1;
                while off * off < least && least > widest {
                    let beside = |x: Option<usize>| x.and_then(|x| row.get(x)).map_or(0, |&n| n);
                    let near = beside(x.checked_sub(off)).min(beside(x.checked_add(off)));
                    least = least.min(off * off + near * near);
                    off += 1;
                }
                widest = widest.max(least);
            }
        }
        2.0 * (widest as f64).sqrt() * self.pitch
    }

    /// Moments of a mask in the instep frame.
    pub(super) fn moments(&self, mask: &[u64]) -> Moments {
        // Sums over the samples in grid units, counted from the middle of the first one.
        let (mut all, mut x, mut y, mut xx, mut xy, mut yy) = (0, 0, 0, 0, 0, 0);
        for (tile, &bits) in mask.iter().enumerate().filter(|tile| *tile.1 != 0) {
            let left = (tile % self.tiles[0] * TILE) as u64;
            let top = tile / self.tiles[0] * TILE;
            for (down, row) in (top as u64..).zip(bits.to_le_bytes()) {
                let [count, sum, squares] = ROW_SUMS[usize::from(row)];
                let across = sum + count * left;
                all += count;
                x += across;
                y += count * down;
                xx += squares + left * (sum + across);
                xy += across * down;
                yy += count * down * down;
            }
        }
        let number = all.max(1) as f64;
        let [x, y, xx, xy, yy] = [x, y, xx, xy, yy].map(|sum: u64| sum as f64 / number);
        let (xx, xy, yy) = (xx - x * x, xy - x * y, yy - y * y);
        let back = self.map.inverse();
        let [a, b, c, d, ..] = back.as_coeffs();
        Moments {
            area: all as f64 * self.sample_mm2(),
            centroid: back * Point::new(x + 0.5, y + 0.5),
            xx: a * a * xx + 2.0 * a * c * xy + c * c * yy,
            xy: a * b * xx + (a * d + b * c) * xy + c * d * yy,
            yy: b * b * xx + 2.0 * b * d * xy + d * d * yy,
        }
    }
}

/// For each row of a tile: how many samples are set, the sum of their places and of the squares.
const ROW_SUMS: [[u64; 3]; 256] = {
    let mut sums = [[0; 3]; 256];
    let mut row = 0;
    while row < 256 {
        let mut at = 0;
        while at < 8 {
            if row >> at & 1 == 1 {
                let [count, sum, squares] = sums[row];
                sums[row] = [count + 1, sum + at, squares + at * at];
            }
            at += 1;
        }
        row += 1;
    }
    sums
};
