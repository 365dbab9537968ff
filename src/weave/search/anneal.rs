//! Annealing: random exchanges of strands, ever less willing to lose.

use super::{Exchange, Filling};

/// Chances of the kinds of steps: a strand for one much like it, of these a strand unpicked for
/// nothing; otherwise any new strand. Tried on eyes and mouths at bulky, worsted and sport gauge.
const KEEP_NEAR: f64 = 0.7;
const UNPICK_ONLY: f64 = 0.05;
/// Chance that a step is made on both sides of a pair, or both halves, at once.
const ON_BOTH_SIDES: f64 = 0.4;
/// Share of a strand under another above which the two are hardly ever kept together.
const MUCH: f64 = 0.4;
/// The one seed: same input, same strands.
const SEED: u64 = 1;

impl Filling<'_> {
    /// Walks at random, downhill ever less willingly, for `steps` steps; ends at the best filling
    /// met. `warmth` is the loss, in points, taken with a chance of 1/e at the start.
    pub(in crate::weave) fn anneal(&mut self, steps: u32, warmth: f64) {
        if self.count() == 0 {
            return;
        }
        let mut random = fastrand::Rng::with_seed(SEED);
        let mut best = (self.score, self.sewn.clone());
        for step in 0..steps {
            let heat = warmth * (1.0 - f64::from(step) / f64::from(steps)).powi(2) + 1.0;
            let allowed = heat * random.f64().max(1e-12).ln();
            self.random_step(allowed, &mut random);
            if self.score > best.0 {
                best.0 = self.score;
                best.1.clone_from(&self.sewn);
            }
        }
        if self.score < best.0 {
            self.restore(&best.1, best.0);
        }
    }

    /// One random exchange: a sewn strand for one much like it, a new one for those in its way,
    /// or a strand unpicked; with the same on the other side now and then.
    fn random_step(&mut self, allowed: f64, random: &mut fastrand::Rng) {
        let mut exchange = std::mem::take(&mut self.exchange);
        self.draw_exchange(&mut exchange, random);
        self.weigh(&exchange, allowed);
        self.exchange = exchange;
    }

    /// Draws what to unpick and what to sew.
    fn draw_exchange(&self, exchange: &mut Exchange, random: &mut fastrand::Rng) {
        let Exchange { out, new } = exchange;
        out.clear();
        new.clear();
        let kind = random.f64();
        if kind < KEEP_NEAR && !self.sewn.is_empty() {
            let old = self.sewn[random.usize(0..self.sewn.len())];
            out.push(old);
            if kind > UNPICK_ONLY {
                let near = self.problem.near(old);
                if near.is_empty() {
                    out.clear();
                    return;
                }
                let pick = random.f64();
                new.push(near[index_of_share(pick * pick, near.len())]);
            }
        } else {
            new.push(random.u32(0..self.count()));
        }
        if self.problem.twins && random.f64() < ON_BOTH_SIDES {
            for list in [&mut *out, &mut *new] {
                if let Some(twin) = list.first().and_then(|&s| self.problem.twin(s)) {
                    list.push(twin);
                }
            }
        }
        out.retain(|&strand| self.is_sewn[strand as usize]);
        new.retain(|&strand| !self.is_sewn[strand as usize]);
        for &strand in &*new {
            let this = self.problem.lies[strand as usize];
            for (lie, &old) in self.lying.iter().zip(&self.sewn) {
                let share = this.overlap(lie, self.problem.width);
                if share > 0.0 && !out.contains(&old) {
                    let chance = if share > MUCH { 0.85 } else { 0.08 };
                    if random.f64() < chance {
                        out.push(old);
                    }
                }
            }
        }
    }

    /// Makes an exchange if what it loses is allowed.
    fn weigh(&mut self, exchange: &Exchange, allowed: f64) {
        let strands = &self.problem.strands;
        let change = match (exchange.out.as_slice(), exchange.new.as_slice()) {
            ([], []) => return,
            ([], &[new]) if self.fits(new) => self.gain(new),
            (&[old], []) => self.loss(old),
            (&[old], &[new]) if self.all_fit_after(&[new], &[old]) => self
                .canvas
                .swap(&strands[old as usize], &strands[new as usize]),
            ([] | [_], [_]) => return,
            (out, new) => {
                let most: i64 = new.iter().map(|&s| strands[s as usize].most).sum();
                let lost: i64 = out.iter().map(|&s| self.loss(s)).sum();
                if ((most + lost) as f64) < allowed || !self.all_fit_after(new, out) {
                    return;
                }
                self.tried(exchange)
            }
        };
        if change as f64 >= allowed {
            for &old in &exchange.out {
                self.unpick(old);
            }
            self.sew_back(&exchange.new);
            self.score += change;
        }
    }

    /// Points won by an exchange of several strands, tried on the canvas.
    fn tried(&mut self, Exchange { out, new }: &Exchange) -> i64 {
        let strand = |strand: &u32| &self.problem.strands[*strand as usize];
        let mut change = 0;
        for old in out.iter().map(strand) {
            change += self.canvas.loss(old);
            self.canvas.unpick(old);
        }
        for (done, one) in new.iter().map(strand).enumerate() {
            change += self.canvas.gain(one);
            if done + 1 < new.len() {
                self.canvas.sew(one);
            }
        }
        for one in new.iter().rev().skip(1).map(strand) {
            self.canvas.unpick(one);
        }
        for old in out.iter().map(strand) {
            self.canvas.sew(old);
        }
        change
    }

    /// Whether strands fit, all of them, once others are unpicked.
    fn all_fit_after(&mut self, new: &[u32], out: &[u32]) -> bool {
        for &old in out {
            self.leave_room(old);
        }
        let mut fitting = 0;
        while fitting < new.len() && self.fits(new[fitting]) {
            self.take_room(new[fitting]);
            fitting += 1;
        }
        for &strand in &new[..fitting] {
            self.leave_room(strand);
        }
        for &old in out {
            self.take_room(old);
        }
        fitting == new.len()
    }
}

/// The index at a share of a list, 0 the first.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of at most 1 of a short list"
)]
fn index_of_share(share: f64, count: usize) -> usize {
    ((share * count as f64) as usize).min(count - 1)
}
