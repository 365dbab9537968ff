//! Where things go on the sheet of a chart, and how much the map is enlarged.

use kurbo::{Point, Rect, Size};

use super::frame::ROOM;
use super::legend::{self, WIDTH_MM};
use super::panel::LEADING_MM;
use super::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, locator, signs};
use crate::weave::Plan;

/// Longer and shorter side of an A4 sheet, mm (ISO 216).
pub const A4_MM: (f64, f64) = (297.0, 210.0);

/// From the edge of the sheet to what is printed, mm.
pub const MARGIN_MM: f64 = 9.0;

/// Room for the title, mm.
pub const TITLE_MM: f64 = 14.0;

/// Room for the scale bar, mm.
pub const SCALE_MM: f64 = 14.0;

/// From the map to the legend, mm.
const GAP_MM: f64 = 6.0;

/// Least height of the small pictures below the map, mm: less than beside it, as they are dropped
/// where this is too much.
const LEAST_BELOW_MM: f64 = 34.0;

/// Times larger than as worn, smallest first.
const ENLARGEMENTS: [f64; 6] = [1.0, 1.25, 1.5, 2.0, 2.5, 3.0];

/// Narrowest strand on the sheet that holds its number at ease, mm. Tried in pictures: at 2.8 every
/// fifth number has to leave its bar, at 4 hardly one.
const NUMBERED_STRAND_MM: f64 = 4.0;

/// The sheet of a chart, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    /// Its size.
    pub size: Size,
    /// Top left corner of the map.
    pub map: Point,
    /// Times larger than as worn.
    pub enlarged: f64,
    /// Top left corner of the legend.
    pub legend: Point,
    /// Lines in which findings are told there.
    pub told: usize,
    /// Top left corner of the signs.
    pub signs: Point,
    /// Width of the signs.
    pub signs_width: f64,
    /// Room for the small pictures, where there is any.
    pub corner: Option<Rect>,
}

/// What has to find room.
struct Contents {
    /// What the map shows, mm of the instep frame.
    window: Rect,
    /// Lines in which findings are told.
    told: usize,
    /// Height of the legend with them, mm.
    legend_mm: f64,
}

/// What stands where.
#[derive(Debug, Clone, Copy)]
enum Arrangement {
    /// The legend to the right of the map.
    Beside { signs_below: bool, pictures: bool },
    /// The same with the signs under it, and the pictures below the map.
    PicturesBelow,
    /// All below the map.
    Below,
}

impl Arrangement {
    fn beside(signs_below: bool, pictures: bool) -> Self {
        Self::Beside {
            signs_below,
            pictures,
        }
    }
}

impl Sheet {
    /// The smallest enlargement at which every strand holds its number, if the sheet fits on A4;
    /// else the largest that fits. Findings are told in as many lines as change nothing of that,
    /// and push no picture out.
    #[must_use]
    pub fn new(plan: &Plan, settings: &DrawSettings, window: Rect) -> Self {
        let strand = plan.features.iter().map(|feature| feature.strand_mm);
        let strand = strand.fold(f64::INFINITY, f64::min);
        let lines = legend::told(plan, legend::MOST_TOLD).len();
        let bare = legend::legend(plan, settings, Point::ORIGIN, 0).bottom();
        let with = |told: usize| {
            let contents = Contents {
                window,
                told,
                legend_mm: bare + told as f64 * LEADING_MM,
            };
            match settings.enlarged {
                Some(enlarged) => Self::best(&contents, enlarged),
                None => Self::enlarged(&contents, strand),
            }
        };
        let plain = with(0);
        let as_good = |sheet: &Self| {
            sheet.enlarged >= plain.enlarged
                && sheet.corner.is_some() >= plain.corner.is_some()
                && sheet.fits() >= plain.fits()
        };
        // One line could not say more than that there is more.
        let most = (2..=lines).rev().chain((lines == 1).then_some(1));
        most.map(with).find(as_good).unwrap_or(plain)
    }

    fn enlarged(contents: &Contents, strand_mm: f64) -> Self {
        let mut chosen = Self::best(contents, ENLARGEMENTS[0]);
        for enlarged in ENLARGEMENTS {
            if strand_mm * chosen.enlarged >= NUMBERED_STRAND_MM {
                break;
            }
            let larger = Self::best(contents, enlarged);
            // The small pictures are worth more than room for every number on its bar.
            if !larger.fits() || (chosen.corner.is_some() && larger.corner.is_none()) {
                break;
            }
            chosen = larger;
        }
        chosen
    }

    /// The lowest sheet that fits on A4: with the small pictures if there is room for them, the
    /// legend beside the map rather than below it.
    fn best(contents: &Contents, enlarged: f64) -> Self {
        let lay = |arrangement| Self::laid_out(contents, enlarged, arrangement);
        let lowest = |sheets: [Self; 2]| {
            let [first, second] = sheets;
            if second.size.height < first.size.height - 0.5 {
                second
            } else {
                first
            }
        };
        let choices = [
            lowest([
                lay(Arrangement::beside(false, true)),
                lay(Arrangement::beside(true, true)),
            ]),
            lay(Arrangement::PicturesBelow),
            lay(Arrangement::Below),
            lowest([
                lay(Arrangement::beside(false, false)),
                lay(Arrangement::beside(true, false)),
            ]),
        ];
        choices.into_iter().find(Self::fits).unwrap_or(choices[3])
    }

