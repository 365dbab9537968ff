//! The route: in which order and from which end the strands of a thread are sewn, so that as
//! little yarn as possible lies on the inside.
//!
//! An open travelling tour over strands with two ends: exact by dynamic programming over subsets
//! up to [`EXACT`] strands (Bellman 1962, Held and Karp 1962), else annealed from a sweep and
//! then improved until no moved or turned run of strands helps.

use kurbo::Point;

/// Strands up to which every order is weighed.
const EXACT: usize = 12;
/// Random moves for each strand of a longer route.
const MOVES_A_STRAND: usize = 1_500;
/// Longest run of strands that the last improvement moves as one.
const RUN: usize = 4;

/// A needle point on the route: which one, and where it lies (mm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stop {
    pub(super) hole: u32,
    pub(super) at: Point,
}

/// Something sewn in one go: a strand, or a whole line of them. `ways` lists how it can be sewn,
/// by its first up and its last down; the second way, if any, is the first one turned round.
#[derive(Debug, Clone)]
pub(super) struct Leg {
    pub(super) ways: Vec<[Stop; 2]>,
}

/// One leg of a route and the way it is sewn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sewn {
    pub(super) leg: usize,
    pub(super) way: usize,
}

/// What travel on the inside costs, mm of yarn.
#[derive(Debug, Clone, Copy)]
pub(super) struct TravelCost {
    /// Travel longer than this ends the thread.
    pub(super) carry_mm: f64,
    /// Yarn lost by a new start.
    pub(super) start_mm: f64,
}

impl TravelCost {
    /// From one down to the next up. In one and the same needle point the stitch would pull out,
    /// and over the carry the thread ends: both cost a new start.
    pub(super) fn between(&self, down: Stop, up: Stop) -> f64 {
        let distance = down.at.distance(up.at);
        if self.breaks(down, up) {
            self.start_mm.max(distance)
        } else {
            distance
        }
    }

    /// True where the thread must be fastened off and begun again.
    pub(super) fn breaks(&self, down: Stop, up: Stop) -> bool {
        down.hole == up.hole || down.at.distance(up.at) > self.carry_mm
    }
}

/// The best route found over all legs, beginning wherever it likes, or at `from`.
pub(super) fn route(legs: &[Leg], cost: TravelCost, from: Option<Stop>) -> Vec<Sewn> {
    let travel = Travel::new(legs, cost, from);
    if legs.is_empty() {
        Vec::new()
    } else if legs.len() <= EXACT {
        exact(legs, &travel)
    } else {
        let mut found = sweep(legs, &travel);
        anneal(legs, &travel, &mut found);
        improve(legs, &travel, &mut found);
        found
    }
}

/// Travel between every two ways of every two legs.
struct Travel {
    legs: usize,
    between: Vec<f64>,
    first: Vec<f64>,
}

impl Travel {
    fn new(legs: &[Leg], cost: TravelCost, from: Option<Stop>) -> Self {
        let way = |s: usize| legs[s / 2].ways.get(s % 2);
        let states = 2 * legs.len();
        let mut between = vec![f64::INFINITY; states * states];
        let mut first = vec![f64::INFINITY; states];
        for a in 0..states {
            let Some(a_way) = way(a) else { continue };
            first[a] = from.map_or(0.0, |stop| cost.between(stop, a_way[0]));
            for b in (0..states).filter(|b| b / 2 != a / 2) {
                if let Some(b_way) = way(b) {
                    between[a * states + b] = cost.between(a_way[1], b_way[0]);
                }
            }
        }
        Self {
            legs: legs.len(),
            between,
            first,
        }
    }

    fn between(&self, a: Sewn, b: Sewn) -> f64 {
        self.between[(2 * a.leg + a.way) * 2 * self.legs + 2 * b.leg + b.way]
    }

    fn first(&self, a: Sewn) -> f64 {
        self.first[2 * a.leg + a.way]
    }

    fn total(&self, route: &[Sewn]) -> f64 {
        let steps: f64 = route.windows(2).map(|w| self.between(w[0], w[1])).sum();
        self.first(route[0]) + steps
    }
}

