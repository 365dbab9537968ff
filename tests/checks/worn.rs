//! The slipper as it is worn: its shape in space, and the picture of it.
//!
//! Sources: the complete and the incomplete elliptic integral of the second kind give perimeter
//! and arcs of an ellipse (Abramowitz and Stegun, "Handbook of Mathematical Functions", chapter
//! 17); the values here are those of `scipy.special.ellipe`, `ellipeinc` (scipy 1.17.1). The
//! monotone curve through the rounds of the cap is that of `scipy.interpolate.PchipInterpolator`.

use std::sync::LazyLock;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use instep::draw::worn::look::{Look, Seen};
use instep::draw::worn::shape::Body;
use instep::draw::worn::{DPI, yarn};
use instep::draw::{self, Colour, DrawSettings, Group, Pixels, Scene};
use instep::fabric::{Gauge, Hand, Instep, Rounds, ShellSpec, Worn, worn};
use instep::units::Ruler;
use instep::weave::Plan;
use kurbo::Point;

use super::planned::{face, job, plan};
use super::slippers::{even_tube, slipper, unfolded};

/// Rows 10 mm high, stitches 10 mm wide; joined or spiral.
fn shell(rounds: Rounds, hand: Hand, toe: &[u32], lean: f64) -> ShellSpec {
    let last = toe[toe.len() - 1];
    ShellSpec {
        gauge: Gauge {
            stitch_mm: 10.0,
            row_mm: 10.0,
        },
        hand,
        rounds,
        toe: toe.to_vec(),
        even_rounds: 12,
        lean,
        flat_stitches: 2 * last / 3,
        extra_before_turn: 0,
        centre_stitch: None,
    }
}

fn shells() -> Vec<Instep> {
    let mut all = Vec::new();
    for rounds in [Rounds::Joined, Rounds::Spiral] {
        for toe in [&[6, 12, 18, 24][..], &[8, 12, 16, 20, 24], &[24], &[10, 22]] {
            all.push(unfolded(shell(rounds, Hand::Right, toe, 0.2)));
        }
    }
    all.push(unfolded(even_tube(
        30,
        20,
        Gauge::from_swatch(14.0, 16.0, 100.0),
    )));
    all
}

/// Length of a round drawn as a polygon of `corners`.
fn drawn_round(shape: &Worn, y: f64, corners: u32) -> f64 {
    let at = |step: u32| shape.at(f64::from(step) / f64::from(corners), y);
    (0..corners)
        .map(|step| (at(step + 1) - at(step)).length())
        .sum()
}

#[test]
fn a_section_has_the_perimeter_and_the_arcs_of_the_ellipse() {
    // E(1 - 0.66^2): scipy.special.ellipe. Half axes of perimeter 1: 1 / (4 E) and 0.66 / (4 E).
    assert_abs_diff_eq!(worn::HEIGHT_TO_WIDTH, 0.66, epsilon = 1e-12);
    let complete = 1.317_470_682_675_73;
    // Across and up at a turn from the top, scipy.special.ellipeinc, for a perimeter of 1.
    let arcs = [
        (0.05, 0.049_742_306_3, 0.120_860_450_2),
        (0.10, 0.097_789_961_8, 0.107_328_762_1),
        (0.15, 0.141_542_835_4, 0.083_415_099_3),
        (0.20, 0.175_697_431_5, 0.047_310_251_8),
        (0.30, 0.175_697_431_5, -0.047_310_251_8),
        (0.40, 0.097_789_961_8, -0.107_328_762_1),
    ];
    for instep in shells() {
        let shape = Worn::new(&instep);
        let around = instep.around_mm();
        let (wide, high) = shape.half_size(0.0);
        assert_relative_eq!(wide, around / (4.0 * complete), max_relative = 1e-7);
        assert_relative_eq!(high, 0.66 * wide, max_relative = 1e-12);
        for (turn, x, z) in arcs {
            for side in [-1.0, 1.0] {
                let at = shape.at(side * turn, 0.0);
                // The table of arcs has 128 steps in a quarter.
                assert_abs_diff_eq!(at.x / around, side * x, epsilon = 2e-5);
                assert_abs_diff_eq!(at.z / around, z, epsilon = 2e-5);
            }
        }
    }
}

