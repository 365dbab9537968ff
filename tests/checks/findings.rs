//! Findings: each is provoked by one change to a slipper and a face that have none.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use instep::fabric::{Category, Gauge, Hand, Instep, Rounds, Shell, ShellSpec};
use instep::face::ThreadLook;
use instep::weave::Level::{Advice, Problem};
use instep::weave::{Job, Level, PointsAllowed};

use super::planned::{face, job, plan};
use super::slippers::{slipper, yarn};

/// Two eyes and a mouth, as large as the gauge likes.
const PLAIN: &str = r##"
width = 100
height = 70
[threads.dark]
[[feature]]
name = "eye"
pair = true
path = "M10,0 L42,0 L42,24 L10,24 Z"
direction = 0
[[feature]]
name = "mouth"
path = "M-40,40 L40,40 L34,66 L-34,66 Z"
direction = 0
"##;

fn spec() -> ShellSpec {
    ShellSpec {
        gauge: Gauge::from_swatch(14.0, 16.0, 100.0),
        hand: Hand::Right,
        rounds: Rounds::Joined,
        toe: vec![6, 12, 18, 24, 28, 30],
        even_rounds: 18,
        lean: 0.0,
        flat_stitches: 21,
        extra_before_turn: 0,
        centre_stitch: None,
    }
}

/// A slipper and a face of which there is nothing to say.
fn good() -> Job {
    let mut job = job(slipper(spec(), Some(225.0)), face(PLAIN));
    job.slipper.yarn.wraps_per_inch = 8.0;
    job.slipper.yarn.weight = Category::new(4);
    job.settings.longest_mm = 20.0;
    job.settings.points = PointsAllowed::Open;
    job.place.width_mm = Some(66.0);
    job.place.below_mm = Some(12.5);
    job
}

fn with_shell(spec: ShellSpec) -> Job {
    let mut job = good();
    job.slipper.shell = Shell::new(spec).expect("a shell");
    job
}

fn with_face(text: &str) -> Job {
    Job {
        face: face(text),
        ..good()
    }
}

fn with(change: impl Fn(&mut Job)) -> Job {
    let mut job = good();
    change(&mut job);
    job
}

/// The good face in a thread of one colour on a slipper of another.
fn coloured(thread: [u8; 3], slipper: [u8; 3]) -> Job {
    with(|job| {
        let look = ThreadLook {
            colour: Some(thread),
        };
        for own in job.face.threads.values_mut() {
            *own = look;
        }
        job.slipper.colour = Some(slipper);
    })
}

/// Rounds without lean, strands that keep strictly to the rows, and yarn half as wide again as the
/// rows of needle points lie apart: one row in two leaves a quarter bare, every row lies half double.
fn thick() -> Job {
    let mut job = with_shell(ShellSpec {
        rounds: Rounds::Joined,
        lean: 0.0,
        ..spec()
    });
    let bar = "M-42,20 L42,20 L42,60 L-42,60 Z";
    job.face = face(&format!(
        "width = 100\nheight = 70\n[threads.dark]\n[[feature]]\nname = \"bar\"\npath = \"{bar}\"\ndirection = 0"
    ));
    job.slipper.yarn = yarn(7.5, 2, 160.0);
    job.settings.spread_deg = 0.0;
    job.settings.longest_mm = 60.0;
    job.settings.hole_limit = 3;
    job
}

