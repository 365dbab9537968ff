//! Lettering as outlines: DejaVu from the crate `dejavu`, read by `skrifa`.
//!
//! Widths come from the font's advances alone; kerning is left out.

use std::sync::LazyLock;

use kurbo::{Affine, BezPath, Point, Vec2};
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::{DrawSettings, OutlineGlyphCollection, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider};

/// Height of a figure as a share of the size in the plain face; the serif faces are a hundredth
/// higher (read from the outlines; a test holds it).
pub const FIGURE_HEIGHT: f64 = 0.729;

/// A face of lettering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Font {
    /// Figures and reading text.
    Sans,
    /// Titles.
    SerifBold,
    /// Names of places on the map.
    SerifItalic,
    /// Text whose columns are set by counting letters.
    Mono,
}

/// A font as read: finding its tables takes longer than setting a line.
struct Tables {
    outlines: OutlineGlyphCollection<'static>,
    charmap: Charmap<'static>,
    metrics: GlyphMetrics<'static>,
}

static FONTS: LazyLock<[Tables; 4]> = LazyLock::new(|| {
    [
        dejavu::sans::regular(),
        dejavu::serif::bold(),
        dejavu::serif::italic(),
        dejavu::sans_mono::regular(),
    ]
    .map(|bytes| {
        let font = FontRef::new(bytes).expect("the crate dejavu holds whole fonts");
        Tables {
            outlines: font.outline_glyphs(),
            charmap: font.charmap(),
            metrics: font.glyph_metrics(Size::new(1000.0), LocationRef::default()),
        }
    })
});

impl Font {
    fn read(self) -> &'static Tables {
        &FONTS[self as usize]
    }

    /// Outline of a glyph in 1/1000 of the size, y down, origin on the baseline.
    #[must_use]
    pub fn outline(self, glyph: u32) -> BezPath {
        let mut pen = Pen(BezPath::new());
        let settings = DrawSettings::unhinted(Size::new(1000.0), LocationRef::default());
        if let Some(outline) = self.read().outlines.get(GlyphId::new(glyph)) {
            // A glyph that cannot be drawn stays empty, like a space.
            if outline.draw(settings, &mut pen).is_err() {
                return BezPath::new();
            }
        }
        pen.0
    }

    /// Glyphs of a line of text, each with its distance from the start, in 1/1000 of the size;
    /// and the length of the whole.
    #[must_use]
    pub fn line(self, text: &str) -> (Vec<(u32, f64)>, f64) {
        let Tables {
            charmap, metrics, ..
        } = self.read();
        let mut at = 0.0;
        let glyphs = text
            .chars()
            .map(|letter| {
                let glyph = charmap.map(letter).unwrap_or_default();
                let placed = (glyph.to_u32(), at);
                at += f64::from(metrics.advance_width(glyph).unwrap_or(0.0));
                placed
            })
            .collect();
        (glyphs, at)
    }

    /// From the start of a glyph to that of the next, in 1/1000 of the size.
    #[must_use]
    pub fn advance(self, glyph: u32) -> f64 {
        let metrics = &self.read().metrics;
        f64::from(metrics.advance_width(GlyphId::new(glyph)).unwrap_or(0.0))
    }

    /// Width of a line of text set at a size, mm.
    #[must_use]
    pub fn width_mm(self, text: &str, size_mm: f64) -> f64 {
        self.line(text).1 * size_mm / 1000.0
    }

    /// A text as it is where it fits into `max_mm`, else cut with a mark.
    #[must_use]
    pub fn cut(self, text: &str, size_mm: f64, max_mm: f64) -> String {
        if self.width_mm(text, size_mm) <= max_mm {
            return text.to_owned();
        }
        let mut kept: Vec<char> = text.chars().collect();
        loop {
            kept.pop();
            let shorter: String = kept.iter().chain(&['…']).collect();
            if kept.is_empty() || self.width_mm(&shorter, size_mm) <= max_mm {
                return shorter;
            }
        }
    }

    /// Breaks a text into lines no wider than `max_mm`, at spaces; a longer word stands alone.
    #[must_use]
    pub fn wrap(self, text: &str, size_mm: f64, max_mm: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            if let Some(line) = lines.last_mut() {
                let longer = format!("{line} {word}");
                if self.width_mm(&longer, size_mm) <= max_mm {
                    *line = longer;
                    continue;
                }
            }
            lines.push(word.to_owned());
        }
        lines
    }
}

/// Which point of a line of text is pinned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// Its start.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A line of text set at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Lettering {
    text: String,
    font: Font,
    size_mm: f64,
    glyphs: Vec<(u32, f64)>,
    length_mm: f64,
    placing: Affine,
}

