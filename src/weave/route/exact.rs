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
    /// Yarn of the travel by set and last state; a state is a leg sewn one way.
    travel: Vec<f64>,
    /// The state before.
    before: Vec<usize>,
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
        let mut before = vec![usize::MAX; sets * states];
        for (leg, ways) in legs.iter().map(|leg| leg.ways.len()).enumerate() {
            for way in 0..ways {
                travel[(1 << leg) * states + 2 * leg + way] = 0.0;
            }
        }
        for set in 1..sets {
            for last in (0..states).filter(|last| set >> (last / 2) & 1 == 1) {
                let here = travel[set * states + last];
                if here.is_infinite() {
                    continue;
                }
                for next in (0..states).filter(|next| set >> (next / 2) & 1 == 0) {
                    let at = (set | 1 << (next / 2)) * states + next;
                    let there = here + between[last * states + next];
                    if there < travel[at] {
                        travel[at] = there;
                        before[at] = last;
                    }
                }
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
            travel,
            before,
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
        let ends = &self.travel[set * self.states..][..self.states];
        let last = (0..self.states).min_by(|&a, &b| ends[a].total_cmp(&ends[b]));
        let mut path = Vec::new();
        let mut state = last.unwrap_or(usize::MAX);
        while state != usize::MAX {
            path.push(sewn(state));
            let earlier = self.before[set * self.states + state];
            set &= !(1 << (state / 2));
            state = earlier;
        }
        path.reverse();
        path
    }
}

/// Yarn from every state to every other; infinite where the thread would end, or what lies on top
/// would come first.
fn between(legs: &[Leg], cost: TravelCost) -> Vec<f64> {
    let way = |state: usize| legs[state / 2].ways.get(state % 2);
    let states = 2 * legs.len();
    let mut between = vec![f64::INFINITY; states * states];
    for a in 0..states {
        for b in (0..states).filter(|b| legs[b / 2].stage >= legs[a / 2].stage) {
            if let (Some(a_way), Some(b_way)) = (way(a), way(b)) {
                between[a * states + b] = cost.travel(a_way[1], b_way[0]).unwrap_or(f64::INFINITY);
            }
        }
    }
    between
}
