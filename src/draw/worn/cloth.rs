//! The crocheted fabric in space: every stitch where the counts put it, shaded as it turns away.

use std::collections::BTreeMap;

use kurbo::BezPath;

use super::look::{Look, level, lit};
use crate::draw::fabric::{Cell, add_band};
use crate::draw::{Colour, Group, Pen};
use crate::fabric::Space;

/// A place of the fabric and its outward direction.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// Where.
    pub at: Space,
    /// Outward, of length 1.
    pub outward: Space,
}

/// One stitch in space: left and right of its foot, left and right of its top, and its middle.
#[derive(Debug, Clone, Copy)]
pub struct Stitch {
    /// Its corners as the fabric's outside shows them with the toe down the page.
    pub foot: [Place; 2],
    /// Left and right of its top.
    pub top: [Place; 2],
    /// Its middle.
    pub middle: Place,
}

impl Stitch {
    fn on_sheet(&self, look: &Look, lift: f64) -> Cell {
        let corner = |place: Place| look.sheet(place.at + place.outward * lift);
        Cell {
            foot: self.foot.map(corner),
            top: self.top.map(corner),
        }
    }

    /// True in the cap, where the rounds grow.
    fn widens(&self) -> bool {
        let [foot, top] = [self.foot, self.top].map(|[a, b]| (a.at - b.at).length());
        foot < 0.98 * top
    }

    /// Width of its top.
    fn wide(&self) -> f64 {
        (self.top[0].at - self.top[1].at).length()
    }

    /// Half its height.
    fn rise(&self) -> f64 {
        (self.top[0].at - self.foot[0].at).length() / 2.0
    }
}

/// Shapes of one tone each, drawn layer by layer.
#[derive(Debug, Default)]
struct Tones(BTreeMap<(u8, i32), BezPath>);

impl Tones {
    fn of(&mut self, layer: u8, light: f64) -> &mut BezPath {
        self.0.entry((layer, level(light))).or_default()
    }

    fn coarse(&mut self, layer: u8, light: f64) -> &mut BezPath {
        self.0.entry((layer, coarse(light))).or_default()
    }

    fn fill(self, group: &mut Group, colour: Colour) {
        for ((_, level), path) in self.0 {
            group.fill(&path, lit(colour, level));
        }
    }
}

/// Brightness in every second step, which serves where neighbours lie apart.
fn coarse(light: f64) -> i32 {
    level(light / 2.0) * 2
}

/// Layers of a stitch: swell of its legs, how far they stand out as a share of half the row, and
/// how bright they are: the yarn, and the shine on it.
const LEGS: [(f64, f64, f64); 2] = [(1.1, 0.24, 0.97), (0.46, 0.40, 1.12)];

/// The layer of the yarn itself.
const BODY: u8 = 2;

/// Width on the sheet under which a stitch shows nothing but its yarn, mm: five pixels. Larger
/// saves time on fabric of many stitches, and flattens it.
const FINE_MM: f64 = 0.9;

/// Draws the outside of stitches, row by row, that face the one who looks.
pub fn outside(group: &mut Group, stitches: &[Stitch], look: &Look, yarn: Colour) {
    let mut tones = Tones::default();
    lining(&mut tones, stitches, look);
    // A stitch at the horizon still closes the outline.
    let closing = stitches
        .iter()
        .filter(|stitch| look.facing(stitch.middle.outward) > -0.15);
    let closing = closing.map(|stitch| {
        let light = 0.5 * look.light_on(stitch.middle.outward);
        (stitch.on_sheet(look, 0.0), coarse(light))
    });
    ground(&mut tones, 1, (0.56, (-0.15, 1.1)), closing);
    for stitch in stitches {
        let facing = look.facing(stitch.middle.outward);
        if facing < if stitch.widens() { 0.24 } else { 0.16 } {
            continue;
        }
        let light = look.light_on(stitch.middle.outward);
        let fine = stitch.wide() * look.scale < FINE_MM;
        for (layer, (swell, lift, tone)) in (2..).zip(LEGS) {
            if fine && layer != BODY {
                continue;
            }
            // Toward the horizon the yarn stands out less, or tips of legs would bristle.
            let lift = lift * (2.0 * facing).min(1.0);
            let legs = stitch.on_sheet(look, lift * stitch.rise());
            legs.add_legs(tones.coarse(layer, tone * light), swell);
        }
    }
    tones.fill(group, yarn);
}

