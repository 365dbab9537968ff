//! Papers that home printers take.

use kurbo::{Rect, Size};

use crate::units;

/// A paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    A4,
    /// 8.5 x 11 in (ANSI/ASME Y14.1, size A).
    Letter,
}

/// From the edge of the paper to what is printed, mm: few printers print nearer.
const MARGIN_MM: f64 = 10.0;

impl Paper {
    /// Its size, mm.
    #[must_use]
    pub fn size(self) -> Size {
        match self {
            Self::A4 => Size::new(210.0, 297.0),
            Self::Letter => Size::new(units::inches(8.5), units::inches(11.0)),
        }
    }

    /// What of it is printed on, mm.
    #[must_use]
    pub fn printed(self) -> Rect {
        self.size().to_rect().inset(-MARGIN_MM)
    }
}
