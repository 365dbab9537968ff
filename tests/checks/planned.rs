//! The plans that several checks look at: each of a spread of slippers with some of the bundled
//! faces and one of the checks' own.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use instep::fabric::{Gauge, Hand, Rounds, ShellSpec, Slipper};
use instep::face::{Face, Facing, Place};
use instep::files::{bundled, parse_face};
use instep::units::Ruler;
use instep::weave::{self, Job, Plan, PointsAllowed, Settings, ThreadStock};

use super::slippers::{slipper, yarn};

/// A job with its plan.
#[derive(Debug)]
pub(crate) struct Planned {
    pub(crate) name: String,
    pub(crate) job: Job,
    pub(crate) plan: Plan,
}

/// A face from the text of its file.
pub(crate) fn face(text: &str) -> Face {
    parse_face("check.toml", text).unwrap_or_else(|faults| panic!("{faults}"))
}

/// A face on a slipper, everything left to the defaults.
pub(crate) fn job(slipper: Slipper, face: Face) -> Job {
    Job {
        slipper,
        threads: BTreeMap::new(),
        settings: Settings::default(),
        place: Place::default(),
        face,
        ruler: Ruler::Metric,
    }
}

/// The plan of a job that can be planned.
pub(crate) fn plan(job: &Job) -> Plan {
    weave::plan(job).unwrap_or_else(|error| panic!("{error}"))
}

/// Fills of every kind: a pair whose direction is sought, one direction mirrored at the centre
/// line, shapes on one side only, a hole, one fill on another in another thread and a third on
/// that in the first thread.
pub(crate) const FILLS: &str = r##"
name = "Fills"
width = 100
height = 80
[threads.dark]
[threads.light]
[[feature]]
name = "brow"
path = "M-50,8 L0,20 L50,8 L50,22 L0,34 L-50,22 Z"
direction = { mirrored = 15 }
thread = "dark"
[[feature]]
name = "eye"
pair = true
path = "M12,36 L46,30 L40,56 Z"
thread = "dark"
[[feature]]
name = "muzzle"
path = "M-30,52 L30,52 L24,80 L-24,80 Z"
direction = 0
thread = "light"
[[feature]]
name = "nose"
path = "M-14,58 L14,58 L4,72 L-4,72 Z"
fill = "satin"
direction = 90
thread = "dark"
[[feature]]
name = "patch"
path = "M28,60 L50,56 L50,78 L32,80 Z M36,64 L36,72 L44,72 L44,64 Z"
direction = 40
thread = "light"
"##;

/// Fills whose directions bend: a pair and a centred shape, a shape on one side, along their run
/// and fanned out, from a point of the plan's choice and from one that is stated.
pub(crate) const BENT: &str = r##"
name = "Bent"
width = 100
height = 80
[threads.dark]
[threads.light]
[[feature]]
name = "ear"
pair = true
path = "M14,26 L46,26 L40,0 Z"
direction = "fan"
thread = "dark"
[[feature]]
name = "smile"
path = "M-50,40 Q0,74 50,40 L46,54 Q0,104 -46,54 Z"
direction = "along"
thread = "dark"
[[feature]]
name = "nose"
path = "M-13,28 L13,28 L6,46 L-6,46 Z"
fill = "satin"
direction = { fan = [3, 64] }
thread = "dark"
[[feature]]
name = "patch"
path = "M16,28 Q42,26 49,46 L38,50 Q34,40 16,40 Z"
direction = "along"
thread = "light"
"##;

/// Lines of every stitch and knots of every size, beside a fill.
pub(crate) const LINES: &str = r##"
name = "Lines"
width = 100
height = 80
[threads.dark]
[threads.light]
[[feature]]
name = "eye"
pair = true
path = "M10,6 L34,6 L34,22 L10,22 Z"
direction = 0
thread = "light"
[[feature]]
name = "smile"
path = "M-40,44 Q0,84 40,44"
line = "backstitch"
thread = "dark"
[[feature]]
name = "brow"
pair = true
path = "M8,0 Q26,-0 46,10"
line = "stem stitch"
thread = "dark"
[[feature]]
name = "whisker"
pair = true
path = "M22,34 L50,28"
line = "chain stitch"
thread = "light"
[[feature]]
name = "freckle"
pair = true
path = "M30,50"
knot = 1
thread = "dark"
[[feature]]
name = "nose"
path = "M0,30"
knot = 3
thread = "light"
"##;

