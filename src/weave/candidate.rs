//! Candidate strands: every pair of needle points that a feature's strand may join.

use kurbo::{BezPath, Point, Rect, Shape};
use rayon::prelude::*;

use super::field::Field;
use super::footprint::Footprint;
use super::sample::{Bits, SampleGrid};
use super::score;
use super::settings::{ROUNDED_DEG, Settings};
use crate::fabric::Instep;

/// Share of a strand's footprint that must lie in the outline. A strand covers first what is
/// bare, so with less than 0.35 / 1.35 = 0.26 inside it can only lose, whatever else is sewn;
/// between that and this share it would have to lie wholly over other strands' spill.
const LEAST_INSIDE: f64 = 0.35;

/// What a cosine is let off, so that what is asked exactly afterwards is kept.
const SLACK: f64 = 1e-6;

/// Which layers of the canvas a feature's strands lie on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fold {
    /// One layer, nothing mirrored.
    None,
    /// The right side on layer 0, the left side mirrored onto layer 1.
    Pair,
    /// The page folded at the centre line: right half on layer 0, left half on layer 1.
    Centre,
}

/// What candidates are sought for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted<'a> {
    pub(super) instep: &'a Instep,
    pub(super) settings: &'a Settings,
    /// Width of the thread, mm.
    pub(super) width: f64,
    pub(super) fold: Fold,
    /// Strands whose middle lies left of the centre line take the mirrored direction.
    pub(super) mirrored: bool,
    /// The outline in the instep frame, mm; of the right side for a pair.
    pub(super) outline: &'a BezPath,
    /// The point that strands are told to radiate from, mm; of the right side for a pair.
    pub(super) fan_from: Option<Point>,
    /// Free strand ends by needle point, in the order of [`Instep::points`].
    pub(super) free: &'a [u32],
}

/// Two needle points that are near enough and allowed, whatever the direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pairing {
    /// Indices into [`Instep::points`].
    pub(super) ends: [u32; 2],
    /// The ends in folded coordinates: those of the half (or side) the strand belongs to.
    pub(super) at: [Point; 2],
    /// Which half or side: 0 right (or the only one), 1 left.
    pub(super) layer: usize,
    /// Direction, degrees; mirrored in the left half where directions are mirrored.
    pub(super) direction_deg: f64,
    /// Ends that pierce yarn.
    pub(super) pierced: u32,
}

impl Pairing {
    pub(super) fn length(&self) -> f64 {
        self.at[0].distance(self.at[1])
    }

    pub(super) fn middle(&self) -> Point {
        self.at[0].midpoint(self.at[1])
    }

    /// How far its ends lie from two others, whichever way round is nearer, mm in all.
    pub(super) fn apart(&self, ends: &[Point; 2]) -> f64 {
        let straight = self.at[0].distance(ends[0]) + self.at[1].distance(ends[1]);
        let turned = self.at[0].distance(ends[1]) + self.at[1].distance(ends[0]);
        straight.min(turned)
    }

    pub(super) fn footprint(&self, width: f64) -> Footprint {
        Footprint::new(self.at[0], self.at[1], width)
    }

    /// How far it leaves a direction, degrees, but for rounding.
    pub(super) fn off_deg(&self, direction_deg: f64) -> f64 {
        (score::angle_between(self.direction_deg, direction_deg) - ROUNDED_DEG).max(0.0)
    }

    /// What the strand costs in a direction whatever it covers, mm2; `None` when it leaves the
    /// direction by more than the spread.
    pub(super) fn price(&self, direction_deg: f64, width: f64, spread_deg: f64) -> Option<f64> {
        let off = self.off_deg(direction_deg);
        // Without any spread only what lies exactly in the direction is left, and nothing is askew.
        let askew = if off == 0.0 { 0.0 } else { off / spread_deg };
        let area = self.footprint(width).area();
        (askew <= 1.0).then(|| score::price(width, area, self.pierced, askew))
    }
}

