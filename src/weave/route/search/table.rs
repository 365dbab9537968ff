//! What it costs to join any two legs of a route, and which joints cost least.

use super::super::{Leg, TravelCost};

/// Nearest legs looked at for a new joint.
const NEAR: usize = 5;

/// What joints cost. A state is an item sewn one way: twice its number, and 1 if turned; items
/// are the legs, then the starts.
pub(super) struct Table<'a> {
    pub(super) legs: &'a [Leg],
    pub(super) cost: TravelCost,
    pub(super) starts: usize,
    /// Yarn from the end of one state to the beginning of another.
    joint: Vec<f64>,
    /// The states that cost least after each, and before each.
    pub(super) after: Vec<Vec<usize>>,
    pub(super) before: Vec<Vec<usize>>,
}

impl<'a> Table<'a> {
    pub(super) fn new(legs: &'a [Leg], cost: TravelCost, starts: usize) -> Self {
        let states = 2 * (legs.len() + starts);
        let mut joint = vec![0.0; states * states];
        for a in 0..states {
            for b in 0..states {
                joint[a * states + b] = yarn_between(legs, cost, a, b);
            }
        }
        let sorted = |yarn: &dyn Fn(usize) -> f64, own: usize| {
            let mut near: Vec<usize> = (0..2 * legs.len())
                .filter(|state| state / 2 != own / 2 && yarn(*state) < cost.start_mm)
                .collect();
            near.sort_by(|&a, &b| yarn(a).total_cmp(&yarn(b)).then(a.cmp(&b)));
            near.truncate(NEAR);
            near
        };
        let after = (0..states).map(|a| sorted(&|b| joint[a * states + b], a));
        let before = (0..states).map(|b| sorted(&|a| joint[a * states + b], b));
        let (after, before) = (after.collect(), before.collect());
        Self {
            legs,
            cost,
            starts,
            joint,
            after,
            before,
        }
    }

    pub(super) fn items(&self) -> usize {
        self.legs.len() + self.starts
    }

    pub(super) fn joint(&self, a: usize, b: usize) -> f64 {
        self.joint[a * 2 * self.items() + b]
    }

    pub(super) fn leg(&self, state: usize) -> Option<&Leg> {
        self.legs.get(state / 2)
    }
}

/// Yarn of a joint: half a start beside a start, nothing between two, a whole one where the thread
/// ends; no leg is joined that cannot be turned and is.
fn yarn_between(legs: &[Leg], cost: TravelCost, a: usize, b: usize) -> f64 {
    match (legs.get(a / 2), legs.get(b / 2)) {
        (None, None) => 0.0,
        (None, Some(_)) | (Some(_), None) => cost.start_mm / 2.0,
        (Some(from), Some(to)) => match (from.ways.get(a % 2), to.ways.get(b % 2)) {
            (Some(from), Some(to)) => cost.travel(from[1], to[0]).unwrap_or(cost.start_mm),
            _ => f64::INFINITY,
        },
    }
}
