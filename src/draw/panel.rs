//! A column of text and signs beside a map, built from the top down.

use kurbo::Point;

use super::scene::segment;
use super::{Anchor, Colour, Font, Group, Lettering, Pen};

/// Size of reading text, mm.
pub const TEXT_MM: f64 = 2.5;

/// From line to line, mm.
pub const LEADING_MM: f64 = 3.7;

/// Height of a heading with its rule, mm.
pub const HEADING_MM: f64 = 5.8;

/// A column that grows downward.
#[derive(Debug, Clone)]
pub struct Panel {
    group: Group,
    left: f64,
    width: f64,
    y: f64,
}

impl Panel {
    /// An empty column with its top left corner at a place of the sheet.
    #[must_use]
    pub fn new(name: &str, corner: Point, width_mm: f64) -> Self {
        Self {
            group: Group::new(name),
            left: corner.x,
            width: width_mm,
            y: corner.y,
        }
    }

    /// How far down it has grown, mm of the sheet.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.y
    }

    /// The finished column.
    #[must_use]
    pub fn finish(self) -> Group {
        self.group
    }

    /// Leaves room, mm.
    pub fn space(&mut self, mm: f64) {
        self.y += mm;
    }

    /// A heading over a thin rule.
    pub fn heading(&mut self, text: &str) {
        let top = self.y;
        self.y += 4.2;
        self.letter(text, 0.0, Anchor::Start, Font::SerifBold, 3.1, Colour::INK);
        self.y += 1.2;
        let (from, to) = ((self.left, self.y), (self.left + self.width, self.y));
        self.group
            .line(&segment(from, to), Pen::new(Colour::RULE, 0.25));
        self.y = top + HEADING_MM;
    }

    /// A line of cells, each at a distance from the left, mm.
    pub fn row(&mut self, cells: &[(f64, Anchor, &str)], colour: Colour) {
        self.y += LEADING_MM;
        for &(at, anchor, text) in cells {
            self.letter(text, at, anchor, Font::Sans, TEXT_MM, colour);
        }
    }

    /// Text over as many lines as it needs, starting `indent` mm from the left.
    pub fn sentence(&mut self, text: &str, indent: f64, colour: Colour) {
        for line in Font::Sans.wrap(text, TEXT_MM, self.width - indent) {
            self.row(&[(indent, Anchor::Start, &line)], colour);
        }
    }

    /// Draws a sign at `at` mm from the left in the middle of the line last written.
    pub fn sign(&mut self, at: f64, draw: impl FnOnce(&mut Group, Point)) {
        let middle = Point::new(self.left + at, self.y - 0.36 * TEXT_MM);
        draw(&mut self.group, middle);
    }

    fn letter(
        &mut self,
        text: &str,
        at: f64,
        anchor: Anchor,
        font: Font,
        size: f64,
        colour: Colour,
    ) {
        let place = Point::new(self.left + at, self.y);
        let lettering = Lettering::new(text, font, size).at(place, anchor);
        self.group.text(lettering, colour);
    }
}
