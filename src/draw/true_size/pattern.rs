//! The pattern itself, as large as the fabric lies unworn: outlines, strands as bars, the needle
//! points to prick through, the centre line and the opening edge to lay it by.

use kurbo::{Affine, BezPath, Circle, Point, Rect, Size, Vec2};

use super::super::frame::{self, ROOM};
use super::super::scene::segment;
use super::super::strands::{self, Numbered};
use super::super::view::{Tints, View};
use super::super::{Anchor, Colour, Font, Group, Lettering, Pen, chart, fabric, lines};
use crate::fabric::{Instep, Spot};
use crate::weave::{FeaturePlan, Plan};

/// Share by which the colours of threads are thinned with white: ink is saved, and needle points
/// and numbers stand out upon every thread.
const THINNED: f64 = 0.76;

/// Room for the frame to the left, mm: on the chart its heading reaches into the margin.
const LEFT_MM: f64 = ROOM.left + 3.0;

/// Line round a strand, mm.
const EDGE_MM: f64 = 0.16;

/// The plan as it lies on the unworn fabric: x divided by the stretch, so that its needle points
/// come to lie on those of the slipper in the hand. Only for drawing: widths of yarn and lengths
/// told stay those of the plan.
pub(super) fn unworn(plan: &Plan) -> Plan {
    let mut flat = plan.clone();
    flat.instep = plan.instep.unworn();
    let narrower = Affine::scale_non_uniform(1.0 / plan.instep.stretch(), 1.0);
    for feature in &mut flat.features {
        feature.outline.apply_affine(narrower);
        for strand in &mut feature.strands {
            for end in [&mut strand.up, &mut strand.down] {
                if let Some(placed) = flat.instep.find(end.point) {
                    *end = *placed;
                }
            }
        }
    }
    flat
}

/// Size of the drawing with its frame, mm.
pub(super) fn size(flat: &Plan) -> Size {
    let window = chart::window(flat);
    Size::new(
        LEFT_MM + window.width() + ROOM.right,
        window.height() + 2.0 * ROOM.above,
    )
}

/// The drawing shifted onto a page, shown within `place`.
pub(super) fn pattern(flat: &Plan, shift: Vec2, place: Rect) -> Group {
    let view = View {
        window: chart::window(flat),
        corner: Point::new(LEFT_MM, ROOM.above) + shift,
        enlarged: 1.0,
    };
    let mut group = Group::new("pattern");
    group.window = Some(place);
    group.group(map(flat, &view, &view.within(place)));
    group.group(frame::frame(&flat.instep, &view));
    group
}

/// Fabric and face; of the fabric no more than is seen.
fn map(flat: &Plan, view: &View, seen: &View) -> Group {
    let instep = &flat.instep;
    let mut group = Group::new("map");
    group.window = Some(view.on_sheet());
    group.group(row_feet(instep, seen));
    group.group(fabric::open_points(instep, seen, ON_PAPER));
    group.group(fabric::opening_edge(instep, seen, ON_PAPER));
    if let Some(cap) = lines::cap(instep, seen) {
        group.group(cap);
    }
    group.group(lines::round_start(instep, seen));
    group.group(lines::centre_line(instep, view));
    sides(&mut group, view);
    let is_line = |feature: &&FeaturePlan| strands::follows_its_path(feature);
    for feature in flat.features.iter().filter(is_line) {
        group.group(strands::outline(feature, view));
    }
    let colours = strands::thread_colours(flat);
    for feature in &flat.features {
        let colour = colours.get(feature.thread.as_str()).copied();
        let light = colour.unwrap_or(Colour::INK).mix(Colour::WHITE, THINNED);
        group.group(bars(feature, light, view));
    }
    for feature in flat.features.iter().filter(|feature| !is_line(feature)) {
        group.group(strands::outline(feature, view));
    }
    group.group(strands::marks(flat, view));
    group.group(numbers(flat, view));
    group
}

/// Fabric on white paper: needle points grey, nothing filled.
pub(super) const ON_PAPER: Tints = Tints {
    ground: Colour::WHITE,
    stitch: Colour::WHITE,
    shade: Colour([0x9c, 0x9c, 0x9c]),
};

/// The foot of every row, faint, to lay the paper by.
fn row_feet(instep: &Instep, view: &View) -> Group {
    let shell = instep.shell();
    let mut feet = BezPath::new();
    for round in 1..=shell.last_round() {
        for stitch in 1..=shell.count(round) {
            let foot = |off: f64| {
                instep.unfold(Spot {
                    round,
                    stitch: f64::from(stitch) + off,
                    row: 0.0,
                })
            };
            let (a, b) = (foot(-0.5), foot(0.5));
            // At the back the page tears the fabric.
            let whole = a.distance(b) < 2.0 * instep.stitch_mm();
            if whole && view.shows(a.midpoint(b), instep.stitch_mm()) {
                feet.move_to(view.to_sheet() * a);
                feet.line_to(view.to_sheet() * b);
            }
        }
    }
    let mut group = Group::new("row-feet");
    group.line(&feet, Pen::new(Colour([0xc4, 0xc4, 0xc4]), 0.14));
    group
}

/// Which side is which, beside the opening.
fn sides(group: &mut Group, view: &View) {
    let window = view.on_sheet();
    let y = window.y0 + 4.2;
    for (text, x, anchor) in [
        ("left", window.x0 + 1.8, Anchor::Start),
        ("right", window.x1 - 1.8, Anchor::End),
    ] {
        let lettering = Lettering::new(text, Font::SerifBold, 3.2);
        group.text(lettering.at(Point::new(x, y), anchor), Colour::INK);
    }
    let middle = view.to_sheet() * Point::new(0.0, 0.0);
    let lettering = Lettering::new("opening edge", Font::SerifItalic, 2.8);
    let at = Point::new(middle.x, y);
    group.text(lettering.at(at, Anchor::Middle), Colour::INK);
}

/// The strands of a feature, as wide as they lie, lightly filled.
fn bars(feature: &FeaturePlan, light: Colour, view: &View) -> Group {
    let mut group = Group::new("bars");
    for strand in &feature.strands {
        let line = strands::bar_line(strand, view);
        let width = feature.strand_mm;
        if feature.wraps > 0 {
            let disc = Circle::new(line.midpoint(), feature.knot_mm() / 2.0);
            group.fill(&disc, light);
            group.line(&disc, Pen::new(Colour::INK, EDGE_MM));
            continue;
        }
        let inner = strands::shortened(line, width / 2.0);
        let path = segment(inner.p0, inner.p1);
        group.line(&path, Pen::new(Colour::INK, width));
        group.line(&path, Pen::new(light, width - 2.0 * EDGE_MM));
    }
    group
}

/// The numbers that fit on their bars; the chart has all.
fn numbers(flat: &Plan, view: &View) -> Group {
    let mut group = Group::new("order");
    let all = strands::numbered(flat, view);
    let fits = |one: &&Numbered| one.number.leads_to.is_none();
    for one in all.iter().filter(fits) {
        group.text(one.lettering(), Colour::INK);
    }
    group
}
