//! A slipper as it lies in the hand just before the face: shell, yarn, foot.

use super::colour::Rgb;
use super::{Shell, Yarn};

/// One slipper.
#[derive(Debug, Clone, PartialEq)]
pub struct Slipper {
    /// What the maker calls it.
    pub name: String,
    /// Rounds, counts, lean.
    pub shell: Shell,
    /// The yarn it is worked in.
    pub yarn: Yarn,
    /// Colour of that yarn, when it was stated.
    pub colour: Option<Rgb>,
    /// Circumference of the foot over the instep, mm, when it was measured.
    pub foot_around_mm: Option<f64>,
    /// For a baby: shorter floats, more cautions.
    pub for_baby: bool,
}

impl Slipper {
    /// Circumference of the even tube lying unworn, mm.
    #[must_use]
    pub fn tube_around_mm(&self) -> f64 {
        self.shell.gauge().stitch_mm * f64::from(self.shell.last_count())
    }

    /// Sideways stretch when worn: `max(1, foot / tube)`. A slipper looser than the foot is not
    /// stretched.
    #[must_use]
    pub fn stretch(&self) -> f64 {
        self.foot_around_mm
            .map_or(1.0, |foot| (foot / self.tube_around_mm()).max(1.0))
    }
}
