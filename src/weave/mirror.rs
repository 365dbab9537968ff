//! The mirror image of a job and of a plan, across the centre line.

use kurbo::{Affine, Vec2};

use super::candidate::mirror;
use super::footprint::Footprint;
use super::ink::Ink;
use super::plan::{Bent, FeaturePlan, Figures, Plan, StrandPlan};
use super::score::mirrored_deg;
use super::settings::Job;
use crate::fabric::{Instep, Placed};
use crate::face::{Direction, Face, Feature, Side, Work};

/// The same slipper worked with the other hand, and the face seen in a mirror.
pub(super) fn job(job: &Job) -> Job {
    let mut other = job.clone();
    other.slipper.shell = other.slipper.shell.worked_with_other_hand();
    for feature in &mut other.face.features {
        mirror_feature(feature);
    }
    other
}

/// The face for the other foot of a pair, its mirror image; `None` for a face that is its own.
#[must_use]
pub fn other_foot(face: &Face) -> Option<Face> {
    let mut other = face.clone();
    let mut changed = false;
    for feature in &mut other.features {
        let path = feature.outline.path();
        let ink = match feature.work {
            Work::Fill { .. } => Ink::Area(path.clone()),
            Work::Line(_) => Ink::line(path, PEN * face.width),
            Work::Knot { .. } => {
                let place = super::knot::place(path);
                Ink::Bars(vec![Footprint::disc(place, PEN * face.width)])
            }
        };
        if !feature.pair && !ink.is_its_own_mirror() {
            mirror_feature(feature);
            changed = true;
        }
    }
    changed.then_some(other)
}

/// Width of a line, and of a knot, as a share of the face's, where only their place counts.
const PEN: f64 = 0.03;

fn mirror_feature(feature: &mut Feature) {
    // The direction of a pair or a centred feature is that of its right side, whatever is there.
    let centred = !feature.pair && Ink::Area(feature.outline.path().clone()).is_its_own_mirror();
    match &mut feature.work {
        Work::Fill {
            direction: Direction::Degrees(degrees),
            ..
        } if !centred && !feature.pair => *degrees = mirrored_deg(*degrees),
        Work::Fill {
            direction: Direction::Fan(Some(from)),
            ..
        } if !centred => *from = mirror(*from),
        _ => {}
    }
    feature.outline = feature.outline.mirrored();
}

/// A plan brought from the mirror image of an instep to the instep itself.
pub(super) fn plan(mut plan: Plan, instep: Instep) -> Plan {
    for feature in &mut plan.features {
        mirror_feature_plan(feature, &instep);
    }
    // The left side of a pair stays before the right.
    for at in 1..plan.features.len() {
        let sides = [plan.features[at - 1].side, plan.features[at].side];
        let pair = plan.features[at - 1].name == plan.features[at].name;
        if pair && sides == [Side::Right, Side::Left] {
            plan.features.swap(at - 1, at);
        }
    }
    for even in &mut plan.symmetry {
        mirror_figures(&mut even.planned);
        mirror_figures(&mut even.naive);
    }
    plan.instep = instep;
    plan
}

fn mirror_feature_plan(feature: &mut FeaturePlan, instep: &Instep) {
    feature.side = match feature.side {
        Side::Left => Side::Right,
        Side::Right => Side::Left,
        Side::Centre => Side::Centre,
    };
    feature.outline = Affine::scale_non_uniform(-1.0, 1.0) * &feature.outline;
    feature.moved_mm = Vec2::new(0.0 - feature.moved_mm.x, feature.moved_mm.y);
    if !feature.mirrored {
        feature.direction_deg = feature.direction_deg.map(mirrored_deg);
    }
    // Of a centred feature the point is that of its right half, as in the face.
    let centred =
        feature.side == Side::Centre && Ink::Area(feature.outline.clone()).is_its_own_mirror();
    if let Some(Bent::Fan(from)) = &mut feature.bent
        && !centred
    {
        *from = mirror(*from);
    }
    for strand in &mut feature.strands {
        strand.direction_deg = strand.direction_deg.map(mirrored_deg);
        let StrandPlan { up, down, .. } = strand;
        for end in [up, down] {
            mirror_end(end, instep);
        }
    }
}

/// The needle point of the same name lies at the mirror image.
fn mirror_end(end: &mut Placed, instep: &Instep) {
    if let Some(placed) = instep.find(end.point) {
        *end = *placed;
    }
}

fn mirror_figures(figures: &mut Figures) {
    for signed in [
        &mut figures.level_mm,
        &mut figures.level_rows,
        &mut figures.offset_mm,
        &mut figures.tilt_deg,
    ] {
        *signed = 0.0 - *signed;
    }
}
