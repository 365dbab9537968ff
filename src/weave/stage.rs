//! One direction on one grid: candidates ready for the search, and the ways to search them.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use kurbo::BezPath;
use rayon::prelude::*;

use super::candidate::{Cell, Fold, Ground, Pairing, Wanted, inside, worth_a_thought};
use super::canvas::{self, Canvas, Strand};
use super::field::Field;
use super::search::{Comb, Filling, Joints, Problem, Seam, Stagger, Windows};

/// Spacings of combs, in widths, besides those of the needle points' rows and columns.
const COMB_SPACINGS: [f64; 5] = [0.75, 0.85, 0.95, 1.05, 1.15];
/// Spacings of rows and columns that are tried, in widths.
const COMB_NARROWEST: f64 = 0.65;
const COMB_WIDEST: f64 = 1.4;
/// Rows nearer than this, in widths, are no rows any more.
const COMB_LEAST_STEP: f64 = 0.1;
/// Places of the first tooth tried, from one tooth to the next.
const COMB_PLACES: u32 = 4;
/// Candidates above which of the places of a spacing only the best is gone on with, as its teeth
/// tell: of two places the better filling is as good, and there are few starts to choose. Where
/// candidates are fewer, fillings are worth 0.1 to 0.2 % less.
const MANY_TO_COMB: usize = 3_000;
/// How far from a tooth a strand may lie, in spacings: just over half of what lies between places.
const COMB_SLACK: f64 = 0.13;
/// Steps of annealing before combs are compared. None, and a bare spot of a comb counts for more
/// than it is worth; twice as many win nothing.
const COMB_STEPS: u32 = 300;
/// Warmth of it in `t^2`: too cool to leave the comb, warm enough to mend its ends.
const COMB_WARMTH: f64 = 0.1;

/// What two joints in line cost while they are laid apart, in `t^2`: enough to move one where
/// something as good is at hand, and then for those that are left.
const DEARER: [f64; 2] = [0.3, 1.2];

/// Fillings of which each two are spliced, at most; and splices that join them each time. Of twice
/// as many comes no better one.
const POOL: usize = 8;
const NEW_SPLICES: usize = 4;

/// Candidates in a direction above which a filling is sought among some of them at first, and how
/// many; those much like the strands found are all looked at in the end. Where there are a third
/// as many, the mending in the end takes longer than what is won at first.
const TOO_MANY: usize = 60_000;
const SOME: usize = 9_000;
/// The one seed: same input, same strands.
const SEED: u64 = 1;

/// One direction, or field of directions, on one grid: candidates ready for the search.
pub(super) struct Stage {
    ground: Ground,
    problem: Problem,
    /// The outline, bare.
    bare: Canvas,
    even: bool,
    /// The mean direction, degrees.
    direction_deg: f64,
}

impl Stage {
    /// All candidates that leave the direction by at most a share of the spread.
    pub(super) fn new(
        wanted: &Wanted<'_>,
        pairings: &[Pairing],
        field: &Field,
        samples: f64,
        askew: f64,
    ) -> Self {
        let ground = Ground::new(wanted, wanted.width / samples, field.mean_deg());
        // By far the most are not, where pairs lie in all directions.
        let within_deg = askew * wanted.settings.spread_deg;
        let near =
            (0..pairings.len()).filter(|&index| field.off_deg(&pairings[index]) <= within_deg);
        let near: Vec<usize> = near.collect();
        let candidates = near.par_iter().map(|&index| (index, &pairings[index]));
        let cells = |index: usize| ground.cells(&pairings[index], wanted.width);
        Self::on(&ground, wanted, field, candidates, cells)
    }

    /// Of some candidates, each with its number, those that leave the direction by at most the
    /// spread; `cells` tells what each of these covers.
    pub(super) fn on<'p>(
        ground: &Ground,
        wanted: &Wanted<'_>,
        field: &Field,
        candidates: impl ParallelIterator<Item = (usize, &'p Pairing)>,
        cells: impl Fn(usize) -> Vec<Cell> + Sync,
    ) -> Self {
        let target = ground.target(wanted.outline);
        let sample_mm2 = ground.grid.sample_mm2();
        let spread_deg = wanted.settings.spread_deg;
        let even = wanted.fold != Fold::None;
        let candidate = |(index, pairing): (usize, &'p Pairing)| {
            let asked_deg = field.at(pairing.middle());
            if wanted.in_no_half(pairing, asked_deg) {
                return None;
            }
            let price_mm2 = pairing.price(asked_deg, wanted.width, spread_deg)?;
            let cells = cells(index);
            let (inside, all) = inside(&cells, &target);
            if !worth_a_thought(inside, all) {
                return None;
            }
            let strand = Strand::new(cells, price_mm2, sample_mm2, i64::from(inside), even);
            (strand.most > 0).then_some((*pairing, strand))
        };
        let (near, strands) = candidates.filter_map(candidate).unzip();
        Self {
            problem: Problem::new(
                near,
                strands,
                wanted.free.to_vec(),
                wanted.width,
                sample_mm2,
                field,
            ),
            bare: Canvas::new(&target, even),
            ground: ground.clone(),
            even,
            direction_deg: field.mean_deg(),
        }
    }

