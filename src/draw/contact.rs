//! A contact sheet: every face of a set on every slipper, side by side at one scale.

use kurbo::{Circle, Point, Rect, Size, Vec2};

use super::contact_page::{Block, Page, Room};
use super::portrait::{Laid, laid_on_fabric};
use super::scene::{polygon, segment};
use super::view::View;
use super::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, Scene};
use crate::fabric::Instep;
use crate::fabric::colour::Rgb;

/// What a contact sheet shows.
#[derive(Debug, Clone)]
pub struct ContactSheet<'a> {
    /// Its title.
    pub title: String,
    /// The slippers, one row each.
    pub shoes: Vec<ShownShoe<'a>>,
    /// Names of the faces, one column each: the face, and its mood where it has several.
    pub looks: Vec<(String, String)>,
    /// The pieces that were made.
    pub pieces: Vec<Shown>,
}

/// A slipper of the sheet.
#[derive(Debug, Clone)]
pub struct ShownShoe<'a> {
    /// What it is called.
    pub name: String,
    /// What is worth knowing of it, in a few words.
    pub about: String,
    /// Its fabric.
    pub instep: &'a Instep,
    /// Colour of its yarn, where it is known.
    pub colour: Option<Rgb>,
}

/// A piece on the sheet.
#[derive(Debug, Clone)]
pub struct Shown {
    /// Which slipper.
    pub shoe: usize,
    /// Which face.
    pub look: usize,
    /// Its yarn.
    pub yarn: Vec<Laid>,
    /// How far strands and shapes match, 0 to 1.
    pub match_share: f64,
    /// Its marks.
    pub marks: Vec<Mark>,
}

/// What a piece is marked with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// Its plan holds a problem.
    Problem,
    /// It looks like another on this slipper.
    Alike,
    /// It stands out from the others.
    StandsOut,
}

impl Mark {
    const ALL: [Self; 3] = [Self::Problem, Self::Alike, Self::StandsOut];

    fn words(self) -> &'static str {
        match self {
            Self::Problem => "a problem",
            Self::Alike => "looks like another",
            Self::StandsOut => "unlike the others in match or yarn",
        }
    }
}

/// Colour of a warning: dark enough to be read on paper.
const WARNING: Colour = Colour([0xa8, 0x24, 0x1c]);

/// Size of a piece's caption, mm.
const CAPTION_MM: f64 = 2.9;

/// The sheet, as many pages as it takes.
#[must_use]
pub fn contact_sheet(sheet: &ContactSheet<'_>, settings: &DrawSettings) -> Vec<Scene> {
    let windows: Vec<Rect> = (0..sheet.shoes.len())
        .map(|shoe| window(sheet, shoe))
        .collect();
    let sizes: Vec<Size> = windows.iter().map(|window| window.size()).collect();
    let room = Room::new(&sizes, sheet.looks.len());
    let pages = room.pages();
    let count = pages.len();
    pages
        .iter()
        .zip(1..)
        .map(|(page, number)| scene(sheet, settings, page, &windows, (number, count)))
        .collect()
}

/// What is shown of a slipper: all its faces, with somewhat less than a stitch around them, alike on
/// both sides of the centre line.
fn window(sheet: &ContactSheet<'_>, shoe: usize) -> Rect {
    let instep = sheet.shoes[shoe].instep;
    let own = sheet.pieces.iter().filter(|piece| piece.shoe == shoe);
    let ends = own.flat_map(|piece| &piece.yarn).flat_map(|laid| {
        let wide = laid.width_mm.max(laid.knot_mm);
        let around = move |at: Point| Rect::from_center_size(at, (wide, wide));
        laid.strands
            .iter()
            .flat_map(move |&(a, b)| [around(a), around(b)])
    });
    let stitch = instep.stitch_mm();
    let usual = Rect::new(-4.0 * stitch, stitch, 4.0 * stitch, 6.0 * stitch);
    let sewn = ends.reduce(|a, b| a.union(b)).unwrap_or(usual);
    let half = sewn.x1.max(-sewn.x0) + 0.8 * stitch;
    let row = 0.8 * instep.row_mm();
    let top = (sewn.y0 - row).max((0.4 * instep.row_mm()).min(sewn.y0));
    Rect::new(-half, top, half, sewn.y1 + row)
}

