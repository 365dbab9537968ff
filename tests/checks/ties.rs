//! Strands longer than the longest: tied down, by the rules of the ties, or sewn end to end.

use std::collections::BTreeMap;
use std::path::Path;

use instep::fabric::NeedlePoint;
use instep::files::{Words, read_slipper, steps, strands_csv};
use instep::terms::Terms;
use instep::units::Ruler;
use instep::weave::{FeaturePlan, Job, Plan, StrandPlan};
use kurbo::{ParamCurveNearest, Point, Shape};

use super::overlay::corners;
use super::planned::{face, plan, slippers};

/// A wide bar in one thread and a pair in another, on a slipper whose strands are short.
fn tied() -> Vec<(&'static str, Job, Plan)> {
    let text = r#"
width = 100
height = 70
[threads.dark]
[threads.light]
[[feature]]
name = "mouth"
path = "M-46,36 L46,36 L40,66 L-40,66 Z"
direction = 0
thread = "dark"
[[feature]]
name = "eye"
pair = true
path = "M8,2 L46,2 L46,26 L8,26 Z"
direction = 0
thread = "light"
"#;
    let wanted = ["bulky, right, spiral", "worsted, left, joined"];
    slippers()
        .into_iter()
        .filter(|(name, _)| wanted.contains(name))
        .map(|(name, mut job)| {
            job.face = face(text);
            job.settings.longest_mm = 16.0;
            job.settings.tie_down = true;
            job.settings.seat = false;
            let planned = plan(&job);
            (name, job, planned)
        })
        .collect()
}

/// Where a tie crosses a strand: along the strand from its up end, mm, and whether it crosses.
fn crossing(tie: &StrandPlan, strand: &StrandPlan) -> (f64, bool) {
    let run = (strand.down.at - strand.up.at).normalize();
    let [a, b] = [tie.up.at - strand.up.at, tie.down.at - strand.up.at];
    let (from, to) = (run.cross(a), run.cross(b));
    let at = a.lerp(b, from / (from - to)).dot(run);
    (at, from * to < 0.0 && at > 0.0 && at < strand.length_mm)
}

/// A strand by its order, and its ties.
fn with_ties(feature: &FeaturePlan) -> impl Iterator<Item = (&StrandPlan, Vec<&StrandPlan>)> {
    feature
        .strands
        .iter()
        .filter(|s| s.ties.is_none())
        .map(|strand| {
            let ties = feature.strands.iter();
            (
                strand,
                ties.filter(|tie| tie.ties == Some(strand.order)).collect(),
            )
        })
}

#[test]
fn no_strand_lies_free_for_longer_than_the_longest() {
    let (mut long, mut ties) = (0, 0);
    for (name, job, planned) in tied() {
        let longest = job.settings.longest_mm;
        for feature in &planned.features {
            for (strand, own) in with_ties(feature) {
                let what = format!("{name}: {} {}", feature.name, strand.order);
                assert!(strand.length_mm <= 3.0 * longest + 1e-9, "{what}");
                let mut cuts = vec![0.0, strand.length_mm];
                for tie in own {
                    let (at, crosses) = crossing(tie, strand);
                    assert!(crosses, "{what}: {at}");
                    assert!(tie.order > strand.order, "{what}: tied before it is sewn");
                    cuts.push(at);
                    ties += 1;
                }
                cuts.sort_by(f64::total_cmp);
                let free = cuts
                    .windows(2)
                    .map(|two| two[1] - two[0])
                    .fold(0.0, f64::max);
                assert!(free <= longest + 1e-9, "{what}: {free} free");
                assert!((free - feature.free_mm(strand)).abs() < 1e-9, "{what}");
                long += usize::from(strand.length_mm > longest);
            }
        }
    }
    assert!(
        long >= 20 && ties >= long,
        "{long} long strands, {ties} ties"
    );
}

/// Ties take needle points and yarn as other strands do.
#[test]
fn ties_count_in_holes_orders_and_yarn() {
    for (name, job, planned) in tied() {
        let mut ends: BTreeMap<NeedlePoint, u32> = BTreeMap::new();
        for end in planned.strands().flat_map(|s| [s.up.point, s.down.point]) {
            *ends.entry(end).or_default() += 1;
        }
        assert!(
            ends.values().all(|&n| n <= job.settings.hole_limit),
            "{name}"
        );
        for thread in &planned.threads {
            let own = planned.worked_in(thread);
            assert_eq!(own.len(), thread.strands);
            let laid: f64 = own.iter().map(|(_, s)| s.length_mm + s.travel_mm).sum();
            let through = 4.0 * job.slipper.yarn.width_mm() * own.len() as f64;
            let yarn = (laid + through) * (1.0 + job.settings.take_up);
            let tails = 2.0 * job.settings.tail_mm * thread.starts as f64;
            assert!((thread.length_mm - yarn - tails).abs() < 1e-6, "{name}");
        }
    }
}

