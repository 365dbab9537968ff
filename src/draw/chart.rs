//! The chart of a plan: the instep unfolded, drawn like a field map, with every strand on it.

use kurbo::{Point, Rect, Size, Vec2};

use super::fabric::{self, Tints, View};
use super::frame::{self, ROOM};
use super::scene::polyline;
use super::sheet::{MARGIN_MM, Sheet};
use super::{
    Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, Scene, legend, locator, scale_bar,
    signs, strands,
};
use crate::fabric::Instep;
use crate::units::{self, Ruler};
use crate::weave::{FeaturePlan, Plan};

/// Draws the chart of a plan.
#[must_use]
pub fn chart(plan: &Plan, settings: &DrawSettings) -> Scene {
    let window = window(plan);
    let sheet = Sheet::new(plan, settings, window);
    let view = View {
        window,
        corner: sheet.map,
        enlarged: sheet.enlarged,
    };
    let tints = Tints::washed(Colour(settings.fabric));
    let mut layers = vec![
        border(sheet.size),
        title(plan, settings, sheet.size),
        map(plan, &view, tints),
        frame::frame(&plan.instep, &view),
        foot(&view, settings),
        legend::legend(plan, settings, sheet.legend).finish(),
        signs::signs(sheet.signs, legend::WIDTH_MM, tints).finish(),
    ];
    if let Some(room) = sheet.corner {
        layers.push(locator::corner(plan, settings, room));
    }
    Scene {
        width_mm: sheet.size.width,
        height_mm: sheet.size.height,
        title: format!("{} on {}", plan.face_name, plan.slipper_name),
        description: description(plan, sheet.enlarged),
        paper: Colour::PAPER,
        layers,
    }
}

/// What is shown: the face with a margin, the opening edge, and the cap if it is near.
fn window(plan: &Plan) -> Rect {
    let instep = &plan.instep;
    let (stitch, row) = (instep.stitch_mm(), instep.row_mm());
    let sewn = strands::extent(plan);
    let opening = f64::from(instep.shell().open_stitches()) / 2.0 * stitch;
    let half = (sewn.x1.max(-sewn.x0) + 1.5 * stitch)
        .max(opening + stitch)
        .min(instep.around_mm() / 2.0);
    let mut bottom = sewn.y1 + 1.6 * row;
    let cap = instep.cap_mm() + 1.5 * row;
    if cap > bottom && cap < bottom + 2.5 * row {
        bottom = cap;
    }
    let bottom = bottom.min(instep.centre_line_mm() + row);
    Rect::new(-half, -1.9 * row, half, bottom)
}

fn border(size: Size) -> Group {
    let mut group = Group::new("border");
    let sheet = size.to_rect();
    group.line(&sheet.inset(-4.0), Pen::new(Colour::INK, 0.45).square());
    group.line(&sheet.inset(-5.0), Pen::new(Colour::INK, 0.18).square());
    group
}

fn title(plan: &Plan, settings: &DrawSettings, size: Size) -> Group {
    let mut group = Group::new("title");
    let left = MARGIN_MM + 0.5;
    let name = Lettering::new(&plan.face_name, Font::SerifBold, 7.0);
    group.text(
        name.at(Point::new(left, MARGIN_MM + 6.4), Anchor::Start),
        Colour::INK,
    );
    let gauge = plan.instep.shell().gauge();
    let (over_mm, over) = match settings.ruler {
        Ruler::Metric => (units::centimetres(10.0), "10 cm"),
        Ruler::Inch => (units::inches(4.0), "4 in"),
    };
    let words = format!(
        "for {}; {}, {} {:.1} stitches and {:.1} rows to {over}; upright for the {}",
        plan.slipper_name,
        settings.terms.fabric_stitch(),
        settings.terms.gauge(),
        over_mm / gauge.stitch_mm,
        over_mm / gauge.row_mm,
        plan.facing.word(),
    );
    let words = Lettering::new(words, Font::Sans, 2.7);
    group.text(
        words.at(Point::new(left, MARGIN_MM + 11.4), Anchor::Start),
        Colour::FADED,
    );
    let placed = format!(
        "{} wide, {} below the edge",
        settings.ruler.tape(plan.width_mm),
        settings.ruler.tape(plan.below_edge_mm)
    );
    let placed = Lettering::new(placed, Font::SerifItalic, 3.2);
    group.text(
        placed.at(Point::new(size.width - left, MARGIN_MM + 6.4), Anchor::End),
        Colour::INK,
    );
    group
}

fn map(plan: &Plan, view: &View, tints: Tints) -> Group {
    let instep = &plan.instep;
    let mut group = Group::new("map");
    group.window = Some(view.on_sheet());
    group.fill(&view.on_sheet(), Colour::PAPER.mix(Colour::WHITE, 0.5));
    group.group(fabric::strip(instep, view, tints));
    group.group(fabric::stitches(instep, view, tints));
    group.group(fabric::open_points(instep, view, tints));
    group.group(fabric::opening_edge(instep, view, tints));
    if let Some(cap) = fabric::cap(instep, view) {
        group.group(cap);
    }
    group.group(round_start(instep, view));
    group.group(fabric::centre_line(instep, view));
    let colours = strands::thread_colours(plan);
    let lines = |feature: &&FeaturePlan| strands::follows_its_path(feature);
    for feature in plan.features.iter().filter(lines) {
        group.group(strands::outline(feature, view));
    }
    for feature in &plan.features {
        let colour = colours.get(feature.thread.as_str()).copied();
        group.group(strands::bars(feature, colour.unwrap_or(Colour::INK), view));
    }
    for feature in plan.features.iter().filter(|feature| !lines(feature)) {
        group.group(strands::outline(feature, view));
    }
    group.group(strands::marks(plan, view));
    group.group(strands::order_numbers(plan, view));
    group
}

/// The start of the rounds with its name along it.
fn round_start(instep: &Instep, view: &View) -> Group {
    let mut group = Group::new("round-start");
    for piece in fabric::round_start(instep, view) {
        let path = polyline(piece);
        group.line(&path, Pen::new(Colour::WHITE, 0.9));
        group.line(&path, signs::round_start_pen());
    }
    group
}

fn foot(view: &View, settings: &DrawSettings) -> Group {
    let mut group = Group::new("foot");
    let window = view.on_sheet();
    let at = Point::new(window.x0, window.y1 + ROOM.above + 3.4);
    group.group(scale_bar::scale_bar(at, view.enlarged, settings.ruler));
    let arrow = Point::new(window.x1 - 8.0, window.y1 + ROOM.above + 4.0);
    group.group(scale_bar::toe_arrow(arrow + Vec2::new(0.0, 0.6)));
    group
}

fn description(plan: &Plan, enlarged: f64) -> String {
    let features: Vec<String> = plan
        .features
        .iter()
        .map(|feature| {
            format!(
                "{} ({}): {} strands",
                feature.name,
                feature.side.word(),
                feature.strands.len()
            )
        })
        .collect();
    format!(
        "Chart of the instep, the toe at the bottom, {enlarged} times the size worn. {}.",
        features.join("; ")
    )
}
