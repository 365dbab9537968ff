//! Yarn, travel and needlefuls of plans against geometry worked out on paper.

use approx::assert_abs_diff_eq;
use instep::fabric::{Gauge, Hand, Rounds, ShellSpec};
use instep::face::Place;
use instep::weave::{Job, Plan, StrandPlan, ThreadStock};

use super::planned::{GALLERY, face, job, plan};
use super::slippers::{slipper, yarn};

/// A slipper whose needle points lie 2.5 mm apart both ways, each on the centre line's own grid,
/// and yarn 2.5 mm wide: stitches of 5 by 5 mm, joined, without lean. No take-up and no thickness
/// of fabric: yarn is what lies straight.
fn grid_of_2_5_mm(face_height: f64, keys: &str, path: &str) -> Job {
    let spec = ShellSpec {
        gauge: Gauge {
            stitch_mm: 5.0,
            row_mm: 5.0,
        },
        hand: Hand::Right,
        rounds: Rounds::Joined,
        toe: vec![45],
        even_rounds: 39,
        lean: 0.0,
        flat_stitches: 30,
        extra_before_turn: 0,
        centre_stitch: None,
    };
    let text = format!(
        "width = 100\nheight = {face_height}\n[threads.dark]\n[[feature]]\nname = \"shape\"\npath = \"{path}\"\n{keys}"
    );
    let mut job = job(slipper(spec, None), face(&text));
    job.slipper.yarn = yarn(25.4 / 2.5, 1, 200.0);
    job.settings.thickness_mm = Some(0.0);
    job.settings.take_up = 0.0;
    job.settings.seat = false;
    job.place = Place {
        width_mm: Some(100.0),
        below_mm: Some(0.0),
        ..Place::default()
    };
    job
}

/// A block of level strands: each covers 20 by 2.5 mm.
fn block(strands: u32, fill: &str) -> Job {
    let (top, bottom) = (18.75, 18.75 + 2.5 * f64::from(strands));
    let path = format!("M-10,{top} L10,{top} L10,{bottom} L-10,{bottom} Z");
    let keys = format!("direction = 0\nfill = \"{fill}\"");
    grid_of_2_5_mm(200.0, &keys, &path)
}

fn in_order(plan: &Plan) -> Vec<StrandPlan> {
    let mut strands: Vec<StrandPlan> = plan.strands().copied().collect();
    strands.sort_by_key(|strand| strand.order);
    strands
}

/// Yarn without tails, mm.
fn without_tails(plan: &Plan, thread: usize) -> f64 {
    let thread = &plan.threads[thread];
    thread.length_mm - 2.0 * plan.tail_mm * thread.starts as f64
}

/// Face N L, back (N - 1) p for surface satin and (N - 1) sqrt(L^2 + p^2) for satin: with L 20,
/// p 2.5, N 8 that is 177.5 and 301.0895 mm. (Geometry; no handbook table was found.)
#[test]
fn eight_strands_of_20_mm_take_the_yarn_that_paper_says() {
    for (fill, yarn_mm) in [("surface satin", 177.5), ("satin", 301.0895)] {
        let planned = plan(&block(8, fill));
        let strands = in_order(&planned);
        assert_eq!(strands.len(), 8, "{fill}");
        for strand in &strands {
            assert_abs_diff_eq!(strand.length_mm, 20.0, epsilon = 1e-9);
        }
        let rows: Vec<f64> = strands.iter().map(|strand| strand.up.at.y).collect();
        for two in rows.windows(2) {
            assert_abs_diff_eq!((two[1] - two[0]).abs(), 2.5, epsilon = 1e-9);
        }
        assert_abs_diff_eq!(without_tails(&planned, 0), yarn_mm, epsilon = 5e-5);
        assert_abs_diff_eq!(
            planned.threads[0].travel_mm,
            yarn_mm - 160.0,
            epsilon = 5e-5
        );
    }
}

