//! How many slippers and faces go on a page of a contact sheet, where, and at which scale.

use std::ops::Range;

use kurbo::{Point, Rect, Size};

use super::sheet::{A4_MM, MARGIN_MM};

/// Room for the names of the slippers, mm.
const ROW_HEAD_MM: f64 = 31.0;
/// Room for the title and the names of the faces, mm.
const TITLE_MM: f64 = 9.0;
const NAMES_MM: f64 = 11.0;
/// Room for the scale and the marks, mm.
const FOOT_MM: f64 = 13.0;
/// From face to face, mm; below a face also its caption.
const GAP_MM: f64 = 4.0;
const CAPTION_MM: f64 = 9.0;
/// Narrowest page: the words at its foot fit on it, mm.
const NARROWEST_MM: f64 = 170.0;
/// Smallest scale before a sheet takes another page: at 0.4 of its size a strand of worsted held
/// double is 9 pixels wide on the page, and a face can still be read.
const SMALLEST: f64 = 0.4;
/// Scales go in these steps.
const STEP: f64 = 0.05;

/// Sizes of what goes on the pages.
#[derive(Debug, Clone)]
pub(super) struct Room<'a> {
    /// Size of a face of each slipper as worn, mm.
    sizes: &'a [Size],
    looks: usize,
}

/// One page.
#[derive(Debug, Clone)]
pub(super) struct Page {
    /// Its size, mm.
    pub(super) size: Size,
    /// Size on the page over that as worn.
    pub(super) scale: f64,
    /// Slippers shown.
    pub(super) shoes: Range<usize>,
    /// Faces shown.
    pub(super) looks: Range<usize>,
    /// Where each slipper's row begins, mm of the page, and where the last ends.
    tops: Vec<f64>,
    column_mm: f64,
}

impl<'a> Room<'a> {
    pub(super) fn new(sizes: &'a [Size], looks: usize) -> Self {
        Self { sizes, looks }
    }

    fn widest(&self) -> f64 {
        self.sizes.iter().map(|size| size.width).fold(1.0, f64::max)
    }

    /// The scale at which so many faces fit side by side.
    fn scale_across(&self, looks: usize) -> f64 {
        let room = A4_MM.0 - 2.0 * MARGIN_MM - ROW_HEAD_MM;
        (room / looks as f64 - GAP_MM) / self.widest()
    }

    /// Room for rows on a page, mm.
    fn rows_mm() -> f64 {
        A4_MM.1 - 2.0 * MARGIN_MM - TITLE_MM - NAMES_MM - FOOT_MM
    }

    /// All pages at one scale: the largest, up to true size, at which the sheet takes the fewest
    /// pages.
    pub(super) fn pages(&self) -> Vec<Page> {
        let most = (1..=self.looks.max(1))
            .rev()
            .find(|&looks| self.scale_across(looks) >= SMALLEST)
            .unwrap_or(1);
        let bands = self.looks.max(1).div_ceil(most);
        let across = self.looks.max(1).div_ceil(bands);
        let widest = self.scale_across(across).clamp(SMALLEST, 1.0);
        let mut scale = (widest / STEP + 1e-9).floor() * STEP;
        let fewest = self.shoe_pages(SMALLEST).len();
        while scale > SMALLEST + 1e-9 && self.shoe_pages(scale).len() > fewest {
            scale -= STEP;
        }
        let shoes = self.shoe_pages(scale);
        (0..bands)
            .map(|band| band * across..((band + 1) * across).min(self.looks))
            .flat_map(|looks| {
                shoes
                    .iter()
                    .map(move |shoes| (shoes.clone(), looks.clone()))
            })
            .map(|(shoes, looks)| self.page(scale, shoes, looks, across))
            .collect()
    }

    /// The slippers of each page, the later pages no fuller than the first.
    fn shoe_pages(&self, scale: f64) -> Vec<Range<usize>> {
        let mut pages: Vec<Range<usize>> = Vec::new();
        let mut left = 0.0;
        for (shoe, size) in self.sizes.iter().enumerate() {
            let high = size.height * scale + CAPTION_MM;
            match pages.last_mut() {
                Some(page) if high <= left => page.end = shoe + 1,
                _ => {
                    pages.push(shoe..shoe + 1);
                    left = Self::rows_mm();
                }
            }
            left -= high;
        }
        pages
    }

    fn page(&self, scale: f64, shoes: Range<usize>, looks: Range<usize>, across: usize) -> Page {
        let mut y = MARGIN_MM + TITLE_MM + NAMES_MM;
        let mut tops = vec![y];
        for size in &self.sizes[shoes.clone()] {
            y += size.height * scale + CAPTION_MM;
            tops.push(y);
        }
        let column_mm = self.widest() * scale + GAP_MM;
        let wide = 2.0 * MARGIN_MM + ROW_HEAD_MM + across as f64 * column_mm;
        Page {
            size: Size::new(wide.max(NARROWEST_MM), y + FOOT_MM + MARGIN_MM),
            scale,
            shoes,
            looks,
            tops,
            column_mm,
        }
    }
}

impl Page {
    /// Baseline of the title.
    #[expect(clippy::unused_self, reason = "a place on this page, like the others")]
    pub(super) fn title(&self) -> Point {
        Point::new(MARGIN_MM, MARGIN_MM + 5.0)
    }

    /// Baseline of the last line of the faces' names, mm.
    pub(super) fn names_end(&self) -> f64 {
        self.tops[0] - 3.0
    }

    /// Room of a face: its top, and the width of its column.
    pub(super) fn cell(&self, row: usize, across: usize) -> Rect {
        let left = MARGIN_MM + ROW_HEAD_MM + across as f64 * self.column_mm + GAP_MM / 2.0;
        let right = left + self.column_mm - GAP_MM;
        Rect::new(left, self.tops[row], right, self.tops[row + 1])
    }

    /// Room for the name of a slipper.
    pub(super) fn row_head(&self, row: usize) -> Rect {
        let right = MARGIN_MM + ROW_HEAD_MM - GAP_MM / 2.0;
        Rect::new(MARGIN_MM, self.tops[row], right, self.tops[row + 1])
    }

    /// Top left corner of what stands at the foot.
    pub(super) fn foot(&self) -> Point {
        Point::new(MARGIN_MM, self.size.height - MARGIN_MM - FOOT_MM + 2.0)
    }
}