fn exact(legs: &[Leg], travel: &Travel) -> Vec<Sewn> {
    let states = 2 * legs.len();
    let sewn = |state: usize| Sewn {
        leg: state / 2,
        way: state % 2,
    };
    let sets = 1_usize << legs.len();
    let mut best = vec![f64::INFINITY; sets * states];
    let mut before = vec![usize::MAX; sets * states];
    for state in 0..states {
        best[(1 << (state / 2)) * states + state] = travel.first(sewn(state));
    }
    for set in 1..sets {
        for last in 0..states {
            let here = best[set * states + last];
            if !here.is_finite() {
                continue;
            }
            for next in (0..states).filter(|next| set >> (next / 2) & 1 == 0) {
                let at = (set | 1 << (next / 2)) * states + next;
                let there = here + travel.between(sewn(last), sewn(next));
                if there < best[at] {
                    best[at] = there;
                    before[at] = last;
                }
            }
        }
    }
    let mut set = sets - 1;
    let mut state = (0..states)
        .min_by(|&a, &b| best[set * states + a].total_cmp(&best[set * states + b]))
        .unwrap_or(0);
    let mut route = Vec::new();
    while state != usize::MAX {
        route.push(sewn(state));
        let earlier = before[set * states + state];
        set &= !(1 << (state / 2));
        state = earlier;
    }
    route.reverse();
    route
}

/// The nearest next leg each time, from the best of every beginning.
fn sweep(legs: &[Leg], travel: &Travel) -> Vec<Sewn> {
    let ways = |leg: usize| (0..legs[leg].ways.len()).map(move |way| Sewn { leg, way });
    (0..legs.len())
        .flat_map(ways)
        .map(|start| {
            let mut open: Vec<usize> = (0..legs.len()).filter(|&leg| leg != start.leg).collect();
            let mut route = vec![start];
            while let Some(next) = open.iter().flat_map(|&leg| ways(leg)).min_by(|&a, &b| {
                let last = route[route.len() - 1];
                travel.between(last, a).total_cmp(&travel.between(last, b))
            }) {
                open.retain(|&leg| leg != next.leg);
                route.push(next);
            }
            route
        })
        .min_by(|a, b| travel.total(a).total_cmp(&travel.total(b)))
        .unwrap_or_default()
}

fn anneal(legs: &[Leg], travel: &Travel, route: &mut Vec<Sewn>) {
    let mut random = fastrand::Rng::with_seed(1);
    let mut total = travel.total(route);
    let mut best = (total, route.clone());
    let warmth = total / route.len() as f64;
    let moves = MOVES_A_STRAND * route.len();
    for step in 0..moves {
        let heat = warmth * (1.0 - step as f64 / moves as f64).powi(2) + 1e-9;
        let first = random.usize(0..route.len());
        let last = (first + random.usize(0..route.len().min(9))).min(route.len() - 1);
        let other = turned(legs, &route[first..=last]);
        let to = random.usize(0..route.len());
        let mut new = route.clone();
        if random.bool() {
            new.splice(first..=last, other);
        } else {
            let run: Vec<Sewn> = new.drain(first..=last).collect();
            let run = if random.bool() { run } else { other };
            let to = to.min(new.len());
            new.splice(to..to, run);
        }
        let changed = travel.total(&new);
        if changed <= total - heat * random.f64().max(1e-12).ln() {
            total = changed;
            *route = new;
            if total < best.0 {
                best = (total, route.clone());
            }
        }
    }
    *route = best.1;
}

/// Moves and turns runs of strands until nothing helps.
fn improve(legs: &[Leg], travel: &Travel, route: &mut Vec<Sewn>) {
    let mut total = travel.total(route);
    loop {
        let mut better: Option<(f64, Vec<Sewn>)> = None;
        let mut weigh = |new: Vec<Sewn>| {
            let changed = travel.total(&new);
            if changed < better.as_ref().map_or(total, |b| b.0) - 1e-9 {
                better = Some((changed, new));
            }
        };
        for first in 0..route.len() {
            for last in first..route.len() {
                let other = turned(legs, &route[first..=last]);
                let mut new = route.clone();
                new.splice(first..=last, other.iter().copied());
                weigh(new);
                if last - first >= RUN {
                    continue;
                }
                let mut rest = route.clone();
                let run: Vec<Sewn> = rest.drain(first..=last).collect();
                for to in 0..=rest.len() {
                    for run in [&run, &other] {
                        let mut new = rest.clone();
                        new.splice(to..to, run.iter().copied());
                        weigh(new);
                    }
                }
            }
        }
        match better {
            Some((changed, new)) => (total, *route) = (changed, new),
            None => return,
        }
    }
}

/// A run sewn the other way round: from its last leg to its first, each turned if it can be.
fn turned(legs: &[Leg], run: &[Sewn]) -> Vec<Sewn> {
    run.iter()
        .rev()
        .map(|sewn| Sewn {
            way: legs[sewn.leg].ways.len() - 1 - sewn.way,
            ..*sewn
        })
        .collect()
}
