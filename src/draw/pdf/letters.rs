//! The letters of a document as Type 3 fonts: outlines, and what they stand for.

use std::collections::BTreeMap;

use kurbo::{Affine, Rect, Shape};
use pdf_writer::types::{SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Ref, Str};

use super::super::{Font, Scene};
use super::content::add_path;
use super::{pressed, single};

/// Letters of a Type 3 font: its codes are single bytes.
const MOST_LETTERS: usize = 256;

/// A font of the document: some letters of one of ours.
pub(super) struct LetterFont {
    font: Font,
    /// Glyph and what it stands for, in the order of their codes from 0.
    letters: Vec<(u32, char)>,
}

/// The letters of all pages.
pub(super) struct Letters {
    pub(super) fonts: Vec<LetterFont>,
    /// Font of the document and code of each.
    pub(super) codes: BTreeMap<(Font, u32), (usize, u8)>,
}

impl Letters {
    pub(super) fn of(pages: &[Scene]) -> Self {
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
    pub(super) fn write(&self, out: &mut Pdf, free: &mut Ref) -> Ref {
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
            let path = Affine::FLIP_Y * self.font.outline(glyph);
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
            let pressed = pressed(&content.finish());
            out.stream(outline, &pressed).filter(Filter::FlateDecode);
            cmap.pair(u8::try_from(code).unwrap_or(u8::MAX), letter);
        }
        let pressed = pressed(&cmap.finish());
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

/// Name of a font of the document in what is drawn.
pub(super) fn font_name(index: usize) -> String {
    format!("F{index}")
}
