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
#[derive(Debug, Clone)]
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
    /// Area of the outline, of both sides of a pair, mm2.
    pub(super) outline_mm2: f64,
    /// The joint objective, mm2.
    pub(super) objective_mm2: f64,
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
        let judged = bound::judge(
            &wanted,
            &self.field,
            &self.strands,
            self.outline_mm2,
            self.objective_mm2,
        );
        Nearness {
            objective_mm2: self.objective_mm2,
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

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::fabric::{Gauge, Hand, Rounds, Shell, ShellSpec, Slipper, Yarn};
    use crate::face::{Direction, Face, Feature, Fill, Outline, Place, Work};
    use crate::units::Ruler;
    use crate::weave::fill::{self, Filled};
    use crate::weave::piece::{Seeker, groups};
    use crate::weave::room::Room;
    use crate::weave::seat::Seat;
    use crate::weave::settings::Job;

    fn job(per_10cm: f64, wraps_per_inch: f64, path: &str, pair: bool) -> Job {
        let spec = ShellSpec {
            gauge: Gauge::from_swatch(per_10cm, per_10cm, 100.0),
            hand: Hand::Right,
            rounds: Rounds::Spiral,
            toe: vec![8, 16, 24],
            even_rounds: 14,
            lean: 0.2,
            flat_stitches: 16,
            extra_before_turn: 0,
            centre_stitch: None,
        };
        let work = Work::Fill {
            fill: Fill::default(),
            direction: Direction::Degrees(0.0),
        };
        let feature = Feature {
            name: "shape".to_owned(),
            pair,
            outline: Outline::fill(path).unwrap(),
            thread: "dark".to_owned(),
            work,
        };
        Job {
            slipper: Slipper {
                name: "check".to_owned(),
                shell: Shell::new(spec).unwrap(),
                yarn: Yarn {
                    wraps_per_inch,
                    held: 1,
                    metres_per_100g: 180.0,
                    weight: None,
                },
                colour: None,
                foot_around_mm: None,
                for_baby: false,
            },
            threads: BTreeMap::new(),
            settings: Settings {
                seat: false,
                ..Settings::default()
            },
            place: Place::default(),
            face: Face {
                name: "check".to_owned(),
                width: 100.0,
                height: 80.0,
                threads: BTreeMap::new(),
                features: vec![feature],
                variants: Vec::new(),
            },
            ruler: Ruler::Metric,
        }
    }

    fn near(job: &Job, search: impl Fn(&Wanted<'_>) -> Filled) -> Nearness {
        let instep = Instep::new(&job.slipper);
        let placed = job.face.placed(&instep, &job.place);
        let seeker = Seeker {
            job,
            instep: &instep,
            room: &Room::of_all(job, &instep),
            more_starts: 0,
        };
        let group = &groups(&placed.features)[0];
        let found = seeker.fill(group, Fill::default(), search);
        found.made.unwrap().nearness(&instep, &job.settings)
    }

    /// A bound is for all fillings, so one of a poor filling holds for a good one: right to 1 %.
    #[test]
    fn a_poor_filling_is_bounded_over_the_best() {
        let shapes = [
            ("M12,36 L46,30 L40,56 Z", true),
            ("M10,20 L34,20 L34,44 L10,44 Z", true),
            ("M-30,52 L30,52 L24,80 L-24,80 Z", false),
            ("M-40,44 Q0,84 40,44 Q0,104 -40,44 Z", false),
        ];
        let (mut poor, mut all) = (0, 0);
        for (per_10cm, wraps) in [(10.0, 6.5), (12.0, 8.0), (14.0, 9.0)] {
            for (path, pair) in shapes {
                let job = job(per_10cm, wraps, path, pair);
                let level = Direction::Degrees(0.0);
                let best = near(&job, |wanted| fill::seated(wanted, level, Seat::DRAWN, 0));
                let other = near(&job, |wanted| fill::rough(wanted, level));
                let what = format!("{path} at {per_10cm}: {other:?}, {best:?}");
                assert!(other.bound_mm2 >= 0.99 * best.objective_mm2, "{what}");
                let is_poor = other.objective_mm2 < 0.99 * best.objective_mm2;
                assert!(!(is_poor && other.proven_best), "{what}");
                poor += usize::from(is_poor);
                all += 1;
            }
        }
        assert!(poor > all / 2, "{poor} of {all} are poor");
    }
}