/// In neighbouring rows ties do not stand in one line: few lie within a tenth of the longest of a
/// tie of the row before.
#[test]
fn ties_stand_like_bricks() {
    let (mut in_line, mut all) = (0, 0);
    for (_, job, planned) in tied() {
        let mouth = &planned.features[0];
        let mut rows: BTreeMap<i64, Vec<f64>> = BTreeMap::new();
        for (strand, own) in with_ties(mouth).filter(|(_, own)| !own.is_empty()) {
            let middle = strand.up.at.midpoint(strand.down.at);
            let run = strand.down.at - strand.up.at;
            #[expect(
                clippy::cast_possible_truncation,
                reason = "tenths of a mm on a slipper"
            )]
            let row = (10.0 * middle.y).round() as i64;
            let places = own.iter().map(|tie| {
                let (at, _) = crossing(tie, strand);
                (strand.up.at + at / strand.length_mm * run).x
            });
            rows.entry(row).or_default().extend(places);
        }
        let rows: Vec<Vec<f64>> = rows.into_values().collect();
        for two in rows.windows(2) {
            for place in &two[1] {
                let nearest = two[0].iter().map(|other| (other - place).abs());
                let near = nearest.fold(f64::INFINITY, f64::min);
                in_line += usize::from(near < 0.1 * job.settings.longest_mm);
                all += 1;
            }
        }
    }
    assert!(all >= 15 && 4 * in_line <= all, "{in_line} of {all}");
}

#[test]
fn the_steps_and_the_table_say_what_a_tie_holds_down() {
    let words = Words {
        terms: Terms::Us,
        ruler: Ruler::Metric,
    };
    let (_, _, planned) = &tied()[0];
    let (text, table) = (steps(planned, &words), strands_csv(planned, &words));
    let ties: Vec<&StrandPlan> = planned.strands().filter(|s| s.ties.is_some()).collect();
    assert_eq!(text.matches(" over strand ").count(), ties.len());
    assert!(text.contains("Mouth: ties\n"), "{text}");
    let last = |line: &str| line.rsplit(',').next().unwrap_or_default().to_owned();
    let told = table.lines().skip(1).filter(|line| !last(line).is_empty());
    assert_eq!(table.lines().next().map(last), Some("ties".to_owned()));
    assert_eq!(told.count(), ties.len());
}

/// Where one strand would be too long and two are sewn end to end, the ends in neighbouring rows
/// do not make one line: in a wide level bar at most half of the ends inside have one such end
/// beside them. Bricks in a wall, long and short stitch: common practice, no source.
#[test]
fn joints_lie_like_bricks() {
    let text = r#"
width = 100
height = 60
[threads.dark]
[[feature]]
name = "mouth"
path = "M-48,20 L48,20 L40,50 L-40,50 Z"
direction = 0
thread = "dark"
"#;
    let (mut in_line, mut ends) = (0, 0);
    for slipper in ["sport", "worsted"] {
        let path = format!(
            "{}/tests/reference/slippers/{slipper}.toml",
            env!("CARGO_MANIFEST_DIR")
        );
        let file = read_slipper(Path::new(&path)).unwrap_or_else(|faults| panic!("{faults}"));
        for longest in [15.0, 25.0] {
            let mut job = file.clone().with_face(face(text), Ruler::Metric);
            job.settings.longest_mm = longest;
            let planned = plan(&job);
            let mouth = &planned.features[0];
            let width = mouth.strand_mm;
            let deep = |p: &Point| {
                let edge = corners(&mouth.outline);
                let far = edge.iter().all(|line| {
                    let next = line.iter().cycle().skip(1);
                    line.iter().zip(next).all(|(&a, &b)| {
                        let edge = kurbo::Line::new(a, b);
                        edge.nearest(*p, 1e-6).distance_sq.sqrt() > 1.5 * width
                    })
                });
                far && mouth.outline.contains(*p)
            };
            let inside: Vec<(usize, Point)> = mouth
                .strands
                .iter()
                .flat_map(|s| [(s.order, s.up.at), (s.order, s.down.at)])
                .filter(|(_, at)| deep(at))
                .collect();
            ends += inside.len();
            for (i, (one, a)) in inside.iter().enumerate() {
                for (other, b) in &inside[..i] {
                    let across = (a.y - b.y).abs() / width;
                    let beside = across > 0.3 && across < 1.5;
                    let along = (a.x - b.x).abs() / width;
                    in_line += usize::from(one != other && beside && along < 0.75);
                }
            }
        }
    }
    assert!(ends >= 40, "{ends} ends");
    assert!(2 * in_line <= ends, "{in_line} of {ends} ends in line");
}
