//! The smallest size at which a shape comes out.

use super::fill;
use super::piece::{Group, Seeker, groups};
use super::plan::{Bent, FeaturePlan, Plan};
use super::room::Room;
use super::settings::Job;
use crate::face::{Direction, Place, Side, Work};

/// The least face width, up to twice the one planned, at which a fill matches its outline by
/// `share`, mm: by a quick search in the direction planned, everything else of the face left out.
pub(super) fn width_that_reads(
    job: &Job,
    plan: &Plan,
    planned: &FeaturePlan,
    share: f64,
) -> Option<f64> {
    /// Widths tried, each a tenth of the one planned wider than the last.
    const STEPS: u32 = 10;
    let instep = &plan.instep;
    let direction = match (planned.bent, planned.direction_deg.unwrap_or(0.0)) {
        (Some(Bent::Along), _) => Direction::Along,
        (Some(Bent::Fan(_)), _) => Direction::Fan(None),
        (None, degrees) if planned.side == Side::Left => Direction::Degrees(180.0 - degrees),
        (None, degrees) => Direction::Degrees(degrees),
    };
    let seeker = Seeker {
        job,
        instep,
        room: &Room::of_all(job, instep),
        more_starts: 0,
    };
    (1..=STEPS)
        .map(|step| plan.width_mm * (1.0 + f64::from(step) / f64::from(STEPS)))
        .find(|&width_mm| {
            let place = Place {
                width_mm: Some(width_mm),
                below_mm: Some(plan.below_edge_mm),
                facing: plan.facing,
            };
            let placed = job.face.placed(instep, &place);
            let matches = |group: &Group<'_>| match group[0].feature.work {
                Work::Fill { fill, .. } if group[0].feature.name == planned.name => {
                    let found = seeker.fill(group, fill, |wanted| fill::quick(wanted, direction));
                    let mut pieces = found.pieces.iter();
                    pieces.all(|piece| piece.feature.measure.match_share >= share)
                }
                _ => true,
            };
            groups(&placed.features).iter().all(matches)
        })
}
