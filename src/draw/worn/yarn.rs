//! The strands in space: round yarn lying on the fabric, its ends going in.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use kurbo::{BezPath, Circle, Point, Shape, Vec2};

use super::cloth::Place;
use super::look::{Look, level, lit};
use super::shape::Body;
use crate::draw::scene::{one_way_round, polygon, segment};
use crate::draw::strands::thread_colours;
use crate::draw::{Colour, Group, Pen};
use crate::fabric::Space;
use crate::weave::{FeaturePlan, Plan};

/// Longest piece of a strand drawn as one: the fabric bends away under it, mm. On a foot of
/// 35 mm radius the arc is 0.1 mm higher than such a piece, a third of a pixel. Larger: corners.
const PIECE_MM: f64 = 5.0;

/// Height of the yarn above the fabric as a share of its width: it sinks in between the stitches.
const HIGH: f64 = 0.62;

/// Longest stroke of the twist along a strand, mm.
const PLY_MM: f64 = 2.5;

/// A strand from the fabric up to its ridge, each part over the one before: from where to where
/// round the yarn, as shares of half a turn from its darker side to its lighter one, the place
/// whose light it shows, and how many cuts of the rounded ends it leaves to what lies below.
const PARTS: [([f64; 2], f64, usize); 3] = [
    ([0.0, 1.0], 0.9, 0),
    ([0.2, 0.8], 0.7, 1),
    ([0.4, 0.6], 0.5, 2),
];

/// Draws all strands, each carried to `lay` first: where it is sewn.
pub fn strands(
    group: &mut Group,
    plan: &Plan,
    slipper: &Body<'_>,
    look: &Look,
    fabric: Colour,
    lay: impl Fn(Point) -> Point,
) {
    let colours = thread_colours(plan);
    for feature in &plan.features {
        let colour = colours.get(feature.thread.as_str()).copied();
        let colour = colour.unwrap_or(Colour::INK);
        let mut bars: Vec<Bar> = feature
            .strands
            .iter()
            .map(|strand| (lay(strand.up.at), lay(strand.down.at)))
            .filter_map(|ends| Bar::new(feature, ends, slipper, look))
            .collect();
        // The farther ones first: at the side of the foot the nearer hide them.
        bars.sort_by(|a, b| a.near.total_cmp(&b.near));
        shadows(group, &bars, look, fabric);
        for bar in &bars {
            bar.draw(group, look, colour);
        }
    }
}

/// The dark seams between yarn and the fabric under it, of one tone each.
fn shadows(group: &mut Group, bars: &[Bar], look: &Look, fabric: Colour) {
    let mut seams: BTreeMap<i32, BezPath> = BTreeMap::new();
    for bar in bars {
        let middle = bar.spine[bar.spine.len() / 2].place;
        let tone = level(0.36 * look.light_on(middle.outward)) / 2 * 2;
        let seam = one_way_round(bar.seam(look));
        seams.entry(tone).or_default().extend(seam);
    }
    for (level, path) in seams {
        group.fill(&path, lit(fabric, level));
    }
}

/// One strand, or one knot, as far as it faces the one who looks.
struct Bar {
    width: f64,
    wraps: u32,
    knot: f64,
    /// How near its middle is, mm; the larger the nearer.
    near: f64,
    /// Its middle line on the fabric, from up to down.
    spine: Vec<Rib>,
}

/// A cut across a strand.
#[derive(Clone, Copy)]
struct Rib {
    place: Place,
    /// Along the fabric, across the strand, of length 1.
    across: Space,
    /// Share of the full width, 0 at the very end.
    full: f64,
}

impl Rib {
    /// A place on the round of the yarn: `angle` 0 on its one side, half a turn on the other.
    fn around(&self, width: f64, angle: f64) -> Space {
        let (sin, cos) = angle.sin_cos();
        let half = width / 2.0 * self.full;
        self.place.at
            + self.across * (half * cos)
            + self.place.outward * (HIGH * width * self.full * sin - 0.1 * width)
    }

