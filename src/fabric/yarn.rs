//! Yarn: how wide it lies, how far it goes, and the published weight categories.

use crate::units;

/// A yarn, or several strands of it held together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yarn {
    /// Wraps per inch: touching, not overlapping, not stretched.
    pub wraps_per_inch: f64,
    /// Strands held together in the needle.
    pub held: u32,
    /// Metres in 100 g of one strand.
    pub metres_per_100g: f64,
    /// Category of the published yarn weight table, when known.
    pub weight: Option<Category>,
}

impl Yarn {
    /// Width of what the needle lays down, mm: `25.4 / wraps_per_inch * sqrt(held)`.
    ///
    /// Strands held together bundle into a round cord, so the width grows with the root.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        units::wrap_width_mm(self.wraps_per_inch) * f64::from(self.held).sqrt()
    }

    /// Weight in g of a worked length in mm: every held strand counts.
    #[must_use]
    pub fn grams(&self, length_mm: f64) -> f64 {
        length_mm / 1000.0 * f64::from(self.held) * 100.0 / self.metres_per_100g
    }
}

/// A category of the published yarn weight table, 0 (lace) to 7 (jumbo).
///
/// Source: Craft Yarn Council, Standards and Guidelines, Yarn Weight System (single crochet
/// gauge over 4 in; guidelines, "most commonly used"). Category 0 is given in double crochet and
/// so has no range here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Category(u8);

impl Category {
    /// All categories.
    pub const ALL: [Self; 8] = [
        Self(0),
        Self(1),
        Self(2),
        Self(3),
        Self(4),
        Self(5),
        Self(6),
        Self(7),
    ];

    /// A category by its number, 0 to 7.
    #[must_use]
    pub fn new(number: u8) -> Option<Self> {
        (number <= 7).then_some(Self(number))
    }

    /// Its number.
    #[must_use]
    pub fn number(self) -> u8 {
        self.0
    }

    /// Its name in the table.
    #[must_use]
    pub fn name(self) -> &'static str {
        [
            "lace",
            "super fine",
            "fine",
            "light",
            "medium",
            "bulky",
            "super bulky",
            "jumbo",
        ][self.0 as usize]
    }

    /// Usual single crochet stitches in 4 in, fewest and most; `None` for lace.
    #[must_use]
    pub fn stitches_in_4_in(self) -> Option<(f64, f64)> {
        match self.0 {
            1 => Some((21.0, 32.0)),
            2 => Some((16.0, 20.0)),
            3 => Some((12.0, 17.0)),
            4 => Some((11.0, 14.0)),
            5 => Some((8.0, 11.0)),
            6 => Some((6.0, 9.0)),
            7 => Some((1.0, 5.0)),
            _ => None,
        }
    }
}
