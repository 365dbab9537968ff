//! Strands on the sheet: bars with borders, the marks at their ends, their numbers.

use std::collections::BTreeMap;

use kurbo::{BezPath, Circle, Line, PathEl, Point, Rect, Shape, Vec2};

use super::numbers::{self, Bar, Number};
use super::scene::{dot, polygon, segment};
use super::view::{Tints, View};
use super::{Colour, Font, Group, Lettering, Pen};
use crate::fabric::colour::LEAST_CONTRAST;
use crate::face::outline::bounds_of;
use crate::weave::{FeaturePlan, Plan, StrandPlan};

/// Least height of a figure on the sheet, mm.
pub const LEAST_FIGURE_MM: f64 = 1.6;

/// Colour of each thread role.
#[must_use]
pub fn thread_colours(plan: &Plan) -> BTreeMap<&str, Colour> {
    let threads = plan.threads.iter();
    threads
        .map(|thread| (thread.name.as_str(), Colour(thread.colour)))
        .collect()
}

/// The bars of a feature, in working order, each with a border that stands out from its thread.
#[must_use]
pub fn bars(plan: &Plan, feature: &FeaturePlan, colour: Colour, view: &View) -> Group {
    let mut group = Group::new(&class(feature));
    let width = feature.strand_mm * view.enlarged;
    let border = border(colour);
    let border_mm = border_mm(width);
    for strand in &feature.strands {
        let mut bar = Group::of_strand(plan.strand_name(feature, strand));
        if feature.wraps > 0 {
            knot(&mut bar, feature, strand, colour, view);
        } else {
            let inner = shortened(bar_line(strand, view), width / 2.0);
            let path = segment(inner.p0, inner.p1);
            bar.line(&path, Pen::new(border, width));
            bar.line(&path, Pen::new(colour, width - 2.0 * border_mm));
        }
        group.group(bar);
    }
    group
}

/// The outline as wanted, over the bars: thin, readable on dark and light.
#[must_use]
pub fn outline(feature: &FeaturePlan, view: &View) -> Group {
    let mut group = Group::new("outline");
    let path = view.to_sheet() * feature.outline.clone();
    group.line(&path, Pen::new(Colour::WHITE, 0.55));
    group.line(&path, Pen::new(Colour::INK, 0.24));
    group
}

/// Marks at the ends of all strands: a ring where the needle comes up, a dot where it goes down,
/// a pennant where a new length of yarn begins.
#[must_use]
pub fn marks(plan: &Plan, view: &View) -> Group {
    let mut group = Group::new("ends");
    let radius = mark_mm(plan, view);
    let to_sheet = view.to_sheet();
    let mut marked = |name: String, at: Point, mark: fn(&mut Group, Point, f64)| {
        let mut of_strand = Group::of_strand(name);
        mark(&mut of_strand, to_sheet * at, radius);
        group.group(of_strand);
    };
    // The pennants first: none may hide a needle point.
    for (name, strand) in plan.named_strands().filter(|(_, strand)| strand.start) {
        marked(name, strand.up.at, start_mark);
    }
    for (name, strand) in plan.named_strands() {
        marked(name, strand.up.at, up_mark);
    }
    for (name, strand) in plan.named_strands() {
        marked(name, strand.down.at, down_mark);
    }
    group
}

/// Ring where the needle comes up.
pub fn up_mark(group: &mut Group, at: Point, radius: f64) {
    disc(group, at, radius, Colour::INK);
    disc(group, at, radius - 0.24, Colour::WHITE);
}

/// Dot where it goes down.
pub fn down_mark(group: &mut Group, at: Point, radius: f64) {
    disc(group, at, 0.62 * radius, Colour::WHITE);
    disc(group, at, 0.40 * radius, Colour::INK);
}

/// A small disc: the dot of a pen takes a third of what its outline takes to write.
fn disc(group: &mut Group, at: Point, radius: f64, colour: Colour) {
    let mut path = BezPath::new();
    dot(&mut path, at);
    group.line(&path, Pen::new(colour, 2.0 * radius));
}

/// Pennant where a new length begins: its pole stands in the ring.
pub fn start_mark(group: &mut Group, at: Point, radius: f64) {
    let high = 4.4 * radius;
    let top = at - Vec2::new(0.0, high);
    let flag = polygon([
        top,
        top + Vec2::new(2.6 * radius, 0.8 * radius),
        top + Vec2::new(0.0, 1.6 * radius),
    ]);
    let pole = segment(at, top);
    for (pen, colour) in [(0.75, Colour::WHITE), (0.28, Colour::INK)] {
        group.line(&pole, Pen::new(colour, pen));
        group.line(&flag, Pen::new(colour, pen));
    }
    group.fill(&flag, Colour::INK);
}

