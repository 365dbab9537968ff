//! A thread over the whole face: its working order, its lengths, its yarn.

use super::needleful::{self, Laid};
use super::plan::{FeaturePlan, StrandPlan, ThreadPlan};
use super::route::{Leg, Sewn, Stop, TravelCost, route};
use super::settings::Job;
use crate::fabric::{Instep, Placed};

/// Yarn of one link of a chain over its straight length: two legs that bow by a tenth in all, and
/// the way on the inside to where the next link begins, which is no travel between strands.
const CHAIN_LINK: f64 = 3.1;

/// A strand not yet in order: its feature, its ends as first sewn, and what it takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unsewn {
    pub(super) up: Placed,
    pub(super) down: Placed,
}

impl Unsewn {
    /// Its ends that pierce yarn.
    pub(super) fn pierced(&self) -> u32 {
        u32::from(self.up.point.pierces()) + u32::from(self.down.point.pierces())
    }
}

/// What a feature gives to the route.
#[derive(Debug, Clone)]
pub(super) struct Stitches {
    /// Groups sewn in one go, each strand after the other; one strand a group in a fill.
    pub(super) runs: Vec<Vec<Unsewn>>,
    /// Each group may also be sewn from its other end.
    pub(super) turns: bool,
    /// Short stitches sewn when all that is done, each with the group it ties down.
    pub(super) ties: Vec<(Unsewn, usize)>,
}

impl Stitches {
    /// Stitches without ties.
    pub(super) fn new(runs: Vec<Vec<Unsewn>>, turns: bool) -> Self {
        Self {
            runs,
            turns,
            ties: Vec::new(),
        }
    }
}

/// Features of one thread sewn without a change of thread.
#[derive(Debug)]
pub(super) struct Stage<'a> {
    /// Its place in the working order of the face, 1 the first.
    pub(super) number: usize,
    /// Each with the index of its feature in the plan.
    pub(super) stitches: Vec<(usize, &'a Stitches)>,
    /// The stage before it is of the same thread, which goes on.
    pub(super) goes_on: bool,
}

/// Stages of a face: the features of one thread that are sewn without a change of thread.
/// `over(later, earlier)` tells which features lie on others.
pub(super) fn stages(threads: &[&str], over: impl Fn(usize, usize) -> bool) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..threads.len()).collect();
    let mut stages = Vec::new();
    while let Some(&first) = left.first() {
        let thread = threads[first];
        let ready: Vec<usize> = left
            .iter()
            .copied()
            .filter(|&f| threads[f] == thread)
            .filter(|&f| !left.iter().any(|&below| below < f && over(f, below)))
            .collect();
        left.retain(|f| !ready.contains(f));
        stages.push(ready);
    }
    stages
}

/// What a strand is to its feature.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// One of a group.
    Run(usize),
    /// A tie of a group.
    Tie(usize),
}

/// A strand of a thread in working order, before it is known where needlefuls end.
#[derive(Debug, Clone, Copy)]
struct Ordered {
    feature: usize,
    stage: usize,
    strand: Unsewn,
    part: Part,
    /// Travel from the strand before, mm; `None` where the thread was ended.
    travel_mm: Option<f64>,
}

/// A thread with its strands in working order, each with the index of its feature.
pub(super) type SewnThread = (ThreadPlan, Vec<(usize, StrandPlan)>);