fn scene(
    sheet: &ContactSheet<'_>,
    settings: &DrawSettings,
    page: &Page,
    windows: &[Rect],
    (number, count): (usize, usize),
) -> Scene {
    let mut layers = vec![title(sheet, page, (number, count))];
    for block in &page.blocks {
        layers.push(names(sheet, block));
        for (at, shoe) in block.shoes.clone().enumerate() {
            layers.push(row_head(sheet, page, shoe, block.row_head(at)));
            for (across, look) in block.looks.clone().enumerate() {
                let cell = block.cell(at, across);
                let own = |piece: &&Shown| piece.shoe == shoe && piece.look == look;
                layers.extend(match sheet.pieces.iter().find(own) {
                    Some(piece) => shown(sheet, piece, settings, (page.scale, windows[shoe]), cell),
                    None => vec![missing(cell, windows[shoe].size() * page.scale)],
                });
            }
        }
    }
    layers.push(foot(page, settings));
    Scene {
        width_mm: page.size.width,
        height_mm: page.size.height,
        title: sheet.title.clone(),
        description: format!(
            "{}: {} faces on {} slippers at one scale, page {number} of {count}.",
            sheet.title,
            sheet.looks.len(),
            sheet.shoes.len()
        ),
        paper: Colour::PAPER,
        layers,
    }
}

/// The title, with the page where there are several.
fn title(sheet: &ContactSheet<'_>, page: &Page, (number, count): (usize, usize)) -> Group {
    let mut group = Group::new("title");
    let at = Page::title();
    let mut title = sheet.title.clone();
    if count > 1 {
        title = format!("{title}, {number} of {count}");
    }
    let room = page.size.width - 2.0 * at.x;
    let title = Font::SerifBold.cut(&title, 5.4, room);
    let title = Lettering::new(title, Font::SerifBold, 5.4).at(at, Anchor::Start);
    group.text(title, Colour::INK);
    group
}

/// The names of the faces above their columns.
fn names(sheet: &ContactSheet<'_>, block: &Block) -> Group {
    let mut group = Group::new("names");
    for (across, look) in block.looks.clone().enumerate() {
        let cell = block.cell(0, across);
        let (name, mood) = &sheet.looks[look];
        let mut y = block.names_end();
        let lines = [(mood, Font::Sans, 2.9), (name, Font::SerifItalic, 3.5)];
        for (text, font, size) in lines.into_iter().filter(|line| !line.0.is_empty()) {
            let text = font.cut(text, size, cell.width());
            let text = Lettering::new(text, font, size);
            let middle = Point::new(cell.center().x, y);
            group.text(text.at(middle, Anchor::Middle), Colour::INK);
            y -= 4.2;
        }
    }
    group
}

/// The name of a slipper beside its row, and a rule above.
fn row_head(sheet: &ContactSheet<'_>, page: &Page, shoe: usize, room: Rect) -> Group {
    let mut group = Group::new("slipper");
    let shoe = &sheet.shoes[shoe];
    let mut y = room.y0 + 4.0;
    let mut line = |text: &str, font: Font, size: f64, colour: Colour| {
        let text = font.cut(text, size, room.width());
        let lettering = Lettering::new(text, font, size).at(Point::new(room.x0, y), Anchor::Start);
        group.text(lettering, colour);
        y += 1.35 * size;
    };
    for text in Font::SerifBold.wrap(&shoe.name, 3.2, room.width()) {
        line(&text, Font::SerifBold, 3.2, Colour::INK);
    }
    for text in Font::Sans.wrap(&shoe.about, 2.7, room.width()) {
        line(&text, Font::Sans, 2.7, Colour::FADED);
    }
    let rule = room.y0 - 1.6;
    let ends = [(room.x0, rule), (page.size.width - room.x0, rule)];
    group.line(&segment(ends[0], ends[1]), Pen::new(Colour::RULE, 0.25));
    group
}

