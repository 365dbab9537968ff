//! Where the face lies on the instep.

use kurbo::Point;

use super::{advice, problem};
use crate::fabric::{Rounds, Spot};
use crate::face::outline::bounds_of;
use crate::weave::plan::{FeaturePlan, Finding, Plan};
use crate::weave::settings::Job;

/// How deep a hand works with the heel open, mm. Common practice, no source.
const REACH_MM: f64 = 90.0;
/// Turn from the centre line beyond which half a width is seen from above, degrees.
const TURN_DEG: f64 = 60.0;
/// Lengths that err by more than this over the cap are told.
const LENGTH_ERROR: f64 = 1.05;

/// Outlines that leave the fabric.
pub(super) fn off_the_instep(job: &Job, plan: &Plan) -> Vec<Finding> {
    let instep = &plan.instep;
    let mut findings: Vec<Finding> = Vec::new();
    for feature in &plan.features {
        let box_ = bounds_of(&feature.outline);
        let half = instep.around_mm_at(box_.y1) / 2.0;
        let change = if box_.y0 < -1e-6 {
            format!(
                "reaches {} above the opening edge; place the face lower by that much",
                job.ruler.small(-box_.y0)
            )
        } else if box_.y1 > instep.centre_line_mm() {
            format!(
                "reaches {} past the tip of the toe; place the face higher or make it smaller",
                job.ruler.small(box_.y1 - instep.centre_line_mm())
            )
        } else if box_.x1.max(-box_.x0) > half {
            format!(
                "reaches round to the sole, {} beyond half the circumference; make the face narrower",
                job.ruler.small(box_.x1.max(-box_.x0) - half)
            )
        } else {
            continue;
        };
        if !findings.iter().any(|f| f.feature == feature.name) {
            let text = format!("{} {change}.", feature.name);
            findings.push(problem("off-the-instep", &feature.name, text));
        }
    }
    findings
}

/// A face deeper in the toe than a hand can work.
pub(super) fn too_deep(job: &Job, plan: &Plan) -> Option<Finding> {
    let over = plan.reach_mm() - REACH_MM;
    (over > 0.0).then(|| {
        problem(
            "too-deep",
            "",
            format!(
                "the farthest needle point lies {} from the opening edge, and a hand works about \
                 {} deep with the heel open (common practice); place the face higher by {}, or \
                 make it smaller, or stitch it before the last rounds are worked.",
                job.ruler.tape(plan.reach_mm()),
                job.ruler.tape(REACH_MM),
                job.ruler.small(over)
            ),
        )
    })
}

/// Features so far over the cap that lengths on the page mislead.
pub(super) fn over_the_cap(job: &Job, plan: &Plan) -> Vec<Finding> {
    each_feature_once(plan, |feature| {
        let error = corners(feature)
            .map(|p| plan.instep.length_error(p))
            .fold(1.0, f64::max);
        (error > LENGTH_ERROR).then(|| {
            let over = bounds_of(&feature.outline).y1 - plan.instep.cap_mm();
            advice(
                "over-the-cap",
                &feature.name,
                format!(
                    "{} lies over the rounding of the toe, where lengths toward the sides are off \
                     by up to {:.0} %; placing the face higher by {} keeps it on the even rounds.",
                    feature.name,
                    100.0 * (error - 1.0),
                    job.ruler.small(over.max(0.0))
                ),
            )
        })
    })
}

/// Features that turn away from an onlooker.
pub(super) fn turned_away(job: &Job, plan: &Plan) -> Vec<Finding> {
    each_feature_once(plan, |feature| {
        let farthest = corners(feature).max_by(|a, b| {
            let turn = |p: &Point| plan.instep.turn_deg(*p).abs();
            turn(a).total_cmp(&turn(b))
        })?;
        let turn = plan.instep.turn_deg(farthest).abs();
        (turn > TURN_DEG).then(|| {
            advice(
                "turned-away",
                &feature.name,
                format!(
                    "{} reaches {turn:.0} degrees round the foot; beyond {TURN_DEG:.0} it is seen \
                     from above at less than half its width. A face width of {} stays within.",
                    feature.name,
                    job.ruler.tape(plan.width_mm * TURN_DEG / turn)
                ),
            )
        })
    })
}

/// Features across the seam of joined rounds.
pub(super) fn across_the_seam(plan: &Plan) -> Vec<Finding> {
    if plan.instep.shell().rounds() != Rounds::Joined {
        return Vec::new();
    }
    each_feature_once(plan, |feature| {
        let crosses = feature.strands.iter().any(|strand| {
            let side = |placed: &crate::fabric::Placed| {
                let seam = plan.instep.unfold(Spot {
                    stitch: 0.5,
                    ..placed.point.spot()
                });
                placed.at.x - seam.x
            };
            let (up, down) = (side(&strand.up), side(&strand.down));
            // The seam and its far image half a turn away both change the sign.
            up * down <= 0.0 && (up - down).abs() < plan.instep.around_mm() / 2.0
        });
        crosses.then(|| {
            advice(
                "across-the-seam",
                &feature.name,
                format!(
                    "{} lies across the seam where rounds are joined, which shows and pulls; \
                     begin the rounds at the sole, or move the centre.",
                    feature.name
                ),
            )
        })
    })
}

/// Places of a feature: the ends of its strands and the bends of its outline.
fn corners(feature: &FeaturePlan) -> impl Iterator<Item = Point> + '_ {
    let ends = feature
        .strands
        .iter()
        .flat_map(|strand| [strand.up.at, strand.down.at]);
    let bends = feature
        .outline
        .elements()
        .iter()
        .filter_map(kurbo::PathEl::end_point);
    ends.chain(bends)
}

/// The first finding of each feature name: the sides of a pair are told once.
fn each_feature_once(plan: &Plan, look: impl Fn(&FeaturePlan) -> Option<Finding>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for feature in &plan.features {
        if !findings.iter().any(|f| f.feature == feature.name) {
            findings.extend(look(feature));
        }
    }
    findings
}