/// Closes what gapes between rounds of unlike counts: each stitch as a patch twice as large, in
/// the tone of the seams.
fn lining(tones: &mut Tones, stitches: &[Stitch], look: &Look) {
    let cap = stitches
        .iter()
        .filter(|stitch| stitch.widens() && look.facing(stitch.middle.outward) > -0.1);
    let cap = cap.map(|stitch| {
        let light = 0.34 * look.light_on(stitch.middle.outward);
        (stitch.on_sheet(look, -0.2 * stitch.rise()), coarse(light))
    });
    ground(tones, 0, (0.8, (-0.3, 1.3)), cap);
}

/// Draws the inside of stitches, row by row, whose outside faces away: dark, darker toward the
/// sole.
pub fn inside(group: &mut Group, stitches: &[Stitch], look: &Look, yarn: Colour, depth: f64) {
    let mut tones = Tones::default();
    let away = stitches
        .iter()
        .filter(|stitch| look.facing(stitch.middle.outward) < 0.0);
    let away: Vec<(Cell, f64)> = away
        .map(|stitch| {
            let height = (stitch.middle.at.z / depth + 1.0) / 2.0;
            let light = 0.26 + 0.4 * height.clamp(0.0, 1.0);
            (stitch.on_sheet(look, 0.0), light)
        })
        .collect();
    let dark = away
        .iter()
        .map(|&(cell, light)| (cell, level(0.78 * light)));
    ground(&mut tones, 0, (0.56, (-0.1, 1.1)), dark);
    for (cell, light) in away {
        cell.add_legs(tones.of(1, light), 1.0);
    }
    tones.fill(group, yarn);
}

/// Stitches without their legs, each with its brightness: neighbours of one tone as one band. `aside`
/// and `up` are from where to where a stitch reaches, in cells.
fn ground(
    tones: &mut Tones,
    layer: u8,
    (aside, up): (f64, (f64, f64)),
    stitches: impl Iterator<Item = (Cell, i32)>,
) {
    let cells: Vec<(Cell, i32)> = stitches.collect();
    for band in cells.chunk_by(|a, b| a.1 == b.1 && a.0.joins(&b.0)) {
        let path = tones.0.entry((layer, band[0].1)).or_default();
        let band: Vec<Cell> = band.iter().map(|&(cell, _)| cell).collect();
        add_band(path, &band, aside, up);
    }
}

/// Draws the rim of the opening: a rope of one link for each stitch or row.
pub fn rim(group: &mut Group, rim: &[Place], look: &Look, yarn: Colour, width: f64) {
    let next = rim.iter().cycle().skip(1);
    let mut layers =
        [(1.0, 0.5), (0.8, 0.95), (0.3, 1.14)].map(|(wide, tone)| (wide, tone, BTreeMap::new()));
    for (a, b) in rim.iter().zip(next) {
        let up = Space::new(0.0, 0.0, 1.0);
        let light = look.light_on((a.outward + up).unit());
        let (from, to) = (look.sheet(a.at), look.sheet(b.at));
        for (_, tone, links) in &mut layers {
            let path: &mut BezPath = links.entry(level(*tone * light)).or_default();
            path.move_to(from.lerp(to, 0.16));
            path.line_to(from.lerp(to, 0.84));
        }
    }
    for (wide, _, links) in layers {
        for (level, path) in links {
            group.line(&path, Pen::new(lit(yarn, level), wide * width * look.scale));
        }
    }
}
