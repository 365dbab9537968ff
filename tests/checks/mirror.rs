//! Plans against themselves: mirrored, enlarged, made again.

use instep::fabric::{Gauge, Hand, Rounds, Shell, ShellSpec};
use instep::face::{Direction, Face, Facing, Side, Work};
use instep::files::{Words, plan_json};
use instep::terms::Terms;
use instep::units::Ruler;
use instep::weave::{FeaturePlan, Figures, Job, Plan, StrandPlan};
use kurbo::Point;

use super::planned::{BENT, FILLS, GALLERY, LINES, face, job, plan};
use super::slippers::{slipper, yarn};

const WORDS: Words = Words {
    terms: Terms::Us,
    ruler: Ruler::Metric,
};

fn worsted(hand: Hand, rounds: Rounds, lean: f64, face: Face) -> Job {
    let spec = ShellSpec {
        gauge: Gauge::from_swatch(14.0, 16.0, 100.0),
        hand,
        rounds,
        toe: vec![8, 16, 24, 30],
        even_rounds: 16,
        lean,
        flat_stitches: 21,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    job(slipper(spec, None), face)
}

/// The face as a mirror shows it. A pair and a shape that is its own mirror image stay as they
/// are, and so does their direction, which is that of the right side.
fn in_a_mirror(face: &Face) -> Face {
    let mut face = face.clone();
    for feature in &mut face.features {
        if feature.name == "patch" {
            feature.outline = feature.outline.mirrored();
            match &mut feature.work {
                Work::Fill {
                    direction: Direction::Degrees(degrees),
                    ..
                } => *degrees = 180.0 - *degrees,
                Work::Fill {
                    direction: Direction::Fan(Some(from)),
                    ..
                } => *from = across(*from),
                _ => {}
            }
        }
    }
    face
}

fn across(p: Point) -> Point {
    Point::new(-p.x, p.y)
}

fn other(side: Side) -> Side {
    match side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        Side::Centre => Side::Centre,
    }
}

fn feature<'a>(plan: &'a Plan, name: &str, side: Side) -> &'a FeaturePlan {
    plan.features
        .iter()
        .find(|f| f.name == name && f.side == side)
        .unwrap_or_else(|| panic!("no {name} {side:?}"))
}

fn are_mirrored_strands(what: &str, a: &StrandPlan, b: &StrandPlan) {
    for (a, b) in [(a.up, b.up), (a.down, b.down)] {
        assert_eq!(a.point, b.point, "{what}");
        assert_eq!(a.at, across(b.at), "{what}");
        assert_eq!(
            (a.along.below, a.along.across),
            (b.along.below, -b.along.across)
        );
    }
    let turned = |d: f64| (180.0 - d).rem_euclid(180.0);
    assert_eq!(a.direction_deg.is_some(), b.direction_deg.is_some());
    if let (Some(a), Some(b)) = (a.direction_deg, b.direction_deg) {
        // Outlines run the other way round.
        let off = (turned(a) - b + 90.0).rem_euclid(180.0) - 90.0;
        approx::assert_abs_diff_eq!(off, 0.0, epsilon = 1e-9);
    }
    assert_eq!(
        (a.order, a.start, a.travel_mm, a.caught, a.length_mm),
        (b.order, b.start, b.travel_mm, b.caught, b.length_mm),
        "{what}"
    );
}

/// Figures come from sums over outlines that run the other way round.
fn are_mirrored_figures(a: &Figures, b: &Figures) {
    for (a, b) in [
        (a.mirror_match, b.mirror_match),
        (a.size_ratio, b.size_ratio),
        (a.level_mm, -b.level_mm),
        (a.level_rows, -b.level_rows),
        (a.offset_mm, -b.offset_mm),
        (a.tilt_deg, -b.tilt_deg),
    ] {
        approx::assert_abs_diff_eq!(a, b, epsilon = 1e-9);
    }
}

