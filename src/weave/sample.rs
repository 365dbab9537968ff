//! Areas by sample points: a square grid, turned against the strands, one bit a point, a word for
//! each tile of 8 by 8 points, so that a strand touches few words.
//!
//! A bar that runs along the rows of a grid is measured wrong by up to a whole row on each side;
//! one that runs across them slantwise is not. So the grid is turned by 38 degrees against the
//! direction of the strands: within the usual spread of 20 degrees no bar comes nearer than 18
//! degrees to a row or a column.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape};

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
        let mut out: Vec<Bits> = Vec::new();
        let mut spans: [std::ops::Range<usize>; TILE] = Default::default();
        for line in rows.start / TILE..rows.end.div_ceil(TILE) {
            for (row, span) in (line * TILE..).zip(&mut spans) {
                *span = match bar.span_at(row as f64 + 0.5) {
                    Some((from, to)) => sample_range(from, to, self.tiles[0] * TILE),
                    None => 0..0,
                };
            }
            let covered = || spans.iter().filter(|span| !span.is_empty());
            let first = covered().map(|span| span.start / TILE).min();
            let Some(first) = first else { continue };
            let begin = out.len();
            let last = covered().map(|span| (span.end - 1) / TILE).max();
            out.extend((first..=last.unwrap_or(first)).map(|tile| Bits {
                word: self.word(line, tile),
                bits: 0,
            }));
            for (row, span) in spans.iter().enumerate() {
                in_tiles(span, |tile, bits| {
                    out[begin + tile - first].bits |= bits << (row * TILE);
                });
            }
        }
        out.retain(|found| found.bits != 0);
        out
    }

    /// The samples inside an outline, even-odd, as a full mask.
    pub(super) fn outline(&self, outline: &BezPath) -> Vec<u64> {
        let mut mask = vec![0; self.words()];
        let edges = edges(&(self.map * outline));
        let mut crossings = Vec::new();
        for row in 0..self.tiles[1] * TILE {
            let y = row as f64 + 0.5;
            crossings.clear();
            for &(a, b) in &edges {
                if (a.y <= y) != (b.y <= y) {
                    crossings.push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
                }
            }
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let span = sample_range(pair[0], pair[1], self.tiles[0] * TILE);
                in_tiles(&span, |tile, bits| {
                    let word = self.word(row / TILE, tile) as usize;
                    mask[word] |= bits << (row % TILE * TILE);
                });
            }
        }
        mask
    }

    /// The samples covered by any of some bars, as a full mask, and how often samples are covered
    /// again after the first time.
    pub(super) fn bars(&self, bars: &[Footprint]) -> (Vec<u64>, u64) {
        let mut mask = vec![0_u64; self.words()];
        let mut again = 0;
        for bar in bars {
            for Bits { word, bits } in self.bar(bar) {
                let covered = &mut mask[word as usize];
                again += u64::from((*covered & bits).count_ones());
                *covered |= bits;
            }
        }
        (mask, again)
    }

    /// The word of a tile: `line` counts tiles down, `tile` across.
    fn word(&self, line: usize, tile: usize) -> u32 {
        u32::try_from(line * self.tiles[0] + tile).unwrap_or(u32::MAX)
    }
}

/// The samples of a row, tile by tile: the tile across, and its bits of one row.
fn in_tiles(span: &std::ops::Range<usize>, mut each: impl FnMut(usize, u64)) {
    if span.is_empty() {
        return;
    }
    for tile in span.start / TILE..=(span.end - 1) / TILE {
        let low = span.start.max(tile * TILE) - tile * TILE;
        let high = span.end.min(tile * TILE + TILE) - tile * TILE;
        each(tile, (0xFF_u64 >> (TILE - (high - low))) << low);
    }
}

/// Whole numbers `i` with `low <= i + 1/2 < high`, kept within `0..limit`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 0..limit"
)]
fn sample_range(low: f64, high: f64, limit: usize) -> std::ops::Range<usize> {
    let at = |value: f64| (value - 0.5).ceil().clamp(0.0, limit as f64) as usize;
    at(low)..at(high)
}

/// The straight edges of a path, from one place to the next; curves are laid out to a two hundred
/// and fiftieth of a unit, so that the area along a line is right to 1 %.
pub(super) fn edges(path: &BezPath) -> Vec<(Point, Point)> {
    let mut edges = Vec::new();
    let (mut start, mut last) = (Point::ZERO, Point::ZERO);
    kurbo::flatten(path.elements().iter().copied(), 0.004, |element| {
        let to = match element {
            PathEl::MoveTo(p) => {
                (start, last) = (p, p);
                return;
            }
            PathEl::LineTo(p) => p,
            _ => start,
        };
        if to != last {
            edges.push((last, to));
        }
        last = to;
    });
    edges
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

    /// Where the samples of a mask lie in the instep frame.
    fn samples(&self, mask: &[u64]) -> impl Iterator<Item = Point> {
        let back = self.map.inverse();
        let across = self.tiles[0];
        (0_usize..).zip(mask).flat_map(move |(tile, &bits)| {
            let corner = Point::new(
                (tile % across * TILE) as f64 + 0.5,
                (tile / across * TILE) as f64 + 0.5,
            );
            (0..TILE * TILE)
                .filter(move |bit| bits >> bit & 1 == 1)
                .map(move |bit| back * (corner + ((bit % TILE) as f64, (bit / TILE) as f64)))
        })
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
        let number = count(mask).max(1) as f64;
        let sum = self
            .samples(mask)
            .fold(kurbo::Vec2::ZERO, |sum, p| sum + p.to_vec2());
        let centroid = (sum / number).to_point();
        let mut moments = Moments {
            area: count(mask) as f64 * self.sample_mm2(),
            centroid,
            xx: 0.0,
            xy: 0.0,
            yy: 0.0,
        };
        for p in self.samples(mask) {
            let d = p - centroid;
            moments.xx += d.x * d.x / number;
            moments.xy += d.x * d.y / number;
            moments.yy += d.y * d.y / number;
        }
        moments
    }
}