    fn outward(&self, angle: f64) -> Space {
        let (sin, cos) = angle.sin_cos();
        (self.across * cos + self.place.outward * sin).unit()
    }
}

impl Bar {
    /// `None` where it lies wholly beyond the horizon.
    fn new(
        feature: &FeaturePlan,
        (up, down): (Point, Point),
        slipper: &Body<'_>,
        look: &Look,
    ) -> Option<Self> {
        let width = feature.strand_mm;
        let spine = if feature.wraps > 0 {
            vec![Rib {
                place: slipper.place(up.midpoint(down)),
                across: Space::new(1.0, 0.0, 0.0),
                full: 1.0,
            }]
        } else {
            ribs(up, down, width, slipper)
        };
        let spine = in_sight(spine, look)?;
        let middle = spine[spine.len() / 2].place.at;
        Some(Self {
            width,
            wraps: feature.wraps,
            knot: feature.knot_mm(),
            near: middle.dot(look.toward),
            spine,
        })
    }

    /// A little wider than the yarn, and down the page: the light comes from above.
    fn seam(&self, look: &Look) -> BezPath {
        let fall = Vec2::new(0.0, 0.09 * self.width * look.scale);
        if self.wraps > 0 {
            let at = look.sheet(self.spine[0].place.at) + fall;
            let radius = 0.55 * self.knot * look.scale;
            return Circle::new(at, radius).to_path(0.02);
        }
        let spread = 1.16 * self.width;
        let rim = |angle: f64| {
            let ribs = self.spine.iter();
            ribs.map(move |rib| look.sheet(rib.around(spread, angle)) + fall)
        };
        polygon(rim(0.0).chain(rim(PI).rev()))
    }

    fn draw(&self, group: &mut Group, look: &Look, colour: Colour) {
        if self.wraps > 0 {
            self.draw_knot(group, look, colour);
            return;
        }
        let middle = self.spine[self.spine.len() / 2];
        let light = |angle: f64| look.light_on(middle.outward(angle));
        let turned = light(0.0) > light(PI);
        let angle = |share: f64| PI * if turned { 1.0 - share } else { share };
        for (part, tone, ends) in PARTS {
            self.part(group, look, colour, part.map(angle), angle(tone), ends);
        }
        self.plies(group, look, colour);
    }

    /// A part of the yarn along it, piece by piece in the tone of a place round it.
    fn part(
        &self,
        group: &mut Group,
        look: &Look,
        colour: Colour,
        part: [f64; 2],
        tone: f64,
        ends: usize,
    ) {
        let last = self.spine.len() - 1;
        if 2 * ends >= last {
            return;
        }
        let ridge = 1.0 + 0.14 * tone.sin().powi(8);
        let level = |rib: &Rib| level(ridge * look.light_on(rib.outward(tone)));
        let (mut from, until) = (ends, last - ends);
        for index in from + 1..=until {
            if index == until || level(&self.spine[index]) != level(&self.spine[from]) {
                let ribs = &self.spine[from..=index];
                let side = |angle: f64| {
                    ribs.iter()
                        .map(move |rib| look.sheet(rib.around(self.width, angle)))
                };
                let shape = polygon(side(part[0]).chain(side(part[1]).rev()));
                group.fill(&shape, lit(colour, level(&self.spine[from])));
                from = index;
            }
        }
    }

