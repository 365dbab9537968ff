//! What a shell promises: no shell that cannot be worked, and where its cap ends.

use approx::assert_abs_diff_eq;
use instep::fabric::{Gauge, Instep, Rounds, Shell, ShellError, ShellSpec, Spot};

use super::slippers::{even_tube, slipper, unfolded};

const GAUGE: Gauge = Gauge {
    stitch_mm: 8.0,
    row_mm: 7.0,
};

/// Expected values: what a maker cannot do with hook and yarn.
#[test]
fn a_shell_that_cannot_be_worked_is_refused() {
    let tube = || even_tube(24, 10, GAUGE);
    let refused = |spec| Shell::new(spec).expect_err("cannot be worked");
    assert_eq!(
        refused(ShellSpec {
            toe: vec![],
            ..tube()
        }),
        ShellError::NoRounds
    );
    assert_eq!(refused(even_tube(24, 1, GAUGE)), ShellError::OneRound);
    assert_eq!(
        refused(ShellSpec {
            toe: vec![8, 2, 24],
            ..tube()
        }),
        ShellError::TooFewStitches { round: 2, count: 2 }
    );
    for lean in [1.0, -1.0, f64::INFINITY, f64::NAN] {
        let error = refused(ShellSpec { lean, ..tube() });
        assert!(matches!(error, ShellError::LeanTooLarge(_)), "{error}");
    }
    assert_eq!(
        refused(ShellSpec {
            flat_stitches: 23,
            ..tube()
        }),
        ShellError::NoOpening { flat: 23, last: 24 }
    );
    assert_eq!(
        refused(ShellSpec {
            extra_before_turn: 17,
            ..tube()
        }),
        ShellError::ExtraPastStrip {
            extra: 17,
            flat: 16
        }
    );
    for centre in [0.0, 24.5, f64::NAN] {
        let error = refused(ShellSpec {
            centre_stitch: Some(centre),
            ..tube()
        });
        assert!(matches!(error, ShellError::CentreOutside { .. }), "{error}");
    }
}

/// The open stitches of 24 with a strip of 16 are 1 to 8, their middle between 4 and 5; three
/// stitches more before the turn move it to between 7 and 8; a strip of 17 leaves 1 to 7.
#[test]
fn the_centre_is_the_middle_of_the_open_stitches() {
    for (flat_stitches, extra_before_turn, centre) in [(16, 0, 4.5), (16, 3, 7.5), (17, 0, 4.0)] {
        let shell = Shell::new(ShellSpec {
            flat_stitches,
            extra_before_turn,
            ..even_tube(24, 10, GAUGE)
        })
        .expect("a shell that can be worked");
        assert_abs_diff_eq!(shell.centre_stitch(), centre, epsilon = 0.0);
    }
}

/// The cap ends at the top of the first round from which on all rounds hold the last count,
/// whatever the toe does before.
#[test]
fn the_cap_ends_where_the_even_rounds_begin() {
    for (toe, round) in [
        (vec![24], 1),
        (vec![8, 16, 24], 3),
        (vec![8, 16, 24, 24, 24], 3),
        (vec![8, 24, 30, 24], 4),
        (vec![24, 30, 24, 24], 3),
    ] {
        let joined = unfolded(ShellSpec {
            toe: toe.clone(),
            even_rounds: 6,
            ..even_tube(24, 10, GAUGE)
        });
        assert_abs_diff_eq!(joined.shell().cap_ends(), f64::from(round), epsilon = 1e-12);
        let top = Spot {
            round,
            stitch: 4.5,
            row: 1.0,
        };
        assert_abs_diff_eq!(joined.cap_mm(), joined.unfold(top).y, epsilon = 1e-9);
        let spiral = unfolded(ShellSpec {
            rounds: Rounds::Spiral,
            toe,
            even_rounds: 6,
            ..even_tube(24, 10, GAUGE)
        });
        // The mean height of a spiral round's top is half a row more.
        assert_abs_diff_eq!(
            spiral.shell().cap_ends(),
            f64::from(round) + 0.5,
            epsilon = 1e-12
        );
    }
}

/// At the limits of what a shell allows there is still a first row, its baste point is a place of
/// the shell, and a place of the page has a nearest needle point.
#[test]
fn the_smallest_and_most_leaning_shells_unfold() {
    for rounds in [Rounds::Spiral, Rounds::Joined] {
        for lean in [-0.99, -0.5, 0.0, 0.5, 0.99] {
            for centre in [0.5, 1.0, 2.0, 3.0, 3.49] {
                let instep = Instep::new(&slipper(
                    ShellSpec {
                        rounds,
                        lean,
                        centre_stitch: Some(centre),
                        flat_stitches: 0,
                        ..even_tube(3, 2, GAUGE)
                    },
                    None,
                ));
                assert!(!instep.rows().is_empty());
                for row in instep.rows() {
                    assert!(instep.find(row.baste).is_some(), "{row:?}");
                }
                assert!(!instep.points().is_empty());
                let near = instep.nearest(kurbo::Point::ORIGIN);
                assert!(instep.find(near.point).is_some());
            }
        }
    }
}

/// A column that leans backward lets a row come round before its round is over: more rows cross
/// the centre line than there are rounds. On paper: 6 around, lean -1/2, 12 rounds, centre 2: the
/// base line has turned 12.25 * 13/12 = 13.27 times at the edge, so 13 rows cross.
#[test]
fn a_backward_lean_keeps_all_its_rows() {
    let instep = unfolded(ShellSpec {
        rounds: Rounds::Spiral,
        lean: -0.5,
        flat_stitches: 3,
        ..even_tube(6, 12, GAUGE)
    });
    assert_eq!(instep.rows().len(), 13);
}
