//! The face as a stranger sees it: yarn on fabric, nothing else.

use kurbo::{BezPath, Circle, Line, Point, Rect, Vec2};

use super::fabric;
use super::scene::segment;
use super::strands::{self, thread_colours};
use super::view::{Tints, View};
use super::{Colour, DrawSettings, Group, Pen, Scene};
use crate::fabric::Instep;
use crate::weave::{FeaturePlan, Plan};

/// Draws the face on its fabric, true to size as worn unless told otherwise.
#[must_use]
pub fn portrait(plan: &Plan, settings: &DrawSettings) -> Scene {
    let view = View {
        window: window(plan),
        corner: Point::ORIGIN,
        enlarged: settings.enlarged.unwrap_or(1.0),
    };
    let size = view.on_sheet().size();
    Scene {
        width_mm: size.width,
        height_mm: size.height,
        title: plan.face_name.clone(),
        description: format!(
            "{} on {}, as it will look.",
            plan.face_name, plan.slipper_name
        ),
        paper: Colour::PAPER,
        layers: vec![yarn_on_fabric(plan, settings, &view)],
    }
}

/// The face with a stitch and a half around it.
#[must_use]
pub fn window(plan: &Plan) -> Rect {
    let sewn = strands::extent(plan);
    let instep = &plan.instep;
    let half = sewn.x1.max(-sewn.x0) + 1.5 * instep.stitch_mm();
    let row = 1.5 * instep.row_mm();
    // The opening itself is left out: only yarn and fabric are seen.
    let top = (sewn.y0 - row).max((0.4 * instep.row_mm()).min(sewn.y0));
    Rect::new(-half, top, half, sewn.y1 + row)
}

/// Yarn on fabric, cut at the window.
#[must_use]
pub fn yarn_on_fabric(plan: &Plan, settings: &DrawSettings, view: &View) -> Group {
    let colours = thread_colours(plan);
    let laid: Vec<Laid> = plan
        .features
        .iter()
        .map(|feature| {
            let colour = colours.get(feature.thread.as_str()).copied();
            Laid::new(feature, colour.unwrap_or(Colour::INK))
        })
        .collect();
    laid_on_fabric(&plan.instep, &laid, settings, view)
}

/// The yarn of a feature as it is seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Ends of each strand, instep frame, mm.
    pub strands: Vec<(Point, Point)>,
    /// Width of the thread, mm.
    pub width_mm: f64,
    /// Turns of the yarn at a French knot, 0 for everything else.
    pub wraps: u32,
    /// Width of such a knot, mm.
    pub knot_mm: f64,
    /// Its colour.
    pub colour: Colour,
}

impl Laid {
    fn new(feature: &FeaturePlan, colour: Colour) -> Self {
        let strands = feature.strands.iter();
        Self {
            strands: strands.map(|s| (s.up.at, s.down.at)).collect(),
            width_mm: feature.strand_mm,
            wraps: feature.wraps,
            knot_mm: feature.knot_mm(),
            colour,
        }
    }
}

/// Yarn, the first laid lowest, on a fabric, cut at the window.
#[must_use]
pub fn laid_on_fabric(
    instep: &Instep,
    yarn: &[Laid],
    settings: &DrawSettings,
    view: &View,
) -> Group {
    let mut group = Group::crowded(view.on_sheet());
    group.name = "portrait".to_owned();
    let tints = Tints::full(Colour(settings.fabric));
    group.fill(&view.on_sheet(), tints.shade);
    group.group(fabric::stitches(instep, view, tints));
    for laid in yarn {
        lay(&mut group, laid, view);
    }
    group
}

/// The strands of a feature as yarn lies: a shaded edge, a body, the twist catching the light.
fn lay(group: &mut Group, laid: &Laid, view: &View) {
    let width = laid.width_mm * view.enlarged;
    let colour = laid.colour;
    let shade = colour.mix(Colour([0, 0, 0]), 0.5);
    let light = colour.mix(Colour::WHITE, 0.32);
    for &(up, down) in &laid.strands {
        let line = Line::new(view.to_sheet() * up, view.to_sheet() * down);
        if laid.wraps > 0 {
            let radius = laid.knot_mm / 2.0 * view.enlarged;
            let disc = Circle::new(line.midpoint(), radius);
            group.fill(&disc, shade);
            group.fill(&Circle::new(disc.center, radius - 0.12 * width), colour);
            for turn in 1..=laid.wraps {
                let share = f64::from(turn) / f64::from(laid.wraps + 1);
                let coil = Circle::new(disc.center, share * radius);
                group.line(&coil, Pen::new(light, 0.16 * width));
            }
            continue;
        }
        let inner = strands::shortened(line, width / 2.0);
        let path = segment(inner.p0, inner.p1);
        group.line(&path, Pen::new(shade, width));
        group.line(&path, Pen::new(colour, 0.84 * width));
        group.line(&twist(inner, width), Pen::new(light, 0.11 * width));
    }
}

/// Short slanted strokes across a strand, as its plies turn.
fn twist(line: Line, width: f64) -> BezPath {
    let along = line.p1 - line.p0;
    let length = along.hypot();
    let unit = along / length.max(1e-9);
    let across = Vec2::new(-unit.y, unit.x);
    let mut path = BezPath::new();
    let mut at = 0.0;
    while at <= length {
        let middle = line.p0 + at * unit;
        path.move_to(middle - 0.30 * width * across - 0.18 * width * unit);
        path.line_to(middle + 0.30 * width * across + 0.18 * width * unit);
        at += 0.52 * width;
    }
    path
}
