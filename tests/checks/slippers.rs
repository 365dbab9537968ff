//! The slippers the checks are made on.

use instep::fabric::{Gauge, Hand, Instep, Rounds, Shell, ShellSpec, Slipper, Yarn};

/// An even tube of `around` stitches from its ring on, right-handed, joined, without lean; a
/// third of it stays open.
pub(crate) fn even_tube(around: u32, rounds: u32, gauge: Gauge) -> ShellSpec {
    ShellSpec {
        gauge,
        hand: Hand::Right,
        rounds: Rounds::Joined,
        toe: vec![around],
        even_rounds: rounds - 1,
        lean: 0.0,
        flat_stitches: around - around / 3,
        extra_before_turn: 0,
        centre_stitch: None,
    }
}

/// A slipper in a plain yarn, for a foot of so many mm around where one is given.
pub(crate) fn slipper(spec: ShellSpec, foot_around_mm: Option<f64>) -> Slipper {
    Slipper {
        name: "check".to_owned(),
        shell: Shell::new(spec).expect("a shell that can be worked"),
        yarn: yarn(9.0, 1, 180.0),
        colour: None,
        foot_around_mm,
        for_baby: false,
    }
}

/// The unfolded instep of a slipper that no foot stretches.
pub(crate) fn unfolded(spec: ShellSpec) -> Instep {
    Instep::new(&slipper(spec, None))
}

/// A whole number of rounds or stitches.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of a slipper: whole, not negative, far under four thousand million"
)]
pub(crate) fn whole(count: f64) -> u32 {
    count.round() as u32
}

/// A yarn of no stated weight.
pub(crate) fn yarn(wraps_per_inch: f64, held: u32, metres_per_100g: f64) -> Yarn {
    Yarn {
        wraps_per_inch,
        held,
        metres_per_100g,
        weight: None,
    }
}
