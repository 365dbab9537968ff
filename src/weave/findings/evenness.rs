//! Whether the face reads, lies level, and is alike on both sides.

use super::{advice, problem};
use crate::face::Work;
use crate::weave::plan::{FeaturePlan, Finding, Plan, SymmetryPlan};
use crate::weave::settings::{Job, Settings};
use crate::weave::smallest;

/// A fill that matches its outline less than this does not read as the shape drawn.
const READS: f64 = 0.55;
/// Less than this, and it reads only with good will.
const READS_WELL: f64 = 0.65;
/// Difference in height, in rows, that the eye sees.
const LEVEL_ROWS: f64 = 0.25;
/// Mirror match under which the sides look like two different things, and just unlike.
const MIRROR: f64 = 0.6;
const MIRROR_WELL: f64 = 0.8;

/// Spreads under which a lack of strands is laid to them first, degrees.
const NARROW_SPREAD_DEG: f64 = 10.0;

/// Fills too small, or too fine, for the gauge.
pub(super) fn too_small(job: &Job, plan: &Plan) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for feature in &plan.features {
        let told = findings.iter().any(|f| f.feature == feature.name);
        if told || !is_fill(job, feature) || feature.measure.match_share >= READS_WELL {
            continue;
        }
        let found = if feature.strands.is_empty() {
            "takes no strand at all: no two needle points lie right for it".to_owned()
        } else {
            format!(
                "matches its outline by {:.0} %: it is small or fine for stitches of {}",
                100.0 * feature.measure.match_share,
                job.ruler.small(plan.instep.stitch_mm())
            )
        };
        let spread_deg = job.settings.spread_deg;
        let narrow = feature.strands.is_empty() && spread_deg < NARROW_SPREAD_DEG;
        let change = if narrow {
            format!(
                "strands may leave its direction by {spread_deg} degrees only: set a wider \
                 spread, {} is usual",
                Settings::default().spread_deg
            )
        } else if let Some(width) = smallest::width_that_reads(job, plan, feature, READS_WELL) {
            format!(
                "it comes out from a face width of {} on (now {})",
                job.ruler.tape(width),
                job.ruler.tape(plan.width_mm)
            )
        } else {
            "no width up to twice this one mends it: draw it larger within the face, or with \
             fewer points and slits"
                .to_owned()
        };
        let text = format!("{} {found}; {change}.", feature.name);
        findings.push(if feature.measure.match_share < READS {
            problem("too-small", &feature.name, text)
        } else {
            advice("too-small", &feature.name, text)
        });
    }
    findings
}

/// Lines and knots that found no needle points.
pub(super) fn not_sewn(job: &Job, plan: &Plan) -> Vec<Finding> {
    let mut findings: Vec<Finding> = Vec::new();
    for feature in &plan.features {
        let told = findings.iter().any(|f| f.feature == feature.name);
        if told || is_fill(job, feature) || !feature.strands.is_empty() {
            continue;
        }
        let change = if job.settings.hole_limit < 2 {
            "each turn of a line takes two ends: set hole_limit = 2"
        } else {
            "sew it before what lies under it, or draw it longer or elsewhere"
        };
        findings.push(problem(
            "not-sewn",
            &feature.name,
            format!(
                "{} takes no strand at all: the needle points along it have no room left or lie \
                 wrong for this yarn; {change}.",
                feature.name
            ),
        ));
    }
    findings
}

fn is_fill(job: &Job, feature: &FeaturePlan) -> bool {
    job.face
        .features
        .iter()
        .any(|f| f.name == feature.name && matches!(f.work, Work::Fill { .. }))
}

/// Pairs and centred features that have strands on all their sides, so that these can be compared.
fn sewn(plan: &Plan) -> impl Iterator<Item = &SymmetryPlan> {
    plan.symmetry.iter().filter(|even| {
        let mut sides = plan.features.iter().filter(|f| f.name == even.feature);
        sides.all(|side| !side.strands.is_empty())
    })
}

/// Sides at different heights.
pub(super) fn not_level(job: &Job, plan: &Plan) -> Vec<Finding> {
    sewn(plan)
        .filter(|even| even.planned.level_rows.abs() > LEVEL_ROWS)
        .map(|even| {
            let lower = if even.planned.level_mm > 0.0 {
                "right"
            } else {
                "left"
            };
            problem(
                "not-level",
                &even.feature,
                format!(
                    "the {lower} side of {} lies {} ({:.2} rows) lower than the other, a tilt of \
                     {:.1} degrees; try a face wider or narrower by half a stitch ({}), or lower \
                     by a quarter row ({}).",
                    even.feature,
                    job.ruler.small(even.planned.level_mm.abs()),
                    even.planned.level_rows.abs(),
                    even.planned.tilt_deg.abs(),
                    job.ruler.small(plan.instep.stitch_mm() / 2.0),
                    job.ruler.small(plan.instep.row_mm() / 4.0),
                ),
            )
        })
        .collect()
}

/// Fills whose sides do not look alike. Lines and knots are too thin to lie on their mirror image
/// by area; their level and offset tell.
pub(super) fn unlike(job: &Job, plan: &Plan) -> Vec<Finding> {
    let seat = if job.settings.seat {
        ""
    } else {
        ", or seats (without --exact),"
    };
    let is_fill = |name: &str| {
        let mut features = plan.features.iter();
        features.any(|f| f.name == name && f.is_fill())
    };
    sewn(plan)
        .filter(|even| is_fill(&even.feature))
        .filter(|even| even.planned.mirror_match < MIRROR_WELL)
        .map(|even| {
            let what = if even.pair {
                "the two sides of"
            } else {
                "the halves of"
            };
            let text = format!(
                "{what} {} match by {:.0} % when mirrored (aim for {:.0} %); a larger shape or \
                 a finer gauge{seat} brings them closer.",
                even.feature,
                100.0 * even.planned.mirror_match,
                100.0 * MIRROR_WELL
            );
            if even.planned.mirror_match < MIRROR {
                problem("unlike-sides", &even.feature, text)
            } else {
                advice("unlike-sides", &even.feature, text)
            }
        })
        .collect()
}
