//! The chart of a plan: the instep unfolded, drawn like a field map, with every strand on it.

use kurbo::{Point, Rect, Vec2};

use super::chart_sheet::{Sheet, border, title};
use super::fabric;
use super::frame::{self, ROOM};
use super::view::{Tints, View};
use super::{
    Colour, DrawSettings, Font, Group, Lettering, Scene, legend, lines, locator, scale_bar, signs,
    strands,
};
use crate::fabric::Instep;
use crate::face::Facing;
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
        title(
            &plan.face_name,
            &format!(
                "for {}; {}; upright for {} {}",
                plan.slipper_name,
                settings.gauge_words(plan.instep.shell().gauge()),
                if plan.facing == Facing::Onlooker {
                    "an"
                } else {
                    "the"
                },
                plan.facing.word(),
            ),
            &format!(
                "{} wide, {} below the edge",
                settings.ruler.tape(plan.width_mm),
                settings.ruler.tape(plan.below_edge_mm)
            ),
            sheet.size,
        ),
        map(plan, &view, tints),
        frame::frame(&plan.instep, &view),
        foot(&view, settings),
        legend::legend(plan, settings, sheet.legend, sheet.told).finish(),
        signs::signs(&signs::OF_A_CHART, sheet.signs, sheet.signs_width, tints).finish(),
    ];
    if let Some(room) = sheet.corner {
        layers.push(locator::corner(plan, settings, room));
    }
    Scene {
        width_mm: sheet.size.width,
        height_mm: sheet.size.height,
        title: title_of(plan),
        description: description(plan, sheet.enlarged),
        paper: Colour::PAPER,
        layers,
    }
}

/// What is shown: the face with a margin, the opening edge, and the cap if it is near.
pub(super) fn window(plan: &Plan) -> Rect {
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

pub(super) fn map(plan: &Plan, view: &View, tints: Tints) -> Group {
    let instep = &plan.instep;
    let mut group = Group::new("map");
    group.window = Some(view.on_sheet());
    group.fill(&view.on_sheet(), Colour::PAPER.mix(Colour::WHITE, 0.5));
    group.group(fabric::strip(instep, view, tints));
    group.group(fabric::stitches(instep, view, tints));
    group.group(fabric::open_points(instep, view, tints));
    group.group(fabric::opening_edge(instep, view, tints));
    group.text(opening_name(instep, view), Colour::FADED);
    if let Some(cap) = lines::cap(instep, view) {
        group.group(cap);
    }
    group.group(lines::round_start(instep, view));
    group.group(lines::centre_line(instep, view));
    let colours = strands::thread_colours(plan);
    let lines = |feature: &&FeaturePlan| strands::follows_its_path(feature);
    for feature in plan.features.iter().filter(lines) {
        group.group(strands::outline(feature, view));
    }
    for feature in &plan.features {
        let colour = colours.get(feature.thread.as_str()).copied();
        group.group(strands::bars(
            plan,
            feature,
            colour.unwrap_or(Colour::INK),
            view,
        ));
    }
    for feature in plan.features.iter().filter(|feature| !lines(feature)) {
        group.group(strands::outline(feature, view));
    }
    group.group(strands::marks(plan, view));
    group.group(strands::order_numbers(plan, view));
    group
}

/// The name of the opening, in it.
fn opening_name(instep: &Instep, view: &View) -> Lettering {
    let middle = Point::new(0.0, -1.05 * instep.row_mm());
    let size = (0.3 * instep.row_mm() * view.enlarged).clamp(2.2, 3.4);
    Lettering::new("opening", Font::SerifItalic, size)
        .spaced(0.22)
        .centred(view.to_sheet() * middle, 0.0)
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

pub(super) fn title_of(plan: &Plan) -> String {
    format!("{} on {}", plan.face_name, plan.slipper_name)
}

pub(super) fn description(plan: &Plan, enlarged: f64) -> String {
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
