//! From a job to a plan: the features made, the threads routed, the evenness measured, and what to
//! beware of.

use std::collections::BTreeMap;
use std::sync::mpsc;

use super::findings;
use super::held;
use super::ink::Ink;
use super::mirror;
use super::piece::groups;
use super::plan::{Nearness, Plan};
use super::settings::Job;
use super::workshop::Workshop;
use crate::fabric::{Hand, Instep};
use crate::face::PlacedFace;

/// Needle points of an instep that can be planned; a slipper has a few thousand.
const MOST_POINTS: usize = 200_000;
/// Needle points under one feature that can be planned: a few hundred are usual at most.
const MOST_UNDER_A_FEATURE: usize = 4_000;

/// Why no plan could be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The slipper has more needle points than any slipper.
    #[error("the slipper has {found} needle points; a plan takes at most {most}")]
    TooManyPoints {
        /// Needle points found.
        found: usize,
        /// Most accepted.
        most: usize,
    },
    /// A feature is far larger than any face.
    #[error(
        "feature `{feature}` lies over {found} needle points; a plan takes at most {most}: is the face's width right?"
    )]
    FeatureTooLarge {
        /// Feature name.
        feature: String,
        /// Needle points found.
        found: usize,
        /// Most accepted.
        most: usize,
    },
}

/// Plans a face on a slipper.
///
/// A left-handed slipper is planned as its right-handed mirror image, and the plan mirrored back:
/// so two makers of either hand get the same face.
///
/// # Errors
/// [`PlanError`] when the slipper or a feature is out of all size. A face that cannot come out
/// well is a plan with findings, not an error.
pub fn plan(job: &Job) -> Result<Plan, PlanError> {
    let shell = &job.slipper.shell;
    let found: usize = shell.counts().iter().map(|&count| 4 * count as usize).sum();
    if found > MOST_POINTS {
        return Err(PlanError::TooManyPoints {
            found,
            most: MOST_POINTS,
        });
    }
    let settled;
    let job = if job.threads.values().any(|stock| stock.auto_held) {
        settled = held::settled(job);
        &settled
    } else {
        job
    };
    let mut plan = match job.slipper.shell.hand() {
        Hand::Right => worked_right_handed(job)?,
        Hand::Left => {
            let instep = Instep::new(&job.slipper);
            mirror::plan(worked_right_handed(&mirror::job(job))?, instep)
        }
    };
    plan.findings = findings::find(job, &plan);
    Ok(plan)
}

/// Everything but the findings.
fn worked_right_handed(job: &Job) -> Result<Plan, PlanError> {
    let instep = Instep::new(&job.slipper);
    let placed = job.face.placed(&instep, &job.place);
    check_sizes(&instep, &placed)?;
    let groups = groups(&placed.features);
    let mut work = Workshop::new(job, &instep);
    let (judged, nearness) = mpsc::channel();
    let (threads, symmetry) = rayon::scope(|scope| {
        // Fills are judged while others are made. Of a fill that is made anew the last counts.
        let mut count = 0;
        work.make_all(&groups, |feature, fill| {
            let (judged, instep) = (judged.clone(), &instep);
            count += 1;
            scope.spawn(move |_| {
                let _ = judged.send((count, feature, fill.nearness(instep, &job.settings)));
            });
        });
        rayon::join(|| work.route(), || work.symmetry(&groups))
    });
    drop(judged);
    let (threads, strands): (Vec<_>, Vec<_>) = threads.into_iter().unzip();
    let mut features = work.with_strands(strands.into_iter().flatten());
    let mut nearness: Vec<(u32, usize, Nearness)> = nearness.into_iter().collect();
    nearness.sort_by_key(|judged| judged.0);
    let nearness: BTreeMap<usize, Nearness> = nearness
        .into_iter()
        .map(|(_, at, near)| (at, near))
        .collect();
    for (feature, placed) in features.iter_mut().zip(&placed.features) {
        feature.nearness = nearness.get(&placed.index).copied();
    }
    Ok(Plan {
        slipper_name: job.slipper.name.clone(),
        slipper_yarn_mm: job.slipper.yarn.width_mm(),
        slipper_colour: job.slipper.colour,
        for_baby: job.slipper.for_baby,
        face_name: job.face.name.clone(),
        width_mm: placed.width_mm,
        height_mm: placed.height_mm,
        below_edge_mm: placed.below_mm,
        facing: placed.facing,
        float_limit_mm: job.float_limit_mm(),
        needleful_mm: job.settings.needleful_mm,
        tail_mm: job.settings.tail_mm,
        features,
        threads,
        symmetry,
        findings: Vec::new(),
        instep,
    })
}

fn check_sizes(instep: &Instep, placed: &PlacedFace<'_>) -> Result<(), PlanError> {
    let stitch_mm2 = instep.stitch_mm() * instep.row_mm();
    for feature in &placed.features {
        let points = Ink::Area(feature.outline.clone())
            .bounds()
            .map_or(0.0, |b| 4.0 * (b.area().abs() / stitch_mm2));
        if points > MOST_UNDER_A_FEATURE as f64 {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a count, not negative"
            )]
            return Err(PlanError::FeatureTooLarge {
                feature: feature.feature.name.clone(),
                found: points as usize,
                most: MOST_UNDER_A_FEATURE,
            });
        }
    }
    Ok(())
}
