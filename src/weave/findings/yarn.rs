//! Yarn on the face and behind it: thickness, holes, long strands, travel.

use super::advice;
use crate::weave::plan::{Finding, Level, Plan};
use crate::weave::settings::Job;

/// Strand ends that go through a hole without pulling it open (common practice, no source).
const ENDS_IN_A_HOLE: u32 = 2;
/// Share of strand ends that pierce yarn above which a sharp needle is worth it.
const MANY_PIERCED: f64 = 0.4;
/// Length of strand that begins to catch on things, mm, for grown feet and for a baby's.
/// Stitch guides give 25 as the most for satin; in wear, the trade keeps to about 10.
const LONG_MM: f64 = 20.0;
const LONG_FOR_BABY_MM: f64 = 10.0;
/// Share of a fill left bare above which the thread is too thin for these needle points.
const MUCH_BARE: f64 = 0.25;
/// Share covered again above which it is too thick.
const MUCH_DOUBLED: f64 = 0.25;

/// Needle points that more yarn must pass than will go through.
pub(super) fn crowded(plan: &Plan) -> Option<Finding> {
    let ends = plan.ends_by_point();
    let crowded = ends.values().filter(|&&n| n > ENDS_IN_A_HOLE).count();
    (crowded > 0).then(|| {
        advice(
            "crowded",
            "",
            format!(
                "{crowded} needle points take more than {ENDS_IN_A_HOLE} strand ends; the yarn \
                 may not go through. Set hole_limit = {ENDS_IN_A_HOLE}."
            ),
        )
    })
}

/// Much piercing of yarn.
pub(super) fn pierced(plan: &Plan) -> Vec<Finding> {
    plan.threads
        .iter()
        .filter(|thread| thread.pierced_ends as f64 > MANY_PIERCED * 2.0 * thread.strands as f64)
        .map(|thread| {
            advice(
                "pierced",
                "",
                format!(
                    "{} of {} ends of the {} thread pierce yarn: take a needle with a sharp tip, \
                     or set points = \"open\".",
                    thread.pierced_ends,
                    2 * thread.strands,
                    thread.name
                ),
            )
        })
        .collect()
}

/// Strands long enough to catch.
pub(super) fn long_strands(job: &Job, plan: &Plan) -> Option<Finding> {
    let limit = if plan.for_baby {
        LONG_FOR_BABY_MM
    } else {
        LONG_MM
    };
    let long = plan.strands().filter(|s| s.length_mm > limit).count();
    let longest = plan.strands().map(|s| s.length_mm).fold(0.0, f64::max);
    (long > 0).then(|| {
        advice(
            "long-strands",
            "",
            format!(
                "{long} strands are longer than {}, the longest {}: they can catch on toes, \
                 claws and buckles. Set longest = {limit:.0} to split them.",
                job.ruler.small(limit),
                job.ruler.small(longest)
            ),
        )
    })
}

/// Travel that must be caught.
pub(super) fn long_travel(job: &Job, plan: &Plan) -> Option<Finding> {
    let caught: u32 = plan.strands().map(|strand| strand.caught).sum();
    (caught > 0).then(|| {
        advice(
            "long-travel",
            "",
            format!(
                "yarn on the inside is caught under the loops {caught} times, so that no stretch \
                 is longer than {}; the steps say where.",
                job.ruler.small(plan.float_limit_mm)
            ),
        )
    })
}

/// Thread too thin or too thick for the needle points, and how many strands to hold instead.
pub(super) fn thickness(job: &Job, plan: &Plan) -> Vec<Finding> {
    let mut findings = Vec::new();
    for thread in &plan.threads {
        let own = || {
            plan.features
                .iter()
                .filter(|f| f.thread == thread.name && f.direction_deg.is_some())
        };
        let outline: f64 = own().map(|f| f.measure.outline_mm2).sum();
        if outline <= 0.0 {
            continue;
        }
        let bare = own().map(|f| f.measure.bare_mm2).sum::<f64>() / outline;
        let doubled = own().map(|f| f.measure.doubled_mm2).sum::<f64>() / outline;
        let yarn = job.yarn(&thread.name);
        let one = yarn.width_mm() / f64::from(yarn.held).sqrt();
        // Strands side by side lie half a stitch apart upright, half a row apart level: a thread
        // as wide as the wider of the two covers.
        let apart = plan.instep.stitch_mm().max(plan.instep.row_mm()) / 2.0;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a small count, at least 1"
        )]
        let hold = (apart / one).powi(2).round().max(1.0) as u32;
        let (code, found) = if bare > MUCH_BARE && hold > yarn.held {
            (
                "thread-thin",
                format!("leaves {:.0} % of its shapes bare", 100.0 * bare),
            )
        } else if doubled > MUCH_DOUBLED && hold < yarn.held {
            (
                "thread-thick",
                format!("lies double over {:.0} % of its shapes", 100.0 * doubled),
            )
        } else {
            continue;
        };
        findings.push(Finding {
            level: Level::Advice,
            code,
            feature: String::new(),
            text: format!(
                "the {} thread, {} wide, {found}; needle points lie about {} apart. Hold {hold} \
                 {} together instead of {}.",
                thread.name,
                job.ruler.small(thread.width_mm),
                job.ruler.small(apart),
                if hold == 1 { "strand" } else { "strands" },
                yarn.held
            ),
        });
    }
    findings
}