/// Satin wraps the inside too: it never takes less.
#[test]
fn surface_satin_never_takes_more_yarn_than_satin() {
    let mut compared = 0;
    for planned in GALLERY
        .iter()
        .filter(|p| p.plan.face_name == "Fills")
        .take(1)
    {
        let text = super::planned::FILLS;
        let satin = text
            .replace("fill = \"satin\"\n", "")
            .replace("thread = \"", "fill = \"satin\"\nthread = \"");
        let surface = satin.replace("\"satin\"", "\"surface satin\"");
        let made = |text: &str| {
            plan(&Job {
                face: face(text),
                ..planned.job.clone()
            })
        };
        let (satin, surface) = (made(&satin), made(&surface));
        assert_eq!(surface.threads.len(), satin.threads.len());
        for (surface, satin) in surface.threads.iter().zip(&satin.threads) {
            assert_eq!(surface.strands, satin.strands);
            assert!(surface.travel_mm <= satin.travel_mm, "{}", planned.name);
            assert!(surface.length_mm <= satin.length_mm, "{}", planned.name);
            compared += 1;
        }
    }
    assert_eq!(compared, 2);
}

/// Between its tails a needleful holds whole strands: 40 strands that take 72.56 mm each and 2.5 mm
/// of travel to the next go four to 350 mm (50 cm less two tails of 7.5 cm: 297.75 mm, five were
/// 372.8), so ten needlefuls; with tails of 15 cm two to 200 mm, so twenty. (Yarn that could be
/// cut anywhere would take 3000 / 350 and 3000 / 200: 9 and 15.) A needleful needs no travel to
/// its first strand. (Geometry: an 18 in needleful less two 6 in tails leaves only 6 in.)
#[test]
fn three_metres_take_ten_or_twenty_needlefuls() {
    let each_mm = 20.0 + (3000.0 - 897.5) / 40.0;
    for (tail_mm, needlefuls, travels) in [(75.0, 10, 30.0), (150.0, 20, 20.0)] {
        let mut job = block(40, "surface satin");
        job.settings.thickness_mm = Some((3000.0 - 897.5) / 80.0);
        job.settings.needleful_mm = 500.0;
        job.settings.tail_mm = tail_mm;
        job.settings.hole_limit = 2;
        let planned = plan(&job);
        let thread = &planned.threads[0];
        assert_eq!((thread.strands, thread.needlefuls), (40, needlefuls));
        assert_eq!(thread.starts, needlefuls);
        let yarn_mm = 40.0 * each_mm + travels * 2.5;
        assert_abs_diff_eq!(without_tails(&planned, 0), yarn_mm, epsilon = 1e-6);
        let begun = planned.strands().filter(|strand| strand.start).count();
        assert_eq!(begun, needlefuls);
        for &length in &thread.lengths_mm {
            let strands = ((length - 2.0 * tail_mm + 2.5) / (each_mm + 2.5)).round();
            let laid = strands * (each_mm + 2.5) - 2.5;
            assert_abs_diff_eq!(length, laid + 2.0 * tail_mm, epsilon = 1e-6);
        }
    }
}