    /// The same for a filling that is sought from nothing: where the candidates are very many, the
    /// straightest and as many of the others at random.
    pub(super) fn at_first(
        wanted: &Wanted<'_>,
        pairings: &[Pairing],
        field: &Field,
        samples: f64,
        askew: f64,
    ) -> Self {
        let spread_deg = askew * wanted.settings.spread_deg;
        let some = some_of_many(pairings, field, spread_deg);
        let pairings = some.as_deref().unwrap_or(pairings);
        Self::new(wanted, pairings, field, samples, askew)
    }

    /// The same with those candidates alone that leave the direction by at most a share of the
    /// spread, on the needle points that are free to `wanted`.
    pub(super) fn straighter(&self, wanted: &Wanted<'_>, field: &Field, askew: f64) -> Self {
        let spread_deg = askew * wanted.settings.spread_deg;
        let within = |pairing: &Pairing| field.off_deg(pairing) <= spread_deg;
        Self {
            problem: self.problem.only(within, field, wanted.free),
            bare: self.bare.clone(),
            ground: self.ground.clone(),
            ..*self
        }
    }

    /// An outline, bare: the stage's own shifted or in another size.
    pub(super) fn bare(&self, outline: &BezPath) -> Canvas {
        Canvas::new(&self.ground.target(outline), self.even)
    }

