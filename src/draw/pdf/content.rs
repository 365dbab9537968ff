//! What is drawn on a page, as the operators of PDF.

use kurbo::{BezPath, PathEl, Point, QuadBez, Rect, Shape, Size};
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Name, Str};

use super::super::scene::{Group, Item, Overlap};
use super::super::{Colour, Lettering, Pen, Scene};
use super::letters::{Letters, font_name};
use super::single;
use crate::units;

/// What is drawn on a page, in mm from its top left corner.
pub(super) fn drawn(scene: &Scene, letters: &Letters) -> Vec<u8> {
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

/// Adds a path with its numbers rounded.
pub(super) fn add_path(content: &mut Content, path: &BezPath, round: fn(f64) -> f64) {
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
