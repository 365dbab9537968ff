//! The chart of a plan: the instep unfolded, drawn like a field map, with every strand on it.

use kurbo::{Point, Rect, Shape, Size, Vec2};

use super::fabric::{self, Tints, View};
use super::frame::{self, ROOM};
use super::scene::polyline;
use super::{
    Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, Scene, legend, scale_bar, strands,
};
use crate::fabric::Instep;
use crate::units::{self, Ruler};
use crate::weave::Plan;

/// Longer and shorter side of an A4 sheet, mm (ISO 216).
const SHEET_MM: (f64, f64) = (297.0, 210.0);

/// From the edge of the sheet to what is printed, mm.
const MARGIN_MM: f64 = 9.0;

/// Room for the title, mm.
const TITLE_MM: f64 = 14.0;

/// Room for the scale bar, mm.
const SCALE_MM: f64 = 14.0;

/// From the map to the legend, mm.
const GAP_MM: f64 = 6.0;

/// Times larger than as worn, smallest first.
const ENLARGEMENTS: [f64; 6] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0];

/// Narrowest strand on the sheet that holds its number at ease, mm. Tried in pictures: at 2.8 every
/// fifth number has to leave its bar, at 4 hardly one.
const NUMBERED_STRAND_MM: f64 = 4.0;

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
    Scene {
        width_mm: sheet.size.width,
        height_mm: sheet.size.height,
        title: format!("{} on {}", plan.face_name, plan.slipper_name),
        description: description(plan, sheet.enlarged),
        paper: Colour::PAPER,
        layers: vec![
            border(sheet.size),
            title(plan, settings, sheet.size),
            map(plan, &view, tints),
            frame::frame(&plan.instep, &view),
            foot(&view, settings),
            legend::legend(plan, settings, sheet.legend).finish(),
            legend::signs(sheet.signs, sheet.signs_width, tints).finish(),
        ],
    }
}

/// What is shown: the face with a margin, the opening edge, and the cap if it is near.
fn window(plan: &Plan) -> Rect {
    let instep = &plan.instep;
    let (stitch, row) = (instep.stitch_mm(), instep.row_mm());
    let mut sewn = Rect::new(0.0, 0.0, 0.0, 0.0);
    for feature in &plan.features {
        sewn = sewn.union(feature.outline.bounding_box());
        for strand in &feature.strands {
            let half = feature.strand_mm / 2.0;
            for end in [strand.up.at, strand.down.at] {
                sewn = sewn.union(Rect::from_center_size(end, (2.0 * half, 2.0 * half)));
            }
        }
    }
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

/// Where things go on the sheet, mm.
struct Sheet {
    size: Size,
    map: Point,
    legend: Point,
    signs: Point,
    signs_width: f64,
    enlarged: f64,
}

impl Sheet {
    /// The smallest enlargement at which every strand holds its number, if the sheet fits on A4;
    /// else the largest that fits.
    fn new(plan: &Plan, settings: &DrawSettings, window: Rect) -> Self {
        if let Some(enlarged) = settings.enlarged {
            return Self::best(plan, settings, window, enlarged);
        }
        let strand = plan.features.iter().map(|feature| feature.strand_mm);
        let strand = strand.fold(f64::INFINITY, f64::min);
        let mut chosen = Self::best(plan, settings, window, ENLARGEMENTS[0]);
        for enlarged in ENLARGEMENTS {
            if strand * chosen.enlarged >= NUMBERED_STRAND_MM {
                break;
            }
            let larger = Self::best(plan, settings, window, enlarged);
            if !larger.fits() {
                break;
            }
            chosen = larger;
        }
        chosen
    }

    /// The legend beside the map if that fits on A4, else below it.
    fn best(plan: &Plan, settings: &DrawSettings, window: Rect, enlarged: f64) -> Self {
        let beside = Self::laid_out(plan, settings, window, enlarged, true);
        if beside.fits() {
            return beside;
        }
        let below = Self::laid_out(plan, settings, window, enlarged, false);
        if below.fits() { below } else { beside }
    }

    fn fits(&self) -> bool {
        let longer = self.size.width.max(self.size.height);
        let shorter = self.size.width.min(self.size.height);
        longer <= SHEET_MM.0 + 0.01 && shorter <= SHEET_MM.1 + 0.01
    }

    fn laid_out(
        plan: &Plan,
        settings: &DrawSettings,
        window: Rect,
        enlarged: f64,
        beside: bool,
    ) -> Self {
        let tints = Tints::washed(Colour(settings.fabric));
        let map = Point::new(MARGIN_MM + ROOM.left, MARGIN_MM + TITLE_MM + ROOM.above);
        let right = map.x + window.width() * enlarged + ROOM.right;
        let bottom = map.y + window.height() * enlarged + ROOM.above + SCALE_MM;
        let (corner, signs_width) = if beside {
            (
                Point::new(right + GAP_MM, MARGIN_MM + TITLE_MM),
                legend::WIDTH_MM,
            )
        } else {
            (Point::new(MARGIN_MM, bottom), legend::WIDTH_MM)
        };
        let legend = legend::legend(plan, settings, corner);
        let signs = if beside {
            Point::new(corner.x, legend.bottom() + 1.8)
        } else {
            Point::new(corner.x + legend::WIDTH_MM + GAP_MM, bottom - 2.2)
        };
        let end = legend::signs(signs, signs_width, tints).bottom();
        Self {
            size: Size::new(
                if beside {
                    corner.x + legend::WIDTH_MM + MARGIN_MM
                } else {
                    right.max(signs.x + signs_width) + MARGIN_MM
                },
                bottom.max(legend.bottom()).max(end) + MARGIN_MM,
            ),
            map,
            legend: corner,
            signs,
            signs_width,
            enlarged,
        }
    }
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
    for feature in &plan.features {
        let colour = colours.get(feature.thread.as_str()).copied();
        group.group(strands::bars(feature, colour.unwrap_or(Colour::INK), view));
    }
    for feature in &plan.features {
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
        group.line(&path, legend::round_start_pen());
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
