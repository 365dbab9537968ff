//! Yarn on the face and behind it: thickness, holes, long strands, travel.

use super::advice;
use crate::fabric::Yarn;
use crate::weave::held;
use crate::weave::plan::{Finding, Level, Plan, ThreadPlan};
use crate::weave::settings::{Job, PointsAllowed, ROUNDED_MM};

/// Strand ends that go through a hole without pulling it open (common practice, no source).
const ENDS_IN_A_HOLE: u32 = 2;
/// Share of strand ends that pierce yarn above which a sharp needle is worth it.
const MANY_PIERCED: f64 = 0.4;
/// Length of strand that begins to catch on things, mm, for grown feet and for a baby's.
/// Stitch guides give 25 as the most for satin; in wear, the trade keeps to about 10.
const LONG_MM: f64 = 20.0;
const LONG_FOR_BABY_MM: f64 = 10.0;
/// Share of a fill left bare above which a thread that could be thicker is too thin: the right
/// width leaves 6 to 18 % bare, one strand of bulky on its own needle points 21 to 25 %.
const MUCH_BARE: f64 = 0.2;
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
    let free: Vec<f64> = plan
        .features
        .iter()
        .flat_map(|feature| feature.strands.iter().map(|strand| feature.free_mm(strand)))
        .collect();
    let long = free.iter().filter(|&&free| free > limit).count();
    let longest = free.iter().copied().fold(0.0, f64::max);
    let tie_down = job.settings.tie_down;
    let most = job.settings.longest_mm + ROUNDED_MM;
    let untied = free.iter().filter(|&&free| free > most).count();
    if tie_down && untied > 0 {
        let more_points = match job.settings.points {
            PointsAllowed::All => "",
            PointsAllowed::Open => "points = \"all\" for more needle points, or ",
        };
        return Some(advice(
            "long-strands",
            "",
            format!(
                "{untied} strands lie free for more than {}, the longest {}, though tie_down is \
                 set: no needle points are left to tie them at. Set {more_points}tie_down = false, \
                 and they are split.",
                job.ruler.small(job.settings.longest_mm),
                job.ruler.small(longest),
            ),
        ));
    }
    (long > 0).then(|| {
        advice(
            "long-strands",
            "",
            format!(
                "{long} strands {} for more than {}, the longest {}: they can catch on toes, \
                 claws and buckles. Set longest = {limit:.0} to {} them.",
                if tie_down { "lie free" } else { "run on" },
                job.ruler.small(limit),
                job.ruler.small(longest),
                if tie_down { "tie" } else { "split" },
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
                "yarn on the inside is caught under the loops {}, so that no stretch is longer \
                 than {}; the steps say where.",
                match caught {
                    1 => "once".to_owned(),
                    2 => "twice".to_owned(),
                    times => format!("{times} times"),
                },
                job.ruler.small(plan.float_limit_mm)
            ),
        )
    })
}

/// Thread too thin or too thick for the needle points, and how many strands to hold instead.
pub(super) fn thickness(job: &Job, plan: &Plan) -> Vec<Finding> {
    let of_thread = |thread: &ThreadPlan| thickness_of(job, plan, thread);
    plan.threads.iter().filter_map(of_thread).collect()
}

fn thickness_of(job: &Job, plan: &Plan, thread: &ThreadPlan) -> Option<Finding> {
    let own = || {
        plan.features
            .iter()
            .filter(|f| f.thread == thread.name && f.is_fill())
    };
    let outline: f64 = own().map(|f| f.measure.outline_mm2).sum();
    let bare = own().map(|f| f.measure.bare_mm2).sum::<f64>() / outline;
    let doubled = own().map(|f| f.measure.doubled_mm2).sum::<f64>() / outline;
    if bare <= MUCH_BARE && doubled <= MUCH_DOUBLED {
        return None;
    }
    let yarn = job.yarn(&thread.name);
    let (hold, apart) = held::best(job, &plan.instep, &thread.name, yarn)?;
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
        return None;
    };
    let width = Yarn { held: hold, ..yarn }.width_mm();
    Some(Finding {
        level: Level::Advice,
        code,
        feature: String::new(),
        text: format!(
            "the {} thread, {} wide, {found}; strands lie about {} apart side by side. Hold {hold} \
             {} together instead of {}: {} wide; or set held = \"auto\".",
            thread.name,
            job.ruler.small(thread.width_mm),
            job.ruler.small(apart),
            if hold == 1 { "strand" } else { "strands" },
            yarn.held,
            job.ruler.small(width)
        ),
    })
}
