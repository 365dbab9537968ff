//! A thread over the whole face: its working order, its lengths, its yarn.

use super::plan::{FeaturePlan, StrandPlan, ThreadPlan};
use super::route::{Leg, Sewn, Stop, TravelCost, route};
use super::settings::Job;
use crate::fabric::Placed;
use crate::fabric::{Instep, Yarn};

/// Yarn of one link of a chain over its straight length: two legs that bow by a tenth in all, and
/// the way on the inside to where the next link begins, which is no travel between strands.
const CHAIN_LINK: f64 = 3.1;

/// A strand not yet in order: its feature, its ends as first sewn, and what it takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unsewn {
    pub(super) up: Placed,
    pub(super) down: Placed,
}

/// What a feature gives to the route.
#[derive(Debug, Clone)]
pub(super) struct Stitches {
    /// Index of the feature in the plan.
    pub(super) feature: usize,
    /// Groups sewn in one go, each strand after the other; one strand a group in a fill.
    pub(super) runs: Vec<Vec<Unsewn>>,
    /// Each group may also be sewn from its other end.
    pub(super) turns: bool,
}

/// Features of one thread sewn without a change of thread.
#[derive(Debug)]
pub(super) struct Stage<'a> {
    /// Its place in the working order of the face, 1 the first.
    pub(super) number: usize,
    pub(super) stitches: Vec<&'a Stitches>,
    /// The stage before it is of the same thread, which goes on.
    pub(super) goes_on: bool,
}

/// Stages of a face: the features of one thread that are sewn without a change of thread.
/// `over(later, earlier)` tells which features lie on others.
pub(super) fn stages(threads: &[String], over: impl Fn(usize, usize) -> bool) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..threads.len()).collect();
    let mut stages = Vec::new();
    while let Some(&first) = left.first() {
        let thread = &threads[first];
        let ready: Vec<usize> = left
            .iter()
            .copied()
            .filter(|&f| threads[f] == *thread)
            .filter(|&f| !left.iter().any(|&below| below < f && over(f, below)))
            .collect();
        left.retain(|f| !ready.contains(f));
        stages.push(ready);
    }
    stages
}

/// What is known of a thread while its stages are sewn.
#[derive(Debug)]
struct Sewing {
    last: Option<Stop>,
    strands: Vec<(usize, StrandPlan)>,
}

/// Puts the strands of one thread in order, stage by stage. An interrupted thread is fastened
/// off. Fills the features' strands and returns the thread's figures.
pub(super) fn sew_thread(
    job: &Job,
    instep: &Instep,
    name: &str,
    stages: &[Stage<'_>],
    features: &mut [FeaturePlan],
) -> ThreadPlan {
    let settings = &job.settings;
    let cost = TravelCost {
        carry_mm: settings.carry_mm,
        start_mm: 2.0 * settings.tail_mm / (1.0 + settings.take_up),
    };
    let limit = job.float_limit_mm();
    let mut sewing = Sewing {
        last: None,
        strands: Vec::new(),
    };
    for stage in stages {
        if !stage.goes_on {
            sewing.last = None;
        }
        sew_stage(instep, stage, cost, limit, &mut sewing);
    }
    let yarn = job.yarn(name);
    let plan = count_yarn(job, name, yarn, &mut sewing.strands, features);
    for (feature, strand) in sewing.strands {
        features[feature].strands.push(strand);
    }
    plan
}

fn sew_stage(
    instep: &Instep,
    stage: &Stage<'_>,
    cost: TravelCost,
    limit: f64,
    sewing: &mut Sewing,
) {
    let stitches = || stage.stitches.iter();
    let runs: Vec<(usize, &[Unsewn])> = stitches()
        .flat_map(|s| s.runs.iter().map(|run| (s.feature, run.as_slice())))
        .collect();
    let legs: Vec<Leg> = stitches()
        .flat_map(|s| s.runs.iter().map(|run| leg(instep, run, s.turns)))
        .collect();
    for Sewn { leg, way } in route(&legs, cost, sewing.last) {
        let (feature, run) = runs[leg];
        for (at, strand) in in_way(run, way).into_iter().enumerate() {
            let up = stop(instep, &strand.up);
            // Within a run the thread goes on: a chain comes up where its last link ended.
            let travel = sewing.last.filter(|&last| at > 0 || !cost.breaks(last, up));
            let travel_mm = travel.map_or(0.0, |last| last.at.distance(up.at));
            sewing.strands.push((
                feature,
                StrandPlan {
                    order: sewing.strands.len() + 1,
                    stage: stage.number,
                    start: travel.is_none(),
                    travel_mm,
                    caught: catches(travel_mm, limit),
                    up: strand.up,
                    down: strand.down,
                    length_mm: strand.up.at.distance(strand.down.at),
                },
            ));
            sewing.last = Some(stop(instep, &strand.down));
        }
    }
}

/// Times a travel is caught so that no stretch is longer than the limit.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small count, not negative"
)]
fn catches(travel_mm: f64, limit_mm: f64) -> u32 {
    ((travel_mm / limit_mm).ceil() - 1.0).max(0.0) as u32
}

