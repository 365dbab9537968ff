//! Every order of a few legs, by dynamic programming over subsets (Bellman 1962; Held and Karp
//! 1962): first the least travel through every set of legs in one needleful, then the cheapest
//! way to make the whole of such sets.

use super::{Leg, Sewn, TravelCost};

/// The cheapest route over at most a dozen legs.
pub(super) fn route(legs: &[Leg], cost: TravelCost) -> Vec<Sewn> {
    let paths = Paths::new(legs, cost);
    let sets = 1_usize << legs.len();
    let mut best = vec![f64::INFINITY; sets];
    let mut last = vec![0; sets];
    best[0] = 0.0;
    let needlefuls: Vec<f64> = (0..sets).map(|set| paths.needleful(set)).collect();
    for all in 1..sets {
        // The last needleful of a set: each of its subsets, the set itself first.
        let mut piece = all;
        while piece > 0 {
            let yarn = best[all ^ piece] + needlefuls[piece];
            if yarn < best[all] && paths.may_follow(all ^ piece, piece) {
                best[all] = yarn;
                last[all] = piece;
            }
            piece = (piece - 1) & all;
        }
    }
    let mut pieces = Vec::new();
    let mut left = sets - 1;
    while left > 0 {
        pieces.push(last[left]);
        left ^= last[left];
    }
    pieces
        .into_iter()
        .rev()
        .flat_map(|piece| paths.path(piece))
        .collect()
}

/// The least travel through every set of legs without a new start.
struct Paths<'a> {
    legs: &'a [Leg],
    cost: TravelCost,
    states: usize,
    /// Yarn from every state to every other, by the other first; a state is a leg sewn one way.
    between: Vec<f64>,
    /// Yarn of the travel by set and last state; infinite where that is not of the set.
    travel: Vec<f64>,
    /// Yarn of the travel by set, the last state free.
    least: Vec<f64>,
}

fn sewn(state: usize) -> Sewn {
    Sewn {
        leg: state / 2,
        way: state % 2,
    }
}

impl<'a> Paths<'a> {
    fn new(legs: &'a [Leg], cost: TravelCost) -> Self {
        let states = 2 * legs.len();
        let sets = 1_usize << legs.len();
        let between = between(legs, cost);
        let mut travel = vec![f64::INFINITY; sets * states];
        for (leg, ways) in legs.iter().map(|leg| leg.ways.len()).enumerate() {
            for way in 0..ways {
                travel[(1 << leg) * states + 2 * leg + way] = 0.0;
            }
        }
        for set in 1..sets {
            if set.is_power_of_two() {
                continue;
            }
            for last in (0..states).filter(|last| set >> (last / 2) & 1 == 1) {
                let (earlier, here) = travel.split_at_mut(set * states);
                let earlier = &earlier[(set ^ 1 << (last / 2)) * states..][..states];
                let between = &between[last * states..][..states];
                let yarn = earlier.iter().zip(between).map(|(yarn, leap)| yarn + leap);
                here[last] = yarn.fold(f64::INFINITY, |a, b| if b < a { b } else { a });
            }
        }
        let least = travel
            .chunks_exact(states)
            .map(|ends| ends.iter().copied().fold(f64::INFINITY, f64::min))
            .collect();
        Self {
            legs,
            cost,
            states,
            between,
            travel,
            least,
        }
    }

    fn members(&self, set: usize) -> impl Iterator<Item = &Leg> {
        let legs = self.legs.iter().enumerate();
        legs.filter(move |(leg, _)| set >> leg & 1 == 1)
            .map(|(_, leg)| leg)
    }

    /// Yarn that a needleful over a set costs beyond what its legs take anyway; infinite where it
    /// does not hold them. A single leg that is too long is cut later.
    fn needleful(&self, set: usize) -> f64 {
        let travel = self.least[set];
        let taken: f64 = self.members(set).map(|leg| leg.yarn_mm).sum();
        if set.count_ones() > 1 && taken + travel > self.cost.room_mm {
            return f64::INFINITY;
        }
        self.cost.start_mm + travel
    }

    /// Whether a set may be sewn once others are: none of those is to lie on top of it.
    fn may_follow(&self, sewn: usize, set: usize) -> bool {
        let top = self.members(sewn).map(|leg| leg.stage).max();
        self.members(set).all(|leg| Some(leg.stage) >= top)
    }

    /// The path through a set.
    fn path(&self, mut set: usize) -> Vec<Sewn> {
        let mut path: Vec<Sewn> = Vec::new();
        let mut leaps = vec![0.0; self.states];
        while set != 0 {
            let ends = self.travel[set * self.states..].iter().zip(&leaps);
            let least = (0..self.states)
                .zip(ends)
                .min_by(|(_, a), (_, b)| (a.0 + a.1).total_cmp(&(b.0 + b.1)));
            let Some((last, _)) = least else {
                break;
            };
            path.push(sewn(last));
            leaps.copy_from_slice(&self.between[last * self.states..][..self.states]);
            set &= !(1 << (last / 2));
        }
        path.reverse();
        path
    }
}

/// Yarn from every state to every other, by the other first; infinite where the thread would end,
/// or what lies on top would come first.
fn between(legs: &[Leg], cost: TravelCost) -> Vec<f64> {
    let way = |state: usize| legs[state / 2].ways.get(state % 2);
    let states = 2 * legs.len();
    let mut between = vec![f64::INFINITY; states * states];
    for a in 0..states {
        for b in (0..states).filter(|b| legs[b / 2].stage >= legs[a / 2].stage) {
            if let (Some(a_way), Some(b_way)) = (way(a), way(b)) {
                between[b * states + a] = cost.travel(a_way[1], b_way[0]).unwrap_or(f64::INFINITY);
            }
        }
    }
    between
}
