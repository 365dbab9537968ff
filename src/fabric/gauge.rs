//! Gauge: how wide a stitch is and how high a row.

/// Size of one stitch of the fabric as worked, lying flat and unworn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauge {
    /// Width of a stitch, mm.
    pub stitch_mm: f64,
    /// Height of a row, mm.
    pub row_mm: f64,
}

impl Gauge {
    /// Gauge from a swatch: `stitches` and `rows` counted over a square of `over_mm`.
    #[must_use]
    pub fn from_swatch(stitches: f64, rows: f64, over_mm: f64) -> Self {
        Self {
            stitch_mm: over_mm / stitches,
            row_mm: over_mm / rows,
        }
    }

    /// Increase per round that makes a disc lie flat: `2 pi h / w`.
    ///
    /// A disc of `r` rounds has radius `r h`, so its rim is `2 pi r h` long and holds
    /// `2 pi r h / w` stitches.
    #[must_use]
    pub fn flat_increase(self) -> f64 {
        std::f64::consts::TAU * self.row_mm / self.stitch_mm
    }
}
