//! How many strands of a yarn to hold together in the needle.
//!
//! Strands of a fill lie side by side on needle points half a row apart where they run along the
//! rounds, half a stitch apart where they run toward the toe. A bundle about as wide as that
//! covers without piling up: thinner, and fabric shows between; thicker, and strands lie double
//! or every second place stays empty. What that makes of the fills of a thread, a quick search
//! tells for each number of strands: their score is weighed, and of numbers about as good the
//! least is held, for it takes the least yarn.
//!
//! Whole plans of four faces with 1, 2, 3 and 4 strands, at bulky, worsted and sport gauge, are best
//! at 2, 1 and 2 strands, for every face: where distances are 4.8, 3.1 and 2.5 mm and strands 3.6,
//! 2.8 and 2.0 mm wide. On yarn that is thin or thick for its fabric, or a fabric that leans, the
//! distance alone chooses worse: of 30 slippers at random, 14 numbers that took more yarn for a
//! lower score.

use kurbo::Shape;
use rayon::prelude::*;

use super::fill;
use super::piece::{Seeker, groups};
use super::room::Room;
use super::score;
use super::settings::{Job, ThreadStock};
use crate::fabric::{Instep, Yarn};
use crate::face::{Direction, Work};

/// Most strands held together by choice: more do not go through a needle's eye as one.
const MOST: u32 = 4;
/// Share of the best score within which fewer strands are as good: a quick search is off by so much.
const AS_GOOD: f64 = 0.03;

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
    let width = |held: u32| Yarn { held, ..yarn }.width_mm();
    let short = |held: &u32| *held == 1 || 1.5 * width(*held) < job.settings.longest_mm;
    let numbers: Vec<u32> = (1..=MOST).filter(short).collect();
    let tried = numbers.par_iter().map(|&held| {
        let score_mm2 = score_mm2(job, instep, thread, Yarn { held, ..yarn })?;
        Some((held, score_mm2))
    });
    let tried: Vec<(u32, f64)> = tried.collect::<Option<_>>()?;
    let most = tried.iter().map(|tried| tried.1).fold(0.0, f64::max);
    let enough = |tried: &&(u32, f64)| tried.1 >= (1.0 - AS_GOOD) * most;
    let held = tried.iter().find(enough)?.0;
    Some((held, apart_mm(job, instep, thread, width(held))))
}

/// What the fills of a thread score by a quick search, each by itself, mm2; `None` without fills.
fn score_mm2(job: &Job, instep: &Instep, thread: &str, yarn: Yarn) -> Option<f64> {
    let mut job = job.clone();
    let stock = ThreadStock {
        yarn,
        auto_held: false,
        colour: None,
    };
    job.threads.insert(thread.to_owned(), stock);
    let placed = job.face.placed(instep, &job.place);
    let seeker = Seeker {
        job: &job,
        instep,
        room: &Room::of_all(&job, instep),
        more_starts: 0,
    };
    let mut scores = Vec::new();
    for group in &groups(&placed.features) {
        let Work::Fill { fill, direction } = group[0].feature.work else {
            continue;
        };
        if group[0].feature.thread != thread {
            continue;
        }
        let directions = match direction {
            Direction::Auto => vec![Direction::Degrees(0.0), Direction::Degrees(90.0)],
            stated => vec![stated],
        };
        let found = directions.into_iter().map(|direction| {
            let found = seeker.fill(group, fill, |wanted| fill::rough(wanted, direction));
            found.score_mm2()
        });
        scores.push(found.fold(0.0, f64::max));
    }
    (!scores.is_empty()).then(|| scores.iter().sum())
}

/// How far apart the needle points of a thread's fills lie, mm: of the two ways the one nearer to a
/// width where the direction is left to the plan; the geometric mean by area.
fn apart_mm(job: &Job, instep: &Instep, thread: &str, width: f64) -> f64 {
    let (mut sum, mut all) = (0.0, 0.0);
    for feature in job.face.features.iter().filter(|f| f.thread == thread) {
        if let Work::Fill { direction, .. } = feature.work {
            let ratio = |mm: &f64| (width / mm).ln().abs();
            let apart = distances(instep, direction);
            let nearest = apart
                .into_iter()
                .min_by(|a, b| ratio(a).total_cmp(&ratio(b)));
            let area = feature.outline.path().area().abs();
            sum += area * nearest.unwrap_or(width).ln();
            all += area;
        }
    }
    (sum / all).exp()
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
