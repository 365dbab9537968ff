//! Scenes as the pages of a PDF (ISO 32000-1), true to size: the writer of what goes to a printer.
//!
//! Letters are drawn by the same outlines as everywhere else, each once a document, as the glyphs
//! of a Type 3 font; what they stand for is said beside them, so that text can be searched,
//! copied and read aloud.

mod content;
mod letters;

use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use pdf_writer::{Filter, Finish, Name, Pdf, Ref, TextStr};

use super::Scene;
use crate::units;
use content::drawn;
use letters::{Letters, font_name};

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
        let drawn = pressed(&drawn(scene, &letters));
        out.stream(content, &drawn).filter(Filter::FlateDecode);
        kids.push(page);
    }
    let count = i32::try_from(kids.len()).unwrap_or(i32::MAX);
    out.pages(tree).kids(kids).count(count);
    out.finish()
}

/// A stream as `FlateDecode` reads it, at the usual level of zlib: the best one takes twice as
/// long for a hundredth less.
fn pressed(stream: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
    let written = encoder.write_all(stream).and_then(|()| encoder.finish());
    written.expect("a vector takes all that is written")
}

/// PDF's numbers are single here; this is the one place where precision is let go.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a page in hundredths of a mm fits an f32"
)]
fn single(value: f64) -> f32 {
    value as f32
}
