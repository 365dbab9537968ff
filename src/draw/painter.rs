//! Groups painted as pixels.

use std::collections::BTreeMap;
use std::ops::Range;

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Size, Vec2};
use tiny_skia::{
    FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};

use super::scene::{Item, Overlap};
use super::{Colour, Font, Group, Lettering, Painted, Pen};

/// Pixels across and down that become one where a group is crowded. Smaller: slanted edges show
/// steps. Larger: more to paint and to average, by its square.
const FINE: usize = 3;

/// Paints group after group.
pub(super) struct Painter<'a> {
    /// Edges are smoothed.
    smooth: bool,
    painted: &'a Painted,
    /// Letters already read from their font, 1/1000 of the size.
    letters: BTreeMap<(Font, u32), BezPath>,
}

impl<'a> Painter<'a> {
    /// `painted` keeps what recurs.
    pub(super) fn new(painted: &'a Painted) -> Self {
        Self {
            smooth: true,
            painted,
            letters: BTreeMap::new(),
        }
    }

    /// Paints a group; `to_px` carries mm of the sheet to pixels.
    pub(super) fn group(&mut self, group: &Group, pixmap: &mut Pixmap, to_px: Affine) {
        match group.window {
            Some(window) => self.windowed(group, window, pixmap, to_px),
            None => self.items(group, pixmap, to_px),
        }
    }

    /// Draws on a copy of what lies in the window and lays it back: the window ends at whole
    /// pixels.
    fn windowed(&mut self, group: &Group, window: Rect, pixmap: &mut Pixmap, to_px: Affine) {
        // An empty window shows nothing.
        let Some(window) = Window::new(to_px.transform_rect_bbox(window), pixmap) else {
            return;
        };
        let before = window.taken(pixmap);
        let known = group
            .recurs
            .then(|| self.painted.find(group, to_px, &before));
        if let Some(after) = known.flatten() {
            window.lay(&after, pixmap);
            return;
        }
        let after = self.over(group, &window, &before, to_px);
        window.lay(&after, pixmap);
        if group.recurs {
            self.painted.keep(group, to_px, before, after);
        }
    }

    /// The pixels of a window with a group drawn over them.
    fn over(&mut self, group: &Group, window: &Window, before: &[u8], to_px: Affine) -> Vec<u8> {
        let times = if group.crowded { FINE } else { 1 };
        let line = 4 * window.wide;
        #[expect(clippy::cast_possible_truncation, reason = "inside a picture")]
        let (wide, high) = (
            (times * window.wide) as u32,
            (times * before.len() / line) as u32,
        );
        let Some(mut inner) = Pixmap::new(wide, high) else {
            return before.to_vec();
        };
        if group.crowded {
            let rows = inner.data_mut().chunks_exact_mut(FINE * FINE * line);
            for (from, to) in before.chunks_exact(line).zip(rows) {
                magnify(from, to);
            }
        } else {
            inner.data_mut().copy_from_slice(before);
        }
        let corner = Vec2::new(window.left as f64, window.top as f64);
        let to_inner = Affine::scale(times as f64) * Affine::translate(-corner) * to_px;
        let smooth = std::mem::replace(&mut self.smooth, !group.crowded);
        self.items(group, &mut inner, to_inner);
        self.smooth = smooth;
        if !group.crowded {
            return inner.take();
        }
        let mut after = vec![0; before.len()];
        let rows = inner.data().chunks_exact(FINE * FINE * line);
        for (from, to) in rows.zip(after.chunks_exact_mut(line)) {
            average(from, to);
        }
        after
    }

    fn items(&mut self, group: &Group, pixmap: &mut Pixmap, to_px: Affine) {
        for item in &group.items {
            match item {
                Item::Area(path, colour, overlap) => {
                    fill(pixmap, outline(path, to_px), *colour, *overlap, self.smooth);
                }
                Item::Line(path, pen) => {
                    stroke(pixmap, outline(path, to_px), pen, to_px, self.smooth);
                }
                Item::Text(lettering, colour) => {
                    fill(
                        pixmap,
                        self.line(lettering, to_px),
                        *colour,
                        Overlap::Covered,
                        self.smooth,
                    );
                }
                Item::Group(inner) => self.group(inner, pixmap, to_px),
            }
        }
    }

    /// A whole line of letters as one path.
    fn line(&mut self, lettering: &Lettering, to_px: Affine) -> Option<Path> {
        let mut builder = PathBuilder::new();
        let placing = to_px * lettering.placing();
        for &(glyph, at) in lettering.glyphs() {
            let outline = self
                .letters
                .entry((lettering.font(), glyph))
                .or_insert_with(|| lettering.font().outline(glyph));
            add(
                &mut builder,
                outline,
                placing * Affine::translate((at, 0.0)),
            );
        }
        builder.finish()
    }
}

/// A part of a picture, in whole pixels.
struct Window {
    left: usize,
    top: usize,
    wide: usize,
    high: usize,
}