    fn filling(&self) -> Filling<'_> {
        Filling::new(&self.problem, self.bare.clone())
    }

    fn chosen(&self, filling: &Filling<'_>) -> Vec<Pairing> {
        filling
            .chosen()
            .into_iter()
            .map(|strand| self.problem.pairings[strand as usize])
            .collect()
    }

    /// The candidates that some strands are.
    fn indices(&self, strands: &[Pairing]) -> Vec<u32> {
        let name = |pairing: &Pairing| (pairing.ends, pairing.layer);
        let mut names: Vec<_> = strands.iter().map(name).collect();
        names.sort_unstable();
        (0_u32..)
            .zip(&self.problem.pairings)
            .filter(|(_, pairing)| names.binary_search(&name(pairing)).is_ok())
            .map(|(index, _)| index)
            .collect()
    }

    /// Candidates.
    pub(super) fn len(&self) -> usize {
        self.problem.strands.len()
    }

    /// A filling bettered window by window: what it is worth, mm2, and its strands.
    pub(super) fn by_windows(&self, start: &[Pairing], windows: Windows) -> (f64, Vec<Pairing>) {
        let mut filling = self.filling();
        filling.sew_all(&self.indices(start));
        filling.grow();
        if windows.in_couples {
            filling.grow_in_couples();
        }
        self.judged(&refilled(filling, || self.filling(), windows))
    }

    /// A filling whose joints lie apart, sought from another window by window: what it is worth but
    /// for the joints, `least_mm2` or more, and its strands.
    ///
    /// Joints in line grow ever dearer: those that are laid apart for little are so before
    /// others use up what that may cost.
    pub(super) fn staggered(
        &self,
        (outline, field): (&BezPath, &Field),
        start: &[Pairing],
        least_mm2: f64,
        windows: Windows,
    ) -> (f64, Vec<Pairing>) {
        let problem = &self.problem;
        let joints = Joints::new(&problem.pairings, outline, field, problem.width);
        let mut filling = self.filling();
        filling.sew_all(&self.indices(start));
        let least = canvas::points(least_mm2, problem.sample_mm2);
        for price in DEARER {
            let price = canvas::points(price * problem.width.powi(2), problem.sample_mm2);
            let bare = || {
                let mut bare = self.filling();
                bare.stagger(Stagger {
                    joints: &joints,
                    price,
                    least,
                });
                bare
            };
            let mut dearer = bare();
            dearer.sew_all(&filling.chosen());
            filling = refilled(dearer, bare, windows);
        }
        let mut plain = self.filling();
        plain.sew_all(&filling.chosen());
        self.judged(&plain)
    }

    /// Fillings whose strands stand at even distances: grown on combs of several spacings and
    /// places, and annealed a little. A strand for a strand, a search hardly ever gets from one
    /// spacing to another; so it starts from all of them.
    pub(super) fn combed(&self, wanted: &Wanted<'_>) -> Vec<(f64, Vec<Pairing>)> {
        let bare = self.filling();
        let alone = bare.gains();
        let on_comb = |comb: &Comb| {
            let mut filling = bare.clone();
            filling.grow_on(comb, &alone);
            filling
        };
        let combs = self.combs(wanted);
        let mut grown: Vec<Filling<'_>> = combs.par_iter().map(on_comb).collect();
        if self.len() > MANY_TO_COMB {
            let places = grown.chunks(COMB_PLACES as usize);
            grown = places
                .filter_map(|some| some.iter().min_by_key(|filling| Reverse(filling.score)))
                .cloned()
                .collect();
        }
        grown.par_iter_mut().for_each(Filling::grow);
        // On the few rows of a narrow shape many combs are alike.
        let mut seen = BTreeSet::new();
        grown.retain(|filling| seen.insert(filling.chosen()));
        grown
            .into_par_iter()
            .map(|filling| self.annealed(filling, COMB_STEPS, COMB_WARMTH))
            .collect()
    }

    /// Fillings spliced with one another, and what comes of that again, until nothing better
    /// comes: the strands of the best.
    pub(super) fn spliced(&self, fillings: &[Vec<Pairing>]) -> Vec<Pairing> {
        let bare = self.filling();
        let sewn = |strands: &Vec<Pairing>| {
            let mut filling = bare.clone();
            filling.sew_all(&self.indices(strands));
            (filling.score, filling.chosen())
        };
        let mut pool: Vec<(i64, Vec<u32>)> = fillings.iter().map(sewn).collect();
        let mut before = i64::MIN;
        let mut spliced: Vec<Vec<u32>> = Vec::new();
        loop {
            keep_best(&mut pool, POOL);
            let Some((best, strands)) = pool.first() else {
                return Vec::new();
            };
            if *best <= before {
                let pairing = |&strand: &u32| self.problem.pairings[strand as usize];
                return strands.iter().map(pairing).collect();
            }
            before = *best;
            let mut new = splices(&bare, &pool, &spliced);
            keep_best(&mut new, NEW_SPLICES);
            spliced = pool.iter().map(|(_, strands)| strands.clone()).collect();
            pool.extend(new);
        }
    }

    /// Combs with about a strand's width between their teeth: a few spacings, and those at which
    /// rows, or columns, of needle points lie.
    fn combs(&self, wanted: &Wanted<'_>) -> Vec<Comb> {
        let width = wanted.width;
        let (sin, cos) = self.direction_deg.to_radians().sin_cos();
        let lattice = [
            wanted.instep.row_mm() * cos,
            wanted.instep.stitch_mm() * sin,
        ]
        .map(|whole| whole.abs() / 2.0)
        .into_iter()
        .filter(|&step| step > COMB_LEAST_STEP * width)
        .flat_map(|step| {
            (1..)
                .map(move |times| step * f64::from(times))
                .take_while(|&apart| apart < COMB_WIDEST * width)
        })
        .filter(|&apart| apart > COMB_NARROWEST * width);
        COMB_SPACINGS
            .iter()
            .map(|spacing| spacing * width)
            .chain(lattice)
            .flat_map(|apart| {
                (0..COMB_PLACES).map(move |place| Comb {
                    apart,
                    from: apart * f64::from(place) / f64::from(COMB_PLACES),
                    slack: COMB_SLACK * apart,
                })
            })
            .collect()
    }

    /// Searches from a start; returns what the filling is worth, mm2, and its strands.
    pub(super) fn search(&self, start: &[Pairing], steps: u32, warmth: f64) -> (f64, Vec<Pairing>) {
        self.search_on(&self.bare, start, steps, warmth)
    }

    /// The same on another bare outline.
    pub(super) fn search_on(
        &self,
        bare: &Canvas,
        start: &[Pairing],
        steps: u32,
        warmth: f64,
    ) -> (f64, Vec<Pairing>) {
        let mut filling = Filling::new(&self.problem, bare.clone());
        filling.sew_all(&self.indices(start));
        filling.grow();
        self.annealed(filling, steps, warmth)
    }

    /// The best fillings put together row by row, at most so many.
    pub(super) fn in_rows(&self, at_most: usize) -> Vec<(f64, Vec<Pairing>)> {
        let mut rows = self.filling().in_rows(at_most);
        rows.iter_mut().for_each(Filling::grow);
        rows.iter().map(|filling| self.judged(filling)).collect()
    }

    /// The best fillings that a sweep across the direction meets, at most so many.
    pub(super) fn swept(&self, at_most: usize) -> Vec<(f64, Vec<Pairing>)> {
        let swept = self.filling().swept(at_most);
        swept.iter().map(|filling| self.judged(filling)).collect()
    }

    /// A filling annealed; `warmth` in `t^2`.
    fn annealed(&self, mut filling: Filling<'_>, steps: u32, warmth: f64) -> (f64, Vec<Pairing>) {
        let sample_mm2 = self.problem.sample_mm2;
        let price_of_t2 = canvas::points(self.problem.width * self.problem.width, sample_mm2);
        filling.anneal(steps, warmth * price_of_t2 as f64);
        self.judged(&filling)
    }

    /// What a filling is worth, mm2, and its strands.
    fn judged(&self, filling: &Filling<'_>) -> (f64, Vec<Pairing>) {
        let worth = canvas::mm2(filling.score, self.problem.sample_mm2);
        (worth, self.chosen(filling))
    }
}