    /// The twist of the yarn: short slanted strokes over its ridge.
    fn plies(&self, group: &mut Group, look: &Look, colour: Colour) {
        // On dark yarn the twist is seen by its shine, else by its shade.
        let shine = if colour.luminance() < 0.08 {
            1.16
        } else {
            0.78
        };
        let middle = self.spine[self.spine.len() / 2];
        let tone = level(shine * look.light_on(middle.place.outward));
        let mut path = BezPath::new();
        for pair in self.spine.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if a.full.min(b.full) < 0.7 {
                continue;
            }
            let [low, high] = [0.26 * PI, 0.74 * PI]
                .map(|angle| [a, b].map(|rib| look.sheet(rib.around(self.width, angle))));
            let strokes = (a.place.at - b.place.at).length() / PLY_MM;
            let strokes = strokes.ceil();
            let mut stroke = 0.0;
            while stroke < strokes {
                path.move_to(low[0].lerp(low[1], stroke / strokes));
                path.line_to(high[0].lerp(high[1], (stroke + 1.0) / strokes));
                stroke += 1.0;
            }
        }
        if path.elements().is_empty() {
            return;
        }
        let pen = Pen::new(lit(colour, tone), 0.07 * self.width * look.scale);
        group.line(&path, pen);
    }

    /// A French knot: a button of yarn with its turns.
    fn draw_knot(&self, group: &mut Group, look: &Look, colour: Colour) {
        let place = self.spine[0].place;
        let light = look.light_on(place.outward);
        let radius = self.knot / 2.0;
        let at = look.sheet(place.at + place.outward * (0.35 * radius));
        let radius = radius * look.scale;
        for (share, tone) in [(1.0, 0.62), (0.9, 0.82), (0.74, 1.0)] {
            let disc = Circle::new(
                at - Vec2::new(0.0, (1.0 - share) * 0.4 * radius),
                share * radius,
            );
            group.fill(&disc, lit(colour, level(tone * light)));
        }
        for turn in 1..=self.wraps {
            let share = f64::from(turn) / f64::from(self.wraps + 1);
            let coil = Circle::new(at, share * radius);
            let pen = Pen::new(lit(colour, level(0.66 * light)), 0.09 * radius);
            group.line(&coil, pen);
        }
        let spark = segment(
            at - Vec2::new(0.2 * radius, 0.45 * radius),
            at + Vec2::new(0.2 * radius, -0.45 * radius),
        );
        group.line(
            &spark,
            Pen::new(lit(colour, level(1.2 * light)), 0.16 * radius),
        );
    }
}

/// The strand rib by rib: a rounded bar whose ends lie in the needle points.
fn ribs(up: Point, down: Point, width: f64, slipper: &Body<'_>) -> Vec<Rib> {
    let length = up.distance(down).max(1e-6);
    let pieces = (length / PIECE_MM).ceil().max(2.0);
    let half = (width / 2.0).min(length / 2.0);
    let mut stops: Vec<f64> = Vec::new();
    // A quarter of a circle in three even steps.
    for round in [0.0, 0.134, 0.5] {
        stops.push(round * half);
    }
    let mut piece = 0.0;
    while piece <= pieces {
        stops.push(half + (length - 2.0 * half) * piece / pieces);
        piece += 1.0;
    }
    for round in [0.5, 0.134, 0.0] {
        stops.push(length - round * half);
    }
    let along = (down - up) / length;
    stops
        .into_iter()
        .map(|stop| {
            let at = up + along * stop;
            let place = slipper.place(at);
            let ahead = slipper.place(at + along * 0.01).at - place.at;
            let from_end = stop.min(length - stop).min(half) / half;
            Rib {
                place,
                across: place.outward.cross(ahead).unit(),
                full: (1.0 - (1.0 - from_end).powi(2)).max(0.0).sqrt(),
            }
        })
        .collect()
}

/// The longest run of ribs that face the one who looks.
fn in_sight(spine: Vec<Rib>, look: &Look) -> Option<Vec<Rib>> {
    let mut best: Vec<Rib> = Vec::new();
    let mut run: Vec<Rib> = Vec::new();
    for rib in spine {
        if look.facing(rib.place.outward) > 0.0 {
            run.push(rib);
            if run.len() > best.len() {
                best.clone_from(&run);
            }
        } else {
            run.clear();
        }
    }
    (!best.is_empty()).then_some(best)
}