impl Window {
    /// What of `area`, in pixels, lies in the picture; `None` for nothing.
    fn new(area: Rect, pixmap: &Pixmap) -> Option<Self> {
        let all = Size::new(f64::from(pixmap.width()), f64::from(pixmap.height())).to_rect();
        let area = area.round().intersect(all);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "inside the picture"
        )]
        let [left, top, wide, high] =
            [area.x0, area.y0, area.width(), area.height()].map(|length| length as usize);
        (wide > 0 && high > 0).then_some(Self {
            left,
            top,
            wide,
            high,
        })
    }

    /// Where its rows lie in the picture's bytes.
    fn rows(&self, pixmap: &Pixmap) -> impl Iterator<Item = Range<usize>> + use<> {
        let (line, whole_line) = (4 * self.wide, 4 * pixmap.width() as usize);
        let first = self.top * whole_line + 4 * self.left;
        (0..self.high).map(move |row| first + row * whole_line..first + row * whole_line + line)
    }

    /// Its pixels, row by row.
    fn taken(&self, pixmap: &Pixmap) -> Vec<u8> {
        let mut pixels = Vec::with_capacity(4 * self.wide * self.high);
        for row in self.rows(pixmap) {
            pixels.extend_from_slice(&pixmap.data()[row]);
        }
        pixels
    }

    /// Lays pixels into it.
    fn lay(&self, pixels: &[u8], pixmap: &mut Pixmap) {
        for (row, from) in self.rows(pixmap).zip(pixels.chunks_exact(4 * self.wide)) {
            pixmap.data_mut()[row].copy_from_slice(from);
        }
    }
}

/// A row of pixels as [`FINE`] rows, each pixel as many times.
fn magnify(row: &[u8], rows: &mut [u8]) {
    let (first, rest) = rows.split_at_mut(FINE * row.len());
    let large = first.as_chunks_mut::<{ 4 * FINE }>().0;
    for (to, pixel) in large.iter_mut().zip(row.as_chunks::<4>().0) {
        to.as_chunks_mut::<4>().0.fill(*pixel);
    }
    for to in rest.chunks_exact_mut(first.len()) {
        to.copy_from_slice(first);
    }
}

/// The means of [`FINE`] rows of pixels, as many to one, as a row.
fn average(rows: &[u8], row: &mut [u8]) {
    let mut down = vec![0_u16; FINE * row.len()];
    for one in rows.chunks_exact(down.len()) {
        for (sum, &byte) in down.iter_mut().zip(one) {
            *sum += u16::from(byte);
        }
    }
    let sums = down.as_chunks::<{ 4 * FINE }>().0;
    for (to, sum) in row.as_chunks_mut::<4>().0.iter_mut().zip(sums) {
        *to = [
            mean(sum[0] + sum[4] + sum[8]),
            mean(sum[1] + sum[5] + sum[9]),
            mean(sum[2] + sum[6] + sum[10]),
            mean(sum[3] + sum[7] + sum[11]),
        ];
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a mean of bytes")]
fn mean(sum: u16) -> u8 {
    const ALL: u16 = (FINE * FINE) as u16;
    ((sum + ALL / 2) / ALL) as u8
}

fn fill(pixmap: &mut Pixmap, path: Option<Path>, colour: Colour, overlap: Overlap, smooth: bool) {
    let rule = match overlap {
        Overlap::Covered => FillRule::Winding,
        Overlap::ByTurns => FillRule::EvenOdd,
    };
    if let Some(path) = path {
        pixmap.fill_path(
            &path,
            &paint(colour, smooth),
            rule,
            Transform::identity(),
            None,
        );
    }
}

fn stroke(pixmap: &mut Pixmap, path: Option<Path>, pen: &Pen, to_px: Affine, smooth: bool) {
    // The sheet is never turned, so one factor serves both ways.
    let scale = to_px.determinant().sqrt();
    let dashes: Vec<f32> = pen.dashes.iter().map(|&d| single(d * scale)).collect();
    let stroke = Stroke {
        width: single(pen.width_mm * scale),
        line_cap: if pen.round {
            LineCap::Round
        } else {
            LineCap::Butt
        },
        line_join: if pen.round {
            LineJoin::Round
        } else {
            LineJoin::Miter
        },
        dash: StrokeDash::new(dashes, 0.0),
        ..Stroke::default()
    };
    let Some(path) = path else {
        return;
    };
    if smooth {
        // As an area: what tiny-skia has for lines under a pixel sets each of their pixels alone.
        let dashed = match &stroke.dash {
            Some(dash) => path.dash(dash, 1.0),
            None => Some(path),
        };
        let area = dashed.and_then(|path| path.stroke(&stroke, 1.0));
        fill(pixmap, area, pen.colour, Overlap::Covered, smooth);
    } else {
        let paint = paint(pen.colour, smooth);
        pixmap.stroke_path(&path, &paint, &stroke, Transform::identity(), None);
    }
}

fn outline(path: &BezPath, to_px: Affine) -> Option<Path> {
    let mut builder = PathBuilder::new();
    add(&mut builder, path, to_px);
    builder.finish()
}

fn add(builder: &mut PathBuilder, path: &BezPath, to_px: Affine) {
    let px = |point: Point| {
        let point = to_px * point;
        (single(point.x), single(point.y))
    };
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                let (x, y) = px(p);
                builder.move_to(x, y);
            }
            PathEl::LineTo(p) => {
                let (x, y) = px(p);
                builder.line_to(x, y);
            }
            PathEl::QuadTo(a, p) => {
                let (a, p) = (px(a), px(p));
                builder.quad_to(a.0, a.1, p.0, p.1);
            }
            PathEl::CurveTo(a, b, p) => {
                let (a, b, p) = (px(a), px(b), px(p));
                builder.cubic_to(a.0, a.1, b.0, b.1, p.0, p.1);
            }
            PathEl::ClosePath => builder.close(),
        }
    }
}

/// tiny-skia works in f32; this is the one place where precision is let go.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a few thousand pixels to a thousandth fit an f32"
)]
fn single(value: f64) -> f32 {
    value as f32
}

fn paint(colour: Colour, smooth: bool) -> Paint<'static> {
    let mut paint = Paint {
        anti_alias: smooth,
        ..Paint::default()
    };
    paint.set_color(solid(colour));
    paint
}

pub(super) fn solid(colour: Colour) -> tiny_skia::Color {
    let [red, green, blue] = colour.0;
    tiny_skia::Color::from_rgba8(red, green, blue, 255)
}