impl Wanted<'_> {
    /// The outline in folded coordinates: for a centred feature its right half and a strip of the
    /// left, which the half-plane of the grid cuts off.
    pub(super) fn area(&self) -> Rect {
        let mut area = self.outline.bounding_box();
        if self.fold == Fold::Centre {
            area.x0 = 0.0;
        }
        area.inflate(self.reach(), self.reach())
    }

    /// How far a strand may stick out of the outline's box, mm.
    fn reach(&self) -> f64 {
        (1.0 - LEAST_INSIDE) * self.settings.longest_fill_mm() + self.width
    }

    /// All allowed pairs of needle points near the outline; where one direction is wanted, without
    /// most of those that leave it by more than the spread.
    pub(super) fn pairings(&self, field: Option<&Field>) -> Vec<Pairing> {
        match self.fold {
            Fold::None => self.pairings_near(0, field, |p| p),
            Fold::Centre => self.pairings_near(0, field, |p| p),
            Fold::Pair => {
                let mut both = self.pairings_near(0, field, |p| p);
                both.extend(self.pairings_near(1, field, mirror));
                both
            }
        }
    }

    /// The needle points with room in a box, folded, with their indices; those at the top first.
    pub(super) fn points_in(&self, near: Rect, fold: impl Fn(Point) -> Point) -> Vec<(Point, u32)> {
        let mut points: Vec<(Point, u32)> = self
            .instep
            .points()
            .iter()
            .zip(0_u32..)
            .filter(|(placed, index)| {
                self.settings.allows(placed.point) && self.free[*index as usize] > 0
            })
            .map(|(placed, index)| (fold(placed.at), index))
            .filter(|(at, _)| near.contains(*at))
            .collect();
        points.sort_by(|a, b| a.0.y.total_cmp(&b.0.y).then(a.1.cmp(&b.1)));
        points
    }

    fn pairings_near(
        &self,
        layer: usize,
        field: Option<&Field>,
        fold: impl Fn(Point) -> Point,
    ) -> Vec<Pairing> {
        let box_ = self.outline.bounding_box();
        let near = box_.inflate(self.reach(), self.reach());
        let core = box_.inflate(self.width / 2.0, self.width / 2.0);
        let points = self.points_in(near, fold);
        let heading = field.and_then(|field| self.heading(field));
        let with_later = |(i, &first): (usize, &(Point, u32))| {
            let pairs = self.pairs_with(first, &points[i + 1..], heading);
            let in_core = pairs.filter(|[(a, _), (b, _)]| core.contains(a.midpoint(*b)));
            in_core.map(|pair| self.pairing(layer, pair))
        };
        let all = points.par_iter().enumerate();
        all.flat_map_iter(with_later).collect()
    }

    /// A quick look at the direction of pairs; `None` where each place has its own.
    pub(super) fn heading(&self, field: &Field) -> Option<Heading> {
        Heading::of(field, self.settings.spread_deg, self.mirrored)
    }

    /// A needle point with each of those farther down, the topmost first, that lies as far off as a
    /// strand is long, and not clearly out of the heading.
    pub(super) fn pairs_with<'p>(
        &self,
        first: (Point, u32),
        farther_down: &'p [(Point, u32)],
        heading: Option<Heading>,
    ) -> impl Iterator<Item = [(Point, u32); 2]> + use<'p> {
        let (shortest, longest) = self.settings.fill_lengths_mm(self.width);
        let lengths2 = shortest * shortest..=longest * longest;
        let highest = heading.map_or(longest, |heading| heading.rise(longest));
        let near = farther_down
            .iter()
            .take_while(move |(at, _)| at.y - first.0.y <= highest);
        let in_reach = near.filter(move |(at, _)| {
            lengths2.contains(&first.0.distance_squared(*at))
                && heading.is_none_or(|heading| heading.keeps(first.0, *at))
        });
        in_reach.map(move |&other| [first, other])
    }

    /// True for a slanting strand whose middle lies on the centre line itself, where the two
    /// halves have different directions: it belongs to neither.
    pub(super) fn in_no_half(&self, pairing: &Pairing, direction_deg: f64) -> bool {
        let slants = |deg: f64| score::angle_between(2.0 * deg, 0.0) > 0.01;
        self.mirrored
            && pairing.middle().x.abs() < 1e-3
            && slants(direction_deg)
            && slants(pairing.direction_deg)
    }

    pub(super) fn pairing(&self, layer: usize, ends: [(Point, u32); 2]) -> Pairing {
        let [(a, a_index), (b, b_index)] = ends;
        // A strand of a centred feature belongs to the half its middle lies in.
        let left_half = a.midpoint(b).x < 0.0;
        let left = self.fold == Fold::Centre && left_half;
        let at = if left { [mirror(a), mirror(b)] } else { [a, b] };
        let lie = if left_half && self.mirrored {
            score::direction_deg(mirror(a), mirror(b))
        } else {
            score::direction_deg(a, b)
        };
        let points = self.instep.points();
        Pairing {
            ends: [a_index, b_index],
            at,
            layer: if left { 1 } else { layer },
            direction_deg: lie,
            pierced: [a_index, b_index]
                .into_iter()
                .map(|index| u32::from(points[index as usize].point.pierces()))
                .sum(),
        }
    }
}

