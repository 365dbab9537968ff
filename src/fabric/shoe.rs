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
    /// Whether `uk` is on the children's scale.
    pub child_scale: bool,
    /// US: of a man a size over the UK one, of a child a half.
    pub us: f64,
    /// US, of a woman: two sizes over the UK one; `None` for a child.
    pub us_women: Option<f64>,
}

/// Where the children's scale of UK sizes ends.
const LAST_CHILD: f64 = 13.5;
/// Sizes from one scale of UK sizes to the other.
const SCALES_APART: f64 = 13.0;
/// Feet under this length are children's: where tables of adults' sizes begin, mm.
const ADULT_MM: f64 = 210.0;

impl ShoeSizes {
    /// Sizes of a foot of a length in mm.
    #[must_use]
    pub fn of(length_mm: f64) -> Self {
        let half = |size: f64| (2.0 * size).round() / 2.0;
        let on_child_scale = 3.0 * length_mm / MM_PER_INCH - 10.0;
        let child_scale = half(on_child_scale) <= LAST_CHILD;
        let uk = match child_scale {
            true => half(on_child_scale).max(0.0),
            false => half(on_child_scale - SCALES_APART),
        };
        let adult = length_mm >= ADULT_MM;
        Self {
            eu: (2.0 * (1.5 * length_mm / MM_PER_CM + 2.0)).floor() / 2.0,
            uk,
            child_scale,
            us: uk + if adult { 1.0 } else { 0.5 },
            us_women: adult.then_some(uk + 2.0),
        }
    }
}