#[test]
fn every_round_is_as_long_as_its_stitches_but_for_the_slack_at_the_bend() {
    for instep in shells() {
        let shape = Worn::new(&instep);
        let shell = instep.shell();
        let first_top = match shell.rounds() {
            Rounds::Spiral => 1.5,
            Rounds::Joined => 1.0,
        };
        for round in 1..=shell.last_round() {
            let top = first_top + f64::from(round - 1);
            let y = instep.y_of_climbed(top);
            let stitches = f64::from(shell.count(round)) * instep.stitch_mm();
            let share = drawn_round(&shape, y, 720) / stitches;
            assert_relative_eq!(share, shape.around_mm(y) / stitches, max_relative = 1e-4);
            if round as usize == shell.toe_rounds() {
                // A lid worked in a round or two cannot be bent into a cap but with folds.
                let least = if shell.toe_rounds() > 2 { 0.9 } else { 0.5 };
                assert!((least..=1.001).contains(&share), "round {round}: {share}");
            } else {
                assert_abs_diff_eq!(share, 1.0, epsilon = 0.005);
            }
        }
    }
}

#[test]
fn the_cap_runs_through_its_rounds_as_the_monotone_curve_of_scipy() {
    // PchipInterpolator over (0, 0), (1, 6), (2, 12), (3, 18), (5, 24), (6, 24), (7, 24).
    let joined = unfolded(shell(Rounds::Joined, Hand::Right, &[6, 12, 18, 24], 0.0));
    let published = [
        (1.5, 9.0),
        (2.25, 13.586_538_461_5),
        (2.75, 16.759_615_384_6),
        (3.25, 19.052_884_615_4),
        (3.5, 20.105_769_230_8),
        (4.0, 22.038_461_538_5),
        (4.5, 23.451_923_076_9),
        (5.5, 24.0),
    ];
    let shape = Worn::new(&joined);
    for (climbed, stitches) in published {
        let around = shape.around_mm(joined.y_of_climbed(climbed)) / joined.stitch_mm();
        assert_abs_diff_eq!(around, stitches, epsilon = 1e-8);
    }
    // The same over (0.5, 0), (1.5, 6), (2.5, 12), (3.5, 18), (5.5, 22), (6.5, 22).
    let spiral = unfolded(shell(Rounds::Spiral, Hand::Right, &[6, 12, 18, 22], 0.0));
    let shape = Worn::new(&spiral);
    for (climbed, stitches) in [(3.0, 15.352_941_176_5), (4.5, 20.794_117_647_1)] {
        let around = shape.around_mm(spiral.y_of_climbed(climbed)) / spiral.stitch_mm();
        assert_abs_diff_eq!(around, stitches, epsilon = 1e-8);
    }
}

#[test]
fn the_even_tube_is_an_isometry_of_the_instep_frame() {
    for instep in shells() {
        let shape = Worn::new(&instep);
        let at = |p: Point| shape.at(Worn::turn_of(&instep, p), p.y);
        // Above the bend, which ends a row above the cap.
        let long = instep.cap_mm() - instep.row_mm();
        for step in 0..200_u32 {
            let (a, b) = (f64::from(step) * 0.618_034, f64::from(step) * 0.754_878);
            let from = Point::new(
                (a.fract() - 0.5) * 0.98 * instep.around_mm(),
                b.fract() * 0.9 * long,
            );
            let direction = kurbo::Vec2::from_angle(f64::from(step));
            let to = from + 0.02 * direction;
            let length = (at(to) - at(from)).length();
            // The arcs of the ellipse are a table: lengths between its 128 steps are off by 0.2 %.
            assert_relative_eq!(length, 0.02, max_relative = 4e-3);
            assert_abs_diff_eq!(shape.along(from.y), from.y, epsilon = 1e-9);
        }
    }
}

