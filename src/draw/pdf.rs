//! Scenes as the pages of a PDF (ISO 32000-1), true to size: the writer of what goes to a printer.
//!
//! Letters are drawn by the same outlines as everywhere else, each once a document, as the glyphs
//! of a Type 3 font; what they stand for is said beside them, so that text can be searched,
//! copied and read aloud.

use std::collections::BTreeMap;

use kurbo::{BezPath, PathEl, Point, QuadBez, Rect, Shape, Size};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{LineCapStyle, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Ref, Str, TextStr};

use super::scene::{Group, Item, Overlap, Scene};
use super::{Colour, Font, Lettering, Pen};
use crate::units;

/// Writes scenes as the pages of one PDF, in their order, each page as large as its sheet; lengths
/// to a hundredth of a mm. There is no date in it, so that the same pages give the same bytes.
#[must_use]
pub fn pdf(title: &str, pages: &[Scene]) -> Vec<u8> {
    let letters = Letters::of(pages);
    let mut free = Ref::new(1);
    let (catalog, tree, info) = (free.bump(), free.bump(), free.bump());
    let mut out = Pdf::new();
    let mut catalog = out.catalog(catalog);
    catalog.pages(tree).lang(TextStr("en"));
    let mut wishes = catalog.viewer_preferences();
    // ISO 32000-1, table 150: the print dialogue begins without fitting to the page.
    wishes.pair(Name(b"PrintScaling"), Name(b"None"));
    wishes.display_doc_title(true);
    wishes.finish();
    catalog.finish();
    out.document_info(info).title(TextStr(title));
    let fonts = letters.fonts.iter();
    let fonts: Vec<Ref> = fonts.map(|font| font.write(&mut out, &mut free)).collect();
    let mut kids = Vec::new();
    for scene in pages {
        let (page, content) = (free.bump(), free.bump());
        let (width, height) = (
            units::points(scene.width_mm),
            units::points(scene.height_mm),
        );
        let mut page_out = out.page(page);
        page_out
            .parent(tree)
            .media_box(pdf_writer::Rect::new(
                0.0,
                0.0,
                single(width),
                single(height),
            ))
            .contents(content);
        let mut resources = page_out.resources();
        let mut named = resources.fonts();
        for (index, &font) in fonts.iter().enumerate() {
            named.pair(Name(font_name(index).as_bytes()), font);
        }
        named.finish();
        resources.finish();
        page_out.finish();
        let drawn = compress_to_vec_zlib(&drawn(scene, &letters), DEFLATE_LEVEL);
        out.stream(content, &drawn).filter(Filter::FlateDecode);
        kids.push(page);
    }
    let count = i32::try_from(kids.len()).unwrap_or(i32::MAX);
    out.pages(tree).kids(kids).count(count);
    out.finish()
}

/// How hard streams are pressed, 0 to 10: 9 is the usual best of zlib.
const DEFLATE_LEVEL: u8 = 9;

/// Letters of a Type 3 font: its codes are single bytes.
const MOST_LETTERS: usize = 256;

/// A font of the document: some letters of one of ours.
struct LetterFont {
    font: Font,
    /// Glyph and what it stands for, in the order of their codes from 0.
    letters: Vec<(u32, char)>,
}

/// The letters of all pages.
struct Letters {
    fonts: Vec<LetterFont>,
    /// Font of the document and code of each.
    codes: BTreeMap<(Font, u32), (usize, u8)>,
}

impl Letters {
    fn of(pages: &[Scene]) -> Self {
        let used: BTreeMap<(Font, u32), char> = pages.iter().flat_map(Scene::letters).collect();
        let mut letters = Self {
            fonts: Vec::new(),
            codes: BTreeMap::new(),
        };
        for ((font, glyph), letter) in used {
            let full = |last: &LetterFont| last.font != font || last.letters.len() == MOST_LETTERS;
            if letters.fonts.last().is_none_or(full) {
                letters.fonts.push(LetterFont {
                    font,
                    letters: Vec::new(),
                });
            }
            let at = letters.fonts.len() - 1;
            let own = &mut letters.fonts[at].letters;
            let code = u8::try_from(own.len()).unwrap_or(u8::MAX);
            own.push((glyph, letter));
            letters.codes.insert((font, glyph), (at, code));
        }
        letters
    }
}