impl Lettering {
    /// Sets a line with its baseline through the origin, starting there.
    #[must_use]
    pub fn new(text: impl Into<String>, font: Font, size_mm: f64) -> Self {
        let text = text.into();
        let (glyphs, length) = font.line(&text);
        Self {
            text,
            font,
            size_mm,
            glyphs,
            length_mm: length * size_mm / 1000.0,
            placing: Affine::IDENTITY,
        }
    }

    /// Widens the gaps between letters by a share of the size, as names on maps are set.
    #[must_use]
    pub fn spaced(mut self, share: f64) -> Self {
        for (index, glyph) in self.glyphs.iter_mut().enumerate() {
            glyph.1 += 1000.0 * share * index as f64;
        }
        let gaps = self.glyphs.len().saturating_sub(1) as f64;
        self.length_mm += gaps * share * self.size_mm;
        self
    }

    /// Puts the baseline through a place of the sheet.
    #[must_use]
    pub fn at(mut self, place: Point, anchor: Anchor) -> Self {
        self.placing = Affine::translate(place.to_vec2() - Vec2::new(self.before(anchor), 0.0));
        self
    }

    /// Centres the figures on a place of the sheet and turns them about it by `turn_deg`,
    /// clockwise as seen on the page.
    #[must_use]
    pub fn centred(mut self, place: Point, turn_deg: f64) -> Self {
        let up = FIGURE_HEIGHT / 2.0 * self.size_mm;
        let shift = Vec2::new(-self.before(Anchor::Middle), up);
        self.placing = Affine::translate(place.to_vec2())
            * Affine::rotate(turn_deg.to_radians())
            * Affine::translate(shift);
        self
    }

    fn before(&self, anchor: Anchor) -> f64 {
        match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => self.length_mm / 2.0,
            Anchor::End => self.length_mm,
        }
    }

    /// What it says.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Its face.
    #[must_use]
    pub fn font(&self) -> Font {
        self.font
    }

    /// Length of the line, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.length_mm
    }

    /// Glyphs with their distance from the start, 1/1000 of the size.
    #[must_use]
    pub fn glyphs(&self) -> &[(u32, f64)] {
        &self.glyphs
    }

    /// From 1/1000 of the size to mm of the sheet.
    #[must_use]
    pub fn placing(&self) -> Affine {
        self.placing * Affine::scale(self.size_mm / 1000.0)
    }
}

struct Pen(BezPath);

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(down(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(down(x, y));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.0.quad_to(down(cx, cy), down(x, y));
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.0.curve_to(down(cx0, cy0), down(cx1, cy1), down(x, y));
    }

    fn close(&mut self) {
        self.0.close_path();
    }
}

/// Fonts draw upward, sheets downward.
fn down(x: f32, y: f32) -> Point {
    Point::new(f64::from(x), -f64::from(y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use kurbo::Shape;

    #[test]
    fn figures_are_as_high_as_stated_and_all_letters_used_are_there() {
        for font in [Font::Sans, Font::SerifBold, Font::SerifItalic, Font::Mono] {
            let (glyphs, _) = font.line("1");
            let height = -font.outline(glyphs[0].0).bounding_box().y0 / 1000.0;
            assert_abs_diff_eq!(height, FIGURE_HEIGHT, epsilon = 0.015);
            let (glyphs, _) = font.line("½¼¾×−°±…←→↑↓•·–²%:");
            assert!(glyphs.iter().all(|&(glyph, _)| glyph != 0), "{font:?}");
        }
    }

    #[test]
    fn widths_add_up_and_grow_with_the_size() {
        let one = Font::Sans.width_mm("5", 2.0);
        assert_abs_diff_eq!(Font::Sans.width_mm("555", 4.0), 6.0 * one, epsilon = 1e-9);
    }

    #[test]
    fn a_text_too_long_is_cut_to_fit_and_a_short_one_is_not() {
        assert_eq!(Font::Sans.cut("eye", 2.5, 20.0), "eye");
        let cut = Font::Sans.cut("the lower left eyelid", 2.5, 20.0);
        assert!(cut.starts_with("the low") && cut.ends_with('…'), "{cut}");
        assert!(Font::Sans.width_mm(&cut, 2.5) <= 20.0);
    }

    #[test]
    fn wrapped_lines_fit_and_lose_no_word() {
        let text = "the start of the round runs across the left eye; move the face";
        let lines = Font::Sans.wrap(text, 2.6, 40.0);
        assert!(lines.len() > 1);
        assert!(
            lines
                .iter()
                .all(|line| Font::Sans.width_mm(line, 2.6) <= 40.0)
        );
        assert_eq!(lines.join(" "), text);
    }
}
