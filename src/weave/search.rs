//! The search: which of the candidate strands to sew.
//!
//! Strands are sewn by greatest gain first; then an annealing exchanges them. It stops on a count
//! of steps, never on time, and draws its random numbers from a fixed seed, so the same input
//! gives the same strands.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::sync::OnceLock;

use kurbo::{Point, Vec2};

use super::candidate::Pairing;
use super::canvas::{Canvas, Strand};

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

/// A feature's candidates and what limits them.
#[derive(Debug)]
pub(super) struct Problem {
    /// Where each candidate lies.
    pub(super) pairings: Vec<Pairing>,
    /// The same, ready to be compared.
    lies: Vec<Lie>,
    /// What each covers and costs, in the same order.
    pub(super) strands: Vec<Strand>,
    kin: Kin,
    /// Free strand ends by needle point, in the order of the instep's points.
    free: Vec<u32>,
    /// Width of the thread, mm.
    pub(super) width: f64,
    /// Area of a sample, mm2.
    pub(super) sample_mm2: f64,
}

/// Strands sewn so far, and what they are worth in points.
#[derive(Debug, Clone)]
pub(super) struct Filling<'a> {
    problem: &'a Problem,
    canvas: Canvas,
    sewn: Vec<u32>,
    is_sewn: Vec<bool>,
    free: Vec<u32>,
    /// Kept between steps for its memory alone.
    exchange: Exchange,
    pub(super) score: i64,
}

/// Strands to unpick and strands to sew.
#[derive(Debug, Clone, Default)]
struct Exchange {
    out: Vec<u32>,
    new: Vec<u32>,
}

impl<'a> Filling<'a> {
    pub(super) fn new(problem: &'a Problem, canvas: Canvas) -> Self {
        Self {
            canvas,
            sewn: Vec::new(),
            is_sewn: vec![false; problem.strands.len()],
            free: problem.free.clone(),
            exchange: Exchange::default(),
            score: 0,
            problem,
        }
    }

    /// The strands sewn, in the order of the candidates.
    pub(super) fn chosen(&self) -> Vec<u32> {
        let mut chosen = self.sewn.clone();
        chosen.sort_unstable();
        chosen
    }

    /// Sews strands that are known to fit.
    pub(super) fn sew_all(&mut self, strands: &[u32]) {
        for &strand in strands {
            if self.fits(strand) {
                self.score += self.canvas.gain(&self.problem.strands[strand as usize]);
                self.sew(strand);
            }
        }
    }

    fn ends(&self, strand: u32) -> [usize; 2] {
        self.problem.pairings[strand as usize]
            .ends
            .map(|end| end as usize)
    }

    fn fits(&self, strand: u32) -> bool {
        self.ends(strand).iter().all(|&end| self.free[end] > 0)
    }

    fn sew(&mut self, strand: u32) {
        self.canvas.sew(&self.problem.strands[strand as usize]);
        for end in self.ends(strand) {
            self.free[end] -= 1;
        }
        self.is_sewn[strand as usize] = true;
        self.sewn.push(strand);
    }

    fn unpick(&mut self, strand: u32) {
        self.canvas.unpick(&self.problem.strands[strand as usize]);
        for end in self.ends(strand) {
            self.free[end] += 1;
        }
        self.is_sewn[strand as usize] = false;
        self.sewn.retain(|&s| s != strand);
    }

    /// Unpicks `out`, sews `new`; returns the change and leaves it done. `None`, with nothing
    /// changed, when a needle point has no room.
    fn exchange(&mut self, out: &[u32], new: &[u32]) -> Option<i64> {
        let mut change = 0;
        for &strand in out {
            change += self.canvas.loss(&self.problem.strands[strand as usize]);
            self.unpick(strand);
        }
        for (done, &strand) in new.iter().enumerate() {
            if !self.fits(strand) {
                for &sewn in new[..done].iter().rev() {
                    self.unpick(sewn);
                }
                self.sew_back(out);
                return None;
            }
            change += self.canvas.gain(&self.problem.strands[strand as usize]);
            self.sew(strand);
        }
        Some(change)
    }

    fn sew_back(&mut self, strands: &[u32]) {
        for &strand in strands {
            self.sew(strand);
        }
    }

    /// Sews the strand that wins most, again and again until none wins. A gain only shrinks as
    /// others are sewn (but for evenness), so old gains serve as bounds.
    pub(super) fn grow(&mut self) {
        let mut heap: BinaryHeap<(i64, Reverse<u32>)> = (0..self.count())
            .filter(|&strand| !self.is_sewn[strand as usize])
            .map(|strand| {
                let gain = self.canvas.gain(&self.problem.strands[strand as usize]);
                (gain, Reverse(strand))
            })
            .collect();
        while let Some((bound, Reverse(strand))) = heap.pop() {
            if bound <= 0 {
                return;
            }
            if !self.fits(strand) {
                continue;
            }
            let gain = self.canvas.gain(&self.problem.strands[strand as usize]);
            if heap.peek().is_none_or(|next| gain >= next.0) {
                if gain > 0 {
                    self.sew(strand);
                    self.score += gain;
                }
            } else {
                heap.push((gain, Reverse(strand)));
            }
        }
    }