/// Yarn of a plan: `(sum L + sum travel + 2 thickness strands) (1 + take_up) + 2 tails a start`,
/// grams by the held strands. All from the plan's own strands; the turns of a knot and the links
/// of a chain are counted below.
#[test]
fn yarn_adds_up_from_the_strands() {
    let mut compared = 0;
    for planned in GALLERY.iter() {
        let (job, plan) = (&planned.job, &planned.plan);
        let thickness = 2.0 * job.slipper.yarn.width_mm();
        for (at, thread) in plan.threads.iter().enumerate() {
            let features = plan.features.iter().filter(|f| f.thread == thread.name);
            let plain = features
                .clone()
                .all(|f| f.wraps == 0 && f.method != "chain stitch");
            if !plain {
                continue;
            }
            let strands: Vec<&StrandPlan> = features.flat_map(|f| &f.strands).collect();
            let face: f64 = strands.iter().map(|strand| strand.length_mm).sum();
            let travel: f64 = strands.iter().map(|strand| strand.travel_mm).sum();
            let through = 2.0 * thickness * strands.len() as f64;
            let yarn_mm = (face + travel + through) * (1.0 + job.settings.take_up);
            assert_abs_diff_eq!(thread.travel_mm, travel, epsilon = 1e-6);
            assert_abs_diff_eq!(without_tails(plan, at), yarn_mm, epsilon = 1e-6);
            let stock = job.yarn(&thread.name);
            let grams =
                thread.length_mm / 1000.0 * f64::from(stock.held) * 100.0 / stock.metres_per_100g;
            assert_abs_diff_eq!(thread.grams, grams, epsilon = 1e-9);
            let room = job.settings.needleful_mm - 2.0 * job.settings.tail_mm;
            assert!(
                thread.starts as f64 >= yarn_mm / room - 1e-9,
                "{}",
                planned.name
            );
            assert_eq!(
                (thread.needlefuls, thread.held),
                (thread.starts, stock.held)
            );
            compared += 1;
        }
    }
    assert!(compared >= 15, "{compared} threads");
}

/// A needleful is cut between strands, and none runs into its tails; what each takes follows from
/// its strands, and stands in the plan.
#[test]
fn no_needleful_is_longer_than_the_yarn_in_the_needle() {
    let mut longest: f64 = 0.0;
    for planned in GALLERY.iter() {
        let (job, plan) = (&planned.job, &planned.plan);
        for thread in &plan.threads {
            let features = plan.features.iter().filter(|f| f.thread == thread.name);
            let plain = features
                .clone()
                .all(|f| f.wraps == 0 && f.method != "chain stitch");
            let mut strands: Vec<&StrandPlan> = features.flat_map(|f| &f.strands).collect();
            strands.sort_by_key(|strand| strand.order);
            let mut lengths = Vec::new();
            for strand in strands {
                if strand.start {
                    assert!(strand.travel_mm == 0.0, "{}", planned.name);
                    lengths.push(2.0 * plan.tail_mm);
                }
                let laid = strand.length_mm + strand.travel_mm + 4.0 * job.slipper.yarn.width_mm();
                *lengths.last_mut().expect("a start") += laid * (1.0 + job.settings.take_up);
            }
            assert_eq!(lengths.len(), thread.lengths_mm.len());
            for (length, &planned_mm) in lengths.into_iter().zip(&thread.lengths_mm) {
                assert!(
                    planned_mm <= plan.needleful_mm + 1e-6,
                    "{}: {planned_mm}",
                    planned.name
                );
                if plain {
                    assert_abs_diff_eq!(planned_mm, length, epsilon = 1e-6);
                }
                longest = longest.max(planned_mm);
            }
            let all: f64 = thread.lengths_mm.iter().sum();
            assert_abs_diff_eq!(thread.length_mm, all, epsilon = 1e-6);
        }
    }
    assert!(longest > 800.0, "{longest}");
}

/// Two strands held together use twice the weight of the same yarn.
#[test]
fn held_strands_all_weigh() {
    let single = plan(&block(8, "surface satin"));
    let mut job = block(8, "surface satin");
    // Half as thick each: the bundle is as wide as the single yarn.
    let stock = ThreadStock {
        yarn: yarn(25.4 / 2.5 * 2.0_f64.sqrt(), 2, 200.0),
        auto_held: false,
        colour: None,
    };
    job.threads.insert("dark".to_owned(), stock);
    let double = plan(&job);
    assert_abs_diff_eq!(double.threads[0].width_mm, 2.5, epsilon = 1e-9);
    assert_abs_diff_eq!(
        double.threads[0].length_mm,
        single.threads[0].length_mm,
        epsilon = 1e-6
    );
    assert_abs_diff_eq!(
        double.threads[0].grams,
        2.0 * single.threads[0].grams,
        epsilon = 1e-6
    );
    // 177.5 mm and two tails of 150 mm of 200 m in 100 g.
    assert_abs_diff_eq!(single.threads[0].grams, 0.4775 / 2.0, epsilon = 1e-6);
}

