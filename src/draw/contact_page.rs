//! How many slippers and faces go on a page of a contact sheet, where, and at which scale.

use std::ops::Range;

use kurbo::{Point, Rect, Size};

use super::chart_sheet::{A4_MM, MARGIN_MM};

/// Room for the names of the slippers, mm.
const ROW_HEAD_MM: f64 = 29.0;
/// Room for the title, and for the names of the faces, mm.
const TITLE_MM: f64 = 9.0;
const NAMES_MM: f64 = 11.0;
/// Room for the scale and the marks, mm.
const FOOT_MM: f64 = 13.0;
/// From face to face, mm; below a face also its caption.
const GAP_MM: f64 = 4.0;
const CAPTION_MM: f64 = 9.0;
/// Narrowest page: the words at its foot fit on it, mm.
const NARROWEST_MM: f64 = 170.0;
/// Widest and highest page: a square as wide as an A4 sheet, mm.
const SIDE_MM: f64 = A4_MM.0;
/// Smallest scale before a sheet takes another page: at 0.4 of its size a strand of worsted held
/// double is 9 pixels wide on the page, and a face can still be read.
const SMALLEST: f64 = 0.4;
/// Scales go in these steps.
const STEP: f64 = 0.05;

/// What is to go on the pages.
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
    /// What is on it, from the top down.
    pub(super) blocks: Vec<Block>,
}

/// Some faces on some slippers, the names of the faces above them.
#[derive(Debug, Clone)]
pub(super) struct Block {
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
        let looks = looks.max(1);
        Self { sizes, looks }
    }

    fn widest(&self) -> f64 {
        self.sizes.iter().map(|size| size.width).fold(1.0, f64::max)
    }

    /// The scale at which so many faces fit side by side.
    fn scale_across(&self, looks: usize) -> f64 {
        let room = SIDE_MM - 2.0 * MARGIN_MM - ROW_HEAD_MM;
        (room / looks as f64 - GAP_MM) / self.widest()
    }

    /// All pages at one scale: the largest, up to true size, of those at which the sheet takes
    /// the fewest pages, and on them is wrapped least.
    pub(super) fn pages(&self) -> Vec<Page> {
        let mut best: Option<Vec<Page>> = None;
        let mut scale = 1.0;
        while scale > SMALLEST - STEP / 2.0 {
            let pages = self.pages_at(scale);
            let parts = |pages: &[Page]| {
                let blocks = pages.iter().map(|page| page.blocks.len());
                (pages.len(), blocks.sum::<usize>())
            };
            if best.as_ref().is_none_or(|best| parts(&pages) < parts(best)) {
                best = Some(pages);
            }
            scale -= STEP;
        }
        best.unwrap_or_default()
    }

    fn pages_at(&self, scale: f64) -> Vec<Page> {
        let fits = |&looks: &usize| self.scale_across(looks) >= scale - 1e-9;
        let most = (1..=self.looks).rev().find(fits).unwrap_or(1);
        let bands = self.looks.div_ceil(most);
        let looks = (0..bands).map(|band| {
            // Bands alike, to one face.
            band * self.looks / bands..(band + 1) * self.looks / bands
        });
        let across = self.looks.div_ceil(bands);
        let column_mm = self.widest() * scale + GAP_MM;
        let wide = 2.0 * MARGIN_MM + ROW_HEAD_MM + across as f64 * column_mm;
        let mut pages: Vec<Page> = Vec::new();
        for looks in looks {
            let mut next = 0;
            while next < self.sizes.len() {
                let high = |shoe: usize| self.sizes[shoe].height * scale + CAPTION_MM;
                let all: f64 = (next..self.sizes.len()).map(high).sum();
                // All slippers of a band stay together where a page of its own would hold them.
                let room = pages.last().map_or(0.0, Page::left_mm);
                let together = NAMES_MM + all <= room || NAMES_MM + all > PAGE_MM;
                if NAMES_MM + high(next) > room || !together {
                    pages.push(Page::new(wide, scale));
                }
                let Some(page) = pages.last_mut() else { break };
                next = page.add(next..self.sizes.len(), looks.clone(), column_mm, high);
            }
        }
        pages
    }
}

/// Room for blocks on a page, mm.
const PAGE_MM: f64 = SIDE_MM - 2.0 * MARGIN_MM - TITLE_MM - FOOT_MM;

impl Page {
    fn new(wide: f64, scale: f64) -> Self {
        let bare = 2.0 * MARGIN_MM + TITLE_MM + FOOT_MM;
        Self {
            size: Size::new(wide.max(NARROWEST_MM), bare),
            scale,
            blocks: Vec::new(),
        }
    }

    /// Room left on it, mm.
    fn left_mm(&self) -> f64 {
        SIDE_MM - self.size.height
    }

    /// Adds as many slippers as there is room for, at least one; the next that has none.
    fn add(
        &mut self,
        shoes: Range<usize>,
        looks: Range<usize>,
        column_mm: f64,
        high: impl Fn(usize) -> f64,
    ) -> usize {
        let mut y = self.size.height - MARGIN_MM - FOOT_MM + NAMES_MM;
        let mut tops = vec![y];
        for shoe in shoes.clone() {
            let end = y + high(shoe);
            if tops.len() > 1 && end + FOOT_MM + MARGIN_MM > SIDE_MM {
                break;
            }
            y = end;
            tops.push(y);
        }
        let shoes = shoes.start..shoes.start + tops.len() - 1;
        let next = shoes.end;
        self.size.height = y + FOOT_MM + MARGIN_MM;
        self.blocks.push(Block {
            shoes,
            looks,
            tops,
            column_mm,
        });
        next
    }

    /// Baseline of the title.
    pub(super) fn title() -> Point {
        Point::new(MARGIN_MM, MARGIN_MM + 5.0)
    }

    /// Top left corner of what stands at the foot.
    pub(super) fn foot(&self) -> Point {
        Point::new(MARGIN_MM, self.size.height - MARGIN_MM - FOOT_MM + 2.0)
    }
}

impl Block {
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
}