#[test]
fn stitches_of_a_round_stay_equally_long_over_the_cap_too() {
    for instep in shells() {
        let shape = Worn::new(&instep);
        for rows in [1.5, 2.5, 3.5, 5.0] {
            let y = instep.y_of_climbed(rows);
            let arc = |stitch: u32| -> f64 {
                let at = |step: u32| shape.at(f64::from(20 * stitch + step) / 480.0, y);
                (0..20).map(|step| (at(step + 1) - at(step)).length()).sum()
            };
            for stitch in 0..24 {
                assert_relative_eq!(arc(stitch), arc(0), max_relative = 1e-3);
            }
        }
    }
}

#[test]
fn the_cap_closes_without_a_fold_and_goes_along_the_foot_all_the_way() {
    for instep in shells() {
        let shape = Worn::new(&instep);
        let tip = instep.centre_line_mm();
        let ring = shape.at(0.3, tip) - shape.at(-0.1, tip);
        assert_abs_diff_eq!(ring.length(), 0.0, epsilon = 1e-9);
        let mut before = shape.at(0.0, 0.0);
        let mut length = 0.0;
        for step in 1..=400 {
            let here = shape.at(0.0, tip * f64::from(step) / 400.0);
            assert!(here.y >= before.y, "{step}: back toward the heel");
            length += (here - before).length();
            before = here;
        }
        // The fabric gives at the toe: in all the centre line is off by a row at most, but where
        // the toe is a lid worked in a round or two.
        let off = (length - tip).abs() / instep.row_mm();
        let lid = instep.shell().toe_rounds() <= 2;
        assert!(lid || off < 1.0, "{off} rows");
    }
}

#[test]
fn outward_is_at_right_angles_to_the_fabric_and_away_from_the_foot() {
    for instep in shells() {
        let shape = Worn::new(&instep);
        let tip = instep.centre_line_mm();
        for step in 1..40 {
            let y = tip * (f64::from(step) + 0.3) / 41.0;
            let turn = (f64::from(step) * 0.618_034).fract() - 0.5;
            let outward = shape.outward(turn, y);
            assert_abs_diff_eq!(outward.length(), 1.0, epsilon = 1e-9);
            let around = (shape.at(turn + 1e-3, y) - shape.at(turn - 1e-3, y)).unit();
            assert_abs_diff_eq!(outward.dot(around), 0.0, epsilon = 0.02);
            let step = instep.row_mm() / 32.0;
            let along = (shape.at(turn, y + step) - shape.at(turn, y - step)).unit();
            assert_abs_diff_eq!(outward.dot(along), 0.0, epsilon = 0.06);
            let at = shape.at(turn, y);
            assert!(outward.x * at.x + outward.z * at.z > 0.0);
        }
    }
}

#[test]
fn a_joined_slipper_without_lean_is_its_own_mirror_image() {
    let instep = unfolded(shell(Rounds::Joined, Hand::Right, &[6, 12, 18, 24], 0.0));
    let slipper = Body::new(&instep);
    let mut places: Vec<(i64, i64, i64)> = Vec::new();
    let mut mirrored = places.clone();
    #[expect(clippy::cast_possible_truncation, reason = "thousandths of a mm")]
    let whole = |mm: f64| (mm * 1000.0).round() as i64;
    for stitch in slipper.tube() {
        let at = stitch.middle.at;
        // Under the sole left and right meet.
        if at.z > 0.0 {
            places.push((whole(at.x), whole(at.y), whole(at.z)));
            mirrored.push((whole(-at.x), whole(at.y), whole(at.z)));
        }
    }
    places.sort_unstable();
    mirrored.sort_unstable();
    assert!(places.len() > 100);
    assert_eq!(places, mirrored);
}

