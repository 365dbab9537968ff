//! Two walks at once, one on each side of the centre line: the cheapest couple, step for step.

use super::rail::Rail;
use super::{Beside, LineWanted};
use crate::fabric::Placed;

/// Price of two turns that are not each other's mirror image, in `t` a mm. Smaller, and the sides
/// of a pair bend in different places; larger, and both leave the path together.
const UNLIKE: f64 = 0.5;
/// How far from its mirror image a turn may have its fellow, in stitches.
const FAR: f64 = 1.25;

/// The needle points beside a path, left (mirrored) and right, and the steps between them.
pub(super) struct Couple<'a> {
    line: &'a LineWanted<'a>,
    rail: &'a Rail,
    sides: &'a [Vec<Beside>; 2],
    steps: [Vec<Vec<(usize, f64)>>; 2],
}

/// Two needle points, one on each side, by their places in the lists.
type Both = [usize; 2];

impl<'a> Couple<'a> {
    pub(super) fn new(
        line: &'a LineWanted<'a>,
        rail: &'a Rail,
        sides: &'a [Vec<Beside>; 2],
    ) -> Self {
        Self {
            line,
            rail,
            sides,
            steps: [0, 1].map(|side| line.steps(rail, &sides[side])),
        }
    }

    /// The walks from one end of the path to the other, left and right.
    pub(super) fn along(&self) -> Option<[Vec<Placed>; 2]> {
        let ends = [0, 1].map(|side| self.line.left_out(self.rail, &self.sides[side], false));
        let begin = |both: Both| ends[0][both[0]].0 + ends[1][both[1]].0;
        let end = |both: Both| ends[0][both[0]].1 + ends[1][both[1]].1;
        Some(self.cheapest(begin, end)?.1)
    }

    /// The walks from the centre line outwards, which are halves of one line: from one needle
    /// point, or from either end of a stitch across.
    pub(super) fn out_from_the_middle(&self) -> Option<[Vec<Placed>; 2]> {
        let ends = [0, 1].map(|side| self.line.left_out(self.rail, &self.sides[side], false));
        let begin = |[l, r]: Both| {
            let (left, right) = (&self.sides[0][l], &self.sides[1][r]);
            if left.placed.point == right.placed.point {
                // Turned at once, and priced twice.
                return left.placed.at.x.abs() * self.line.width - left.price;
            }
            let level =
                (right.at.y - self.rail.at(0.0).y).abs() + (left.at.y - self.rail.at(0.0).y).abs();
            let across = left.placed.at.distance(right.placed.at);
            let apart = right.placed.at.x > 0.0 && left.placed.at.x < 0.0;
            let (shortest, longest) = self.line.step_limits();
            if !apart || !(shortest..=longest).contains(&across) {
                return f64::INFINITY;
            }
            let uneven = across - self.line.even_mm(self.rail);
            level / 2.0 * across + super::UNEVEN * uneven * uneven
        };
        let end = |both: Both| ends[0][both[0]].1 + ends[1][both[1]].1;
        Some(self.cheapest(begin, end)?.1)
    }

    /// The walks once round a closed path, left and right.
    pub(super) fn round(&self) -> Option<[Vec<Placed>; 2]> {
        let rounds = [0, 1].map(|side| self.line.rounds(self.rail, &self.sides[side]));
        let mut best: Option<(f64, [Vec<Placed>; 2])> = None;
        for right in &rounds[1] {
            let apart = |left: &&Vec<Beside>| left[0].at.distance(right[0].at);
            let fellow = rounds[0]
                .iter()
                .min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
            let sides = [fellow.clone(), right.clone()];
            let last = sides.each_ref().map(|side| side.len() - 1);
            let only = |at: Both, both: Both| if at == both { 0.0 } else { f64::INFINITY };
            let couple = Couple::new(self.line, self.rail, &sides);
            let found = couple.cheapest(|both| only([0, 0], both), |both| only(last, both));
            let cheaper = |found: &(f64, _)| best.as_ref().is_none_or(|best| found.0 < best.0);
            if let Some(found) = found.filter(cheaper) {
                best = Some(found);
            }
        }
        best.map(|(_, walks)| walks)
    }

    /// The cheapest couple of walks with as many steps on either side, and its price; `begin` and
    /// `end` say what it costs to do so at two needle points.
    fn cheapest(
        &self,
        begin: impl Fn(Both) -> f64,
        end: impl Fn(Both) -> f64,
    ) -> Option<(f64, [Vec<Placed>; 2])> {
        let [left, right] = self.sides;
        let far = FAR * self.line.instep.stitch_mm();
        let index = |both: Both| both[0] * right.len() + both[1];
        let mut best: Vec<(f64, Option<Both>)> =
            vec![(f64::INFINITY, None); left.len() * right.len()];
        let mut cheapest: Option<(f64, Both)> = None;
        for (l, on_left) in left.iter().enumerate() {
            for (r, on_right) in right.iter().enumerate() {
                let apart = on_left.at.distance(on_right.at);
                if apart > far {
                    continue;
                }
                let here = on_left.price + on_right.price + UNLIKE * self.line.width * apart;
                let mut found = (begin([l, r]), None);
                for &(l_before, l_step) in &self.steps[0][l] {
                    for &(r_before, r_step) in &self.steps[1][r] {
                        let before = [l_before, r_before];
                        let cost = best[index(before)].0 + l_step + r_step;
                        if cost < found.0 {
                            found = (cost, Some(before));
                        }
                    }
                }
                best[index([l, r])] = (found.0 + here, found.1);
                let total = found.0 + here + end([l, r]);
                if found.1.is_some() && cheapest.is_none_or(|best| total < best.0) {
                    cheapest = Some((total, [l, r]));
                }
            }
        }
        let (price, last) = cheapest.filter(|found| found.0.is_finite())?;
        let mut walks = [Vec::new(), Vec::new()];
        let mut at = Some(last);
        while let Some([l, r]) = at {
            walks[0].push(left[l].placed);
            walks[1].push(right[r].placed);
            at = best[index([l, r])].1;
        }
        walks.iter_mut().for_each(|walk| walk.reverse());
        Some((price, walks))
    }
}