impl LetterFont {
    /// Writes the font with its letters; its reference.
    fn write(&self, out: &mut Pdf, free: &mut Ref) -> Ref {
        let (id, said) = (free.bump(), free.bump());
        let outlines: Vec<Ref> = self.letters.iter().map(|_| free.bump()).collect();
        let names: Vec<String> = (0..self.letters.len())
            .map(|code| format!("g{code}"))
            .collect();
        let names: Vec<Name<'_>> = names.iter().map(|name| Name(name.as_bytes())).collect();
        let mut bounds = Rect::ZERO;
        let mut cmap = UnicodeCmap::<u8>::new(Name(b"Letters"), SYSTEM);
        for (code, (&(glyph, letter), &outline)) in self.letters.iter().zip(&outlines).enumerate() {
            // Fonts of PDF draw upward.
            let path = kurbo::Affine::FLIP_Y * self.font.outline(glyph);
            let box_ = path.bounding_box();
            bounds = bounds.union(box_);
            let mut content = Content::new();
            content.start_shape_glyph(
                single(self.font.advance(glyph)),
                single(box_.x0.floor()),
                single(box_.y0.floor()),
                single(box_.x1.ceil()),
                single(box_.y1.ceil()),
            );
            if !path.elements().is_empty() {
                add_path(&mut content, &path, f64::round);
                content.fill_nonzero();
            }
            let pressed = compress_to_vec_zlib(&content.finish(), DEFLATE_LEVEL);
            out.stream(outline, &pressed).filter(Filter::FlateDecode);
            cmap.pair(u8::try_from(code).unwrap_or(u8::MAX), letter);
        }
        let pressed = compress_to_vec_zlib(&cmap.finish(), DEFLATE_LEVEL);
        out.stream(said, &pressed).filter(Filter::FlateDecode);
        let mut font = out.type3_font(id);
        font.bbox(pdf_writer::Rect::new(
            single(bounds.x0.floor()),
            single(bounds.y0.floor()),
            single(bounds.x1.ceil()),
            single(bounds.y1.ceil()),
        ));
        font.matrix([0.001, 0.0, 0.0, 0.001, 0.0, 0.0]);
        let mut drawn = font.char_procs();
        for (&name, &outline) in names.iter().zip(&outlines) {
            drawn.pair(name, outline);
        }
        drawn.finish();
        let mut encoding = font.encoding_custom();
        encoding.differences().consecutive(0, names.iter().copied());
        encoding.finish();
        font.first_char(0);
        font.last_char(u8::try_from(self.letters.len().saturating_sub(1)).unwrap_or(u8::MAX));
        font.widths(self.letters.iter().map(|l| single(self.font.advance(l.0))));
        font.resources();
        font.to_unicode(said);
        id
    }
}

/// Letters stand for characters of Unicode.
const SYSTEM: SystemInfo<'_> = SystemInfo {
    registry: Str(b"Adobe"),
    ordering: Str(b"UCS"),
    supplement: 0,
};

fn font_name(index: usize) -> String {
    format!("F{index}")
}

/// What is drawn on a page, in mm from its top left corner.
fn drawn(scene: &Scene, letters: &Letters) -> Vec<u8> {
    let sheet = Size::new(scene.width_mm, scene.height_mm).to_rect();
    let mut writer = Writer {
        content: Content::new(),
        letters,
        seen: sheet,
    };
    let point = units::points(1.0);
    let height = units::points(scene.height_mm);
    let down = [point, 0.0, 0.0, -point, 0.0, height];
    writer.content.transform(down.map(single));
    if scene.paper != Colour::WHITE {
        let (width, height) = (single(scene.width_mm), single(scene.height_mm));
        writer.fill_colour(scene.paper);
        writer.content.rect(0.0, 0.0, width, height).fill_nonzero();
    }
    for layer in &scene.layers {
        writer.group(layer);
    }
    writer.content.finish().to_vec()
}

struct Writer<'l> {
    content: Content,
    letters: &'l Letters,
    /// What is seen of the sheet within the windows that are open. What lies outside is left out:
    /// it would be text to search that nobody sees, and bytes.
    seen: Rect,
}