/// A thread that nothing else in the picture looks like.
const EYES: &str = r##"
name = "Eyes"
width = 100
height = 50
[threads.dark]
colour = "#18b04a"
[[feature]]
name = "eye"
pair = true
path = "M14,4 L46,4 L46,40 L14,40 Z"
direction = 0
thread = "dark"
"##;

fn eyes(rounds: Rounds, hand: Hand, lean: f64) -> Plan {
    let spec = shell(rounds, hand, &[6, 12, 18, 24], lean);
    plan(&job(slipper(spec, None), face(EYES)))
}

static JOINED: LazyLock<Plan> = LazyLock::new(|| eyes(Rounds::Joined, Hand::Right, 0.0));
static SPIRAL: LazyLock<Plan> = LazyLock::new(|| eyes(Rounds::Spiral, Hand::Right, 0.25));

/// One of the views alone.
fn view(plan: &Plan, name: &str) -> Pixels {
    let mut scene = draw::worn(plan, &DrawSettings::default());
    scene.layers.retain(|layer| layer.name == name);
    assert_eq!(scene.layers.len(), 1, "{name}");
    scene.to_pixels(DPI).expect("a picture")
}

/// Pixels of the thread, x and y.
fn thread(pixels: &Pixels) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for y in 0..pixels.height {
        for x in 0..pixels.width {
            let Some(Colour([red, green, blue])) = pixels.colour(x, y) else {
                continue;
            };
            let most = red.max(blue);
            if green > 60 && i32::from(green) > i32::from(most) + 40 {
                found.push((f64::from(x), f64::from(y)));
            }
        }
    }
    found
}

/// From the left edge of the slipper to the right one, in the rows of the face, pixels.
fn extent(pixels: &Pixels, seen: &[(f64, f64)]) -> (f64, f64) {
    let rows = |y: u32| seen.iter().any(|p| (p.1 - f64::from(y)).abs() < 0.5);
    let (mut left, mut right) = (f64::INFINITY, 0.0_f64);
    for y in (0..pixels.height).filter(|&y| rows(y)) {
        for x in 0..pixels.width {
            let Some(Colour([red, _, blue])) = pixels.colour(x, y) else {
                continue;
            };
            // Orange in every light, against paper, shadow and ink.
            if i32::from(red) > i32::from(blue) + 45 {
                left = left.min(f64::from(x));
                right = right.max(f64::from(x));
            }
        }
    }
    (left, right)
}

fn middle(points: &[(f64, f64)]) -> (f64, f64) {
    let count = points.len() as f64;
    let sum = points
        .iter()
        .fold((0.0, 0.0), |s, p| (s.0 + p.0, s.1 + p.1));
    (sum.0 / count, sum.1 / count)
}

/// Middles of the two eyes, left and right in the picture.
fn two_eyes(seen: &[(f64, f64)]) -> [(f64, f64); 2] {
    let split = middle(seen).0;
    let (left, right): (Vec<_>, Vec<_>) = seen.iter().copied().partition(|p| p.0 < split);
    [middle(&left), middle(&right)]
}

#[test]
fn the_centre_line_is_the_middle_of_every_view() {
    for plan in [&*JOINED, &*SPIRAL] {
        let slipper = Body::new(&plan.instep);
        for seen in [Seen::ByOnlooker, Seen::ByWearer] {
            let look = Look::new(seen);
            for y in [0.0, 20.0, 60.0, 110.0] {
                let at = look.sheet(slipper.place(Point::new(0.0, y)).at);
                assert_abs_diff_eq!(at.x, look.origin.x, epsilon = 1e-9);
            }
        }
    }
}

