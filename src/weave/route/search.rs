//! Routes over many legs: begun greedily, bettered by moved and turned runs of legs, thrown off
//! now and then and bettered again; first as if needlefuls had no end, then with the starts where
//! they hold the yarn.
//!
//! A route is a ring of legs and *starts*: a start stands for fastening off and beginning again,
//! and costs half of that on either side. A move cuts the ring in three places and joins the two
//! runs between in another order, either or both turned (the moves of Lin 1965: so a run moved, or
//! turned, or both); which moves are looked at is bounded by what the first new joint may cost. A
//! throw exchanges three neighbouring runs, which no such move can undo (Martin, Otto and Felten
//! 1991); it is taken back where the route does not end as good as before. All stops on counts,
//! and the random numbers have a fixed seed.

mod moves;
mod table;

use self::moves::Move;
use self::table::Table;
use super::{Leg, Sewn, TravelCost};

/// Throws. Fewer, and routes stay longer: over 70 routes of 13 to 87 legs 100 throws came to 0.2 %
/// more yarn than 600; more take longer: 72 legs took about 10 ms of processor time.
const THROWS: usize = 200;
/// Longest of the three runs that a throw exchanges.
const THROWN: usize = 6;
/// What each mm of yarn too much for its needleful costs, mm: enough that it never pays.
const OVERFULL: f64 = 50.0;
/// Moves tried at an item, the best first: one may overfill a needleful.
const TRIED: usize = 4;

/// Starts tried beyond what the yarn needs without its travel, where whole legs do not fill the
/// needlefuls.
const SPARE: usize = 2;

/// The cheapest route found, with as few starts as hold the yarn.
pub(super) fn route(legs: &[Leg], cost: TravelCost) -> Vec<Sewn> {
    let taken: f64 = legs.iter().map(|leg| leg.yarn_mm).sum();
    let too_long = |leg: &Leg| f64::max(0.0, leg.yarn_mm - cost.room_mm);
    let too_long: f64 = legs.iter().map(too_long).sum();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small count, not negative"
    )]
    let needed = (taken / cost.room_mm).ceil().max(1.0) as usize;
    let mut ring = Vec::new();
    for starts in needed..=needed + SPARE {
        let table = Table::new(legs, cost, starts);
        let mut route = Ring::greedy(&table);
        route.search(THROWS / 2);
        // Without regard to the needlefuls it is as short as it will be.
        let room = starts as f64 * cost.room_mm + too_long;
        let hopeless = taken + route.cost - starts as f64 * cost.start_mm > room;
        if hopeless && starts < needed + SPARE {
            continue;
        }
        route.fill_needlefuls();
        route.search(THROWS);
        let holds = route.overfull <= too_long + 1e-6;
        ring = route.ring;
        if holds {
            break;
        }
    }
    let sewn = ring.into_iter().map(|state| Sewn {
        leg: state / 2,
        way: state % 2,
    });
    sewn.filter(|sewn| sewn.leg < legs.len()).collect()
}

/// A route while it is bettered.
struct Ring<'a> {
    table: &'a Table<'a>,
    /// What a needleful holds, mm.
    room_mm: f64,
    /// States in working order; the first is a start and stays there.
    ring: Vec<usize>,
    /// Where each item stands.
    place: Vec<usize>,
    /// Legs before each place that cannot be turned.
    fixed: Vec<usize>,
    /// Stage of the last leg before each place.
    stage: Vec<usize>,
    /// Yarn of the joint behind each place.
    behind: Vec<f64>,
    /// Yarn of all joints, and [`OVERFULL`] for what is too much for a needleful.
    cost: f64,
    overfull: f64,
}

impl<'a> Ring<'a> {
    /// The nearest next leg each time, needlefuls without end.
    fn greedy(table: &'a Table<'a>) -> Self {
        let mut ring = vec![2 * table.legs.len()];
        let mut open: Vec<usize> = (0..table.legs.len()).collect();
        while let Some(stage) = open.iter().map(|&leg| table.legs[leg].stage).min() {
            let last = ring[ring.len() - 1];
            let ready = open.iter().filter(|&&leg| table.legs[leg].stage == stage);
            let next = ready
                .flat_map(|&leg| [2 * leg, 2 * leg + 1])
                .filter(|&state| table.joint(last, state).is_finite())
                .min_by(|&a, &b| table.joint(last, a).total_cmp(&table.joint(last, b)));
            let Some(next) = next else { break };
            open.retain(|&leg| leg != next / 2);
            ring.push(next);
        }
        ring.extend((table.legs.len() + 1..table.items()).map(|start| 2 * start));
        let mut new = Self {
            table,
            room_mm: f64::INFINITY,
            place: vec![0; ring.len()],
            behind: vec![0.0; ring.len()],
            fixed: vec![0; ring.len() + 1],
            stage: vec![0; ring.len() + 1],
            ring,
            cost: 0.0,
            overfull: 0.0,
        };
        new.look_again();
        new
    }

    /// Betters the route, throws it off and betters it again, and keeps the best.
    fn search(&mut self, throws: usize) {
        let all: Vec<usize> = (0..self.table.items()).collect();
        self.improve(&all);
        let mut random = fastrand::Rng::with_seed(1);
        let mut best = (self.cost, self.ring.clone());
        for _ in 0..throws {
            let Some(touched) = self.throw(&mut random) else {
                continue;
            };
            self.improve(&touched);
            if self.cost <= best.0 + 1e-9 {
                best.0 = self.cost;
                best.1.copy_from_slice(&self.ring);
            } else {
                self.ring.copy_from_slice(&best.1);
                self.look_again();
            }
        }
    }