fn stop(instep: &Instep, placed: &Placed) -> Stop {
    let hole = instep.index_of(placed.point).unwrap_or(usize::MAX);
    Stop {
        hole: u32::try_from(hole).unwrap_or(u32::MAX),
        at: placed.at,
    }
}

fn leg(instep: &Instep, run: &[Unsewn], turns: bool) -> Leg {
    let way = |way| {
        let sewn = in_way(run, way);
        [
            stop(instep, &sewn[0].up),
            stop(instep, &sewn[sewn.len() - 1].down),
        ]
    };
    Leg {
        ways: (0..=usize::from(turns)).map(way).collect(),
    }
}

/// A run as first sewn (0), or from its other end (1).
fn in_way(run: &[Unsewn], way: usize) -> Vec<Unsewn> {
    if way == 0 {
        return run.to_vec();
    }
    run.iter()
        .rev()
        .map(|strand| Unsewn {
            up: strand.down,
            down: strand.up,
        })
        .collect()
}

/// Yarn of a thread: for each piece between start and end
/// `(sum L + sum travel + 2 thickness strands) (1 + take_up)`, cut into needlefuls that lose two
/// tails each. Marks where a needleful ends.
fn count_yarn(
    job: &Job,
    name: &str,
    yarn: Yarn,
    strands: &mut [(usize, StrandPlan)],
    features: &[FeaturePlan],
) -> ThreadPlan {
    let settings = &job.settings;
    let needleful = settings.needleful_mm - 2.0 * settings.tail_mm;
    let taken: Vec<f64> = strands
        .iter()
        .map(|(feature, strand)| {
            let face = face_yarn_mm(job, &features[*feature], strand);
            (face + strand.travel_mm + 2.0 * job.thickness_mm()) * (1.0 + settings.take_up)
        })
        .collect();
    let begins: Vec<usize> = (0..strands.len()).filter(|&i| strands[i].1.start).collect();
    let mut starts = 0;
    for (i, &first) in begins.iter().enumerate() {
        let end = begins.get(i + 1).copied().unwrap_or(strands.len());
        starts += cut_needlefuls(&taken[first..end], &mut strands[first..end], needleful);
    }
    let length_mm = taken.iter().sum::<f64>() + 2.0 * settings.tail_mm * starts as f64;
    let travels = || strands.iter().map(|(_, strand)| strand.travel_mm);
    let pierces = |placed: &Placed| usize::from(placed.point.pierces());
    ThreadPlan {
        name: name.to_owned(),
        colour: job.colour(name),
        held: yarn.held,
        width_mm: yarn.width_mm(),
        strands: strands.len(),
        starts,
        travel_mm: travels().sum(),
        longest_float_mm: travels().fold(0.0, f64::max).min(job.float_limit_mm()),
        length_mm,
        grams: yarn.grams(length_mm),
        needlefuls: starts,
        pierced_ends: strands
            .iter()
            .map(|(_, strand)| pierces(&strand.up) + pierces(&strand.down))
            .sum(),
    }
}

/// Yarn that a strand takes on the face, mm: its length, for a knot also the turns round the
/// needle (`wraps pi (needle + yarn)`, the needle taken as thick as the yarn), for a chain two
/// bowed legs and the way to the next link.
fn face_yarn_mm(job: &Job, feature: &FeaturePlan, strand: &StrandPlan) -> f64 {
    let yarn_mm = job.yarn(&feature.thread).width_mm();
    let turns = f64::from(feature.wraps) * std::f64::consts::PI * 2.0 * yarn_mm;
    let legs = if feature.method == "chain stitch" {
        CHAIN_LINK
    } else {
        1.0
    };
    legs * strand.length_mm + turns
}

/// Cuts a piece into as few needlefuls as hold it, at a change of feature where one is near, and
/// marks their starts. Returns how many.
fn cut_needlefuls(taken: &[f64], strands: &mut [(usize, StrandPlan)], needleful: f64) -> usize {
    let total: f64 = taken.iter().sum();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small count, not negative"
    )]
    let count = ((total / needleful).ceil() as usize).max(1);
    let before: Vec<f64> = taken
        .iter()
        .scan(0.0, |sum, yarn| {
            let here = *sum;
            *sum += yarn;
            Some(here)
        })
        .collect();
    for cut in 1..count {
        let ideal = total * cut as f64 / count as f64;
        // What is spare in each needleful is the slack within which a cut may wander.
        let slack = (needleful - total / count as f64) / 2.0;
        let within_feature = |i: usize| f64::from(u8::from(strands[i].0 == strands[i - 1].0));
        let nearest = (1..strands.len()).min_by(|&a, &b| {
            let off = |i: usize| (before[i] - ideal).abs() + slack * within_feature(i);
            off(a).total_cmp(&off(b))
        });
        if let Some(at) = nearest {
            strands[at].1.start = true;
        }
    }
    count
}
