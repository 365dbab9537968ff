//! How many strands of a yarn to hold together in the needle.
//!
//! Strands of a fill lie side by side on needle points half a row apart where they run along the
//! rounds, half a stitch apart where they run toward the toe. A bundle about as wide as that
//! covers without piling up: thinner, and fabric shows between; thicker, and strands lie double
//! or every second place stays empty. So the best number is the one whose width comes nearest, by
//! ratio, to the distance, over the fills of a thread by their areas.
//!
//! Whole plans of four faces with 1, 2, 3 and 4 strands, at bulky, worsted and sport gauge, say
//! the same: their scores were best at 2, 1 and 2 strands, for every face, which is what the
//! ratio chooses (distances of 4.8, 3.1 and 2.5 mm; strands 3.6, 2.8 and 2.0 mm wide). A bundle
//! so chosen is about half a stitch wide, so it also goes through one.

use kurbo::Shape;

use super::score;
use super::settings::Job;
use crate::fabric::{Instep, Yarn};
use crate::face::{Direction, Work};

/// Most strands held together by choice: more do not go through a needle's eye as one.
const MOST: u32 = 4;

/// The job with the strands held counted out wherever that was left to the plan.
pub(super) fn settled(job: &Job) -> Job {
    let mut settled = job.clone();
    let instep = Instep::new(&job.slipper);
    for (name, stock) in &mut settled.threads {
        if stock.auto_held {
            let held = best(job, &instep, name, stock.yarn).map_or(1, |(held, _)| held);
            stock.yarn.held = held;
        }
    }
    settled
}

/// The best number of strands for the fills of a thread, and how far apart their needle points
/// lie, mm (the geometric mean over the fills); `None` for a thread without fills.
pub(super) fn best(job: &Job, instep: &Instep, thread: &str, yarn: Yarn) -> Option<(u32, f64)> {
    let fills: Vec<(f64, Vec<f64>)> = job
        .face
        .features
        .iter()
        .filter(|feature| feature.thread == thread)
        .filter_map(|feature| {
            let Work::Fill { direction, .. } = feature.work else {
                return None;
            };
            let area = feature.outline.path().area().abs();
            Some((area, distances(instep, direction)))
        })
        .collect();
    let all: f64 = fills.iter().map(|fill| fill.0).sum();
    if all <= 0.0 {
        return None;
    }
    let width = |held: u32| Yarn { held, ..yarn }.width_mm();
    let off = |held: u32| -> f64 {
        let ratio = |mm: &f64| (width(held) / mm).ln().powi(2);
        let of_fill = |distances: &[f64]| distances.iter().map(ratio).fold(f64::INFINITY, f64::min);
        fills.iter().map(|(area, mm)| area * of_fill(mm)).sum()
    };
    let short = |held: &u32| *held == 1 || 1.5 * width(*held) < job.settings.longest_mm;
    let held = (1..=MOST)
        .filter(short)
        .min_by(|&a, &b| off(a).total_cmp(&off(b)))?;
    let nearest = |distances: &[f64]| {
        let ratio = |mm: &f64| (width(held) / mm).ln().abs();
        let by_ratio = |a: &f64, b: &f64| ratio(a).total_cmp(&ratio(b));
        distances.iter().copied().min_by(by_ratio).unwrap_or(1.0)
    };
    let apart: f64 = fills
        .iter()
        .map(|(area, mm)| area / all * nearest(mm).ln())
        .sum();
    Some((held, apart.exp()))
}

/// How far apart strands of a direction can lie side by side, mm; both ways where the direction is
/// left to the plan.
fn distances(instep: &Instep, direction: Direction) -> Vec<f64> {
    let (level, upright) = (instep.row_mm() / 2.0, instep.stitch_mm() / 2.0);
    match direction {
        Direction::Auto | Direction::Along | Direction::Fan(_) => vec![level, upright],
        Direction::Degrees(degrees) | Direction::Chevron(degrees) => {
            let is_level = score::angle_between(degrees, 0.0) <= 45.0;
            vec![if is_level { level } else { upright }]
        }
    }
}