    fn fits(&self) -> bool {
        let longer = self.size.width.max(self.size.height);
        let shorter = self.size.width.min(self.size.height);
        longer <= A4_MM.0 + 0.01 && shorter <= A4_MM.1 + 0.01
    }

    fn laid_out(contents: &Contents, enlarged: f64, arrangement: Arrangement) -> Self {
        let (map, end) = Self::map(contents.window, enlarged);
        let below_map = Point::new(MARGIN_MM + 0.5, end.y);
        let (signs_below, pictures) = match arrangement {
            Arrangement::Below => return Self::below(contents, map, end, enlarged),
            Arrangement::Beside {
                signs_below,
                pictures,
            } => (signs_below, pictures),
            Arrangement::PicturesBelow => (false, false),
        };
        let pictures_below = matches!(arrangement, Arrangement::PicturesBelow);
        let corner = Point::new(end.x + GAP_MM, MARGIN_MM + TITLE_MM);
        let legend_end = corner.y + contents.legend_mm;
        let (key, key_width) = if signs_below {
            (below_map, end.x - below_map.x)
        } else {
            (Point::new(corner.x, legend_end + 1.8), WIDTH_MM)
        };
        let key_end = key.y + signs::height_mm(&signs::OF_A_CHART, key_width);
        let (left, right) = match (signs_below, pictures_below) {
            (true, _) => (key_end, legend_end),
            (false, true) => (end.y + LEAST_BELOW_MM, key_end),
            (false, false) => (end.y, key_end),
        };
        let top = right + 5.0;
        let least = if pictures {
            top + locator::LEAST_MM
        } else {
            right
        };
        let bottom = left.max(least);
        let room = if pictures_below {
            Rect::new(below_map.x, end.y, below_map.x + WIDTH_MM, bottom)
        } else {
            Rect::new(corner.x, top, corner.x + WIDTH_MM, bottom - 0.5)
        };
        let highest = room.y0 + locator::MOST_MM;
        Self {
            size: Size::new(corner.x + WIDTH_MM + MARGIN_MM, bottom + MARGIN_MM),
            map,
            enlarged,
            legend: corner,
            told: contents.told,
            signs: key,
            signs_width: key_width,
            corner: (pictures || pictures_below).then_some(Rect {
                y1: room.y1.min(highest),
                ..room
            }),
        }
    }

    fn below(contents: &Contents, map: Point, end: Point, enlarged: f64) -> Self {
        let corner = Point::new(MARGIN_MM + 0.5, end.y);
        let key = Point::new(corner.x + WIDTH_MM + GAP_MM, end.y - 2.2);
        let top = key.y + signs::height_mm(&signs::OF_A_CHART, WIDTH_MM) + 5.0;
        let pictures = Rect::new(key.x, top, key.x + WIDTH_MM, top + locator::LEAST_MM);
        Self {
            size: Size::new(
                end.x.max(pictures.x1) + MARGIN_MM,
                (corner.y + contents.legend_mm).max(pictures.y1) + MARGIN_MM,
            ),
            map,
            enlarged,
            legend: corner,
            told: contents.told,
            signs: key,
            signs_width: WIDTH_MM,
            corner: Some(pictures),
        }
    }

    /// Top left corner of the map, and where the legend may start to its right and below.
    fn map(window: Rect, enlarged: f64) -> (Point, Point) {
        let map = Point::new(MARGIN_MM + ROOM.left, MARGIN_MM + TITLE_MM + ROOM.above);
        let end = Point::new(
            map.x + window.width() * enlarged + ROOM.right,
            map.y + window.height() * enlarged + ROOM.above + SCALE_MM,
        );
        (map, end)
    }
}

/// The double rule round a sheet.
#[must_use]
pub fn border(size: Size) -> Group {
    let mut group = Group::new("border");
    let sheet = size.to_rect();
    group.line(&sheet.inset(-4.0), Pen::new(Colour::INK, 0.45).square());
    group.line(&sheet.inset(-5.0), Pen::new(Colour::INK, 0.18).square());
    group
}

/// The title of a sheet, a line below it, and a remark to the right.
#[must_use]
pub fn title(name: &str, below: &str, remark: &str, size: Size) -> Group {
    let mut group = Group::new("title");
    let left = MARGIN_MM + 0.5;
    let baseline = MARGIN_MM + 6.4;
    let remark = Lettering::new(remark, Font::SerifItalic, 3.2);
    let room = size.width - 2.0 * left - remark.length_mm() - GAP_MM;
    let fitting = |text: &str, font: Font, wanted: f64, room: f64| {
        let width = font.width_mm(text, wanted);
        Lettering::new(text, font, wanted * (room / width.max(1.0)).min(1.0))
    };
    let name = fitting(name, Font::SerifBold, 7.0, room);
    group.text(
        name.at(Point::new(left, baseline), Anchor::Start),
        Colour::INK,
    );
    let below = fitting(below, Font::Sans, 2.7, size.width - 2.0 * left);
    let at = Point::new(left, baseline + 5.0);
    group.text(below.at(at, Anchor::Start), Colour::FADED);
    let at = Point::new(size.width - left, baseline);
    group.text(remark.at(at, Anchor::End), Colour::INK);
    group
}