#[test]
fn the_toe_points_down_for_an_onlooker_and_up_for_the_wearer() {
    let slipper = Body::new(&JOINED.instep);
    let (edge, right) = (Point::new(0.0, 20.0), Point::new(30.0, 20.0));
    let toe = Point::new(0.0, 90.0);
    for (seen, sign) in [(Seen::ByOnlooker, 1.0), (Seen::ByWearer, -1.0)] {
        let look = Look::new(seen);
        let at = |p: Point| look.sheet(slipper.place(p).at);
        assert!(sign * (at(toe).y - at(edge).y) > 30.0);
        assert!(sign * (at(right).x - at(edge).x) > 20.0);
    }
}

#[test]
fn a_joined_slipper_shows_its_face_alike_on_both_sides_of_the_middle() {
    for name in ["onlooker", "wearer"] {
        let pixels = view(&JOINED, name);
        let seen = thread(&pixels);
        assert!(seen.len() > 2000, "{name}: {}", seen.len());
        let (left_end, right_end) = extent(&pixels, &seen);
        let centre = f64::midpoint(left_end, right_end);
        let left = seen.iter().filter(|p| p.0 < centre).count() as f64;
        let share = left / (seen.len() as f64 - left);
        assert_abs_diff_eq!(share, 1.0, epsilon = 0.06);
        let [a, b] = two_eyes(&seen);
        // Two pixels are two thirds of a mm of the slipper.
        assert_abs_diff_eq!(a.1, b.1, epsilon = 2.0);
        assert_abs_diff_eq!(f64::midpoint(a.0, b.0), centre, epsilon = 2.0);
    }
}

#[test]
fn the_counted_face_lies_as_far_off_and_as_tilted_as_the_plan_says() {
    let plan = &*SPIRAL;
    let slipper = Body::new(&plan.instep);
    let look = Look::new(Seen::ByOnlooker);
    // Where the plan's own counting would put the middles of the eyes, seen by the same eye.
    let expected = |lay: &dyn Fn(Point) -> Point| {
        let eyes = plan.features.iter().map(|feature| {
            let strands = feature.strands.iter();
            let sheet = strands.map(|s| {
                let at = lay(s.up.at.midpoint(s.down.at));
                let at = look.sheet(slipper.place(at).at);
                (at.x, at.y)
            });
            middle(&sheet.collect::<Vec<_>>())
        });
        let eyes: Vec<(f64, f64)> = eyes.collect();
        [eyes[0], eyes[1]]
    };
    let tilt = |[a, b]: [(f64, f64); 2]| (b.1 - a.1).atan2(b.0 - a.0).to_degrees();
    let off = |[a, b]: [(f64, f64); 2]| f64::midpoint(a.0, b.0);
    let naive = |p: Point| plan.instep.counted_naively(p);
    let wide = 2.0 * Worn::new(&plan.instep).half_size(0.0).0;
    for (name, lay) in [
        ("onlooker", &(|p| p) as &dyn Fn(Point) -> Point),
        ("counted", &naive),
    ] {
        let pixels = view(plan, name);
        let seen = thread(&pixels);
        let (left, right) = extent(&pixels, &seen);
        let mm = wide / (right - left);
        let drawn = two_eyes(&seen);
        let there = expected(lay);
        assert_abs_diff_eq!(tilt(drawn), tilt(there), epsilon = 2.0);
        let aside = (off(drawn) - f64::midpoint(left, right)) * mm;
        assert_abs_diff_eq!(aside, off(there), epsilon = 1.5);
    }
    // The same on the page, against the plan's own figures, which are those of the outlines.
    let figures = plan.symmetry[0].naive;
    let [left, right] = [0, 1].map(|eye| {
        let strands = plan.features[eye].strands.iter();
        let counted = strands.map(|s| naive(s.up.at.midpoint(s.down.at)));
        middle(&counted.map(|at| (at.x, at.y)).collect::<Vec<_>>())
    });
    assert_abs_diff_eq!(tilt([left, right]), figures.tilt_deg, epsilon = 1.5);
    assert_abs_diff_eq!(left.0 + right.0, figures.offset_mm, epsilon = 3.0);
    assert!(figures.offset_mm.abs() > 8.0, "{figures:?}");
}

