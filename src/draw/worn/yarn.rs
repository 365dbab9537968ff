//! The strands in space: round yarn lying on the fabric, its ends going in.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use kurbo::{BezPath, Circle, Point, Vec2};

use super::cloth::Place;
use super::look::{Look, level, lit};
use super::shape::Body;
use crate::draw::scene::{polygon, segment};
use crate::draw::strands::thread_colours;
use crate::draw::{Colour, Group, Pen};
use crate::fabric::Space;
use crate::weave::{FeaturePlan, Plan};

/// Longest piece of a strand drawn as one: the fabric bends away under it, mm.
const PIECE_MM: f64 = 2.5;

/// Height of the yarn above the fabric as a share of its width: it sinks in between the stitches.
const HIGH: f64 = 0.62;

/// Lines along a strand, from its one side to the other, as the cosine across.
const LINES: usize = 5;

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
        for bar in &bars {
            bar.shadow(group, look, fabric);
        }
        for bar in &bars {
            bar.draw(group, look, colour);
        }
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

    /// The dark seam between the yarn and the fabric under it.
    fn shadow(&self, group: &mut Group, look: &Look, fabric: Colour) {
        let middle = self.spine[self.spine.len() / 2].place;
        let shade = lit(fabric, level(0.36 * look.light_on(middle.outward)));
        // A little down the page: the light comes from above.
        let fall = Vec2::new(0.0, 0.09 * self.width * look.scale);
        if self.wraps > 0 {
            let at = look.sheet(middle.at) + fall;
            let radius = 0.55 * self.knot * look.scale;
            group.fill(&Circle::new(at, radius), shade);
            return;
        }
        let spread = 1.16 * self.width;
        let rim = |angle: f64| {
            let ribs = self.spine.iter();
            ribs.map(move |rib| look.sheet(rib.around(spread, angle)) + fall)
        };
        let back: Vec<Point> = rim(PI).collect();
        group.fill(&polygon(rim(0.0).chain(back.into_iter().rev())), shade);
    }

    fn draw(&self, group: &mut Group, look: &Look, colour: Colour) {
        if self.wraps > 0 {
            self.draw_knot(group, look, colour);
            return;
        }
        // From the sides to the ridge, so that each band laps over the darker ones below it.
        for line in 0..=LINES / 2 {
            let from = PI * line as f64 / LINES as f64;
            for (angle, to) in [(from, PI - from), (PI - from, from)] {
                self.band(group, look, colour, angle, to);
            }
        }
        self.plies(group, look, colour);
    }

    /// The yarn from one line along it across to another, in the tone of the first, piece by
    /// piece.
    fn band(&self, group: &mut Group, look: &Look, colour: Colour, angle: f64, to: f64) {
        let step = PI / LINES as f64 / 2.0;
        let tone = angle + step * (to - angle).signum();
        let mut run: Option<(i32, usize)> = None;
        let last = self.spine.len() - 1;
        for index in 0..=last {
            let light = look.light_on(self.spine[index].outward(tone));
            let ridge = 1.0 + 0.14 * tone.sin().powi(8);
            let light = ridge * light * (0.74 + 0.26 * self.spine[index].full);
            let here = level(light);
            match run {
                Some((level, _)) if level == here && index < last => {}
                Some((level, from)) => {
                    self.piece(group, look, lit(colour, level), (angle, to), (from, index));
                    run = Some((here, index));
                }
                None => run = Some((here, index)),
            }
        }
    }

    fn piece(
        &self,
        group: &mut Group,
        look: &Look,
        colour: Colour,
        (angle, to): (f64, f64),
        (from, until): (usize, usize),
    ) {
        let points = |angle: f64| {
            self.spine[from..=until]
                .iter()
                .map(move |rib| look.sheet(rib.around(self.width, angle)))
        };
        let there: Vec<Point> = points(to).collect();
        let shape = polygon(points(angle).chain(there.into_iter().rev()));
        group.fill(&shape, colour);
    }

    /// The twist of the yarn: short slanted strokes over its ridge.
    fn plies(&self, group: &mut Group, look: &Look, colour: Colour) {
        let mut strokes: BTreeMap<i32, BezPath> = BTreeMap::new();
        for pair in self.spine.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            if a.full.min(b.full) < 0.7 {
                continue;
            }
            // On dark yarn the twist is seen by its shine, else by its shade.
            let shine = if colour.luminance() < 0.08 {
                1.16
            } else {
                0.78
            };
            let tone = level(shine * look.light_on(a.place.outward));
            let path = strokes.entry(tone).or_default();
            let from = look.sheet(a.around(self.width, 0.26 * PI));
            let to = look.sheet(b.around(self.width, 0.74 * PI));
            path.move_to(from);
            path.line_to(to);
        }
        for (level, path) in strokes {
            let pen = Pen::new(lit(colour, level), 0.07 * self.width * look.scale);
            group.line(&path, pen);
        }
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
    for round in [0.0, 0.06, 0.25, 0.6] {
        stops.push(round * half);
    }
    let mut piece = 0.0;
    while piece <= pieces {
        stops.push(half + (length - 2.0 * half) * piece / pieces);
        piece += 1.0;
    }
    for round in [0.6, 0.25, 0.06, 0.0] {
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