    /// Walks at random, downhill ever less willingly, for `steps` steps; ends at the best filling
    /// met. `warmth` is the loss, in points, taken with a chance of 1/e at the start.
    pub(super) fn anneal(&mut self, steps: u32, warmth: f64) {
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
                best = (self.score, self.sewn.clone());
            }
        }
        if self.score < best.0 {
            self.restore(&best.1, best.0);
        }
    }

    /// Replaces any two strands by the best two, and by whatever wins after them, again and again
    /// until no two can be bettered. Exhaustive but for a bound: for few candidates.
    pub(super) fn exchange_pairs(&mut self) {
        loop {
            let before = self.score;
            let sewn = self.chosen();
            for (i, &a) in sewn.iter().enumerate() {
                for &b in &sewn[i..] {
                    if self.is_sewn[a as usize] && self.is_sewn[b as usize] {
                        self.exchange_pair(a, b);
                    }
                }
            }
            if self.score == before {
                return;
            }
        }
    }

    fn exchange_pair(&mut self, a: u32, b: u32) {
        let (old_score, old) = (self.score, self.sewn.clone());
        for strand in if a == b { vec![a] } else { vec![a, b] } {
            self.score += self.canvas.loss(&self.problem.strands[strand as usize]);
            self.unpick(strand);
        }
        if let Some(pair) = self.best_pair() {
            self.sew_all(&pair);
        }
        self.grow();
        if self.score <= old_score {
            self.restore(&old, old_score);
        }
    }

    /// The two strands that win most together.
    fn best_pair(&mut self) -> Option<[u32; 2]> {
        let problem = self.problem;
        let mut gains: Vec<(i64, u32)> = (0..self.count())
            .filter(|&s| !self.is_sewn[s as usize] && self.fits(s))
            .map(|s| (self.canvas.gain(&problem.strands[s as usize]), s))
            .filter(|&(gain, _)| gain > 0)
            .collect();
        gains.sort_by(|x, y| y.0.cmp(&x.0).then(x.1.cmp(&y.1)));
        let mut best = (0, None);
        for (at, &(first_gain, first)) in gains.iter().enumerate() {
            if 2 * first_gain <= best.0 && !problem.kin.twins {
                break;
            }
            self.sew(first);
            for &(second_gain, second) in &gains[at + 1..] {
                // Two strands on one side win at most what each wins alone; on both sides they
                // may also even each other out.
                let even = self.canvas.evening(
                    &problem.strands[first as usize],
                    &problem.strands[second as usize],
                );
                if first_gain + second_gain + even <= best.0 {
                    if problem.kin.twins {
                        continue;
                    }
                    break;
                }
                if self.fits(second) {
                    let both = first_gain + self.canvas.gain(&problem.strands[second as usize]);
                    if both > best.0 {
                        best = (both, Some([first, second]));
                    }
                }
            }
            self.unpick(first);
        }
        best.1
    }

    fn restore(&mut self, sewn: &[u32], score: i64) {
        for strand in self.sewn.clone() {
            self.unpick(strand);
        }
        self.sew_back(sewn);
        self.score = score;
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
        if self.problem.kin.twins && random.f64() < ON_BOTH_SIDES {
            for list in [&mut *out, &mut *new] {
                if let Some(twin) = list.first().and_then(|&s| self.problem.twin(s)) {
                    list.push(twin);
                }
            }
        }
        out.retain(|&strand| self.is_sewn[strand as usize]);
        new.retain(|&strand| !self.is_sewn[strand as usize]);
        for &strand in &*new {
            for &old in &self.sewn {
                let share = self.overlap(strand, old);
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
            ([], &[new]) if self.fits(new) => self.canvas.gain(&strands[new as usize]),
            (&[old], []) => self.canvas.loss(&strands[old as usize]),
            (&[old], &[new]) if self.fits_after(new, old) => self
                .canvas
                .swap(&strands[old as usize], &strands[new as usize]),
            ([] | [_], [_]) => return,
            (out, new) => {
                if let Some(change) = self.exchange(out, new) {
                    if change as f64 >= allowed {
                        self.score += change;
                    } else {
                        for &strand in new.iter().rev() {
                            self.unpick(strand);
                        }
                        self.sew_back(out);
                    }
                }
                return;
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

    fn count(&self) -> u32 {
        u32::try_from(self.problem.strands.len()).unwrap_or(u32::MAX)
    }

    /// Whether a strand fits once another is unpicked.
    fn fits_after(&self, new: u32, old: u32) -> bool {
        let freed = self.ends(old);
        self.ends(new)
            .iter()
            .all(|end| self.free[*end] > 0 || freed.contains(end))
    }

    fn overlap(&self, a: u32, b: u32) -> f64 {
        let lies = &self.problem.lies;
        lies[a as usize].overlap(&lies[b as usize], self.problem.width)
    }
}

/// Candidates that are much like another, worked out when first asked for.
#[derive(Debug)]
struct Kin {
    /// Candidates by the x of their middles.
    by_x: Vec<(f64, u32)>,
    near: Vec<OnceLock<Vec<u32>>>,
    twin: Vec<OnceLock<Option<u32>>>,
    twins: bool,
}

/// Candidates counted as near a strand.
const NEAR: usize = 32;
/// How far the ends of two strands that are much alike may lie apart in all, in widths.
const NEAR_WIDTHS: f64 = 4.0;

impl Kin {
    fn new(pairings: &[Pairing]) -> Self {
        let mut by_x: Vec<(f64, u32)> = pairings.iter().map(|p| p.middle().x).zip(0..).collect();
        by_x.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Self {
            by_x,
            near: vec![OnceLock::new(); pairings.len()],
            twin: vec![OnceLock::new(); pairings.len()],
            twins: pairings.iter().any(|p| p.layer == 1),
        }
    }
}

impl Problem {
    pub(super) fn new(
        pairings: Vec<Pairing>,
        strands: Vec<Strand>,
        free: Vec<u32>,
        width: f64,
        sample_mm2: f64,
    ) -> Self {
        Self {
            lies: pairings.iter().map(Lie::new).collect(),
            kin: Kin::new(&pairings),
            pairings,
            strands,
            free,
            width,
            sample_mm2,
        }
    }

    /// The candidates of the same side nearest to one, the nearest first.
    fn near(&self, strand: u32) -> &[u32] {
        self.kin.near[strand as usize].get_or_init(|| self.nearest(strand, 0, NEAR))
    }

    /// The candidate of the other side nearest to one's mirror image.
    fn twin(&self, strand: u32) -> Option<u32> {
        *self.kin.twin[strand as usize].get_or_init(|| self.nearest(strand, 1, 1).first().copied())
    }

    /// Candidates by how far their ends lie from those of one strand, on its own layer (0) or the
    /// other (1).
    fn nearest(&self, strand: u32, other: usize, count: usize) -> Vec<u32> {
        let this = &self.pairings[strand as usize];
        let reach = NEAR_WIDTHS * self.width;
        // Ends that lie `reach` apart in all have middles at most half of that apart.
        let x = this.middle().x;
        let from = self.kin.by_x.partition_point(|at| at.0 < x - reach / 2.0);
        let mut found: Vec<(f64, u32)> = self.kin.by_x[from..]
            .iter()
            .take_while(|at| at.0 <= x + reach / 2.0)
            .map(|&(_, index)| (index, &self.pairings[index as usize]))
            .filter(|&(index, that)| index != strand && that.layer == this.layer ^ other)
            .filter_map(|(index, that)| {
                let straight = this.at[0].distance(that.at[0]) + this.at[1].distance(that.at[1]);
                let turned = this.at[0].distance(that.at[1]) + this.at[1].distance(that.at[0]);
                let distance = straight.min(turned);
                (distance < reach).then_some((distance, index))
            })
            .collect();
        let nearer = |a: &(f64, u32), b: &(f64, u32)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
        if found.len() > count {
            found.select_nth_unstable_by(count, nearer);
            found.truncate(count);
        }
        found.sort_by(nearer);
        found.into_iter().map(|(_, index)| index).collect()
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

/// How a strand lies, in folded coordinates.
#[derive(Debug, Clone, Copy)]
struct Lie {
    middle: Point,
    /// Unit vector along the strand.
    along: Vec2,
    length: f64,
    layer: usize,
}

impl Lie {
    fn new(pairing: &Pairing) -> Self {
        let length = pairing.length();
        Self {
            middle: pairing.middle(),
            along: (pairing.at[1] - pairing.at[0]) / length,
            length,
            layer: pairing.layer,
        }
    }

    /// About how much of the shorter of two strands lies on the other, 0 to 1, as if they ran
    /// side by side. Only to rank what is in the way.
    fn overlap(&self, other: &Self, width: f64) -> f64 {
        let between = other.middle - self.middle;
        let half = (self.length + other.length) / 2.0;
        if self.layer != other.layer || between.hypot2() > half * half {
            return 0.0;
        }
        let beside = between.cross(self.along).abs();
        let shorter = self.length.min(other.length);
        let shared = (half - between.dot(self.along).abs()).clamp(0.0, shorter);
        (1.0 - beside / width).max(0.0) * shared / shorter
    }
}
