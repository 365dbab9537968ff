//! How near the fills of a face come to the best there are.

use kurbo::BezPath;

use super::bound;
use super::candidate::{Fold, Pairing, Wanted};
use super::field::Field;
use super::ink::Ink;
use super::plan::{Measure, Nearness};
use super::score;
use super::settings::Settings;
use crate::fabric::Instep;

/// A fill as it was made, for a judgement of it.
#[derive(Debug)]
pub(super) struct Made {
    pub(super) width: f64,
    pub(super) fold: Fold,
    pub(super) mirrored: bool,
    /// As seated, instep frame, mm; of the right side of a pair.
    pub(super) outline: BezPath,
    /// Of the right side or half, of the shape as seated.
    pub(super) field: Field,
    /// Free strand ends by needle point, before.
    pub(super) free: Vec<u32>,
    pub(super) strands: Vec<Pairing>,
    /// Of the feature, or of both sides of the pair, left before right.
    pub(super) measures: Vec<Measure>,
    /// What these cover.
    pub(super) sewn: Vec<Ink>,
}

impl Made {
    /// How near it comes to the best fill.
    pub(super) fn nearness(&self, instep: &Instep, settings: &Settings) -> Nearness {
        let wanted = Wanted {
            instep,
            settings,
            width: self.width,
            fold: self.fold,
            mirrored: self.mirrored,
            outline: &self.outline,
            fan_from: None,
            free: &self.free,
        };
        let direction_deg = self.field.mean_deg();
        let measures = &self.measures;
        let outline_mm2 = measures.iter().map(|measure| measure.outline_mm2).sum();
        let objective_mm2 = objective_mm2(self.fold, measures, &self.sewn, direction_deg);
        let judged = bound::judge(
            &wanted,
            &self.field,
            &self.strands,
            outline_mm2,
            objective_mm2,
        );
        Nearness {
            objective_mm2,
            bound_mm2: judged.bound_mm2,
            proven_best: judged.proven,
        }
    }
}

/// The joint objective, mm2, of a feature or of both sides of a pair, left before right: what they
/// score less what is uneven of what is sewn.
pub(super) fn objective_mm2(
    fold: Fold,
    measures: &[Measure],
    sewn: &[Ink],
    direction_deg: f64,
) -> f64 {
    let uneven = match (fold, sewn) {
        (Fold::Pair, [one, other]) => score::uneven_mm2(one, &other.mirrored(), direction_deg),
        (Fold::Centre, [whole]) => score::uneven_mm2(whole, &whole.mirrored(), direction_deg) / 2.0,
        _ => 0.0,
    };
    let score: f64 = measures.iter().map(|measure| measure.score_mm2).sum();
    score - uneven
}