/// Toe, rounds and strip of a slipper; the gauge in stitches and rows over 10 cm.
fn shell(
    (hand, rounds): (Hand, Rounds),
    (stitches, rows, lean): (f64, f64, f64),
    toe: &[u32],
    even_rounds: u32,
) -> ShellSpec {
    let last = toe[toe.len() - 1];
    ShellSpec {
        gauge: Gauge::from_swatch(stitches, rows, 100.0),
        hand,
        rounds,
        toe: toe.to_vec(),
        even_rounds,
        lean,
        flat_stitches: 2 * last / 3,
        extra_before_turn: 0,
        centre_stitch: None,
    }
}

const BULKY: &[u32] = &[6, 12, 18, 22];
const WORSTED: &[u32] = &[8, 16, 24, 30];
const SPORT: &[u32] = &[8, 16, 24, 32, 40];

/// A spread of slippers: both hands, both ways of working rounds, bulky to sport yarn, and every
/// setting of the weave away from its default once.
pub(crate) fn slippers() -> Vec<(&'static str, Job)> {
    use Hand::{Left, Right};
    use Rounds::{Joined, Spiral};
    let on = |spec, wraps: f64, foot: Option<f64>| {
        let mut slipper = slipper(spec, foot);
        slipper.yarn = yarn(wraps, 1, 20.0 * wraps);
        job(slipper, face(FILLS))
    };
    let bulky = || shell((Right, Spiral), (10.5, 10.5, 0.25), BULKY, 12);
    let worsted = |hand, rounds, lean| shell((hand, rounds), (14.0, 16.0, lean), WORSTED, 16);
    let sport = |hand, rounds| shell((hand, rounds), (18.0, 20.0, 0.22), SPORT, 20);
    let mut jobs = vec![
        ("bulky, right, spiral", on(bulky(), 7.0, Some(225.0))),
        (
            "worsted, left, joined",
            on(worsted(Left, Joined, 0.2), 9.0, Some(225.0)),
        ),
        (
            "sport, right, spiral, baby",
            on(sport(Right, Spiral), 13.0, None),
        ),
        (
            "worsted, left, spiral, stretched",
            on(worsted(Left, Spiral, 0.3), 9.0, Some(260.0)),
        ),
        (
            "worsted, right, spiral, points open",
            on(worsted(Right, Spiral, 0.25), 9.0, None),
        ),
        (
            "worsted, right, joined, hole limit 1",
            on(worsted(Right, Joined, 0.0), 9.0, None),
        ),
        ("bulky, right, spiral, hole limit 3", on(bulky(), 7.0, None)),
        (
            "sport, left, joined, held double",
            on(sport(Left, Joined), 13.0, None),
        ),
        (
            "worsted, right, spiral, longest 15, exact",
            on(worsted(Right, Spiral, -0.1), 9.0, None),
        ),
        (
            "sport, right, spiral, carry 30, for the wearer",
            on(sport(Right, Spiral), 13.0, Some(235.0)),
        ),
    ];
    jobs[2].1.slipper.for_baby = true;
    jobs[4].1.settings.points = PointsAllowed::Open;
    jobs[5].1.settings.hole_limit = 1;
    jobs[6].1.settings.hole_limit = 3;
    for role in ["dark", "light", "glow"] {
        let stock = ThreadStock {
            yarn: yarn(18.0, 2, 300.0),
            auto_held: false,
            colour: None,
        };
        jobs[7].1.threads.insert(role.to_owned(), stock);
    }
    jobs[8].1.settings.longest_mm = 15.0;
    jobs[8].1.settings.seat = false;
    jobs[9].1.settings.carry_mm = 30.0;
    jobs[9].1.settings.spread_deg = 12.0;
    jobs[9].1.settings.float_limit_mm = 12.0;
    jobs[9].1.place.facing = Facing::Wearer;
    jobs
}

/// Every slipper with one of the checks' own faces and its share of the bundled ones, so that
/// each bundled face is planned once at least.
pub(crate) static GALLERY: LazyLock<Vec<Planned>> = LazyLock::new(|| {
    let own = [face(FILLS), face(LINES)];
    let come_with: Vec<Face> = bundled::FACES
        .iter()
        .map(|bundled| face(bundled.text))
        .collect();
    let slippers = slippers();
    let of = slippers.len();
    let mut gallery = Vec::new();
    for (at, (name, job)) in slippers.into_iter().enumerate() {
        let bundled = come_with.iter().skip(at % come_with.len()).step_by(of);
        for face in own[at % own.len()..].iter().take(1).chain(bundled) {
            let job = Job {
                face: face.clone(),
                ..job.clone()
            };
            gallery.push(Planned {
                name: format!("{} on {name}", face.name),
                plan: plan(&job),
                job,
            });
        }
    }
    for at in [0, 1, 9] {
        let (name, mut job) = self::slippers().swap_remove(at);
        job.face = face(BENT);
        gallery.push(Planned {
            name: format!("Bent on {name}"),
            plan: plan(&job),
            job,
        });
    }
    gallery
});
