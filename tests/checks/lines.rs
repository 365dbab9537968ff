//! Lines and knots: the two of a pair, and the halves of one across the centre line, are alike.

use instep::fabric::{Gauge, ShellSpec};
use instep::face::Side;
use instep::weave::{FeaturePlan, PointsAllowed};
use kurbo::Point;

use super::planned::{LINES, face, job, plan, slippers};
use super::slippers::{even_tube, slipper};

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

/// On joined rounds without a lean each needle point has its mirror image; where a place lies as
/// near to four pairs of them, the knots of a pair were once made on unlike ones.
#[test]
fn knots_of_a_pair_lie_alike_on_even_fabric() {
    let spec = ShellSpec {
        toe: vec![6, 12, 18, 24],
        even_rounds: 12,
        flat_stitches: 13,
        ..even_tube(24, 16, Gauge::from_swatch(11.0, 12.0, 100.0))
    };
    let allowed = [PointsAllowed::All, PointsAllowed::Open];
    for (points, place) in allowed
        .into_iter()
        .flat_map(|p| (0..12).map(move |i| (p, i)))
    {
        let (x, y) = (17.0 + 2.3 * f64::from(place), 31.0 + 3.1 * f64::from(place));
        let face = face(&format!(
            "name = \"Knots\"\nwidth = 100\nheight = 80\n[threads.dark]\n[[feature]]\n\
             name = \"eye\"\npair = true\nknot = 2\nthread = \"dark\"\npath = \"M{x},{y}\"\n"
        ));
        let mut job = job(slipper(spec.clone(), None), face);
        job.settings.points = points;
        let planned = plan(&job);
        let alike = planned.symmetry[0].planned.mirror_match;
        assert!(alike > 0.999, "{points:?} at {x},{y}: {alike}");
    }
}

const EDGED: &str = r##"
name = "Edged"
width = 100
height = 80
[threads.dark]
[[feature]]
name = "ear"
pair = true
path = "M12,30 L44,22 L24,2 Z"
thread = "dark"
outline = "backstitch"
[[feature]]
name = "mouth"
path = "M-34,60 L0,52 L34,60 L0,72 Z"
thread = "dark"
outline = "backstitch"
"##;

/// A line round a fill was once made where the fill is drawn, up to 3.5 mm off where it then sat,
/// and took its last needle points where only the open ones are allowed.
#[test]
fn a_line_round_a_fill_sits_where_the_fill_does_and_leaves_it_its_strands() {
    let (mut fills, mut moved, mut kept) = (0_u32, 0_u32, 0.0);
    for (name, mut job) in slippers() {
        job.face = face(EDGED);
        let edged = plan(&job);
        job.face.features.retain(|f| !f.name.ends_with(" edge"));
        let bare = plan(&job);
        for fill in &bare.features {
            let of = |name: &str| {
                let mut all = edged.features.iter();
                all.find(|f| f.name == name && f.side == fill.side).unwrap()
            };
            let own = &fill.name;
            let (line, with) = (of(&format!("{own} edge")), of(own));
            assert_eq!(line.moved_mm, with.moved_mm, "{name}: {own}");
            assert_eq!(line.outline, with.outline, "{name}: {own}");
            let won = with.seat_won_mm2 > 0.0;
            assert_eq!(won, with.moved_mm.hypot() > 0.0, "{name}: {own}");
            kept += with.measure.score_mm2 / fill.measure.score_mm2;
            moved += u32::from(won);
            fills += 1;
        }
    }
    assert_eq!(fills, 30);
    assert!(moved > 8, "{moved} of {fills} have moved");
    let kept = kept / f64::from(fills);
    assert!(kept > 0.8, "fills keep {kept} of their score");
}