impl Writer<'_> {
    fn group(&mut self, group: &Group) {
        let around = self.seen;
        if let Some(window) = group.window {
            self.seen = around.intersect(window);
            self.content.save_state();
            add_path(&mut self.content, &window.to_path(0.1), hundredths);
            self.content.clip_nonzero().end_path();
        }
        for item in &group.items {
            if covered(item).is_some_and(|box_| !box_.overlaps(self.seen)) {
                continue;
            }
            match item {
                Item::Area(path, colour, overlap) => {
                    self.fill_colour(*colour);
                    add_path(&mut self.content, path, hundredths);
                    match overlap {
                        Overlap::Covered => self.content.fill_nonzero(),
                        Overlap::ByTurns => self.content.fill_even_odd(),
                    };
                }
                Item::Line(path, pen) => self.line(path, pen),
                Item::Text(lettering, colour) => self.lettering(lettering, *colour),
                Item::Group(inner) => self.group(inner),
            }
        }
        if group.window.is_some() {
            self.content.restore_state();
            self.seen = around;
        }
    }

    fn fill_colour(&mut self, colour: Colour) {
        let [red, green, blue] = shares(colour);
        self.content.set_fill_rgb(red, green, blue);
    }

    fn line(&mut self, path: &BezPath, pen: &Pen) {
        let [red, green, blue] = shares(pen.colour);
        let (cap, join) = if pen.round {
            (LineCapStyle::RoundCap, LineJoinStyle::RoundJoin)
        } else {
            (LineCapStyle::ButtCap, LineJoinStyle::MiterJoin)
        };
        self.content
            .set_stroke_rgb(red, green, blue)
            .set_line_width(single(hundredths(pen.width_mm)))
            .set_line_cap(cap)
            .set_line_join(join)
            .set_dash_pattern(pen.dashes.iter().map(|&dash| single(dash)), 0.0);
        add_path(&mut self.content, path, hundredths);
        self.content.stroke();
    }

    fn lettering(&mut self, lettering: &Lettering, colour: Colour) {
        let font = lettering.font();
        // Font of the document, code, glyph, place.
        let codes = lettering.glyphs().iter().filter_map(|&(glyph, place)| {
            let (of, code) = *self.letters.codes.get(&(font, glyph))?;
            Some((of, code, glyph, place))
        });
        let codes: Vec<(usize, u8, u32, f64)> = codes.collect();
        let [red, green, blue] = shares(colour);
        let [a, b, c, d, x, y] = lettering.placing().as_coeffs();
        // From 1/1000 of the size, y down, to the size, y up.
        let matrix = [1000.0 * a, 1000.0 * b, -1000.0 * c, -1000.0 * d, x, y];
        let content = &mut self.content;
        content.begin_text().set_fill_rgb(red, green, blue);
        content.set_text_matrix(matrix.map(|value| single((1e4 * value).round() / 1e4)));
        let mut pen = 0.0;
        for run in codes.chunk_by(|one, next| one.0 == next.0) {
            content.set_font(Name(font_name(run[0].0).as_bytes()), 1.0);
            let mut shown = content.show_positioned();
            let mut items = shown.items();
            let mut together = Vec::new();
            for &(_, code, glyph, place) in run {
                let gap = (place - pen).round();
                if gap != 0.0 {
                    items.show(Str(&together));
                    items.adjust(single(-gap));
                    together.clear();
                }
                together.push(code);
                pen = place + font.advance(glyph);
            }
            items.show(Str(&together));
        }
        content.end_text();
    }
}

/// Box of all that an item can cover, mm of the sheet; `None` for a group, which has its own items.
fn covered(item: &Item) -> Option<Rect> {
    match item {
        Item::Area(path, ..) => Some(path.control_box()),
        Item::Line(path, pen) => Some(path.control_box().inflate(pen.width_mm, pen.width_mm)),
        Item::Text(lettering, _) => {
            let line = Rect::new(0.0, -1000.0, 1000.0, 300.0);
            let scale = lettering.placing().determinant().abs().sqrt();
            let length = lettering.length_mm() / scale.max(1e-9);
            Some(
                lettering
                    .placing()
                    .transform_rect_bbox(Rect { x1: length, ..line }),
            )
        }
        Item::Group(_) => None,
    }
}

fn add_path(content: &mut Content, path: &BezPath, round: fn(f64) -> f64) {
    let xy = |point: Point| (single(round(point.x)), single(round(point.y)));
    let mut last = Point::ORIGIN;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                let (x, y) = xy(p);
                content.move_to(x, y);
                last = p;
            }
            PathEl::LineTo(p) => {
                let (x, y) = xy(p);
                content.line_to(x, y);
                last = p;
            }
            PathEl::QuadTo(control, p) => {
                let cubic = QuadBez::new(last, control, p).raise();
                add_cubic(content, [cubic.p1, cubic.p2, p].map(xy));
                last = p;
            }
            PathEl::CurveTo(a, b, p) => {
                add_cubic(content, [a, b, p].map(xy));
                last = p;
            }
            PathEl::ClosePath => {
                content.close_path();
            }
        }
    }
}

fn add_cubic(content: &mut Content, [a, b, p]: [(f32, f32); 3]) {
    content.cubic_to(a.0, a.1, b.0, b.1, p.0, p.1);
}

fn shares(colour: Colour) -> [f32; 3] {
    // Three decimals tell 256 values apart.
    colour
        .0
        .map(|byte| single((f64::from(byte) / 0.255).round() / 1000.0))
}

fn hundredths(mm: f64) -> f64 {
    (100.0 * mm).round() / 100.0
}

/// PDF's numbers are single here; this is the one place where precision is let go.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a page in hundredths of a mm fits an f32"
)]
fn single(value: f64) -> f32 {
    value as f32
}