    /// From now on needlefuls end: the starts are put where they hold the order as it is, as well
    /// as they can (the cheapest division of the first legs among so many starts follows from
    /// those of fewer).
    fn fill_needlefuls(&mut self) {
        let table = self.table;
        self.room_mm = table.cost.room_mm;
        let is_leg = |state: &usize| table.leg(*state).is_some();
        let legs: Vec<usize> = self.ring.iter().copied().filter(is_leg).collect();
        let mut best = vec![vec![(f64::INFINITY, 0); legs.len() + 1]; table.starts + 1];
        best[0][0].0 = 0.0;
        for starts in 1..=table.starts {
            for end in 1..=legs.len() {
                let (mut taken, mut travel) = (0.0, 0.0);
                for first in (0..end).rev() {
                    taken += table.legs[legs[first] / 2].yarn_mm;
                    let over = OVERFULL * f64::max(0.0, taken + travel - self.room_mm);
                    let cost = best[starts - 1][first].0 + travel + over;
                    if cost < best[starts][end].0 {
                        best[starts][end] = (cost, first);
                    }
                    if first > 0 {
                        travel += table.joint(legs[first - 1], legs[first]);
                    }
                }
            }
        }
        let mut ring = Vec::new();
        let mut end = legs.len();
        for starts in (1..=table.starts).rev() {
            let first = best[starts][end].1;
            ring.extend(legs[first..end].iter().rev());
            ring.push(2 * (table.legs.len() + starts - 1));
            end = first;
        }
        ring.reverse();
        self.ring = ring;
        self.look_again();
    }

    /// Everything that follows from the ring.
    fn look_again(&mut self) {
        let table = self.table;
        let (mut cost, mut overfull, mut taken) = (0.0, 0.0, 0.0);
        let mut last = self.ring[self.ring.len() - 1];
        for (at, &state) in self.ring.iter().enumerate() {
            self.place[state / 2] = at;
            let leg = table.leg(state);
            self.fixed[at + 1] =
                self.fixed[at] + leg.map_or(0, |leg| usize::from(leg.ways.len() < 2));
            self.stage[at + 1] = leg.map_or(self.stage[at], |leg| leg.stage);
            let joint = table.joint(last, state);
            self.behind[if at == 0 { self.ring.len() } else { at } - 1] = joint;
            cost += joint;
            taken = match leg {
                Some(leg) if joint < table.cost.start_mm / 2.0 => taken + joint + leg.yarn_mm,
                _ => {
                    overfull += f64::max(0.0, taken - self.room_mm);
                    leg.map_or(0.0, |leg| leg.yarn_mm)
                }
            };
            last = state;
        }
        overfull += f64::max(0.0, taken - self.room_mm);
        (self.cost, self.overfull) = (cost + OVERFULL * overfull, overfull);
    }

    /// The state at a place; the ring is closed.
    fn at(&self, place: usize) -> usize {
        self.ring[if place == self.ring.len() { 0 } else { place }]
    }

    /// Makes moves at the joints of some items, and of all that these touch, until none helps.
    fn improve(&mut self, items: &[usize]) {
        let mut open = items.to_vec();
        let mut is_open = vec![false; self.ring.len()];
        open.iter().for_each(|&item| is_open[item] = true);
        while let Some(item) = open.pop() {
            is_open[item] = false;
            while let Some(touched) = self.improve_at(item) {
                for other in touched {
                    if other != item && !is_open[other] {
                        is_open[other] = true;
                        open.push(other);
                    }
                }
            }
        }
    }

    /// Makes the best move found at the joints of an item; returns the items at its cuts.
    fn improve_at(&mut self, item: usize) -> Option<[usize; 6]> {
        let mut best: [Option<(f64, Move)>; TRIED] = [None; TRIED];
        let mut enough = OVERFULL * self.overfull - 1e-9;
        self.moves_at(self.place[item], &mut |made: Move| {
            let change = self.change(made);
            if change < enough && self.may_be(made) {
                let worse = |kept: &Option<(f64, Move)>| kept.is_none_or(|kept| change < kept.0);
                if let Some(at) = best.iter().position(worse) {
                    best[at..].rotate_right(1);
                    best[at] = Some((change, made));
                }
                if let Some((most, _)) = best[TRIED - 1] {
                    enough = most;
                }
            }
        });
        for (_, made) in best.into_iter().flatten() {
            let before = self.cost;
            self.make(made);
            if self.cost < before - 1e-9 {
                let [i, j, k] = made.cuts;
                return Some([i - 1, i, j - 1, j, k - 1, k].map(|end| self.at(end) / 2));
            }
            self.unmake(made);
        }
        None
    }

    /// Exchanges three neighbouring runs, the last first; returns the items at the cuts, or
    /// nothing where that may not be.
    fn throw(&mut self, random: &mut fastrand::Rng) -> Option<[usize; 8]> {
        let mut cuts = [random.usize(1..self.ring.len()); 4];
        for next in 1..4 {
            cuts[next] = cuts[next - 1] + random.usize(1..=THROWN);
        }
        let [i, _, _, l] = cuts;
        if l > self.ring.len() || self.stage[i + 1] != self.stage[l] {
            return None;
        }
        let runs = [2, 1, 0].map(|run| self.ring[cuts[run]..cuts[run + 1]].to_vec());
        self.ring[i..l].copy_from_slice(&runs.concat());
        self.look_again();
        let [first, second, _] = runs.map(|run| run.len());
        let (j, k) = (i + first, i + first + second);
        Some([i - 1, i, j - 1, j, k - 1, k, l - 1, l].map(|end| self.at(end) / 2))
    }
}
