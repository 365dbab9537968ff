//! The unfolding against the sinusoidal projection of the sphere, which is the same construction.
//!
//! Sources: USGS Professional Paper 1395, "Map Projections: A Working Manual" (1987), section 30
//! and its numerical example in appendix A; the test values of the PROJ library
//! (test/gie/builtins.gie, `sinu`, tolerance 0.1 mm on a radius of 6 400 000 m).
//!
//! A dome of crochet is a sphere when round k holds `2 pi R sin(k h / R) / w` stitches. Counts
//! are whole, so `w` is chosen such that the parallel of the example holds a whole number of
//! stitches exactly; there the unfolding must agree to the last printed digit.

use std::f64::consts::{PI, TAU};

use approx::assert_abs_diff_eq;
use instep::fabric::{Gauge, Hand, Instep, Rounds, ShellSpec, Spot};
use kurbo::Point;

use super::slippers::{unfolded, whole};

/// The south half of a sphere in crochet: the ring at the pole, east in the working direction of
/// a left hand, which is to the right on the page.
struct Dome {
    row_deg: f64,
    edge_deg: f64,
    instep: Instep,
}

impl Dome {
    /// Rounds `row_deg` apart from the pole up to the parallel `edge_deg` south; the parallel
    /// `exact_deg` south holds exactly `stitches`.
    fn new(radius: f64, row_deg: f64, edge_deg: f64, exact_deg: f64, stitches: f64) -> Self {
        let stitch_mm = TAU * radius * exact_deg.to_radians().cos() / stitches;
        let last = whole((90.0 - edge_deg) / row_deg);
        let toe: Vec<u32> = (1..=last)
            .map(|k| TAU * radius * (f64::from(k) * row_deg).to_radians().sin() / stitch_mm)
            .map(whole)
            .collect();
        let widest = toe[toe.len() - 1];
        let instep = unfolded(ShellSpec {
            gauge: Gauge {
                stitch_mm,
                row_mm: radius * row_deg.to_radians(),
            },
            hand: Hand::Left,
            rounds: Rounds::Joined,
            toe,
            even_rounds: 0,
            lean: 0.0,
            flat_stitches: widest / 2,
            extra_before_turn: 0,
            centre_stitch: Some(f64::from(widest / 2) + 0.5),
        });
        Self {
            row_deg,
            edge_deg,
            instep,
        }
    }

    /// Unfolds a place by degrees south of the equator and east of the centre line; both as the
    /// projection counts them: x to the east, y to the north from the equator.
    fn project(&self, radius: f64, south_deg: f64, east_deg: f64) -> Point {
        let at = self.instep.unfold(self.spot(south_deg, east_deg));
        Point::new(at.x, -at.y - radius * self.edge_deg.to_radians())
    }

    fn spot(&self, south_deg: f64, east_deg: f64) -> Spot {
        let shell = self.instep.shell();
        let climbed = (90.0 - south_deg) / self.row_deg;
        let round = whole(climbed.ceil().max(1.0));
        let share = |stitch: f64, count: u32| (stitch - 0.5) / f64::from(count);
        let centre = share(shell.centre_stitch(), shell.last_count());
        let count = shell.count(round);
        Spot {
            round,
            stitch: 0.5 + f64::from(count) * (centre + east_deg / 360.0),
            row: climbed - (f64::from(round) - 1.0),
        }
    }
}

/// USGS PP 1395, appendix A, sinusoidal, sphere: R 1, central meridian 90° W, the point 50° S,
/// 75° W has x 0.1682814, y -0.8726646. Tolerance: half of the last printed digit.
#[test]
fn the_printed_example_of_the_sinusoidal_projection_is_met() {
    let dome = Dome::new(1.0, 1.0, 0.0, 50.0, 480.0);
    let at = dome.project(1.0, 50.0, 90.0 - 75.0);
    assert_abs_diff_eq!(at.x, 0.168_281_4, epsilon = 0.5e-7);
    assert_abs_diff_eq!(at.y, -0.872_664_6, epsilon = 0.5e-7);
}

/// The same example backward: from the printed x, y the formulas 30-6, 30-7 give the longitude
/// 75.0000007° W, which is 14.9999993° from the centre line (worked out anew, as the copy of the
/// manual at hand has a slip here). Tolerance: the last digit, for the counts are whole.
#[test]
fn the_printed_example_turns_back_to_its_longitude() {
    let dome = Dome::new(1.0, 1.0, 0.0, 50.0, 4800.0);
    let turn = dome.instep.turn_deg(Point::new(0.168_281_4, 0.872_664_6));
    assert_abs_diff_eq!(turn, 14.999_999_3, epsilon = 1e-7);
}