/// Keeps the best few fillings, the best first, each once.
fn keep_best(fillings: &mut Vec<(i64, Vec<u32>)>, most: usize) {
    fillings.sort_unstable_by(|a, b| b.cmp(a));
    fillings.dedup();
    fillings.truncate(most);
}

/// The best splices of each two fillings, either way round, that are better than one of the two;
/// but for those two that were `spliced` before.
fn splices(
    bare: &Filling<'_>,
    pool: &[(i64, Vec<u32>)],
    spliced: &[Vec<u32>],
) -> Vec<(i64, Vec<u32>)> {
    let with_others = |(worth, strands): &(i64, Vec<u32>)| {
        let mut filling = bare.clone();
        filling.sew_all(strands);
        let is_old = spliced.contains(strands);
        let others = pool
            .iter()
            .filter(|(_, other)| other != strands && !(is_old && spliced.contains(other)));
        let mut found = Vec::new();
        for (other_worth, other) in others {
            let seams = [Seam::BetweenRows, Seam::AcrossRows];
            let spliced = seams.map(|seam| filling.clone().spliced(other, seam));
            let least = *worth.min(other_worth);
            found.extend(spliced.into_iter().flatten().filter(|s| s.0 > least));
        }
        found
    };
    pool.par_iter().flat_map_iter(with_others).collect()
}

/// The straightest of very many candidates and as many of the others at random; `None` where no
/// more lie in the direction than can all be looked at.
fn some_of_many(pairings: &[Pairing], field: &Field, spread_deg: f64) -> Option<Vec<Pairing>> {
    if pairings.len() <= TOO_MANY {
        return None;
    }
    let off = |pairing: &Pairing| field.off_deg(pairing);
    let mut offs: Vec<(f64, usize)> = pairings
        .iter()
        .map(off)
        .zip(0..)
        .filter(|(off, _)| *off <= spread_deg)
        .collect();
    if offs.len() <= TOO_MANY {
        return None;
    }
    let half = SOME / 2;
    offs.select_nth_unstable_by(half, |a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (straight, others) = offs.split_at_mut(half);
    fastrand::Rng::with_seed(SEED).shuffle(others);
    let mut some: Vec<usize> = straight
        .iter()
        .chain(&others[..half])
        .map(|&(_, index)| index)
        .collect();
    some.sort_unstable();
    Some(some.into_iter().map(|index| pairings[index]).collect())
}

/// A filling bettered window by window; then each side of it sewn on both, for on even fabric the
/// better one twice is better than two unlike ones.
fn refilled<'a>(
    mut filling: Filling<'a>,
    bare: impl Fn() -> Filling<'a>,
    windows: Windows,
) -> Filling<'a> {
    filling.refill_windows(windows);
    if !filling.has_twins() {
        return filling;
    }
    for layer in 0..2 {
        let mut alike = bare();
        alike.sew_all(&filling.on_both_sides(layer));
        if alike.score > filling.score && alike.is_worth_enough(&[], 0) {
            alike.refill_windows(windows);
            filling = alike;
        }
    }
    filling
}
