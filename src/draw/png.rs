//! A scene as PNG with its print scale (W3C PNG, "pHYs": pixels per metre).

use kurbo::Affine;
use tiny_skia::Pixmap;

use super::painter::{Painter, solid};
use super::{Colour, Painted, Scene};
use crate::units;

/// Most pixels a picture may have: a poster of 90 cm by 60 cm at 300 dpi.
const MOST_PIXELS: f64 = 80e6;

/// Why a picture cannot be made.
#[derive(Debug, thiserror::Error)]
pub enum PngError {
    /// The sheet and the resolution make no picture, or one too large.
    #[error(
        "a sheet of {width_mm:.0} x {height_mm:.0} mm at {dpi} dpi gives no picture of 1 to {most:.0} pixels"
    )]
    Size {
        /// Width of the sheet, mm.
        width_mm: f64,
        /// Height of the sheet, mm.
        height_mm: f64,
        /// Dots per inch.
        dpi: f64,
        /// Most pixels made.
        most: f64,
    },
    /// The encoder failed.
    #[error("the picture cannot be written: {0}")]
    Encoding(#[from] png::EncodingError),
}

/// A picture in memory.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pixels {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue of each pixel, row by row from the top left.
    pub rgb: Vec<u8>,
}

impl Pixels {
    /// Colour of a pixel; `None` outside.
    #[must_use]
    pub fn colour(&self, x: u32, y: u32) -> Option<Colour> {
        if x >= self.width || y >= self.height {
            return None;
        }
        let at = 3 * (y as usize * self.width as usize + x as usize);
        Some(Colour([self.rgb[at], self.rgb[at + 1], self.rgb[at + 2]]))
    }
}

impl Scene {
    /// Draws the scene at `dpi` dots per inch.
    ///
    /// # Errors
    /// [`PngError::Size`] where there is nothing to draw on, or far too much.
    pub fn to_pixels(&self, dpi: f64) -> Result<Pixels, PngError> {
        self.pixels(dpi, &Painted::default())
    }

    fn pixels(&self, dpi: f64, painted: &Painted) -> Result<Pixels, PngError> {
        let scale = dpi / units::MM_PER_INCH;
        let (width, height) = (
            (self.width_mm * scale).round(),
            (self.height_mm * scale).round(),
        );
        let fits = width >= 1.0 && height >= 1.0 && width * height <= MOST_PIXELS;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at least 1; a length past u32 fails the test on the number of pixels"
        )]
        let made = fits.then(|| Pixmap::new(width as u32, height as u32));
        let Some(mut pixmap) = made.flatten() else {
            return Err(PngError::Size {
                width_mm: self.width_mm,
                height_mm: self.height_mm,
                dpi,
                most: MOST_PIXELS,
            });
        };
        pixmap.fill(solid(self.paper));
        let mut painter = Painter::new(painted);
        for layer in &self.layers {
            painter.group(layer, &mut pixmap, Affine::scale(scale));
        }
        Ok(Pixels {
            width: pixmap.width(),
            height: pixmap.height(),
            // The paper covers everything, so each pixel is opaque and its colour stands as it is.
            rgb: without_alpha(pixmap.data()),
        })
    }

    /// Writes the scene as PNG at `dpi` dots per inch.
    ///
    /// # Errors
    /// [`PngError`] where the size makes no picture or the encoder fails.
    pub fn to_png(&self, dpi: f64) -> Result<Vec<u8>, PngError> {
        self.to_png_with(dpi, &Painted::default())
    }

    /// The same, with what recurs in a row of pictures painted once.
    ///
    /// # Errors
    /// As [`Scene::to_png`].
    pub fn to_png_with(&self, dpi: f64, painted: &Painted) -> Result<Vec<u8>, PngError> {
        let pixels = self.pixels(dpi, painted)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a picture was made at this dpi, so it is positive; a cast of more saturates"
        )]
        let per_metre = (dpi / (units::MM_PER_INCH / 1000.0)).round() as u32;
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, pixels.width, pixels.height);
        encoder.set_color(png::ColorType::Rgb);
        encoder.set_depth(png::BitDepth::Eight);
        // Flat colours repeat: unfiltered they pack to three fifths of what filtered ones do, at
        // level 2 nearly as fast.
        encoder.set_deflate_compression(png::DeflateCompression::Level(2));
        encoder.set_filter(png::Filter::NoFilter);
        encoder.set_pixel_dims(Some(png::PixelDimensions {
            xppu: per_metre,
            yppu: per_metre,
            unit: png::Unit::Meter,
        }));
        encoder.add_itxt_chunk("Title".to_owned(), self.title.clone())?;
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&pixels.rgb)?;
        writer.finish()?;
        Ok(bytes)
    }
}

fn without_alpha(rgba: &[u8]) -> Vec<u8> {
    let (pixels, _) = rgba.as_chunks::<4>();
    let mut rgb = vec![0; 3 * pixels.len()];
    for (to, &[red, green, blue, _]) in rgb.as_chunks_mut::<3>().0.iter_mut().zip(pixels) {
        *to = [red, green, blue];
    }
    rgb
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::draw::Group;

    /// A sheet of 4 by 1 pixels at 25.4 dpi, with a rectangle from x = `left` to 3 mm on it.
    fn sheet(left: f64, crowded: bool) -> Scene {
        let mut group = Group::crowded(Rect::new(1.0, 0.0, 4.0, 1.0));
        group.crowded = crowded;
        group.fill(&Rect::new(left, -1.0, 3.0, 2.0), Colour([0, 0, 0]));
        Scene {
            width_mm: 4.0,
            height_mm: 1.0,
            title: String::new(),
            description: String::new(),
            paper: Colour([90, 180, 255]),
            layers: vec![group],
        }
    }

    fn drawn(left: f64, crowded: bool) -> Vec<u8> {
        let pixels = sheet(left, crowded).to_pixels(25.4);
        pixels.map(|pixels| pixels.rgb).unwrap_or_default()
    }

    #[test]
    fn a_crowded_group_covers_pixels_by_thirds_and_keeps_what_lies_beside() {
        let paper = [90, 180, 255];
        // A third of the paper is left, then two thirds.
        let one = [paper, [30, 60, 85], [0; 3], paper].concat();
        assert_eq!(drawn(1.0 + 1.0 / 3.0, true), one);
        let two = [paper, [60, 120, 170], [0; 3], paper].concat();
        assert_eq!(drawn(1.0 + 2.0 / 3.0, true), two);
        assert_eq!(drawn(1.0, true), drawn(1.0, false));
    }

    #[test]
    fn what_recurs_is_laid_down_again_where_all_is_as_it_was() {
        let painted = Painted::default();
        let mut first = sheet(1.0, true);
        first.layers[0].recurs = true;
        let mut moved = sheet(2.0, true);
        moved.layers[0].recurs = true;
        let mut on_white = first.clone();
        on_white.paper = Colour([255; 3]);
        for scene in [&first, &moved, &on_white, &first, &moved, &on_white] {
            let laid = scene.pixels(25.4, &painted).expect("a picture");
            assert_eq!(laid, scene.to_pixels(25.4).expect("a picture"));
        }
        let twice = first.pixels(50.8, &painted).expect("a picture");
        assert_eq!(twice, first.to_pixels(50.8).expect("a picture"));
        assert_eq!(painted.parts(), 4);
    }
}