/// A quick look which way two needle points lie.
#[derive(Debug, Clone, Copy)]
pub(super) struct Heading {
    /// Sine and cosine of the direction wanted, and the cosine of the spread, a little less.
    sin: f64,
    cos: f64,
    least: f64,
    /// The most by which a strand that keeps to it rises, as a share of its length.
    steepest: f64,
    mirrored: bool,
}

impl Heading {
    /// The one direction of a field, which the left half may mirror, and the spread, degrees; `None`
    /// for a field that bends.
    fn of(field: &Field, spread_deg: f64, mirrored: bool) -> Option<Self> {
        let Field::Straight(direction_deg) = *field else {
            return None;
        };
        let (sin, cos) = direction_deg.to_radians().sin_cos();
        // A direction and its mirror image rise alike.
        let off_upright_deg = score::angle_between(direction_deg, 90.0) - spread_deg;
        Some(Self {
            sin,
            cos,
            least: spread_deg.to_radians().cos() - SLACK,
            steepest: off_upright_deg.max(0.0).to_radians().cos() + SLACK,
            mirrored,
        })
    }

    /// How much higher one end of a strand that keeps to it lies than the other at most.
    pub(super) fn rise(&self, length: f64) -> f64 {
        self.steepest * length
    }

    /// False for two that leave the direction by more than the spread; true for all others, and
    /// for a few more.
    pub(super) fn keeps(&self, a: Point, b: Point) -> bool {
        let run = b - a;
        let flips = self.mirrored && a.x + b.x < 0.0;
        let x = if flips { -run.x } else { run.x };
        (x * self.cos - run.y * self.sin).abs() >= self.least * run.hypot()
    }
}

/// The mirror image across the centre line.
pub(super) fn mirror(p: Point) -> Point {
    Point::new(-p.x, p.y)
}

/// Some samples of a strand, on one layer.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// Twice the word of the grid, and one more on layer 1.
    pub(super) tile: u32,
    pub(super) bits: u64,
}

/// The grid a feature is judged on, with its outline.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    pub(super) grid: SampleGrid,
    fold: Fold,
    /// Samples right of the centre line, for a folded page.
    right_half: Vec<u64>,
}

impl Ground {
    pub(super) fn new(wanted: &Wanted<'_>, pitch: f64, direction_deg: f64) -> Self {
        let area = wanted.area();
        let grid = SampleGrid::new(area, pitch, direction_deg);
        let right_half = if wanted.fold == Fold::Centre {
            let right = Rect::new(0.0, area.y0 - 1e3, area.x1 + 1e3, area.y1 + 1e3);
            grid.outline(&right.to_path(0.1))
        } else {
            Vec::new()
        };
        Self {
            grid,
            fold: wanted.fold,
            right_half,
        }
    }

    /// The outline as a mask, on either layer.
    pub(super) fn target(&self, outline: &BezPath) -> Vec<u64> {
        let mut mask = self.grid.outline(outline);
        for (word, half) in mask.iter_mut().zip(&self.right_half) {
            *word &= half;
        }
        mask
    }