/// Puts the strands of one thread in order: stages that follow on each other together, an
/// interrupted thread is fastened off.
pub(super) fn sew_thread(
    job: &Job,
    instep: &Instep,
    name: &str,
    stages: &[Stage<'_>],
    features: &[FeaturePlan],
) -> SewnThread {
    let settings = &job.settings;
    let cost = TravelCost {
        carry_mm: settings.carry_mm,
        start_mm: 2.0 * settings.tail_mm,
        take_up: settings.take_up,
        room_mm: settings.needleful_mm - 2.0 * settings.tail_mm,
    };
    let ordered: Vec<Ordered> = stages
        .chunk_by(|_, next| next.goes_on)
        .flat_map(|stages| in_order(job, instep, stages, cost, features))
        .collect();
    let laid: Vec<Laid> = ordered
        .iter()
        .map(|ordered| Laid {
            feature: ordered.feature,
            yarn_mm: yarn_mm(job, &features[ordered.feature], &ordered.strand),
            travel_mm: ordered.travel_mm.map(|mm| mm * (1.0 + settings.take_up)),
        })
        .collect();
    let starts = needleful::starts(&laid, cost);
    let tied = |tie: &Ordered| {
        let Part::Tie(run) = tie.part else {
            return None;
        };
        let mut all = (1..).zip(&ordered);
        all.find(|(_, other)| other.feature == tie.feature && other.part == Part::Run(run))
            .map(|(order, _)| order)
    };
    let mut lengths_mm: Vec<f64> = Vec::new();
    let mut strands = Vec::new();
    for (order, ((ordered, laid), start)) in (1..).zip(ordered.iter().zip(&laid).zip(starts)) {
        let travel_mm = ordered.travel_mm.filter(|_| !start).unwrap_or(0.0);
        let yarn_mm = laid.yarn_mm + travel_mm * (1.0 + settings.take_up);
        match lengths_mm.last_mut() {
            Some(length) if !start => *length += yarn_mm,
            _ => lengths_mm.push(2.0 * settings.tail_mm + yarn_mm),
        }
        let Unsewn { up, down } = ordered.strand;
        strands.push((
            ordered.feature,
            StrandPlan {
                order,
                stage: ordered.stage,
                start,
                travel_mm,
                caught: catches(travel_mm, job.float_limit_mm()),
                up,
                down,
                length_mm: up.at.distance(down.at),
                direction_deg: None,
                ties: tied(ordered),
            },
        ));
    }
    (figures(job, name, &strands, lengths_mm), strands)
}

/// The strands of some stages, sewn one after the other without another thread between.
fn in_order(
    job: &Job,
    instep: &Instep,
    stages: &[Stage<'_>],
    cost: TravelCost,
    features: &[FeaturePlan],
) -> Vec<Ordered> {
    let mut runs: Vec<(usize, usize, &[Unsewn], Part)> = Vec::new();
    let mut legs: Vec<Leg> = Vec::new();
    for stage in stages {
        for &(feature, stitches) in &stage.stitches {
            let groups = stitches.runs.iter().enumerate();
            let groups = groups.map(|(at, run)| (run.as_slice(), Part::Run(at), stitches.turns));
            let ties = stitches.ties.iter();
            let ties = ties.map(|(tie, run)| (std::slice::from_ref(tie), Part::Tie(*run), true));
            for (run, part, turns) in groups.chain(ties) {
                runs.push((stage.number, feature, run, part));
                let travel: f64 = run.windows(2).map(|two| travel_mm(two[0], two[1])).sum();
                let of_strand = |strand| yarn_mm(job, &features[feature], strand);
                legs.push(Leg {
                    ways: ways(instep, run, turns),
                    // Ties come after all strands of their stage.
                    stage: 2 * stage.number + usize::from(matches!(part, Part::Tie(_))),
                    yarn_mm: run.iter().map(of_strand).sum::<f64>() + travel * (1.0 + cost.take_up),
                });
            }
        }
    }
    let mut ordered: Vec<Ordered> = Vec::new();
    for Sewn { leg, way } in route(&legs, cost) {
        let (stage, feature, run, part) = runs[leg];
        for (at, strand) in in_way(run, way).into_iter().enumerate() {
            let goes_on = ordered.last().filter(|last| {
                let [down, up] = [&last.strand.down, &strand.up].map(|end| stop(instep, end));
                // Within a run the thread goes on: a chain comes up where its last link ended.
                at > 0 || cost.travel(down, up).is_some()
            });
            ordered.push(Ordered {
                feature,
                stage,
                strand,
                part,
                travel_mm: goes_on.map(|last| travel_mm(last.strand, strand)),
            });
        }
    }
    ordered
}

/// Straight travel from one strand to the next, mm.
fn travel_mm(from: Unsewn, to: Unsewn) -> f64 {
    from.down.at.distance(to.up.at)
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

/// How a run can be sewn: its first up and its last down, each way.
fn ways(instep: &Instep, run: &[Unsewn], turns: bool) -> Vec<[Stop; 2]> {
    let way = |way| {
        let sewn = in_way(run, way);
        [
            stop(instep, &sewn[0].up),
            stop(instep, &sewn[sewn.len() - 1].down),
        ]
    };
    (0..=usize::from(turns)).map(way).collect()
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

/// Figures of a thread whose lengths of yarn are known. For each length between start and end
/// `(sum L + sum travel + 2 thickness strands) (1 + take_up)`, and two tails.
fn figures(
    job: &Job,
    name: &str,
    strands: &[(usize, StrandPlan)],
    lengths_mm: Vec<f64>,
) -> ThreadPlan {
    let yarn = job.yarn(name);
    let length_mm = lengths_mm.iter().sum();
    let travels = || strands.iter().map(|(_, strand)| strand.travel_mm);
    let stretches = || {
        let caught = strands
            .iter()
            .map(|(_, strand)| f64::from(strand.caught + 1));
        travels()
            .zip(caught)
            .map(|(travel, pieces)| travel / pieces)
    };
    let pierces = |placed: &Placed| usize::from(placed.point.pierces());
    ThreadPlan {
        name: name.to_owned(),
        colour: job.colour(name),
        held: yarn.held,
        width_mm: yarn.width_mm(),
        strands: strands.len(),
        starts: lengths_mm.len(),
        travel_mm: travels().sum(),
        longest_float_mm: stretches().fold(0.0, f64::max),
        length_mm,
        grams: yarn.grams(length_mm),
        needlefuls: lengths_mm.len(),
        lengths_mm,
        pierced_ends: strands
            .iter()
            .map(|(_, strand)| pierces(&strand.up) + pierces(&strand.down))
            .sum(),
    }
}

/// Yarn that a strand takes on the face and twice through the fabric, take-up included, mm. On the
/// face it is its length, for a knot also the turns round the needle (`wraps pi (needle + yarn)`,
/// the needle taken as thick as the yarn), for a chain two bowed legs and the way to the next
/// link.
fn yarn_mm(job: &Job, feature: &FeaturePlan, strand: &Unsewn) -> f64 {
    let turns = f64::from(feature.wraps) * std::f64::consts::PI * 2.0 * feature.strand_mm;
    let legs = if feature.method == "chain stitch" {
        CHAIN_LINK
    } else {
        1.0
    };
    let face = legs * strand.up.at.distance(strand.down.at) + turns;
    (face + 2.0 * job.thickness_mm()) * (1.0 + job.settings.take_up)
}
