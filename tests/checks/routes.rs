//! Routes against a lower bound that no order of the strands can beat.

use std::collections::BTreeMap;

use instep::fabric::{Gauge, Hand, NeedlePoint, Rounds, ShellSpec};
use instep::files::bundled::FACES;
use instep::weave::{FeaturePlan, Job, Plan, StrandPlan};
use kurbo::Point;

use super::planned::{face, job, plan};
use super::slippers::{slipper, yarn};

/// A strand or a line, as a route passes it: its ends, whether it may be sewn from either, its
/// stage, and the yarn it takes anyway.
struct Leg {
    ends: [(NeedlePoint, Point); 2],
    turns: bool,
    stage: usize,
    yarn_mm: f64,
}

/// What may be sewn without another thread between: the legs of some stages of one thread.
struct Group {
    legs: Vec<Leg>,
    /// Yarn as planned: travel with take-up, and two tails a start.
    planned_mm: f64,
    /// Lengths of yarn as planned.
    starts: usize,
}

/// Yarn lost by a new start, and what a needleful holds, mm: two tails of 150, and 900 less them.
const START_MM: f64 = 300.0;
const ROOM_MM: f64 = 600.0;
const CARRY_MM: f64 = 60.0;
const TAKE_UP: f64 = 1.05;

fn groups(job: &Job, plan: &Plan) -> Vec<Group> {
    let mut stages: BTreeMap<usize, Vec<(&FeaturePlan, &StrandPlan)>> = BTreeMap::new();
    for feature in &plan.features {
        for strand in &feature.strands {
            stages
                .entry(strand.stage)
                .or_default()
                .push((feature, strand));
        }
    }
    let mut groups: Vec<(&str, Group)> = Vec::new();
    for (stage, mut strands) in stages {
        strands.sort_by_key(|(_, strand)| strand.order);
        let thread = strands[0].0.thread.as_str();
        if groups.last().is_none_or(|(last, _)| *last != thread) {
            let empty = Group {
                legs: Vec::new(),
                planned_mm: 0.0,
                starts: 0,
            };
            groups.push((thread, empty));
        }
        let Some((_, group)) = groups.last_mut() else {
            continue;
        };
        // The strands of a line are sewn one after the other; every other one is a leg of its own.
        let in_one = |a: &(&FeaturePlan, &StrandPlan), b: &(&FeaturePlan, &StrandPlan)| {
            std::ptr::eq(a.0, b.0) && !a.0.is_fill() && a.0.wraps == 0
        };
        for run in strands.chunk_by(in_one) {
            let (first, last) = (run[0], run[run.len() - 1]);
            let inside: f64 = run[1..].iter().map(|(_, s)| s.travel_mm).sum();
            let starts = run.iter().filter(|(_, strand)| strand.start).count();
            let own = run
                .iter()
                .map(|&(feature, strand)| yarn_mm(job, feature, strand));
            group.legs.push(Leg {
                ends: [first.1.up, last.1.down].map(|end| (end.point, end.at)),
                turns: !["satin", "chain stitch"].contains(&first.0.method.as_str()),
                stage,
                yarn_mm: own.sum::<f64>() + TAKE_UP * inside,
            });
            group.starts += starts;
            group.planned_mm += TAKE_UP * first.1.travel_mm + START_MM * starts as f64;
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

fn yarn_mm(job: &Job, feature: &FeaturePlan, strand: &StrandPlan) -> f64 {
    let turns = f64::from(feature.wraps) * std::f64::consts::TAU * feature.strand_mm;
    let through = 4.0 * job.slipper.yarn.width_mm();
    TAKE_UP * (strand.length_mm + turns + through)
}

impl Group {
    /// The fewest lengths of yarn that can hold the legs: their yarn and the least travel.
    fn fewest_lengths(&self) -> usize {
        let laid: f64 = self.legs.iter().map(|leg| leg.yarn_mm).sum();
        let holds = |lengths: &usize| {
            *lengths as f64 * ROOM_MM >= laid + self.travel_bound_mm(*lengths) - 1e-6
        };
        (1..=self.legs.len()).find(holds).unwrap_or(self.legs.len())
    }

    /// Travel that no route of so many lengths can do with less of, mm of yarn.
    ///
    /// `p` lengths of yarn over `n` legs are `p` paths, and their `n - p` travels a forest of the
    /// legs in which each end of a leg is met once at most, and each step from one stage to the
    /// next is made once at most. Both limits are priced instead of kept (Lagrange; Held and Karp
    /// 1970): for any prices the cheapest forest less the prices of all limits is a lower bound,
    /// and the prices are bettered by subgradient steps. The cheapest forest of `n - p` edges is
    /// the least spanning tree without its `p - 1` dearest edges.
    fn travel_bound_mm(&self, lengths: usize) -> f64 {
        let ends = 2 * self.legs.len();
        let travel: Vec<Vec<f64>> = (0..ends)
            .map(|a| (0..ends).map(|b| self.travel_mm(a, b)).collect())
            .collect();
        let first = self.legs.iter().map(|leg| leg.stage).min().unwrap_or(0);
        let stages = self.legs.iter().map(|leg| leg.stage - first).max();
        let (mut of_end, mut of_stage) = (vec![0.0; ends], vec![0.0; stages.unwrap_or(0)]);
        let step = |a: usize, b: usize| {
            let [a, b] = [a, b].map(|end| self.legs[end / 2].stage - first);
            (a != b).then(|| a.min(b))
        };
        let (mut best, mut size) = (0.0_f64, 1.0);
        for round in 1..=600 {
            let priced = |a: usize, b: usize| {
                travel[a][b] + of_end[a] + of_end[b] + step(a, b).map_or(0.0, |s| of_stage[s])
            };
            let forest = forest(self.legs.len(), lengths, priced);
            let prices: f64 = of_end.iter().chain(&of_stage).sum();
            let cost: f64 = forest.iter().map(|&(a, b)| priced(a, b)).sum();
            best = best.max(cost - prices);
            // How often each limit is met beyond once.
            let mut over_end = vec![-1.0; ends];
            let mut over_stage = vec![-1.0; of_stage.len()];
            for &(a, b) in &forest {
                over_end[a] += 1.0;
                over_end[b] += 1.0;
                if let Some(stage) = step(a, b) {
                    over_stage[stage] += 1.0;
                }
            }
            let over = over_end.iter().chain(&over_stage);
            let length = over.map(|over| over * over).sum::<f64>().sqrt().max(1.0);
            if round % 30 == 0 {
                size *= 0.75;
            }
            let scale = size * (0.02 * best + 0.3) / length;
            for (price, over) in of_end.iter_mut().zip(over_end) {
                *price = f64::max(0.0, *price + scale * over);
            }
            for (price, over) in of_stage.iter_mut().zip(over_stage) {
                *price = f64::max(0.0, *price + scale * over);
            }
        }
        best
    }

    /// Yarn between two ends, whichever is sewn first; a new start where it may not go on, and
    /// nothing at all where no route joins the two.
    fn travel_mm(&self, a: usize, b: usize) -> f64 {
        let goes = |from: usize, to: usize| {
            let (one, other) = (&self.legs[from / 2], &self.legs[to / 2]);
            let out = one.turns || from % 2 == 1;
            let into = other.turns || to.is_multiple_of(2);
            out && into && (other.stage == one.stage || other.stage == one.stage + 1)
        };
        if a / 2 == b / 2 || !(goes(a, b) || goes(b, a)) {
            return f64::INFINITY;
        }
        let [(a_point, a_at), (b_point, b_at)] = [a, b].map(|end| self.legs[end / 2].ends[end % 2]);
        let way = a_at.distance(b_at);
        if a_point == b_point || way > CARRY_MM {
            START_MM
        } else {
            TAKE_UP * way
        }
    }
}

/// The cheapest forest of so many trees over the legs, as pairs of ends (Prim's tree without its
/// dearest edges).
fn forest(legs: usize, trees: usize, cost: impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    let mut nearest = vec![(f64::INFINITY, (0, 0)); legs];
    let mut is_in = vec![false; legs];
    let mut edges = Vec::new();
    let mut last = 0;
    is_in[0] = true;
    for _ in 1..legs {
        for leg in (0..legs).filter(|&leg| !is_in[leg]) {
            for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                let (a, b) = (2 * last + a, 2 * leg + b);
                let here = cost(a, b);
                if here < nearest[leg].0 {
                    nearest[leg] = (here, (a, b));
                }
            }
        }
        let open = (0..legs).filter(|&leg| !is_in[leg]);
        let Some(next) = open.min_by(|&a, &b| nearest[a].0.total_cmp(&nearest[b].0)) else {
            break;
        };
        edges.push(nearest[next]);
        is_in[next] = true;
        last = next;
    }
    edges.sort_by(|a, b| a.0.total_cmp(&b.0));
    edges.truncate(legs.saturating_sub(trees));
    edges.into_iter().map(|edge| edge.1).collect()
}

/// Bulky, worsted and sport gauge, joined rounds, and a left hand.
fn slippers() -> Vec<(&'static str, Job)> {
    use Hand::{Left, Right};
    use Rounds::{Joined, Spiral};
    let on = |(hand, rounds): (Hand, Rounds), gauge: (f64, f64), lean, wraps, toe: &[u32], even| {
        let spec = ShellSpec {
            gauge: Gauge::from_swatch(gauge.0, gauge.1, 100.0),
            hand,
            rounds,
            toe: toe.to_vec(),
            even_rounds: even,
            lean,
            flat_stitches: 2 * toe[toe.len() - 1] / 3,
            extra_before_turn: 0,
            centre_stitch: None,
        };
        let mut slipper = slipper(spec, Some(225.0));
        slipper.yarn = yarn(wraps, 1, 20.0 * wraps);
        let mut job = job(slipper, face(FACES[0].text));
        // Seats take long and make no other routes.
        job.settings.seat = false;
        job
    };
    let worsted: &[u32] = &[8, 16, 24, 30];
    vec![
        (
            "bulky",
            on(
                (Right, Spiral),
                (10.5, 10.5),
                0.25,
                7.0,
                &[6, 12, 18, 22],
                12,
            ),
        ),
        (
            "worsted",
            on((Right, Spiral), (14.0, 16.0), 0.25, 9.0, worsted, 16),
        ),
        (
            "sport",
            on(
                (Right, Spiral),
                (18.0, 20.0),
                0.22,
                13.0,
                &[8, 16, 24, 32, 40],
                20,
            ),
        ),
        (
            "joined",
            on((Right, Joined), (14.0, 16.0), 0.2, 9.0, worsted, 16),
        ),
        (
            "left-handed",
            on((Left, Spiral), (14.0, 16.0), 0.3, 9.0, worsted, 16),
        ),
    ]
}

/// Travel and starts together, in mm of yarn, against the least travel for as many lengths. The
/// bound does not know that whole strands fill a needleful, so single routes may stay farther from
/// it than they are from the best: integer programs showed one route to be the best there is whose
/// travel is 14 % over the bound, and another to need a length more than would hold its yarn if
/// that could be cut anywhere.
#[test]
#[expect(
    clippy::print_stdout,
    reason = "with --nocapture, the table of the guide"
)]
fn routes_take_at_most_two_per_cent_more_yarn_than_the_bound() {
    let (mut routes, mut lengths_more) = (0, 0);
    for (name, job) in slippers() {
        let (mut planned, mut bound, mut worst) = (0.0, 0.0, (0.0, ""));
        for bundled in FACES {
            let job = Job {
                face: face(bundled.text),
                ..job.clone()
            };
            let (mut of_face, mut least) = (0.0, 0.0);
            for group in groups(&job, &plan(&job)) {
                let bound_mm = START_MM * group.starts as f64 + group.travel_bound_mm(group.starts);
                let what = format!("{name}: {} of {} legs", bundled.name, group.legs.len());
                assert!(group.planned_mm >= bound_mm - 1e-6, "{what}: under a bound");
                let more = group.starts - group.fewest_lengths();
                assert!(more <= 1, "{what}: {} lengths", group.starts);
                lengths_more += more;
                of_face += group.planned_mm;
                least += bound_mm;
                routes += 1;
            }
            if of_face / least > worst.0 {
                worst = (of_face / least, bundled.name);
            }
            planned += of_face;
            bound += least;
        }
        println!(
            "{name}: {planned:.0} mm, bound {bound:.0} mm, {:.2} % more; most {:.2} % for {}",
            100.0 * (planned / bound - 1.0),
            100.0 * (worst.0 - 1.0),
            worst.1
        );
        assert!(planned <= 1.02 * bound, "{name}: {planned} of {bound}");
        // Single faces are a route or two, where the bound is loosest.
        assert!(worst.0 <= 1.05, "{name}: {worst:?}");
    }
    println!("{routes} routes, {lengths_more} lengths more than the fewest");
    assert!(routes > 90, "{routes}");
    // Measured: 4 of 95, 300 mm each; 6 with other fillings. One of those was shown to be needed;
    // the others were not looked into.
    assert!(lengths_more <= 6, "{lengths_more} of {routes}");
}