/// The number of a strand with its place.
#[derive(Debug, Clone)]
pub struct Numbered {
    /// The number, with the letter of its thread where there are several.
    pub label: String,
    /// Height of its figures, mm.
    pub height: f64,
    /// Half the height of its label, mm.
    pub radius: f64,
    /// Where it stands.
    pub number: Number,
    /// Colour of the thread it stands on.
    pub thread: Colour,
}

impl Numbered {
    /// The number lettered in a colour.
    #[must_use]
    pub fn lettering(&self) -> Lettering {
        Lettering::new(&self.label, Font::Sans, numbers::size_mm(self.height))
            .centred(self.number.at, self.number.turn_deg)
    }
}

/// The numbers of all strands, placed.
#[must_use]
pub fn numbered(plan: &Plan, view: &View) -> Vec<Numbered> {
    let colours = thread_colours(plan);
    let mut bars = Vec::new();
    let mut threads = Vec::new();
    let mut narrowest = f64::INFINITY;
    for feature in &plan.features {
        let colour = colours.get(feature.thread.as_str()).copied();
        narrowest = narrowest.min(feature.strand_mm * view.enlarged);
        let letter = plan.letter(&feature.thread).map(String::from);
        for strand in &feature.strands {
            let label = format!("{}{}", letter.as_deref().unwrap_or(""), strand.order);
            bars.push(bar(feature, strand, label, view));
            threads.push(colour.unwrap_or(Colour::INK));
        }
    }
    let height = (0.52 * narrowest).clamp(LEAST_FIGURE_MM, 2.6);
    let radius = mark_mm(plan, view);
    let marks: Vec<(Point, f64)> = bars
        .iter()
        .filter(|bar| !bar.hidden)
        .flat_map(|bar| [(bar.line.p0, radius), (bar.line.p1, 0.62 * radius)])
        .collect();
    let placed = numbers::place(&bars, &marks, height, view.on_sheet());
    let numbers = bars.into_iter().zip(placed).zip(threads);
    numbers
        .map(|((bar, number), thread)| Numbered {
            label: bar.label,
            height: number.height(height),
            radius: number.radius(height),
            number,
            thread,
        })
        .collect()
}

/// The numbers of all strands, on their bars or led to them.
#[must_use]
pub fn order_numbers(plan: &Plan, view: &View) -> Group {
    let mut group = Group::new("order");
    let all = numbered(plan, view);
    let names = || plan.named_strands().map(|(name, _)| name);
    for (one, name) in all.iter().zip(names()) {
        let mut of_strand = Group::of_strand(name);
        leader(&mut of_strand, &one.number);
        if one.number.leads_to.is_some() {
            group.group(of_strand);
        }
    }
    for (one, name) in all.iter().zip(names()) {
        let mut of_strand = Group::of_strand(name);
        let lettering = one.lettering();
        let beside = one.number.leads_to.is_some();
        if beside {
            let half = Vec2::new(lettering.length_mm() / 2.0 + 0.5, one.radius);
            let label = Rect::from_points(one.number.at - half, one.number.at + half);
            let label = label.to_rounded_rect(0.7 * one.radius);
            of_strand.fill(&label, Colour::PAPER);
            of_strand.line(&label, Pen::new(Colour::INK, 0.16));
        }
        let upon = one.thread.print_upon();
        of_strand.text(lettering, if beside { Colour::INK } else { upon });
        group.group(of_strand);
    }
    group
}

/// A strand as a bar that carries its number; a knot as a disc that cannot.
fn bar(feature: &FeaturePlan, strand: &StrandPlan, label: String, view: &View) -> Bar {
    let line = bar_line(strand, view);
    let knot = feature.wraps > 0;
    let middle = line.midpoint();
    Bar {
        label,
        line: if knot {
            Line::new(middle, middle + Vec2::new(0.01, 0.0))
        } else {
            line
        },
        width: view.enlarged
            * if knot {
                feature.knot_mm()
            } else {
                feature.strand_mm
            },
        hidden: knot,
    }
}

/// True for a line or a knot: its path is where it runs, not a shape to fill.
#[must_use]
pub fn follows_its_path(feature: &FeaturePlan) -> bool {
    !feature.is_fill()
}

