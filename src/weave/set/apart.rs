//! Whether two faces on one slipper can be told apart: how far their strands, and their drawings,
//! differ.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::Rect;

use super::{Sewn, SewnFeature};
use crate::weave::ink::Ink;
use crate::weave::sample::{SampleGrid, count, count_both};

/// Distance between samples, mm: a difference of areas is right to about 0.002 of the whole.
const PITCH_MM: f64 = 0.1;

/// Difference of strands from which two faces are told apart whatever differs.
///
/// Tried in pictures: every bundled face in all its moods on a bulky, a worsted and a sport
/// slipper, and one face with its features moved, narrowed and tilted a little at a time. Eyes
/// opened, shut or slanted otherwise are seen, and came to 0.052 and more (the least on a face
/// that is one large fill). A mouth higher by a strand, eyes narrower by a strand's end, a smaller
/// tooth came to 0.00 to 0.049, and nobody would call them another mood.
pub const LOOKS_ALIKE: f64 = 0.05;

/// Below that, two faces are told apart by one spot of difference this many strand widths across.
/// A French knot more or less, 2 widths, is seen though it is 0.04 of the yarn; one strand more or
/// less, at most 1 width, is not.
pub const SPOT_WIDTHS: f64 = 1.5;

/// Difference of two colours, CIE 1976 L*a*b*, below which they count as one. About 2.3 is just
/// noticeable with both edge to edge; slippers are seen apart, in rough yarn and changing light,
/// so this is twice that and a little more.
const ONE_COLOUR: f64 = 5.0;

/// Two features differ in the drawing from this share on.
const DRAWN_APART: f64 = 0.01;

/// Two faces on one slipper, compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    /// Difference of the strands, 0 to 1: 1 less what both cover in one colour over what either
    /// covers.
    pub sewn: f64,
    /// The same of the shapes as drawn.
    pub drawn: f64,
    /// The widest disc that fits into the difference of the strands, in widths of the thinner
    /// strand; only where the share alone would leave the two alike.
    pub spot_widths: Option<f64>,
    /// Features drawn differently whose strands look alike, in the order of the faces.
    pub enlarge: Vec<String>,
}

impl Apart {
    /// True when a person would not tell the two from each other.
    #[must_use]
    pub fn looks_alike(&self) -> bool {
        self.spot_widths.is_some_and(|widths| widths < SPOT_WIDTHS)
    }
}

/// A piece made ready to be compared with others on the same slipper.
#[derive(Debug)]
pub struct Drawing<'a> {
    sewn: &'a Sewn,
    grid: SampleGrid,
    strands: Seen,
    shapes: Seen,
}

/// What is seen: for each colour the samples on which it lies uppermost.
#[derive(Debug)]
struct Seen {
    by_colour: BTreeMap<[u8; 3], Vec<u64>>,
    any: Vec<u64>,
}

impl<'a> Drawing<'a> {
    /// Lays pieces of one slipper on one grid.
    #[must_use]
    pub fn all(pieces: &[&'a Sewn]) -> Vec<Self> {
        let boxes = pieces.iter().flat_map(|sewn| &sewn.features).flat_map(|f| {
            let bars = Ink::Bars(f.bars()).bounds();
            bars.into_iter().chain(f.drawn().bounds())
        });
        let area = boxes.reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        let grid = SampleGrid::new(area, PITCH_MM, 0.0);
        let drawing = |&sewn: &&'a Sewn| Self {
            sewn,
            strands: Seen::new(sewn, &grid, |feature| Ink::Bars(feature.bars())),
            shapes: Seen::new(sewn, &grid, SewnFeature::drawn),
            grid: grid.clone(),
        };
        pieces.iter().map(drawing).collect()
    }
}

impl Seen {
    fn new(sewn: &Sewn, grid: &SampleGrid, ink: impl Fn(&SewnFeature) -> Ink) -> Self {
        let mut seen = Self {
            by_colour: BTreeMap::new(),
            any: vec![0; grid.words()],
        };
        for feature in &sewn.features {
            let mask = ink(feature).mask(grid);
            for below in seen.by_colour.values_mut() {
                for (bits, covered) in below.iter_mut().zip(&mask) {
                    *bits &= !covered;
                }
            }
            let own = seen.by_colour.entry(sewn.colour(feature));
            let own = own.or_insert_with(|| vec![0; mask.len()]);
            for bits in [own, &mut seen.any] {
                for (bits, covered) in bits.iter_mut().zip(&mask) {
                    *bits |= covered;
                }
            }
        }
        seen
    }

