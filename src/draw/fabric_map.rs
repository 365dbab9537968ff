//! The map of a slipper without a face: needle points, the centre line and where it is basted,
//! the start of the rounds, and where a column would lead that is followed from the middle.

use kurbo::{Point, Rect, Size};

use super::chart_sheet::{A4_MM, MARGIN_MM, SCALE_MM, TITLE_MM, border, title};
use super::fabric;
use super::frame::{self, ROOM, halves};
use super::panel::{LEADING_MM, Panel};
use super::scene::polyline;
use super::view::{Tints, View};
use super::{Colour, DrawSettings, Group, Pen, Scene, lines, scale_bar, signs};
use crate::fabric::{Instep, Rounds};

/// How much smaller than worn a map may be drawn to fit on A4.
const REDUCTIONS: [f64; 6] = [1.0, 0.9, 0.8, 0.7, 0.6, 0.5];

/// Lines of text below the map, with the rows of signs.
const LINES: f64 = 9.4;

/// Turn from the centre line beyond which a place is seen from above at less than half its width:
/// the cosine of 60 degrees is a half.
const TURNED_AWAY_DEG: f64 = 60.0;

/// Draws the fabric of a slipper.
#[must_use]
pub fn fabric_map(instep: &Instep, slipper_name: &str, settings: &DrawSettings) -> Scene {
    let half = instep.around_mm() / 4.0;
    let end = instep.centre_line_mm() + 0.6 * instep.row_mm();
    let window = Rect::new(-half, -1.9 * instep.row_mm(), half, end);
    let map = Point::new(MARGIN_MM + ROOM.left, MARGIN_MM + TITLE_MM + ROOM.above);
    let size = |factor: f64| {
        let bottom = map.y + window.height() * factor + ROOM.above + SCALE_MM;
        Size::new(
            (map.x + window.width() * factor + ROOM.right + MARGIN_MM).max(140.0),
            bottom + LINES * LEADING_MM + MARGIN_MM,
        )
    };
    let fits = |factor: &f64| size(*factor).width <= A4_MM.1 && size(*factor).height <= A4_MM.0;
    let least = REDUCTIONS[REDUCTIONS.len() - 1];
    let enlarged = settings
        .enlarged
        .unwrap_or_else(|| REDUCTIONS.into_iter().find(fits).unwrap_or(least));
    let view = View {
        window,
        corner: map,
        enlarged,
    };
    let tints = Tints::washed(Colour(settings.fabric));
    let sheet = size(enlarged);
    Scene {
        width_mm: sheet.width,
        height_mm: sheet.height,
        title: format!("Fabric of {slipper_name}"),
        description: format!(
            "Map of the instep of {slipper_name}, the toe at the bottom, {enlarged} times the size \
             worn, with the needle points and the places of the basting thread."
        ),
        paper: Colour::PAPER,
        layers: vec![
            border(sheet),
            title(slipper_name, &gauge_line(instep, settings), "", sheet),
            fabric_layers(instep, &view, tints),
            frame::frame(instep, &view),
            foot(instep, &view, settings, tints, sheet),
        ],
    }
}

/// What the fabric is worked in and how large it comes out.
fn gauge_line(instep: &Instep, settings: &DrawSettings) -> String {
    let shell = instep.shell();
    format!(
        "{}; {} {}, {} stitches in the last, lean {} a round",
        settings.gauge_words(shell.gauge()),
        shell.last_round(),
        match shell.rounds() {
            Rounds::Spiral => "rounds in a spiral",
            Rounds::Joined => "joined rounds",
        },
        shell.last_count(),
        shell.lean(),
    )
}

fn fabric_layers(instep: &Instep, view: &View, tints: Tints) -> Group {
    let mut group = Group::new("map");
    group.window = Some(view.on_sheet());
    group.fill(&view.on_sheet(), Colour::PAPER.mix(Colour::WHITE, 0.5));
    group.group(fabric::strip(instep, view, tints));
    group.group(fabric::stitches(instep, view, tints));
    group.group(turned_away(instep, view));
    group.group(fabric::open_points(instep, view, tints));
    group.group(fabric::opening_edge(instep, view, tints));
    if let Some(cap) = lines::cap(instep, view) {
        group.group(cap);
    }
    group.group(lines::round_start(instep, view));
    let column = column_followed(instep).map(|place| view.to_sheet() * place);
    let column = polyline(column);
    group.line(&column, Pen::new(Colour::WHITE, 0.9));
    group.line(&column, signs::column_pen());
    group.group(lines::centre_line(instep, view));
    group
}

/// Where the fabric turns away from one who looks down on the foot.
fn turned_away(instep: &Instep, view: &View) -> Group {
    let mut group = Group::new("turned-away");
    for side in [-1.0, 1.0] {
        let steps = (0..=40).map(|step| f64::from(step) / 40.0 * instep.centre_line_mm());
        let line = steps.map(|y| {
            let x = side * instep.around_mm_at(y) * TURNED_AWAY_DEG / 360.0;
            view.to_sheet() * Point::new(x, y)
        });
        group.line(&polyline(line), signs::turned_away_pen());
    }
    group
}

/// Places along the column that starts in the middle of the edge, down to the cap.
fn column_followed(instep: &Instep) -> impl Iterator<Item = Point> {
    let steps = 40;
    (0..=steps).map(move |step| {
        let y = f64::from(step) / f64::from(steps) * instep.cap_mm();
        instep.counted_naively(Point::new(0.0, y))
    })
}

fn foot(instep: &Instep, view: &View, settings: &DrawSettings, tints: Tints, sheet: Size) -> Group {
    let mut group = Group::new("foot");
    let window = view.on_sheet();
    let at = Point::new(window.x0, window.y1 + ROOM.above + 3.4);
    group.group(scale_bar::scale_bar(at, view.enlarged, settings.ruler));
    let arrow = Point::new(window.x1 - 8.0, at.y + 1.2);
    group.group(scale_bar::toe_arrow(arrow));
    let corner = Point::new(MARGIN_MM + 0.5, at.y + SCALE_MM - 4.0);
    let mut panel = Panel::new("notes", corner, sheet.width - 2.0 * MARGIN_MM - 1.0);
    for line in notes(instep, settings) {
        panel.sentence(&line, 0.0, Colour::INK);
    }
    let at = Point::new(corner.x, panel.bottom() + 0.6);
    group.group(panel.finish());
    let width = (sheet.width - 2.0 * MARGIN_MM).min(110.0);
    group.group(signs::signs(&signs::OF_A_MAP, at, width, tints).finish());
    group
}

fn notes(instep: &Instep, settings: &DrawSettings) -> Vec<String> {
    let shell = instep.shell();
    let off = instep.counted_naively(Point::new(0.0, instep.cap_mm())).x;
    let face = 0.3;
    let mut notes = vec![
        format!(
            "The middle of the opening edge is stitch {} of round {}; {} stitches are open.",
            halves(shell.centre_stitch()),
            shell.last_round(),
            shell.open_stitches(),
        ),
        format!(
            "A column followed from there to the cap leads {} off the centre line.",
            settings.ruler.tape(off.abs()),
        ),
    ];
    if shell.rounds() == Rounds::Spiral {
        notes.push(format!(
            "A round climbs {} over the width of a face of {}.",
            settings.ruler.small(face * instep.row_mm()),
            settings.ruler.tape(face * instep.around_mm()),
        ));
    }
    notes
}