/// A line from a number beside the work to its strand, with an arrowhead: a dot there would be
/// taken for a needle point.
fn leader(group: &mut Group, number: &Number) {
    if let Some(target) = number.leads_to {
        let line = segment(number.at, target);
        let along = (target - number.at) / number.at.distance(target).max(1e-9);
        let (back, across) = (target - 1.3 * along, 0.45 * Vec2::new(-along.y, along.x));
        let head = polygon([target, back + across, back - across]);
        for (colour, width) in [(Colour::WHITE, 0.6), (Colour::INK, 0.2)] {
            group.line(&line, Pen::new(colour, width));
            group.line(&head, Pen::new(colour, width));
        }
        group.fill(&head, Colour::INK);
    }
}

/// A French knot: a disc as wide as its coils, with the turns of the yarn upon it.
fn knot(
    group: &mut Group,
    feature: &FeaturePlan,
    strand: &StrandPlan,
    colour: Colour,
    view: &View,
) {
    let width = feature.strand_mm * view.enlarged;
    let line = bar_line(strand, view);
    let middle = line.p0.midpoint(line.p1);
    let radius = feature.knot_mm() / 2.0 * view.enlarged;
    let edge = border(colour);
    group.fill(&Circle::new(middle, radius), edge);
    group.fill(&Circle::new(middle, radius - border_mm(width)), colour);
    for turn in 1..=feature.wraps {
        let share = f64::from(turn) / f64::from(feature.wraps + 1);
        group.line(&Circle::new(middle, share * radius), Pen::new(edge, 0.2));
    }
}

/// The border colour of a thread: light round a thread that is itself dark enough to stand out
/// from any washed fabric, else ink.
#[must_use]
pub fn border(thread: Colour) -> Colour {
    let fabric = Tints::WASHED_GROUND + 0.05;
    if fabric / (thread.luminance() + 0.05) >= LEAST_CONTRAST {
        Colour([0xff, 0xfa, 0xf0])
    } else {
        Colour::INK
    }
}

fn border_mm(width: f64) -> f64 {
    (0.10 * width).clamp(0.2, 0.4)
}

/// Radius of the ring where the needle comes up, mm of the sheet.
#[must_use]
pub fn mark_mm(plan: &Plan, view: &View) -> f64 {
    let widths = plan.features.iter().map(|feature| feature.strand_mm);
    (0.24 * widths.fold(f64::INFINITY, f64::min) * view.enlarged).clamp(0.6, 0.9)
}

pub(super) fn bar_line(strand: &StrandPlan, view: &View) -> Line {
    let to_sheet = view.to_sheet();
    Line::new(to_sheet * strand.up.at, to_sheet * strand.down.at)
}

/// A line without `off` mm at both ends; its middle where it is shorter.
pub(super) fn shortened(line: Line, off: f64) -> Line {
    let along = line.p1 - line.p0;
    let length = along.hypot();
    if length <= 2.0 * off {
        let middle = line.midpoint();
        return Line::new(middle, middle + Vec2::new(0.01, 0.0));
    }
    let step = along * (off / length);
    Line::new(line.p0 + step, line.p1 - step)
}

/// A word for a group: the feature's name in plain letters, and its side.
fn class(feature: &FeaturePlan) -> String {
    let plain = feature.name.chars().map(|letter| {
        if letter.is_ascii_alphanumeric() {
            letter.to_ascii_lowercase()
        } else {
            '-'
        }
    });
    format!("{}-{}", plain.collect::<String>(), feature.side.word())
}

/// The shapes of all features, for a small picture: areas, and paths with the width of their
/// thread, mm of the instep frame.
#[must_use]
pub fn silhouettes(plan: &Plan) -> Vec<(BezPath, Option<f64>, Colour)> {
    let colours = thread_colours(plan);
    let shapes = plan.features.iter().map(|feature| {
        let colour = colours.get(feature.thread.as_str()).copied();
        let width = follows_its_path(feature).then_some(feature.strand_mm);
        let (shape, width) = match feature.outline.elements().first() {
            Some(PathEl::MoveTo(at)) if feature.wraps > 0 => {
                let disc = Circle::new(*at, feature.knot_mm() / 2.0);
                (disc.to_path(0.01), None)
            }
            _ => (feature.outline.clone(), width),
        };
        (shape, width, colour.unwrap_or(Colour::INK))
    });
    shapes.collect()
}

/// Box of all outlines and strands, mm of the instep frame.
#[must_use]
pub fn extent(plan: &Plan) -> Rect {
    let mut boxes = Vec::new();
    for feature in &plan.features {
        boxes.push(bounds_of(&feature.outline));
        let width = feature.strand_mm.max(feature.knot_mm());
        for strand in &feature.strands {
            for end in [strand.up.at, strand.down.at] {
                boxes.push(Rect::from_center_size(end, (width, width)));
            }
        }
    }
    boxes
        .into_iter()
        .reduce(|a, b| a.union(b))
        .unwrap_or_default()
}
