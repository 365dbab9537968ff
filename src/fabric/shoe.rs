//! Shoe sizes that a foot's length comes near to. Makers differ by a size and more, so these help
//! to recognise a slipper and not to make one.

use crate::units::{MM_PER_CM, MM_PER_INCH};

/// Shoe sizes by the usual rules, each to a half.
///
/// A last is longer than the foot by about two size points, which is what is added here. EU sizes
/// count Paris points of 2/3 cm from 0, UK and US sizes barleycorns of 1/3 in: children's from
/// 4 in to size 13 1/2, where adults' sizes begin again at 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShoeSizes {
    /// EU: `1.5 cm + 2`, the half below.
    pub eu: f64,
    /// UK: `3 in - 23`, of a child `3 in - 10`, the nearest half.
    pub uk: f64,
    /// Whether `uk` is a child's size.
    pub child: bool,
}

/// Where the children's scale of UK sizes ends.
const LAST_CHILD: f64 = 13.5;
/// Sizes from one scale of UK sizes to the other.
const SCALES_APART: f64 = 13.0;

impl ShoeSizes {
    /// Sizes of a foot of a length in mm.
    #[must_use]
    pub fn of(length_mm: f64) -> Self {
        let eu = (2.0 * (1.5 * length_mm / MM_PER_CM + 2.0)).floor() / 2.0;
        let half = |size: f64| (2.0 * size).round() / 2.0;
        let child = half(3.0 * length_mm / MM_PER_INCH - 10.0);
        match child <= LAST_CHILD {
            true => Self {
                eu,
                uk: child.max(0.0),
                child: true,
            },
            false => Self {
                eu,
                uk: half(3.0 * length_mm / MM_PER_INCH - 10.0 - SCALES_APART),
                child: false,
            },
        }
    }

    /// US size of a man, or of a child: a size, or a half, over the UK one.
    #[must_use]
    pub fn us(self) -> f64 {
        self.uk + if self.child { 0.5 } else { 1.0 }
    }

    /// US size of a woman: two over the UK one; `None` for a child.
    #[must_use]
    pub fn us_women(self) -> Option<f64> {
        (!self.child).then_some(self.uk + 2.0)
    }
}