#[test]
fn a_strand_beyond_the_horizon_is_not_drawn() {
    let plan = &*JOINED;
    let slipper = Body::new(&plan.instep);
    let around = plan.instep.around_mm();
    for seen in [Seen::ByOnlooker, Seen::ByWearer] {
        let look = Look::new(seen);
        let shapes = |shift: f64| {
            let mut group = Group::new("strands");
            let lay = |p: Point| Point::new(p.x + shift * around, p.y);
            yarn::strands(&mut group, plan, &slipper, &look, Colour::INK, lay);
            group.items.len()
        };
        let (top, side, sole) = (shapes(0.0), shapes(0.25), shapes(0.5));
        assert!(top > side && side > 0, "{top} {side}");
        assert_eq!(sole, 0);
    }
}

#[test]
fn a_left_handed_slipper_shows_the_mirror_image() {
    let left = eyes(Rounds::Spiral, Hand::Left, 0.25);
    for name in ["onlooker", "wearer", "counted"] {
        let [one, other] = [&*SPIRAL, &left].map(|plan| view(plan, name));
        let [seen, mirrored] = [&one, &other].map(thread);
        let ends = extent(&one, &seen);
        let double = (ends.0 + ends.1).round();
        let turned: std::collections::BTreeSet<(i64, i64)> = mirrored
            .iter()
            .map(|p| whole((double - p.0, p.1)))
            .collect();
        let both = seen.iter().filter(|&&p| turned.contains(&whole(p))).count();
        let either = seen.len() + turned.len() - both;
        // The twist of the yarn is not mirrored, nor is the grid of pixels.
        let share = both as f64 / either as f64;
        assert!(share > 0.9, "{name}: {share}");
    }
}

#[expect(clippy::cast_possible_truncation, reason = "pixels")]
fn whole(point: (f64, f64)) -> (i64, i64) {
    (point.0 as i64, point.1 as i64)
}

#[test]
fn the_picture_is_small_names_what_it_shows_and_is_the_same_twice() {
    let settings = DrawSettings::default();
    for plan in [&*JOINED, &*SPIRAL] {
        let scene: Scene = draw::worn(plan, &settings);
        let png = scene.to_png(DPI).expect("a picture");
        assert!(png.len() < 600_000, "{}", png.len());
        assert!(png == draw::worn(plan, &settings).to_png(DPI).expect("a picture"));
        let svg = scene.to_svg();
        for label in ["Eyes", "as an onlooker sees it", "as the wearer sees it"] {
            assert!(svg.contains(&format!("aria-label=\"{label}\"")), "{label}");
        }
    }
    let inches = DrawSettings {
        ruler: Ruler::Inch,
        ..settings
    };
    let svg = draw::worn(&SPIRAL, &inches).to_svg();
    assert!(svg.contains(" in wide\"") && !svg.contains(" mm\""));
}

#[test]
fn black_and_white_slippers_still_show_their_stitches() {
    for fabric in [[0, 0, 0], [255, 255, 255], [30, 60, 160]] {
        let settings = DrawSettings {
            fabric,
            ..DrawSettings::default()
        };
        let mut scene = draw::worn(&JOINED, &settings);
        scene.layers.retain(|layer| layer.name == "onlooker");
        let pixels = scene.to_pixels(DPI).expect("a picture");
        // Below the face, above the toe, in the middle of the slipper.
        let x = pixels.width / 5;
        let lights: Vec<f64> = (pixels.height * 13 / 20..pixels.height * 15 / 20)
            .filter_map(|y| pixels.colour(x, y))
            .map(Colour::luminance)
            .collect();
        let most = lights.iter().copied().fold(0.0, f64::max);
        let least = lights.iter().copied().fold(1.0, f64::min);
        assert!(
            (most + 0.05) / (least + 0.05) > 1.5,
            "{fabric:?}: {least} to {most}"
        );
    }
}
