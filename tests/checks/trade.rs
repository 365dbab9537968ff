//! Facts of the trade: common practice, no source.

use approx::assert_abs_diff_eq;
use instep::fabric::{Gauge, Hand, Instep, Rounds, ShellSpec, Spot};

use super::slippers::unfolded;

/// A super bulky slipper in single crochet: ring of 8, then 16, then 26 around, 19 rounds to the
/// instep, 19 of the 26 stitches go on as the flat strip; a row is about 10 mm high.
/// (Common practice, no source; the stitch width of 10 mm is that of about square stitches.)
fn super_bulky() -> Instep {
    unfolded(ShellSpec {
        gauge: Gauge {
            stitch_mm: 10.0,
            row_mm: 10.0,
        },
        hand: Hand::Right,
        rounds: Rounds::Spiral,
        toe: vec![8, 16, 26],
        even_rounds: 16,
        lean: 0.25,
        flat_stitches: 19,
        extra_before_turn: 0,
        centre_stitch: None,
    })
}

/// 7 stitches stay open; the middle of the instep is stitch 4 of the last round. (Common
/// practice, no source.)
#[test]
fn the_middle_of_the_super_bulky_slipper_is_stitch_4() {
    let instep = super_bulky();
    assert_eq!(instep.shell().last_round(), 19);
    assert_eq!(instep.shell().open_stitches(), 7);
    assert_abs_diff_eq!(instep.shell().centre_stitch(), 4.0, epsilon = 0.0);
    let middle = instep.unfold(Spot {
        round: 19,
        stitch: 4.0,
        row: 1.0,
    });
    assert_abs_diff_eq!(middle.x, 0.0, epsilon = 1e-9);
    assert_abs_diff_eq!(middle.y, 0.0, epsilon = 1e-9);
}

/// 15 rounds measure about 15 cm. (Common practice, no source. "About": a tenth either way.)
#[test]
fn fifteen_rounds_of_super_bulky_measure_about_15_cm() {
    let instep = super_bulky();
    let rows = instep.rows();
    let far = instep.unfold(rows[14].baste.spot());
    assert_abs_diff_eq!(far.y, 150.0, epsilon = 15.0);
}

/// A column leans away from the middle of the foot, so that a face which follows it lands on the
/// side (common practice, no source). On paper: from the top of round 19 to the base of round 5
/// are 15 rounds; at a quarter stitch each that is 3.75 stitches, of 26 around: 52 degrees.
#[test]
fn who_follows_the_middle_column_to_the_toe_lands_on_the_side() {
    let instep = super_bulky();
    let followed = instep.unfold(Spot {
        round: 5,
        stitch: 4.0,
        row: 0.0,
    });
    assert_abs_diff_eq!(followed.x / instep.stitch_mm(), -3.75, epsilon = 1e-9);
    assert_abs_diff_eq!(instep.turn_deg(followed), -51.92, epsilon = 0.005);
}
