//! Needle points: the places where a needle may pass, named as a maker counts them.

/// Height within a row of stitches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RowPart {
    /// The foot of the row, where the hook went in.
    Base,
    /// Half-way up the row.
    Middle,
}

impl RowPart {
    /// Fraction of the row height, 0 at its base.
    #[must_use]
    pub fn fraction(self) -> f64 {
        match self {
            Self::Base => 0.0,
            Self::Middle => 0.5,
        }
    }

    /// The word of the plan file.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Base => "base",
            Self::Middle => "middle",
        }
    }
}

/// What the needle meets at a needle point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointKind {
    /// At the base of a stitch, where the hook went in: open.
    HookHole,
    /// Between two neighbouring stitches, half-way up the row: open.
    Gap,
    /// At the base of the row, between two stitches: pierces the tops below.
    BetweenTops,
    /// Through the middle of a stitch: splits it.
    Post,
}

/// A needle point `(round, stitch, row part)` with `stitch` a multiple of one half.
///
/// # Guarantees
/// Points made by [`crate::fabric::Instep`] carry their one canonical name: `half_stitches`
/// runs from 1 to `2 n` in a round of `n` stitches; the place after the last stitch is written
/// as stitch 1/2 (of the same round if joined, of the next in a spiral).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NeedlePoint {
    /// Round, 1 at the toe.
    pub round: u32,
    /// Twice the stitch position: 10 is the middle of stitch 5, 11 lies between 5 and 6.
    pub half_stitches: u32,
    /// Base or middle of the row.
    pub row: RowPart,
}

impl NeedlePoint {
    /// Stitch position `k`: whole in the middle of a stitch, half between two.
    #[must_use]
    pub fn stitch(self) -> f64 {
        f64::from(self.half_stitches) / 2.0
    }

    /// What the needle meets here.
    #[must_use]
    pub fn kind(self) -> PointKind {
        let on_stitch = self.half_stitches.is_multiple_of(2);
        match (on_stitch, self.row) {
            (true, RowPart::Base) => PointKind::HookHole,
            (false, RowPart::Middle) => PointKind::Gap,
            (false, RowPart::Base) => PointKind::BetweenTops,
            (true, RowPart::Middle) => PointKind::Post,
        }
    }

    /// True where the needle must pierce yarn.
    #[must_use]
    pub fn pierces(self) -> bool {
        matches!(self.kind(), PointKind::BetweenTops | PointKind::Post)
    }

    /// The same place with real coordinates.
    #[must_use]
    pub fn spot(self) -> Spot {
        Spot {
            round: self.round,
            stitch: self.stitch(),
            row: self.row.fraction(),
        }
    }
}

/// Any place of the fabric in the maker's counts, not only where a needle passes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Round, 1 at the toe.
    pub round: u32,
    /// Stitch position `k` in the working direction, real.
    pub stitch: f64,
    /// Height within the row: 0 at its base, 1 at the top of the stitch.
    pub row: f64,
}