    /// The samples a strand covers, in the order of the tiles.
    pub(super) fn cells(&self, pairing: &Pairing, width: f64) -> Vec<Cell> {
        let bar = pairing.footprint(width);
        let mut cells = on_layer(self.in_half(&bar), pairing.layer);
        // A strand across the centre line also covers some of the other half.
        if self.fold == Fold::Centre && pairing.at.iter().any(|p| p.x < width) {
            cells.extend(on_layer(self.in_half(&bar.mirrored()), 1 - pairing.layer));
            cells.sort_unstable_by_key(|cell| cell.tile);
        }
        cells
    }

    /// The samples in a bar; of a folded page those of the right half.
    fn in_half(&self, bar: &Footprint) -> Vec<Bits> {
        let mut found = self.grid.bar(bar);
        if self.fold == Fold::Centre {
            found.retain_mut(|found| {
                found.bits &= self.right_half[found.word as usize];
                found.bits != 0
            });
        }
        found
    }
}

/// The samples of a strand on one layer.
fn on_layer(bits: Vec<Bits>, layer: usize) -> Vec<Cell> {
    let layer = u32::from(layer > 0);
    let cell = |found: Bits| Cell {
        tile: 2 * found.word + layer,
        bits: found.bits,
    };
    bits.into_iter().map(cell).collect()
}

/// Samples of a strand inside a mask, and all of them.
pub(super) fn inside(cells: &[Cell], target: &[u64]) -> (u32, u32) {
    let mut counts = (0, 0);
    for cell in cells {
        counts.0 += (cell.bits & target[(cell.tile >> 1) as usize]).count_ones();
        counts.1 += cell.bits.count_ones();
    }
    counts
}

/// True when enough of a strand's samples lie in the outline to be worth a thought.
pub(super) fn worth_a_thought(inside: u32, all: u32) -> bool {
    f64::from(inside) >= LEAST_INSIDE * f64::from(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the exact look keeps, the quick one keeps: at every spread and direction, near the limit
    /// too, and mirrored.
    #[test]
    fn a_quick_look_drops_nothing_that_is_allowed() {
        let mut random = fastrand::Rng::with_seed(1);
        let mut kept = 0;
        for round in 0..40_000 {
            let spread_deg = [0.0, 1e-9, 20.0, 45.0, 90.0][round % 5];
            let direction_deg = match round % 7 {
                0 => 0.0,
                1 => 90.0,
                2 => 180.0 - 1e-9,
                _ => 180.0 * random.f64(),
            };
            let mirrored = random.bool();
            let field = Field::Straight(direction_deg);
            let heading = Heading::of(&field, spread_deg, mirrored).expect("it is straight");
            // Within the spread, just beyond it, or anywhere.
            let off_deg = match round % 3 {
                0 => spread_deg * (2.0 * random.f64() - 1.0),
                1 => spread_deg + 1e-6 * (random.f64() - 0.5),
                _ => 180.0 * random.f64(),
            };
            let (sin, cos) = (direction_deg + off_deg).to_radians().sin_cos();
            let length = 4.0 + 20.0 * random.f64();
            let a = Point::new(60.0 * random.f64() - 30.0, 50.0 * random.f64());
            let middle_is_left = mirrored && a.x + length / 2.0 * cos < 0.0;
            let run = kurbo::Vec2::new(if middle_is_left { -cos } else { cos }, -sin);
            let b = a + length * run;
            let flips = mirrored && a.midpoint(b).x < 0.0;
            let lie_deg = match flips {
                true => score::direction_deg(mirror(a), mirror(b)),
                false => score::direction_deg(a, b),
            };
            let off_deg = score::angle_between(lie_deg, direction_deg) - ROUNDED_DEG;
            if off_deg.max(0.0) <= spread_deg {
                kept += 1;
                assert!(heading.keeps(a, b), "{a} {b} {direction_deg} {spread_deg}");
                let rise = (b.y - a.y).abs();
                assert!(rise <= heading.rise(length), "{a} {b} {direction_deg}");
            }
        }
        assert!(kept > 10_000, "{kept}");
    }
}
