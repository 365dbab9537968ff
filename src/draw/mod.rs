//! Pictures of a plan.
//!
//! One [`Scene`], several writers: a builder decides what is drawn where, in mm of the sheet; a
//! writer only translates.

pub mod chart;
pub mod chart_sheet;
pub mod colour;
pub mod contact;
mod contact_page;
pub mod fabric;
pub mod fabric_map;
pub mod frame;
pub mod gallery;
pub mod legend;
pub mod lines;
pub mod locator;
pub mod numbers;
pub mod painted;
mod painter;
pub mod panel;
pub mod pdf;
pub mod png;
pub mod portrait;
pub mod scale_bar;
pub mod scene;
pub mod signs;
pub mod strands;
pub mod svg;
pub mod text;
pub mod true_size;
pub mod view;
pub mod work_map;
pub mod worn;

pub use colour::Colour;
pub use painted::Painted;
pub use png::{Pixels, PngError};
pub use scene::{Group, Item, Pen, Scene};
pub use text::{Anchor, Font, Lettering};

pub use chart::chart;
pub use contact::{ContactSheet, contact_sheet};
pub use fabric_map::fabric_map;
pub use gallery::gallery;
pub use pdf::pdf;
pub use portrait::portrait;
pub use true_size::{Paper, true_size};
pub use work_map::work_map;
pub use worn::worn;

use crate::fabric::Gauge;
use crate::terms::Terms;
use crate::units::{self, Ruler};

/// How pictures are drawn, whatever they show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawSettings {
    /// Crochet terms.
    pub terms: Terms,
    /// The maker's ruler.
    pub ruler: Ruler,
    /// Colour of the slipper's yarn: red, green, blue.
    pub fabric: [u8; 3],
    /// Times larger than as worn; chosen so that every strand can hold its number when absent.
    pub enlarged: Option<f64>,
}

impl Default for DrawSettings {
    /// US terms, metric, a pumpkin orange.
    fn default() -> Self {
        Self {
            terms: Terms::default(),
            ruler: Ruler::default(),
            fabric: [0xd8, 0x7a, 0x2c],
            enlarged: None,
        }
    }
}

impl DrawSettings {
    /// The fabric in words: `single crochet, gauge 14.0 stitches and 16.0 rows to 10 cm`.
    #[must_use]
    pub fn gauge_words(&self, gauge: Gauge) -> String {
        let (over_mm, over) = match self.ruler {
            Ruler::Metric => (units::centimetres(10.0), "10 cm"),
            Ruler::Inch => (units::inches(4.0), "4 in"),
        };
        format!(
            "{}, {} {:.1} stitches and {:.1} rows to {over}",
            self.terms.single_crochet(),
            self.terms.gauge(),
            over_mm / gauge.stitch_mm,
            over_mm / gauge.row_mm,
        )
    }
}
