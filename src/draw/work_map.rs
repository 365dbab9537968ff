//! The map of a chart alone, in its frame, for a page that says the rest in words.

use kurbo::Point;

use super::chart_sheet::Sheet;
use super::frame::{self, ROOM};
use super::scale_bar;
use super::view::{Tints, View};
use super::{Colour, DrawSettings, Group, Scene, chart};
use crate::weave::Plan;

/// Room for the arrow to the toe, mm.
const ARROW_MM: f64 = 10.0;

/// Draws the map of a plan's chart, as large as on the chart.
#[must_use]
pub fn work_map(plan: &Plan, settings: &DrawSettings) -> Scene {
    let window = chart::window(plan);
    let view = View {
        window,
        corner: Point::new(ROOM.left, ROOM.above),
        enlarged: Sheet::new(plan, settings, window).enlarged,
    };
    let map = view.on_sheet();
    let bottom = map.y1 + ROOM.above;
    let mut foot = Group::new("foot");
    foot.group(scale_bar::toe_arrow(Point::new(
        map.center().x,
        bottom + 0.6 * ARROW_MM,
    )));
    Scene {
        width_mm: map.x1 + ROOM.right,
        height_mm: bottom + 1.4 * ARROW_MM,
        title: chart::title_of(plan),
        description: chart::description(plan, view.enlarged),
        paper: Colour::PAPER,
        layers: vec![
            chart::map(plan, &view, Tints::washed(Colour(settings.fabric))),
            frame::frame(&plan.instep, &view),
            foot,
        ],
    }
}
