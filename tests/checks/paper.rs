//! Small slippers worked out on paper; the arithmetic stands in the comments.

use approx::assert_abs_diff_eq;
use instep::fabric::{Gauge, Instep, NeedlePoint, Rounds, RowPart, ShellSpec, Spot};
use kurbo::Point;

use super::slippers::{even_tube, unfolded};

fn spot(round: u32, stitch: f64, row: f64) -> Spot {
    Spot { round, stitch, row }
}

fn base(round: u32, half_stitches: u32) -> NeedlePoint {
    NeedlePoint {
        round,
        half_stitches,
        row: RowPart::Base,
    }
}

fn assert_at(at: Point, x: f64, y: f64) {
    assert_abs_diff_eq!(at.x, x, epsilon = 1e-4);
    assert_abs_diff_eq!(at.y, y, epsilon = 1e-4);
}

/// Joined, right-handed, stitches 5 by 4 mm, rounds 4, 8, 8, 8, lean 1/2, strip 4.
/// Open: stitches 1 to 4 of round 4, so the centre is 2.5.
///
/// The integral of 1/N: 0 to 1: 1/4; 1 to 2 (N from 4 to 8): ln(2)/4 = 0.173287; then 1/8 a round.
/// To the edge (4 rounds): 0.25 + 0.173287 + 0.25 = 0.673287, half of it: 0.336643.
/// Turn of the centre: 2/8 - 0.336643 = -0.086643.
fn joined() -> Instep {
    unfolded(ShellSpec {
        toe: vec![4, 8],
        even_rounds: 2,
        lean: 0.5,
        flat_stitches: 4,
        ..even_tube(
            8,
            4,
            Gauge {
                stitch_mm: 5.0,
                row_mm: 4.0,
            },
        )
    })
}

#[test]
fn the_joined_slipper_on_paper_unfolds_as_worked_out() {
    let instep = joined();
    assert_abs_diff_eq!(instep.shell().lean_turn(4.0), 0.336_643, epsilon = 1e-6);
    // The edge's centre is the origin.
    assert_at(instep.unfold(spot(4, 2.5, 1.0)), 0.0, 0.0);
    // Stitch 3 is half a stitch further in the working direction, to the left: -2.5 mm.
    assert_at(instep.unfold(spot(4, 3.0, 1.0)), -2.5, 0.0);
    // The base of round 4, stitch 2: turn 1.5/8 - (0.336643 - 1/16) = -0.086643: on the centre line.
    assert_at(instep.unfold(spot(4, 2.0, 0.0)), 0.0, 4.0);
    // Ring, stitch 2, middle: height 1/2, N = 4, turn 1.5/4 - 1/2 * 1/8 = 0.3125;
    // 0.3125 + 0.086643 = 0.399143 of 5 * 4 mm, to the left; y = 4 * 3.5.
    assert_at(instep.unfold(spot(1, 2.0, 0.5)), -7.982_868, 14.0);
    // Round 2, stitch 6, middle: height 1.5, N = 6, integral 1/4 + ln(1.5)/4 = 0.351366, half of
    // it 0.175683; turn 5.5/8 - 0.175683 + 0.086643 = 0.598460, wrapped -0.401540, of 5 * 6 mm.
    assert_at(instep.unfold(spot(2, 6.0, 0.5)), 12.046_2, 10.0);
}

/// Crossings at the base of each round: share = -0.086643 + lean to there, stitch = share n + 1/2.
/// Round 4: 0.1875 * 8 + 0.5 = 2; round 3: 0.125 * 8 + 0.5 = 1.5; round 2: 0.038357 * 8 + 0.5 =
/// 0.806853; ring: (1 - 0.086643) * 4 + 0.5 = 4.153426.
#[test]
fn the_joined_slipper_on_paper_has_these_rows() {
    let instep = joined();
    let rows = [
        (4, 2.0, base(4, 4)),
        (3, 1.5, base(3, 3)),
        (2, 0.806_853, base(2, 2)),
        (1, 4.153_426, base(1, 8)),
    ];
    assert_eq!(instep.rows().len(), rows.len());
    for (row, (round, stitch, baste)) in instep.rows().iter().zip(rows) {
        assert_eq!(row.round, round);
        assert_abs_diff_eq!(row.stitch, stitch, epsilon = 1e-5);
        assert_eq!(row.baste, baste);
    }
    // Round 2, stitch 8, base: 7 stitches on from the thread at stitch 1, one back: to the right.
    let found = instep.find(base(2, 16)).expect("on the instep");
    assert_abs_diff_eq!(found.along.across, 1.0, epsilon = 0.0);
    assert_abs_diff_eq!(found.along.below, 3.0, epsilon = 0.0);
}

/// Spiral, right-handed, stitches 10 by 8 mm, 12 rounds of 6, lean 1/2, strip 3.
/// Open: stitches 1 to 3 of round 12, so the centre is 2, a quarter of a round on; it stands
/// 12.25 rounds up. Turn at a height T on the base line: T - T/12 = 11/12 T.
/// Crossings: T = 12.25 - 12 m / 11.
fn spiral() -> Instep {
    unfolded(ShellSpec {
        rounds: Rounds::Spiral,
        lean: 0.5,
        flat_stitches: 3,
        ..even_tube(
            6,
            12,
            Gauge {
                stitch_mm: 10.0,
                row_mm: 8.0,
            },
        )
    })
}