/// The same counts worked with the other hand give the mirror image of everything.
fn are_mirror_images(what: &str, right: &Plan, left: &Plan) {
    assert_eq!(right.features.len(), left.features.len());
    for a in &right.features {
        let b = feature(left, &a.name, other(a.side));
        let what = format!("{what}: {} {:?}", a.name, a.side);
        assert_eq!(a.measure, b.measure, "{what}");
        assert_eq!(
            (a.moved_mm.x, a.moved_mm.y),
            (-b.moved_mm.x, b.moved_mm.y),
            "{what}"
        );
        assert_eq!((a.mirrored, a.seat_won_mm2), (b.mirrored, b.seat_won_mm2));
        let turn = |d: f64| {
            if a.mirrored {
                d
            } else {
                (180.0 - d).rem_euclid(180.0)
            }
        };
        assert_eq!(a.direction_deg.map(turn), b.direction_deg, "{what}");
        assert_eq!(a.strands.len(), b.strands.len(), "{what}");
        for (a, b) in a.strands.iter().zip(&b.strands) {
            are_mirrored_strands(&what, a, b);
        }
    }
    assert_eq!(right.threads, left.threads, "{what}");
    for (a, b) in right.symmetry.iter().zip(&left.symmetry) {
        assert_eq!((&a.feature, a.pair), (&b.feature, b.pair));
        are_mirrored_figures(&a.planned, &b.planned);
        are_mirrored_figures(&a.naive, &b.naive);
    }
}

#[test]
fn a_left_handed_maker_gets_the_mirror_image() {
    let faces = [face(FILLS), face(LINES), face(BENT)];
    let mut at = 0;
    for rounds in [Rounds::Spiral, Rounds::Joined] {
        for lean in [-0.15, 0.0, 0.25] {
            let face = faces[at % 3].clone();
            at += 1;
            let right = plan(&worsted(Hand::Right, rounds, lean, face.clone()));
            let left = plan(&worsted(Hand::Left, rounds, lean, in_a_mirror(&face)));
            are_mirror_images(&format!("{} {rounds:?} {lean}", face.name), &right, &left);
        }
    }
}

/// Facing the other way turns the face half a turn, so a face and its mirror image upside down
/// are told apart; the plan of either keeps to its own side.
#[test]
fn the_wearer_sees_the_face_the_other_way_round() {
    let mut job = worsted(Hand::Right, Rounds::Joined, 0.0, face(FILLS));
    let onlooker = plan(&job);
    job.place.facing = Facing::Wearer;
    let wearer = plan(&job);
    let side = |plan: &Plan| {
        plan.features
            .iter()
            .find(|f| f.name == "patch")
            .map(|f| f.side)
    };
    assert_eq!(side(&onlooker), Some(Side::Right));
    assert_eq!(side(&wearer), Some(Side::Left));
}

/// Joined rounds without lean on an even count, half of it open, are their own mirror image, and
/// so the best filling of an even face can be. The search may still end in an uneven filling that
/// is worth as much to within the price of unevenness, or of joints in line: not less than 0.95 of
/// it matches.
#[test]
fn an_even_face_on_an_even_slipper_comes_out_even() {
    let even = r##"
width = 100
height = 80
[threads.dark]
[[feature]]
name = "eye"
pair = true
path = "M12,10 L40,10 L40,30 L12,30 Z"
direction = 0
[[feature]]
name = "nose"
path = "M-12,36 L12,36 L0,56 Z"
direction = 0
[[feature]]
name = "mouth"
path = "M-44,50 L0,62 L44,50 L36,80 L-36,80 Z"
direction = { mirrored = 15 }
"##;
    let mut exact = 0;
    for stitches in [11.0, 14.0, 18.0] {
        let mut job = worsted(Hand::Right, Rounds::Joined, 0.0, face(even));
        job.slipper.shell = Shell::new(ShellSpec {
            gauge: Gauge::from_swatch(stitches, stitches, 100.0),
            hand: Hand::Right,
            rounds: Rounds::Joined,
            toe: vec![32],
            even_rounds: 20,
            lean: 0.0,
            flat_stitches: 16,
            extra_before_turn: 0,
            centre_stitch: None,
        })
        .expect("a shell");
        let planned = plan(&job);
        assert_eq!(planned.symmetry.len(), 3);
        for even in &planned.symmetry {
            let share = even.planned.mirror_match;
            assert!(share >= 0.95, "{stitches} {}: {share}", even.feature);
            exact += usize::from(share > 1.0 - 1e-9);
            let naive = even.naive.mirror_match;
            assert!(naive > 0.995, "{stitches} {}: naive {naive}", even.feature);
        }
    }
    assert!(exact >= 3, "{exact} of 9 exactly even");
}