/// The same example's scale factor along the meridian: h = 1.0199119 (eq. 30-3). Tolerance 5e-5:
/// rows of 2.5° take the slope of a chord (1.3e-5 off), whole counts another 3e-5.
#[test]
fn the_length_error_is_the_printed_scale_factor() {
    let dome = Dome::new(1.0, 2.5, 45.0, 50.0, 12_000.0);
    let at = dome.instep.unfold(dome.spot(50.0, 15.0));
    assert_abs_diff_eq!(dome.instep.length_error(at), 1.019_911_9, epsilon = 5e-5);
    let middle = dome.instep.unfold(dome.spot(50.0, 0.0));
    assert_abs_diff_eq!(dome.instep.length_error(middle), 1.0, epsilon = 1e-12);
}

/// PROJ builtins.gie, `sinu`, R = 6 400 000: longitude 2, latitude 1 gives 223368.119026632,
/// 111701.072127637, odd in both signs; tolerance 0.1 mm as in that file.
#[test]
fn the_values_of_the_proj_test_suite_are_met() {
    let radius = 6_400_000.0;
    let dome = Dome::new(radius, 1.0, 0.0, 1.0, 720.0);
    for (east, x) in [(2.0, 223_368.119_026_632), (-2.0, -223_368.119_026_632)] {
        let at = dome.project(radius, 1.0, east);
        assert_abs_diff_eq!(at.x, x, epsilon = 1e-4);
        assert_abs_diff_eq!(at.y, -111_701.072_127_637, epsilon = 1e-4);
    }
}

/// PROJ builtins.gie, `sinu` inverse: x 200, y 100 lies at longitude 0.001790493. Tolerance: the
/// last printed digit.
#[test]
fn the_inverse_of_the_proj_test_suite_is_met() {
    let dome = Dome::new(6_400_000.0, 1.0, 0.0, 0.0, 7200.0);
    let turn = dome.instep.turn_deg(Point::new(200.0, 100.0));
    assert_abs_diff_eq!(turn, 0.001_790_493, epsilon = 1e-9);
}

/// USGS PP 1395, section 30: scale is true on every parallel, the full width at latitude phi is
/// `2 pi R cos phi`. Tolerance: half a stitch, for counts are whole.
#[test]
fn every_parallel_keeps_its_length() {
    let dome = Dome::new(100.0, 1.0, 0.0, 0.0, 720.0);
    let half_stitch = dome.instep.stitch_mm() / 2.0;
    for south in 0..90 {
        let south = f64::from(south);
        let parallel = TAU * 100.0 * south.to_radians().cos();
        let y = dome.instep.unfold(dome.spot(south, 0.0)).y;
        assert_abs_diff_eq!(
            dome.instep.around_mm_at(y),
            parallel,
            epsilon = half_stitch + 1e-9
        );
        let (west, east) = (dome.spot(south, -90.0), dome.spot(south, 90.0));
        let half = dome.instep.unfold(east).x - dome.instep.unfold(west).x;
        assert_abs_diff_eq!(half, parallel / 2.0, epsilon = half_stitch);
    }
}

/// USGS PP 1395, section 30: the central meridian is straight and true to scale.
#[test]
fn the_centre_line_is_straight_and_keeps_its_length() {
    let dome = Dome::new(100.0, 1.0, 0.0, 0.0, 720.0);
    for south in 0..=90 {
        let at = dome.project(100.0, f64::from(south), 0.0);
        assert_abs_diff_eq!(at.x, 0.0, epsilon = 1e-9);
        assert_abs_diff_eq!(at.y, -100.0 * f64::from(south).to_radians(), epsilon = 1e-9);
    }
    assert_abs_diff_eq!(dome.instep.centre_line_mm(), 50.0 * PI, epsilon = 1e-9);
}

/// A hemisphere has the area `2 pi R^2`, and the projection keeps it. Tolerance 3e-4 of it: the
/// ring counts as a short tube (pi (R h)^2 too much, 1.5e-4) and rows are chords (2.5e-5).
#[test]
fn the_cells_of_a_hemisphere_cover_its_area() {
    let dome = Dome::new(100.0, 1.0, 0.0, 0.0, 720.0);
    let shell = dome.instep.shell();
    // A hair inside each corner, so that the last cell is not torn at half a turn.
    let hair = 1e-7;
    let mut area = 0.0;
    for round in 1..=shell.last_round() {
        for stitch in 1..=shell.count(round) {
            let corner = |side: f64, row: f64| {
                let stitch = f64::from(stitch) + side * (0.5 - hair);
                dome.instep.unfold(Spot { round, stitch, row })
            };
            let corners = [
                corner(-1.0, 0.0),
                corner(1.0, 0.0),
                corner(1.0, 1.0),
                corner(-1.0, 1.0),
            ];
            area += shoelace(&corners);
        }
    }
    let hemisphere = TAU * 100.0 * 100.0;
    assert_abs_diff_eq!(area / hemisphere, 1.0, epsilon = 3e-4);
}

fn shoelace(corners: &[Point]) -> f64 {
    let next = corners.iter().cycle().skip(1);
    let doubled: f64 = corners
        .iter()
        .zip(next)
        .map(|(a, b)| a.x * b.y - b.x * a.y)
        .sum();
    doubled.abs() / 2.0
}