/// A code, the level it has here, and a job that brings it.
type Provoked = (&'static str, Level, Job);

/// The eye of the good face drawn otherwise.
fn eye(text: &str) -> String {
    PLAIN.replace(
        "path = \"M10,0 L42,0 L42,24 L10,24 Z\"\ndirection = 0",
        text,
    )
}

fn of_evenness() -> Vec<Provoked> {
    let small = with_face(&eye("path = \"M20,8 L26,8 L23,13 Z\""));
    let mut full = with_face(&eye("path = \"M10,4 L42,4\"\nline = \"backstitch\""));
    full.settings.hole_limit = 1;
    // Patches on top take most needle points under the lower half of one eye.
    let patches: String = [0, 90, 45]
        .map(|direction| {
            let path = "M6,12 L46,12 L46,30 L6,30 Z";
            format!("[[feature]]\nname = \"patch {direction}\"\ndirection = {direction}\npath = \"{path}\"\n")
        })
        .concat();
    let mut taken = with_face(&format!("{PLAIN}{patches}"));
    taken.settings.hole_limit = 1;
    let leaning = with_shell(ShellSpec {
        rounds: Rounds::Spiral,
        lean: 0.25,
        ..spec()
    });
    vec![
        ("too-small", Problem, small),
        ("not-sewn", Problem, full),
        ("not-level", Problem, taken),
        ("unlike-sides", Advice, leaning),
    ]
}

fn of_place() -> Vec<Provoked> {
    let below = |mm| with(|job| job.place.below_mm = Some(mm));
    let cap_mm = Instep::new(&good().slipper).cap_mm();
    let wide = with(|job| job.place.width_mm = Some(100.0));
    let at_the_seam = with_shell(ShellSpec {
        rounds: Rounds::Joined,
        lean: 0.0,
        centre_stitch: Some(1.0),
        ..spec()
    });
    vec![
        ("off-the-instep", Problem, below(120.0)),
        ("too-deep", Problem, below(60.0)),
        ("over-the-cap", Advice, below(cap_mm - 10.0)),
        ("turned-away", Advice, wide),
        ("across-the-seam", Advice, at_the_seam),
    ]
}

fn of_yarn() -> Vec<Provoked> {
    let many_ends = with(|job| {
        job.slipper.yarn = yarn(16.0, 1, 300.0);
        job.settings.hole_limit = 4;
    });
    let mut upright = with_face(&PLAIN.replace("direction = 0", "direction = 90"));
    upright.settings.points = PointsAllowed::All;
    let thin = with(|job| {
        job.slipper.yarn = yarn(30.0, 1, 600.0);
        job.settings.hole_limit = 1;
    });
    vec![
        ("crowded", Advice, many_ends),
        ("pierced", Advice, upright),
        (
            "long-strands",
            Advice,
            with(|job| job.settings.longest_mm = 25.0),
        ),
        (
            "long-travel",
            Advice,
            with(|job| job.settings.float_limit_mm = 4.0),
        ),
        ("thread-thin", Advice, thin),
        ("thread-thick", Advice, thick()),
        ("low-contrast", Advice, coloured([0x99; 3], [0xff; 3])),
    ]
}

fn of_slipper() -> Vec<Provoked> {
    let steep = with_shell(ShellSpec {
        toe: vec![6, 12, 18, 30],
        ..spec()
    });
    let fine_yarn = with(|job| job.slipper.yarn.weight = Category::new(2));
    vec![
        ("cap-ruffles", Advice, steep),
        (
            "fit",
            Advice,
            with(|job| job.slipper.foot_around_mm = Some(200.0)),
        ),
        ("gauge-off-table", Advice, fine_yarn),
        (
            "small-child",
            Advice,
            with(|job| job.slipper.for_baby = true),
        ),
    ]
}

fn provoked() -> Vec<Provoked> {
    [of_evenness(), of_place(), of_yarn(), of_slipper()].concat()
}

#[test]
fn a_good_face_on_a_good_slipper_has_no_findings() {
    let planned = plan(&good());
    assert_eq!(planned.findings, []);
    assert!(planned.strands().count() > 20);
}

#[test]
fn each_finding_comes_where_it_is_provoked() {
    for (code, level, job) in provoked() {
        let planned = plan(&job);
        let codes: Vec<_> = planned.findings.iter().map(|f| (f.code, f.level)).collect();
        assert!(codes.contains(&(code, level)), "{code}: only {codes:?}");
        let levels: Vec<Level> = codes.iter().map(|(_, level)| *level).collect();
        assert!(levels.is_sorted(), "problems first: {codes:?}");
        for finding in &planned.findings {
            let names = job.face.features.iter().map(|f| f.name.as_str());
            let known = names.chain([""]).any(|name| name == finding.feature);
            assert!(known && finding.text.ends_with('.'), "{finding:?}");
            let short = finding.in_short();
            assert!(short.len() < 50 && short != finding.text, "{finding:?}");
        }
        assert_eq!(planned.has_problem(), levels.contains(&Problem));
    }
}

/// The codes in the source: after `problem(` and `advice(`, or chosen before.
#[test]
fn every_code_is_provoked_once() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/weave/findings");
    let mut codes = BTreeSet::new();
    for entry in fs::read_dir(folder).expect("the folder of the findings") {
        let text = fs::read_to_string(entry.expect("an entry").path()).expect("a source file");
        for start in ["problem(", "advice(", "(\n            \"thread-"] {
            for (at, _) in text.match_indices(start) {
                let rest = &text[at..];
                let until = rest.find([',', ')']).unwrap_or(rest.len());
                let argument: Vec<&str> = rest[..until].split('"').collect();
                if let [_, code, _] = argument[..] {
                    codes.insert(code.to_owned());
                }
            }
        }
    }
    let provoked: BTreeSet<String> = provoked().iter().map(|p| p.0.to_owned()).collect();
    assert_eq!(provoked, codes);
    assert_eq!(codes.len(), 20);
}

/// The contrasts at which the advice comes and goes are the least that 3 : 1 allows, whichever of
/// the two is lighter. W3C WCAG 2.2, 1.4.11 (non-text contrast); the greys were found by its
/// formula: #949494 on white is 3.03 : 1, #959595 2.99 : 1.
#[test]
fn low_contrast_is_told_under_3_to_1_and_only_where_both_colours_are_stated() {
    let told = |job: &Job| {
        let planned = plan(job);
        let mut found = planned.findings.iter();
        found.any(|finding| finding.code == "low-contrast")
    };
    let white = [0xff; 3];
    for (grey, expected) in [(0x94, false), (0x95, true), (0xff, true), (0x00, false)] {
        assert_eq!(told(&coloured([grey; 3], white)), expected, "{grey:x}");
        assert_eq!(told(&coloured(white, [grey; 3])), expected, "{grey:x}");
    }
    let mut unknown = coloured(white, white);
    unknown.slipper.colour = None;
    assert!(!told(&unknown));
    let mut unknown = coloured(white, white);
    for look in unknown.face.threads.values_mut() {
        look.colour = None;
    }
    assert!(!told(&unknown));
}

/// Without any spread hardly a strand lies along a bent shape; what is said then is to widen it.
#[test]
fn a_bent_fill_without_spread_is_told_of_the_spread() {
    let bent = eye("path = \"M10,0 Q26,12 42,0 L42,10 Q26,24 10,10 Z\"\ndirection = \"along\"");
    let mut job = with_face(&bent);
    let mut findings = plan(&job).findings.into_iter();
    assert!(!findings.any(|finding| finding.text.contains("spread")));
    job.settings.spread_deg = 0.0;
    let planned = plan(&job);
    assert!(planned.features[0].strands.is_empty());
    let told = planned
        .findings
        .iter()
        .find(|f| f.feature == planned.features[0].name);
    let told = told.map(|finding| finding.text.as_str());
    assert!(
        told.is_some_and(|text| text.contains("set a wider spread")),
        "{told:?}"
    );
}
