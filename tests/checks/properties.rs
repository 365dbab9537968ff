//! What must hold for every slipper: drawn at random from a fixed seed.

#![expect(
    clippy::float_cmp,
    reason = "halves and mirror images are exact in binary"
)]

use instep::fabric::{Gauge, Hand, Instep, Placed, Rounds, RowPart, Shell, ShellSpec, Spot};
use kurbo::Point;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use super::slippers::{slipper, unfolded};

/// The same cases on every machine.
fn fixed() -> ProptestConfig {
    ProptestConfig {
        cases: 64,
        rng_seed: RngSeed::Fixed(1395),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

prop_compose! {
    /// Slippers as makers work them: ring of 6 to 12, up to 6 more stitches a round, a lean of
    /// none, forward or a little backward.
    fn specs()(
        ring in 6_u32..=12,
        steps in prop::collection::vec(0_u32..=6, 1..6),
        even_rounds in 1_u32..=14,
        hand in prop_oneof![Just(Hand::Right), Just(Hand::Left)],
        rounds in prop_oneof![Just(Rounds::Spiral), Just(Rounds::Joined)],
        lean in prop_oneof![Just(0.0), 0.1..0.5, -0.3..0.0],
        (stitch_mm, row_over_stitch) in (4.0..12.0, 0.7..1.2),
        strip_percent in 0_u32..80,
        extra in 0_u32..=3,
    ) -> ShellSpec {
        let toe: Vec<u32> = std::iter::once(ring)
            .chain(steps.iter().scan(ring, |count, step| {
                *count += step;
                Some(*count)
            }))
            .collect();
        let last = toe[toe.len() - 1];
        let flat_stitches = last * strip_percent / 100;
        ShellSpec {
            gauge: Gauge { stitch_mm, row_mm: stitch_mm * row_over_stitch },
            hand,
            rounds,
            toe,
            even_rounds,
            lean,
            flat_stitches,
            extra_before_turn: extra.min(flat_stitches),
            centre_stitch: None,
        }
    }
}

/// Points seen from the top of the foot: the turn where the sole is cut open is left out.
fn on_top(instep: &Instep) -> impl Iterator<Item = &Placed> {
    instep
        .points()
        .iter()
        .filter(|p| instep.turn_deg(p.at).abs() < 150.0)
}

proptest! {
    #![proptest_config(fixed())]

    #[test]
    fn every_needle_point_is_found_by_name_and_by_place(
        spec in specs(),
        foot in prop::option::of(150.0..300.0),
    ) {
        let instep = Instep::new(&slipper(spec, foot));
        for placed in instep.points() {
            prop_assert_eq!(instep.find(placed.point), Some(placed));
            prop_assert_eq!(instep.unfold(placed.point.spot()), placed.at);
        }
        for placed in instep.points().iter().step_by(7) {
            prop_assert_eq!(instep.nearest(placed.at), placed);
        }
    }

    /// One place, one name: never nearer than a tenth of a stitch or row.
    #[test]
    fn no_two_needle_points_lie_in_one_place(spec in specs()) {
        let instep = unfolded(spec);
        let apart = 0.1 * instep.stitch_mm().min(instep.row_mm());
        let mut places: Vec<Point> = instep.points().iter().map(|p| p.at).collect();
        places.sort_by(|a, b| a.x.total_cmp(&b.x));
        for (index, a) in places.iter().enumerate() {
            for b in places[index + 1..].iter().take_while(|b| b.x - a.x < apart) {
                prop_assert!(a.distance(*b) > apart, "{:?} {:?}", a, b);
            }
        }
    }

    #[test]
    fn the_other_hand_works_the_mirror_image(spec in specs()) {
        let right = unfolded(ShellSpec { hand: Hand::Right, ..spec.clone() });
        let left = unfolded(ShellSpec { hand: Hand::Left, ..spec });
        prop_assert_eq!(right.points().len(), left.points().len());
        for (r, l) in right.points().iter().zip(left.points()) {
            prop_assert_eq!(r.point, l.point);
            prop_assert_eq!(r.at, Point::new(-l.at.x, l.at.y));
            prop_assert_eq!((r.along.below, r.along.across), (l.along.below, -l.along.across));
        }
        prop_assert_eq!(right.rows(), left.rows());
    }

    /// Joined rounds without lean, all counts multiples of four, half of the last round open: the
    /// centre is a quarter round on in each round, and each needle point has its mirror image.
    #[test]
    fn a_joined_slipper_without_lean_is_its_own_mirror_image(
        spec in specs(),
        ring in 1_u32..=3,
        steps in prop::collection::vec(0_u32..=2, 1..5),
    ) {
        let mut toe = vec![4 * ring];
        for step in steps {
            toe.push(toe[toe.len() - 1] + 4 * step);
        }
        let flat_stitches = toe[toe.len() - 1] / 2;
        let instep = unfolded(ShellSpec {
            rounds: Rounds::Joined,
            lean: 0.0,
            toe,
            flat_stitches,
            extra_before_turn: 0,
            ..spec
        });
        for placed in on_top(&instep) {
            let mirrored = Point::new(-placed.at.x, placed.at.y);
            let other = instep.nearest(mirrored);
            prop_assert!(other.at.distance(mirrored) < 1e-9);
            prop_assert_eq!(other.point.kind(), placed.point.kind());
            prop_assert_eq!(other.along.across, -placed.along.across);
        }
    }

    #[test]
    fn a_larger_gauge_enlarges_the_map(spec in specs(), factor in 0.25..4.0) {
        let larger = Gauge {
            stitch_mm: factor * spec.gauge.stitch_mm,
            row_mm: factor * spec.gauge.row_mm,
        };
        let small = unfolded(spec.clone());
        let large = unfolded(ShellSpec { gauge: larger, ..spec });
        prop_assert_eq!(small.rows(), large.rows());
        for (s, l) in small.points().iter().zip(large.points()) {
            prop_assert_eq!((s.point, s.along), (l.point, l.along));
            let scaled = Point::new(factor * s.at.x, factor * s.at.y);
            prop_assert!(l.at.distance(scaled) < 1e-9 * (1.0 + scaled.to_vec2().hypot()));
        }
    }

    #[test]
    fn rows_cross_on_the_centre_line_and_the_thread_keeps_to_it(spec in specs()) {
        let instep = unfolded(spec);
        prop_assert!(!instep.rows().is_empty());
        for (below, row) in (1..).zip(instep.rows()) {
            prop_assert_eq!(row.below, below);
            let crossing = Spot { round: row.round, stitch: row.stitch, row: 0.0 };
            let at = instep.unfold(crossing);
            prop_assert!(at.x.abs() < 1e-6, "{:?} {}", row, at.x);
            prop_assert!((at.y - instep.y_of_climbed(row.climbed)).abs() < 1e-6);
            let thread = instep.find(row.baste).expect("a needle point of the instep");
            prop_assert_eq!(thread.along.across, 0.0);
            prop_assert_eq!(thread.along.below, f64::from(below));
            // The start of the next round is the end of this one.
            let count = f64::from(instep.shell().count(row.round));
            let on = (row.baste.stitch() - row.stitch).rem_euclid(count);
            prop_assert!(on.min(count - on) <= 0.25 + 1e-9, "{:?}", row);
            prop_assert!(thread.at.x.abs() < 0.26 * instep.stitch_mm(), "{:?}", thread);
        }
    }

    /// At the base the thread is within a quarter stitch of the centre line; half-way up a row
    /// the lean adds up to half a stitch over the cap.
    #[test]
    fn stitches_from_the_thread_are_halves_and_lie_on_their_side(spec in specs()) {
        let instep = unfolded(spec);
        for placed in on_top(&instep) {
            let across = placed.along.across;
            prop_assert_eq!((2.0 * across).fract(), 0.0);
            let sure = match placed.point.row {
                RowPart::Base => 0.5,
                RowPart::Middle => 1.0,
            };
            if across.abs() >= sure {
                prop_assert!(across * placed.at.x > 0.0, "{:?}", placed);
            }
        }
    }

    #[test]
    fn rows_below_the_edge_go_down_the_page(spec in specs()) {
        let instep = unfolded(spec);
        let mut at_thread: Vec<&Placed> = instep
            .points()
            .iter()
            .filter(|p| p.along.across.abs() < 0.25)
            .collect();
        prop_assert_eq!(at_thread.len(), 2 * instep.rows().len());
        at_thread.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
        for (half_rows, placed) in (1..).zip(at_thread) {
            prop_assert_eq!(placed.along.below, f64::from(half_rows) / 2.0);
        }
    }

    #[test]
    fn only_a_lean_makes_a_row_skip_or_repeat_a_round(spec in specs()) {
        let steps = match (spec.rounds, spec.lean) {
            (Rounds::Spiral, lean) if lean > 0.0 => 1..=2,
            (Rounds::Spiral, lean) if lean < 0.0 => 0..=1,
            _ => 1..=1,
        };
        let instep = unfolded(spec);
        for pair in instep.rows().windows(2) {
            prop_assert!(steps.contains(&(pair[0].round - pair[1].round)), "{:?}", pair);
        }
    }

    #[test]
    fn the_page_is_as_wide_as_the_worn_slipper(
        spec in specs(),
        foot in prop::option::of(150.0..300.0),
    ) {
        let instep = Instep::new(&slipper(spec, foot));
        for placed in instep.points() {
            let half = instep.around_mm_at(placed.at.y) / 2.0;
            prop_assert!(placed.at.x.abs() <= half + 1e-9);
            prop_assert!(placed.at.y <= instep.centre_line_mm() + 1e-9);
        }
    }

    /// The lean's integral of 1/N in closed form against Simpson's rule, 32 panels to each half
    /// round, so that the corners of N lie between panels.
    #[test]
    fn the_lean_adds_up_as_simpsons_rule_says(spec in specs(), share in 0.0..1.0) {
        let shell = Shell::new(ShellSpec { lean: 0.25, ..spec }).expect("a shell");
        let height = share * f64::from(shell.last_round() + 1);
        let inverse = |t: f64| 1.0 / shell.around(t);
        let mut integral = 0.0;
        let mut from = 0.0;
        while from < height {
            let to = f64::min(from + 0.5, height);
            let panel = (to - from) / 32.0;
            for index in 0..32 {
                let start = from + panel * f64::from(index);
                let ends = inverse(start) + inverse(start + panel);
                integral += panel / 6.0 * (ends + 4.0 * inverse(start + panel / 2.0));
            }
            from = to;
        }
        prop_assert!((shell.lean_turn(height) - 0.25 * integral).abs() < 1e-9);
    }
}