/// m = 1: T 11.159091, round 12, stitch 0.159091 * 6 + 0.5 = 1.454545, thread at 1.5;
/// m = 2: T 10.068182, round 11, stitch 0.909091, thread at 1;
/// m = 3: T 8.977273, round 9 (10 is skipped), stitch 6.363636, thread at 6.5, which is the start
/// of round 10; m = 4: T 7.886364, round 8, stitch 5.818182, thread at 6;
/// m = 11: T 0.25, round 1, stitch 2; there is no twelfth.
#[test]
fn the_spiral_on_paper_skips_a_round() {
    let instep = spiral();
    let rows = instep.rows();
    assert_eq!(rows.len(), 11);
    for (below, round, stitch, baste) in [
        (1, 12, 1.454_545, base(12, 3)),
        (2, 11, 0.909_091, base(11, 2)),
        (3, 9, 6.363_636, base(10, 1)),
        (4, 8, 5.818_182, base(8, 12)),
        (11, 1, 2.0, base(1, 4)),
    ] {
        let row = rows[below - 1];
        assert_eq!((row.below as usize, row.round), (below, round));
        assert_abs_diff_eq!(row.stitch, stitch, epsilon = 1e-6);
        assert_eq!(row.baste, baste);
        let y = 8.0 * 12.0 * below as f64 / 11.0;
        assert_at(instep.unfold(spot(round, row.stitch, 0.0)), 0.0, y);
    }
}

/// Stitches are counted along the row from its thread, over the start of a round: row 3 has its
/// thread at the start of round 10. Round 9, stitch 6 lies half a stitch before it, to the right;
/// round 10, stitch 3 lies 2.5 on, to the left, 0.403 of a turn before row 2 and so in row 3;
/// round 10, stitch 4 is nearer to the thread of row 2 (round 11, stitch 1): 3 before it.
#[test]
fn the_spiral_on_paper_is_counted_from_the_thread() {
    let instep = spiral();
    let middle = NeedlePoint {
        row: RowPart::Middle,
        ..base(10, 6)
    };
    for (point, below, across) in [
        (base(9, 12), 3.0, 0.5),
        (base(10, 6), 3.0, -2.5),
        (middle, 2.5, -2.5),
        (base(10, 8), 2.0, 3.0),
    ] {
        let along = instep.find(point).expect("on the instep").along;
        assert_abs_diff_eq!(along.below, below, epsilon = 0.0);
        assert_abs_diff_eq!(along.across, across, epsilon = 0.0);
    }
}

/// Rounds of 6, 12, 12. Joined tops stand 1, 2, 3 rounds up, spiral tops half a round more in the
/// mean: there the full circle holds the round's count; half-way between, the mean of the two.
#[test]
fn the_counts_on_paper_stand_at_the_tops_of_their_rounds() {
    for (rounds, mean) in [(Rounds::Joined, 0.0), (Rounds::Spiral, 0.5)] {
        let instep = unfolded(ShellSpec {
            rounds,
            toe: vec![6, 12, 12],
            even_rounds: 0,
            ..even_tube(
                12,
                3,
                Gauge {
                    stitch_mm: 1.0,
                    row_mm: 1.0,
                },
            )
        });
        for (top, count) in [
            (0.0, 6.0),
            (0.5, 6.0),
            (1.0, 6.0),
            (1.5, 9.0),
            (2.0, 12.0),
            (2.5, 12.0),
            (4.0, 12.0),
        ] {
            let around = instep.shell().around(top + mean);
            assert_abs_diff_eq!(around, count, epsilon = 1e-12);
        }
    }
}

/// A place exactly half a turn from the centre line is counted in the working direction: 8 around,
/// centre 2.5, between stitches 6 and 7 (written 6.5) four stitches on, to the left of a right
/// hand.
#[test]
fn half_a_turn_on_paper_goes_the_way_the_work_goes() {
    let instep = unfolded(ShellSpec {
        flat_stitches: 4,
        ..even_tube(
            8,
            3,
            Gauge {
                stitch_mm: 5.0,
                row_mm: 4.0,
            },
        )
    });
    let opposite = instep.find(base(3, 13)).expect("on the instep");
    assert_at(opposite.at, -20.0, 4.0);
    assert_abs_diff_eq!(opposite.along.across, -4.0, epsilon = 0.0);
}

/// One who trusts a column and a round seeks the place 10 mm to the right, 16 mm down: two rounds
/// from the last, one stitch back: round 11, stitch 1, base. It stands 10 + 1/12 rounds up:
/// y = 8 * (12.25 - 10.083333) = 17.333333; turn 1/12 - 10.083333/12 + 12.25/12 - 1/4 = 1/72:
/// x = -60/72: the lean has eaten nearly the whole stitch.
#[test]
fn the_naive_count_on_paper_loses_a_stitch_to_the_lean() {
    assert_at(
        spiral().counted_naively(Point::new(10.0, 16.0)),
        -0.833_333,
        17.333_333,
    );
}