/// The face on its fabric, and its caption.
fn shown(
    sheet: &ContactSheet<'_>,
    piece: &Shown,
    settings: &DrawSettings,
    (scale, window): (f64, Rect),
    cell: Rect,
) -> Vec<Group> {
    let size = window.size() * scale;
    let view = View {
        window,
        corner: Point::new(cell.center().x - size.width / 2.0, cell.y0),
        enlarged: scale,
    };
    let shoe = &sheet.shoes[piece.shoe];
    let settings = DrawSettings {
        fabric: shoe.colour.unwrap_or(settings.fabric),
        ..*settings
    };
    let face = laid_on_fabric(shoe.instep, &piece.yarn, &settings, &view);
    let mut caption = Group::new("caption");
    let edge = Pen::new(Colour::INK, 0.2).square();
    caption.line(&view.on_sheet(), edge);
    let text = format!("{:.0} %", 100.0 * piece.match_share);
    let text = Lettering::new(text, Font::Sans, CAPTION_MM);
    let wide = 2.0 * MARK_MM + 1.2;
    let all = text.length_mm() + wide * piece.marks.len() as f64;
    let left = Point::new(cell.center().x - all / 2.0, view.on_sheet().y1 + 4.0);
    let mut at = left + Vec2::new(text.length_mm() + 1.2 + MARK_MM, -0.36 * CAPTION_MM);
    caption.text(text.at(left, Anchor::Start), Colour::INK);
    for &sign in &piece.marks {
        mark(&mut caption, sign, at);
        at.x += wide;
    }
    vec![face, caption]
}

/// Where a piece could not be made.
fn missing(cell: Rect, size: Size) -> Group {
    let mut group = Group::new("missing");
    let left = cell.center().x - size.width / 2.0;
    let place = Rect::from_origin_size((left, cell.y0), size);
    let dashes = Pen::new(Colour::FADED, 0.25).dashed(&[1.5, 1.2]);
    group.line(&place, dashes);
    let text = Font::Sans.cut("not made", CAPTION_MM, size.width);
    let text = Lettering::new(text, Font::Sans, CAPTION_MM).centred(place.center(), 0.0);
    group.text(text, Colour::FADED);
    group
}

/// Half the width of a mark, mm.
const MARK_MM: f64 = 1.5;

/// A mark about a place: told apart by shape, not by colour alone.
fn mark(group: &mut Group, mark: Mark, at: Point) {
    match mark {
        Mark::Problem => {
            group.fill(&Circle::new(at, MARK_MM), WARNING);
            let letter = Lettering::new("!", Font::SerifBold, 2.6).centred(at, 0.0);
            group.text(letter, Colour::WHITE);
        }
        Mark::Alike => {
            for side in [-0.55, 0.55] {
                let ring = Circle::new(at + Vec2::new(side, 0.0), 0.95);
                group.line(&ring, Pen::new(WARNING, 0.42));
            }
        }
        Mark::StandsOut => {
            let corners = [(0.0, -1.3), (1.4, 1.1), (-1.4, 1.1)];
            let triangle = polygon(corners.map(|(x, y)| at + Vec2::new(x, y)));
            group.line(&triangle, Pen::new(Colour::INK, 0.35));
        }
    }
}

/// Scale, and what the figures and marks say.
fn foot(page: &Page, settings: &DrawSettings) -> Group {
    let mut group = Group::new("foot");
    let at = page.foot();
    group.group(super::scale_bar::scale_bar(at, page.scale, settings.ruler));
    let mut place = Point::new(at.x, at.y + 9.4);
    let mut say = |group: &mut Group, text: &str, sign: Option<Mark>| {
        if let Some(sign) = sign {
            mark(group, sign, place + Vec2::new(MARK_MM, -0.36 * CAPTION_MM));
            place.x += 2.0 * MARK_MM + 1.0;
        }
        let text = Lettering::new(text, Font::Sans, 2.6);
        let wide = text.length_mm();
        group.text(text.at(place, Anchor::Start), Colour::INK);
        place.x += wide + 5.0;
    };
    say(&mut group, "%: how far strands match the shapes", None);
    for sign in Mark::ALL {
        say(&mut group, sign.words(), Some(sign));
    }
    group
}