/// A straight line of 80 mm along the needle points.
fn line(stitch: &str) -> Plan {
    let keys = format!("line = \"{stitch}\"");
    plan(&grid_of_2_5_mm(100.0, &keys, "M-40,30 L40,30"))
}

/// Length of the line sewn, from its first end to its last, mm.
fn reaches(plan: &Plan) -> f64 {
    let xs = || plan.strands().flat_map(|s| [s.up.at.x, s.down.at.x]);
    xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min)
}

/// Backstitch of n stitches of length s: face n s, back 2 (n - 1) s: together 3 - 2/n of the line.
/// (Geometry.)
#[test]
fn backstitch_takes_three_lines_less_two_stitches() {
    let planned = line("backstitch");
    let n = planned.strands().count() as f64;
    assert!(n >= 12.0, "{n} stitches");
    assert_abs_diff_eq!(reaches(&planned), 80.0, epsilon = 2.5 + 1e-9);
    let factor = without_tails(&planned, 0) / reaches(&planned);
    assert_abs_diff_eq!(factor, 3.0 - 2.0 / n, epsilon = 1e-9);
}

/// Stem stitch: each stitch spans two steps, each begins a step on: face 2, back 1 of the line, 3
/// together, less twice the first and the last step. (Geometry.)
#[test]
fn stem_stitch_takes_three_lines_less_its_ends() {
    let planned = line("stem stitch");
    let strands = in_order(&planned);
    let n = strands.len();
    assert!(n >= 12, "{n} stitches");
    let first = strands[0].up.at.distance(strands[1].up.at);
    let last = strands[n - 2].down.at.distance(strands[n - 1].down.at);
    let factor = without_tails(&planned, 0) / reaches(&planned);
    let ends = 2.0 * (first + last) / reaches(&planned);
    assert_abs_diff_eq!(factor, 3.0 - ends, epsilon = 1e-9);
    assert!(ends < 0.3, "{ends}");
}

/// Chain: two legs that bow by 5 to 15 %, and once the line on the inside: 3 to 3.3. (Geometry.)
#[test]
fn chain_stitch_takes_3_to_3_3_lines() {
    let planned = line("chain stitch");
    assert!(planned.strands().count() >= 12);
    let factor = without_tails(&planned, 0) / reaches(&planned);
    assert!((3.0..=3.3).contains(&factor), "{factor}");
}

/// A French knot takes about `wraps pi (needle + yarn)` more than its strand. (Geometry, rough;
/// the needle taken as thick as the yarn.)
#[test]
fn a_knot_takes_its_turns() {
    for wraps in [1.0, 2.0, 3.0] {
        let planned = plan(&grid_of_2_5_mm(100.0, &format!("knot = {wraps}"), "M10,30"));
        let strand = in_order(&planned)[0];
        let turns = without_tails(&planned, 0) - strand.length_mm;
        assert_abs_diff_eq!(turns, wraps * std::f64::consts::PI * 5.0, epsilon = 1e-9);
    }
}

/// Yarn lies longer by the take-up, and goes through the fabric twice for each strand.
#[test]
fn take_up_and_thickness_add_yarn() {
    let mut job = block(8, "surface satin");
    job.settings.thickness_mm = Some(4.0);
    job.settings.take_up = 0.1;
    let planned = plan(&job);
    let yarn_mm = (177.5 + 2.0 * 4.0 * 8.0) * 1.1;
    assert_abs_diff_eq!(without_tails(&planned, 0), yarn_mm, epsilon = 1e-6);
    // Unless it was measured, the fabric is twice as thick as its yarn is wide.
    job.settings.thickness_mm = None;
    let yarn_mm = (177.5 + 2.0 * 5.0 * 8.0) * 1.1;
    assert_abs_diff_eq!(without_tails(&plan(&job), 0), yarn_mm, epsilon = 1e-6);
}
