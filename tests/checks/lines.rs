//! Lines: the two of a pair, and the halves of one across the centre line, are walked alike.

use instep::face::Side;
use instep::weave::FeaturePlan;
use kurbo::Point;

use super::planned::{LINES, face, plan, slippers};

/// Where a line turns, in the order of its strands.
fn turns(feature: &FeaturePlan) -> Vec<Point> {
    let mut turns: Vec<Point> = Vec::new();
    for end in feature.strands.iter().flat_map(|s| [s.up.at, s.down.at]) {
        if turns.iter().all(|turn| turn.distance(end) > 1e-9) {
            turns.push(end);
        }
    }
    turns
}

/// How far turns lie from the nearest mirror image of others, on average, mm.
fn unlike(turns: &[Point], others: &[Point]) -> f64 {
    let nearest = |turn: &Point| {
        let mirror = Point::new(-turn.x, turn.y);
        let far = others.iter().map(|other| other.distance(mirror));
        far.fold(f64::INFINITY, f64::min)
    };
    turns.iter().map(nearest).sum::<f64>() / turns.len() as f64
}

fn is_line(feature: &FeaturePlan) -> bool {
    feature.method.ends_with("stitch")
}

/// Needle points lie half a stitch and half a row apart, so a place has one at most a quarter of
/// both away; a turn is to lie within half a stitch of the mirror image of its fellow on average.
#[test]
fn lines_of_a_pair_have_as_many_stitches_and_bend_alike() {
    let (mut pairs, mut centred, mut sum) = (0, 0, 0.0);
    for (name, mut job) in slippers() {
        job.face = face(LINES);
        // Only one end a needle point leaves no room for a line's turns.
        if job.settings.hole_limit < 2 {
            continue;
        }
        let planned = plan(&job);
        let stitch = planned.instep.stitch_mm();
        for two in planned.features.windows(2) {
            let [left, right] = [&two[0], &two[1]];
            if left.name != right.name || !is_line(left) {
                continue;
            }
            let what = format!("{name}: {}", left.name);
            assert_eq!(left.strands.len(), right.strands.len(), "{what}");
            let off = unlike(&turns(right), &turns(left)) / stitch;
            assert!(off <= 0.5, "{what}: {off:.2} stitches");
            sum += off;
            pairs += 1;
        }
        for line in planned
            .features
            .iter()
            .filter(|f| is_line(f) && f.side == Side::Centre)
        {
            let turns = turns(line);
            let of_side = |sign: f64| turns.iter().filter(move |turn| sign * turn.x > 1.0).count();
            let what = format!("{name}: {}", line.name);
            assert!(
                of_side(1.0).abs_diff(of_side(-1.0)) <= 1,
                "{what}: {turns:?}"
            );
            let off = unlike(&turns, &turns) / stitch;
            assert!(off <= 0.5, "{what}: {off:.2} stitches");
            centred += 1;
        }
    }
    // Measured: a fifth of a stitch.
    let mean = sum / f64::from(pairs);
    assert!(mean < 0.3, "{mean} stitches off on average");
    assert_eq!((pairs, centred), (18, 9));
}
