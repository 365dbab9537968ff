//! What of the instep is shown, where on the sheet, and in which tints.

use kurbo::{Affine, Point, Rect};

use super::Colour;

/// A window on the instep and where it lies on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// What is shown, mm of the instep frame.
    pub window: Rect,
    /// Top left corner of the window on the sheet, mm.
    pub corner: Point,
    /// Times larger on the sheet than as worn.
    pub enlarged: f64,
}

impl View {
    /// From the instep frame to the sheet, mm to mm.
    #[must_use]
    pub fn to_sheet(&self) -> Affine {
        Affine::translate(self.corner.to_vec2())
            * Affine::scale(self.enlarged)
            * Affine::translate(-self.window.origin().to_vec2())
    }

    /// The window on the sheet, mm.
    #[must_use]
    pub fn on_sheet(&self) -> Rect {
        self.to_sheet().transform_rect_bbox(self.window)
    }

    /// The same view of what lies within a part of the sheet, and a little more.
    #[must_use]
    pub fn within(&self, part: Rect) -> Self {
        let part = self
            .on_sheet()
            .intersect(part.inflate(LITTLE_MM, LITTLE_MM));
        Self {
            window: self.to_sheet().inverse().transform_rect_bbox(part),
            corner: part.origin(),
            enlarged: self.enlarged,
        }
    }

    /// True for a place in the window or no farther than `margin` mm outside it.
    #[must_use]
    pub fn shows(&self, at: Point, margin: f64) -> bool {
        self.window.inflate(margin, margin).contains(at)
    }
}

/// How much more than a part is kept, mm of the sheet: signs there reach into it.
const LITTLE_MM: f64 = 5.0;

/// The yarn of the fabric in three depths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tints {
    /// Between the stitches.
    pub ground: Colour,
    /// The stitches.
    pub stitch: Colour,
    /// Needle points and the line between two rows.
    pub shade: Colour,
}

impl Tints {
    /// Luminance of the ground of a washed fabric, or more: so light that ink and dark yarn keep
    /// a contrast of 3, so dark that white marks can be made out.
    pub const WASHED_GROUND: f64 = 0.54;

    /// Thinned like a washed map, so that strands of any colour stand out.
    #[must_use]
    pub fn washed(yarn: Colour) -> Self {
        Self {
            ground: yarn.thinned(Self::WASHED_GROUND),
            stitch: yarn.thinned(0.68),
            shade: yarn.deepened(0.16),
        }
    }

    /// In the yarn's own colour, with light and shade.
    #[must_use]
    pub fn full(yarn: Colour) -> Self {
        Self {
            ground: yarn.mix(Colour([0, 0, 0]), 0.28),
            stitch: yarn,
            shade: yarn.mix(Colour([0, 0, 0]), 0.6),
        }
    }
}
