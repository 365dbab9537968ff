//! The moves of a route: what they join anew, what that changes, and how they are made.

use super::Ring;

/// Longest run that is moved to another place; runs of any length are turned where they are.
const RUN: usize = 8;

/// The ring cut before the places `i <= j <= k`, the runs between joined anew: `i..j` and `j..k`,
/// the second first if `swapped`, each turned or not.
#[derive(Debug, Clone, Copy)]
pub(super) struct Move {
    pub(super) cuts: [usize; 3],
    swapped: bool,
    turned: [bool; 2],
}

fn swap(cuts: [usize; 3], turned: [bool; 2]) -> Move {
    Move {
        cuts,
        swapped: true,
        turned,
    }
}

fn turn(cuts: [usize; 3], turned: [bool; 2]) -> Move {
    Move {
        cuts,
        swapped: false,
        turned,
    }
}

/// The cuts that begin a run ended at a cut, all behind `after`.
fn back(to: usize, after: usize) -> std::ops::Range<usize> {
    to.saturating_sub(RUN).max(after + 1)..to
}

impl Ring<'_> {
    /// The moves whose first new joint, beside an item, costs less than the one it replaces.
    pub(super) fn moves_at(&self, place: usize, each: &mut impl FnMut(Move)) {
        for cut in [place, place + 1].into_iter().filter(|&cut| cut > 0) {
            let (from, to) = (self.at(cut - 1), self.at(cut));
            let now = self.behind[cut - 1];
            for &next in &self.table.after[from] {
                if self.table.joint(from, next) >= now {
                    break;
                }
                self.joining_next(cut, next, each);
            }
            for &last in &self.table.before[to] {
                if self.table.joint(last, to) >= now {
                    break;
                }
                self.joining_last(cut, last, each);
            }
        }
        // A start may stand anywhere.
        if place > 0 && self.table.leg(self.ring[place]).is_none() {
            (1..place).for_each(|to| each(swap([to, place, place + 1], [false; 2])));
            let after = place + 2..=self.ring.len();
            after.for_each(|to| each(swap([place, place + 1, to], [false; 2])));
        }
    }

    /// The moves that bring a state right behind the place before a cut.
    fn joining_next(&self, cut: usize, next: usize, each: &mut impl FnMut(Move)) {
        let at = self.place[next / 2];
        match (self.ring[at] == next, at >= cut) {
            (true, true) => {
                for to in self.on(at) {
                    each(swap([cut, at, to], [false, false]));
                    each(swap([cut, at, to], [true, false]));
                }
            }
            (true, false) => back(cut, at).for_each(|x| each(swap([at, x, cut], [false; 2]))),
            (false, true) => {
                each(turn([cut, at + 1, at + 1], [true, false]));
                for x in back(at + 1, cut) {
                    each(swap([cut, x, at + 1], [false, true]));
                    each(swap([cut, x, at + 1], [true, true]));
                }
                let to = self.on(at + 1);
                to.for_each(|to| each(turn([cut, at + 1, to], [true, true])));
            }
            (false, false) => {
                back(at + 1, 0).for_each(|x| each(swap([x, at + 1, cut], [true, false])));
            }
        }
    }

    /// The moves that bring a state right before the place at a cut.
    fn joining_last(&self, cut: usize, last: usize, each: &mut impl FnMut(Move)) {
        let at = self.place[last / 2];
        match (self.ring[at] == last, at >= cut) {
            (true, true) => {
                let x = back(at + 1, cut);
                x.for_each(|x| each(swap([cut, x, at + 1], [false; 2])));
            }
            (true, false) => {
                for to in self.on(cut) {
                    each(swap([at + 1, cut, to], [false, false]));
                    each(swap([at + 1, cut, to], [true, false]));
                }
            }
            (false, true) => {
                self.on(at)
                    .for_each(|to| each(swap([cut, at, to], [false, true])));
            }
            (false, false) => {
                each(turn([at, cut, cut], [true, false]));
                back(at, 0).for_each(|x| each(turn([x, at, cut], [true, true])));
                for x in back(cut, at) {
                    each(swap([at, x, cut], [true, false]));
                    each(swap([at, x, cut], [true, true]));
                }
            }
        }
    }

    /// The cuts that end a run begun at a place.
    fn on(&self, from: usize) -> std::ops::RangeInclusive<usize> {
        from + 1..=(from + RUN).min(self.ring.len())
    }

    /// Whether a move may be made: it turns no leg that cannot be turned, and brings nothing that
    /// lies on top before what lies below.
    pub(super) fn may_be(&self, made: Move) -> bool {
        let [i, j, k] = made.cuts;
        let turns = |on: bool, from: usize, to: usize| !on || self.fixed[from] == self.fixed[to];
        let one_stage = self.stage[i + 1] == self.stage[k];
        one_stage && turns(made.turned[0], i, j) && turns(made.turned[1], j, k)
    }

    /// What a move changes in the yarn of the joints.
    pub(super) fn change(&self, made: Move) -> f64 {
        let [i, j, k] = made.cuts;
        let ends = |from: usize, to: usize, turned: bool| {
            let turned = usize::from(turned);
            let ends = [self.ring[from] ^ turned, self.ring[to - 1] ^ turned];
            if turned == 1 {
                [ends[1], ends[0]]
            } else {
                ends
            }
        };
        let joint = |a: usize, b: usize| self.table.joint(a, b);
        let (before, after) = (self.ring[i - 1], self.at(k));
        let first = ends(i, j, made.turned[0]);
        if j == k {
            let new = joint(before, first[0]) + joint(first[1], after);
            return new - self.behind[i - 1] - self.behind[j - 1];
        }
        let second = ends(j, k, made.turned[1]);
        let [one, two] = if made.swapped {
            [second, first]
        } else {
            [first, second]
        };
        let new = joint(before, one[0]) + joint(one[1], two[0]) + joint(two[1], after);
        new - self.behind[i - 1] - self.behind[j - 1] - self.behind[k - 1]
    }

    pub(super) fn make(&mut self, made: Move) {
        let [i, j, k] = made.cuts;
        self.turn(made);
        if made.swapped {
            self.ring[i..k].rotate_left(j - i);
        }
        self.look_again();
    }

    pub(super) fn unmake(&mut self, made: Move) {
        let [i, j, k] = made.cuts;
        if made.swapped {
            self.ring[i..k].rotate_right(j - i);
        }
        self.turn(made);
        self.look_again();
    }

    fn turn(&mut self, made: Move) {
        let [i, j, k] = made.cuts;
        for (turned, run) in made.turned.into_iter().zip([i..j, j..k]) {
            if turned {
                self.ring[run.clone()].reverse();
                self.ring[run].iter_mut().for_each(|state| *state ^= 1);
            }
        }
    }
}
