//! Sizes of a slipper: the same gauge and the same way of working on other feet.

use super::increases::{Increases, Shrinks};
use super::{Foot, Shell, ShellError, ShellSpec, Slipper};

/// How much larger than the foot a slipper is, as shares of the foot; negative where it is
/// smaller and stretches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ease {
    /// Of the circumference.
    pub around: f64,
    /// Of the length.
    pub along: f64,
}

/// Why a size cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GradeError {
    /// The proven toe is not one that only grows.
    #[error(
        "round {0} of the proven slipper has fewer stitches than the round before it; sizes need a toe that only grows"
    )]
    ToeShrinks(usize),
    /// A tube of a few stitches is none.
    #[error("at this gauge it would be {0} stitches around; a slipper needs at least 6")]
    TooFewStitches(u32),
    /// The toe alone is longer than the slipper is to the instep.
    #[error("{rounds} rounds reach the instep, and the toe alone takes {toe}")]
    TooShort {
        /// Rounds from the ring to the instep.
        rounds: u32,
        /// Rounds of the toe.
        toe: usize,
    },
    /// The rounds leave no row for the strip.
    #[error(
        "{rounds} rounds reach the instep, and {rows} rows are the whole length; nothing is left for the strip"
    )]
    NoStrip {
        /// Rounds from the ring to the instep.
        rounds: u32,
        /// Rounds and rows of the whole slipper.
        rows: u32,
    },
    /// Counts that do not go together.
    #[error(transparent)]
    Shell(#[from] ShellError),
}

impl From<Shrinks> for GradeError {
    fn from(shrinks: Shrinks) -> Self {
        Self::ToeShrinks(shrinks.0)
    }
}

/// A proven slipper and the foot it fits: what sizes are made from.
#[derive(Debug, Clone)]
pub struct Grading {
    proven: Shell,
    foot: Foot,
    ease: Ease,
    increases: Increases,
}

/// A size of the slipper.
///
/// # Guarantees
/// Whole stitches and rows; circumference within half a stitch, length within half a row of the
/// foot with its ease.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    /// The foot it is for.
    pub foot: Foot,
    /// Its rounds.
    pub shell: Shell,
    /// Rows of the strip for sole and heel, from the turn to the heel seam.
    pub flat_rows: u32,
    /// Where the middle of the opening was stated and not counted, the same here.
    pub centre_stitch: Option<f64>,
}

impl Grading {
    /// Takes a proven slipper, the foot it fits, and the ease wanted.
    ///
    /// # Errors
    /// [`GradeError::ToeShrinks`].
    pub fn new(proven: &Slipper, foot: Foot, ease: Ease) -> Result<Self, GradeError> {
        let shell = proven.shell.clone();
        let toe = &shell.counts()[..shell.toe_rounds()];
        let increases = Increases::of(toe, shell.gauge())?;
        Ok(Self {
            proven: shell,
            foot,
            ease,
            increases,
        })
    }

    /// The ease wanted.
    #[must_use]
    pub fn ease(&self) -> Ease {
        self.ease
    }

    /// The foot the proven slipper fits.
    #[must_use]
    pub fn foot(&self) -> Foot {
        self.foot
    }

    /// The increases that the toes are made with.
    #[must_use]
    pub fn increases(&self) -> &Increases {
        &self.increases
    }

    /// Where the instep is reached, as a share of the foot's length: `R h / length`.
    #[must_use]
    pub fn instep_share(&self) -> f64 {
        f64::from(self.proven.last_round()) * self.proven.gauge().row_mm / self.foot.length_mm
    }

    /// The slipper for a foot:
    ///
    /// - stitches around `n = foot (1 + ease) / w`;
    /// - rounds to the instep `R`, the same share of the foot's length as in the proven slipper;
    /// - rows of the strip `length (1 + ease) / h - R`: from the ring along the sole to the heel
    ///   seam the slipper is as long as the foot with its ease;
    /// - open stitches the same share of the round;
    ///
    /// each the nearest whole number.
    ///
    /// # Errors
    /// [`GradeError`] with the counts that do not go together.
    pub fn size(&self, foot: Foot) -> Result<Graded, GradeError> {
        let proven = &self.proven;
        let gauge = proven.gauge();
        let last = whole(foot.around_mm * (1.0 + self.ease.around) / gauge.stitch_mm);
        if last < 6 {
            return Err(GradeError::TooFewStitches(last));
        }
        let rounds = whole(self.instep_share() * foot.length_mm / gauge.row_mm);
        let rows = whole(foot.length_mm * (1.0 + self.ease.along) / gauge.row_mm);
        let toe = self.increases.toe(last);
        let even_rounds = u32::try_from(toe.len())
            .ok()
            .and_then(|toe| rounds.checked_sub(toe))
            .ok_or(GradeError::TooShort {
                rounds,
                toe: toe.len(),
            })?;
        let flat_rows = rows
            .checked_sub(rounds)
            .filter(|&flat| flat > 0)
            .ok_or(GradeError::NoStrip { rounds, rows })?;
        let share = f64::from(proven.open_stitches()) / f64::from(proven.last_count());
        let open = whole(share * f64::from(last)).clamp(2, last - 1);
        let extra = proven.extra_before_turn();
        let middle = |open: u32| f64::from(extra) + (f64::from(open) + 1.0) / 2.0;
        let beside = proven.centre_stitch() - middle(proven.open_stitches());
        let centre_stitch = (beside != 0.0).then(|| middle(open) + beside);
        let shell = Shell::new(ShellSpec {
            gauge,
            hand: proven.hand(),
            rounds: proven.rounds(),
            toe,
            even_rounds,
            lean: proven.lean(),
            flat_stitches: last - open,
            extra_before_turn: extra,
            centre_stitch,
        })?;
        Ok(Graded {
            foot,
            shell,
            flat_rows,
            centre_stitch,
        })
    }
}

impl Graded {
    /// Circumference, lying unworn, mm.
    #[must_use]
    pub fn around_mm(&self) -> f64 {
        f64::from(self.shell.last_count()) * self.shell.gauge().stitch_mm
    }

    /// From the ring along the sole to the heel seam, mm.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        f64::from(self.shell.last_round() + self.flat_rows) * self.shell.gauge().row_mm
    }

    /// The ease reached with whole stitches and rows.
    #[must_use]
    pub fn ease(&self) -> Ease {
        Ease {
            around: self.around_mm() / self.foot.around_mm - 1.0,
            along: self.length_mm() / self.foot.length_mm - 1.0,
        }
    }
}

/// The nearest whole number; 0 below it.
fn whole(value: f64) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of stitches or rows on a foot, cut off at 0"
    )]
    let count = value.round().max(0.0) as u32;
    count
}