/// Everything twice as large: yarn, stitches, face, limits.
fn enlarged(job: &Job, factor: f64) -> Job {
    let mut large = job.clone();
    let shell = &job.slipper.shell;
    large.slipper.shell = Shell::new(ShellSpec {
        gauge: Gauge {
            stitch_mm: factor * shell.gauge().stitch_mm,
            row_mm: factor * shell.gauge().row_mm,
        },
        hand: shell.hand(),
        rounds: shell.rounds(),
        toe: vec![8, 16, 24, 30],
        even_rounds: 16,
        lean: 0.25,
        flat_stitches: 21,
        extra_before_turn: 0,
        centre_stitch: None,
    })
    .expect("a shell");
    large.slipper.yarn.wraps_per_inch /= factor;
    for length in [
        &mut large.settings.longest_mm,
        &mut large.settings.float_limit_mm,
        &mut large.settings.carry_mm,
        &mut large.settings.needleful_mm,
        &mut large.settings.tail_mm,
    ] {
        *length *= factor;
    }
    large.place.width_mm = large.place.width_mm.map(|width| factor * width);
    large.place.below_mm = large.place.below_mm.map(|below| factor * below);
    large
}

#[test]
fn a_larger_gauge_takes_the_same_strands() {
    for text in [FILLS, LINES, BENT] {
        let mut small = worsted(Hand::Right, Rounds::Spiral, 0.25, face(text));
        small.slipper.yarn = yarn(9.0, 1, 180.0);
        small.place.width_mm = Some(66.0);
        small.place.below_mm = Some(12.0);
        let a = plan(&small);
        for factor in [0.5, 2.0] {
            let b = plan(&enlarged(&small, factor));
            for (a, b) in a.features.iter().zip(&b.features) {
                assert_eq!(a.direction_deg, b.direction_deg, "{}", a.name);
                assert_eq!(a.moved_mm * factor, b.moved_mm, "{}", a.name);
                assert_eq!(a.strands.len(), b.strands.len(), "{}", a.name);
                for (a, b) in a.strands.iter().zip(&b.strands) {
                    assert_eq!((a.up.point, a.down.point), (b.up.point, b.down.point));
                    assert_eq!((a.order, a.start, a.caught), (b.order, b.start, b.caught));
                    approx::assert_relative_eq!(a.length_mm * factor, b.length_mm, epsilon = 1e-9);
                }
                // Areas are measured on samples of one size, so large ones are a little truer.
                let scaled = a.measure.score_mm2 * factor * factor;
                let loose = 0.01 * a.measure.outline_mm2 * factor * factor;
                approx::assert_abs_diff_eq!(b.measure.score_mm2, scaled, epsilon = loose);
            }
            for (a, b) in a.threads.iter().zip(&b.threads) {
                assert_eq!((a.starts, a.needlefuls), (b.starts, b.needlefuls));
                approx::assert_relative_eq!(a.length_mm * factor, b.length_mm, epsilon = 1e-6);
            }
        }
    }
}

/// Same input, same bytes: on one core as on all.
#[test]
fn the_same_job_gives_the_same_bytes() {
    let alone = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("a pool of one thread");
    for planned in GALLERY.iter().step_by(5) {
        let bytes = |plan: &Plan| plan_json(plan, &WORDS).expect("a plan as text");
        let again = alone.install(|| plan(&planned.job));
        assert_eq!(bytes(&again), bytes(&planned.plan), "{}", planned.name);
    }
}