    /// The samples on which two differ.
    fn differing(&self, other: &Self) -> Vec<u64> {
        let mut differing: Vec<u64> = self
            .any
            .iter()
            .zip(&other.any)
            .map(|(a, b)| a | b)
            .collect();
        for (colour, mask) in &self.by_colour {
            for (that, there) in &other.by_colour {
                if colours_apart(*colour, *that) < ONE_COLOUR {
                    for ((bits, a), b) in differing.iter_mut().zip(mask).zip(there) {
                        *bits &= !(a & b);
                    }
                }
            }
        }
        differing
    }

    /// 1 less what both show in one colour over what either shows; 0 where there is nothing.
    fn difference(&self, other: &Self) -> f64 {
        let either = count(&self.any) + count(&other.any) - count_both(&self.any, &other.any);
        if either == 0 {
            return 0.0;
        }
        count(&self.differing(other)) as f64 / either as f64
    }
}

/// Compares two pieces that were laid on one grid.
#[must_use]
pub fn apart(a: &Drawing<'_>, b: &Drawing<'_>) -> Apart {
    let sewn = a.strands.difference(&b.strands);
    let features = || [a, b].into_iter().flat_map(|d| &d.sewn.features);
    let strand_mm = features().map(|f| f.strand_mm).fold(f64::MAX, f64::min);
    let spot = || a.grid.widest_disc_mm(&a.strands.differing(&b.strands)) / strand_mm;
    let mut apart = Apart {
        sewn,
        drawn: a.shapes.difference(&b.shapes),
        spot_widths: (sewn < LOOKS_ALIKE).then(spot),
        enlarge: Vec::new(),
    };
    if apart.looks_alike() {
        apart.enlarge = same_but_drawn_apart(a, b);
    }
    apart
}

/// Features that differ in the drawing and hardly in strands, by name; one that only one of the
/// faces has counts as drawn apart.
fn same_but_drawn_apart(a: &Drawing<'_>, b: &Drawing<'_>) -> Vec<String> {
    let of = |drawing: &Drawing<'_>, name: &str, ink: &dyn Fn(&SewnFeature) -> Ink| {
        let own = drawing.sewn.features.iter().filter(|f| f.name == name);
        let only = Sewn {
            features: own.cloned().collect(),
            ..drawing.sewn.clone()
        };
        Seen::new(&only, &a.grid, ink)
    };
    let names = [a, b].into_iter().flat_map(|d| &d.sewn.features);
    let mut told = BTreeSet::new();
    names
        .map(|feature| feature.name.as_str())
        .filter(|name| told.insert(*name))
        .filter(|name| {
            let shape = |d| of(d, name, &SewnFeature::drawn);
            shape(a).difference(&shape(b)) > DRAWN_APART
        })
        .map(str::to_owned)
        .collect()
}

/// How far two colours lie apart, CIE 1976 L*a*b* (CIE 15, D65 white; sRGB by IEC 61966-2-1).
#[must_use]
pub fn colours_apart(a: [u8; 3], b: [u8; 3]) -> f64 {
    let [a, b] = [a, b].map(lab);
    a.iter()
        .zip(b)
        .map(|(a, b)| (a - b) * (a - b))
        .sum::<f64>()
        .sqrt()
}

fn lab(colour: [u8; 3]) -> [f64; 3] {
    let linear = colour.map(|value| {
        let share = f64::from(value) / 255.0;
        if share <= 0.04045 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    });
    let row = |of: [f64; 3]| of.iter().zip(linear).map(|(a, b)| a * b).sum::<f64>();
    let x = row([0.4124, 0.3576, 0.1805]) / 0.9505;
    let y = row([0.2126, 0.7152, 0.0722]);
    let z = row([0.0193, 0.1192, 0.9505]) / 1.089;
    let [x, y, z] = [x, y, z].map(|share: f64| {
        if share > (6.0_f64 / 29.0).powi(3) {
            share.cbrt()
        } else {
            share * (29.0_f64 / 6.0).powi(2) / 3.0 + 4.0 / 29.0
        }
    });
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}
