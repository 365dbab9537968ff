//! Filling one feature, one pair, or one centred feature: which direction, where it sits, which
//! strands.

use kurbo::{Affine, BezPath, Vec2};
use rayon::prelude::*;

use super::candidate::{Fold, Ground, Pairing, Wanted, worth_a_thought};
use super::canvas::{self, Canvas, Strand};
use super::score;
use super::search::{Filling, Problem};
use crate::face::Direction;

/// Samples across a strand while directions are compared, and while seats are compared and strands
/// are sought. Fewer, and the comparison is noise; more, and it takes longer for the same choice.
const ROUGH: f64 = 6.5;
const COARSE: f64 = 9.0;
/// Samples across a strand in the last polish: footprint areas within 1 %.
const FINE: f64 = 20.0;
/// Share of the spread within which strands lie while directions and seats are compared: the
/// price of leaving the direction keeps most strands of a good filling within it.
const STRAIGHT: f64 = 0.45;
/// Directions, and seats, that are looked at again after the first comparison.
const FINALISTS: usize = 3;
/// Steps of annealing to compare directions, to choose among the finalists, for each search of
/// the chosen one, to compare seats, to polish.
const COMPARE: u32 = 1_500;
const CHOOSE: u32 = 10_000;
const SEARCH: u32 = 25_000;
/// Where candidates are fewer than this, every two strands of a filling are weighed against every
/// other two, which finds what annealing misses in small features; it takes time with the square.
const FEW: usize = 800;
const SEARCH_FEW: u32 = 15_000;
const RESEAT: u32 = 1_000;
const POLISH: u32 = 4_000;
/// How far the ends of two strands lie apart in all, in widths, that a polish may exchange.
const NEAR_WIDTHS: f64 = 2.5;
/// Warmth of the annealing in `t^2`: what a search may lose on its way, from a third of a short
/// strand to more than one. Which is best depends on the shape, and any one search may end in a
/// dead end, so the chosen direction is searched at each of them: over six features from four
/// gauges, four searches of 25,000 steps came to 0.98 to 1 of the best known filling, one of
/// 25,000 to 0.90 to 0.99.
const WARMTHS: [f64; 4] = [0.3, 0.6, 1.0, 1.6];
const WARM: f64 = 0.6;
const COOL: f64 = 0.03;
/// Steps of a seat along each axis, from a quarter back to a quarter on.
const SEAT_STEPS: i32 = 2;

/// A filling found.
#[derive(Debug, Clone)]
pub(super) struct Filled {
    /// Direction of the right half or side, degrees.
    pub(super) direction_deg: f64,
    /// Shift of the outline, mm; x mirrored on the left.
    pub(super) moved: Vec2,
    /// What the shift won, mm2 of the joint objective.
    pub(super) seat_won_mm2: f64,
    /// The strands.
    pub(super) strands: Vec<Pairing>,
    /// The joint objective, mm2.
    pub(super) objective_mm2: f64,
}

/// Directions to try, degrees.
fn directions(asked: Direction) -> Vec<f64> {
    match asked {
        Direction::Auto => (0..12).map(|i| f64::from(i) * 15.0).collect(),
        Direction::Degrees(d) | Direction::Chevron(d) => vec![d.rem_euclid(180.0)],
    }
}

/// Fills a feature as well as the search can.
pub(super) fn fill(wanted: &Wanted<'_>, asked: Direction) -> Filled {
    let pairings = wanted.pairings();
    let screened = best_first(&directions(asked), |&direction| {
        let stage = Stage::new(wanted, &pairings, direction, ROUGH, STRAIGHT);
        stage.search(wanted.outline, &[], COMPARE, WARM)
    });
    let finals = best_first(&screened, |(_, direction, _)| {
        let stage = Stage::new(wanted, &pairings, *direction, COARSE, STRAIGHT);
        stage.search(wanted.outline, &[], CHOOSE, WARM)
    });
    let (direction_deg, start) = match finals.into_iter().next() {
        Some((_, (_, direction, _), strands)) => (direction, strands),
        None => (0.0, Vec::new()),
    };
    let (objective_mm2, strands) = full_search(wanted, &pairings, direction_deg, start);
    let exact = Filled {
        direction_deg,
        moved: Vec2::ZERO,
        seat_won_mm2: 0.0,
        strands,
        objective_mm2,
    };
    if wanted.settings.seat {
        seat(wanted, &pairings, exact)
    } else {
        exact
    }
}

/// Searches one direction at every warmth, betters the best fillings two strands at a time where
/// candidates are few, and polishes them.
fn full_search(
    wanted: &Wanted<'_>,
    pairings: &[Pairing],
    direction_deg: f64,
    start: Vec<Pairing>,
) -> (f64, Vec<Pairing>) {
    let stage = Stage::new(wanted, pairings, direction_deg, COARSE, 1.0);
    let few = stage.problem.strands.len() < FEW;
    let steps = if few { SEARCH_FEW } else { SEARCH };
    let found = best_first(&WARMTHS, |&warmth| {
        stage.search(wanted.outline, &[], steps, warmth)
    });
    let mut starts: Vec<Vec<Pairing>> = found.into_iter().map(|f| f.2).chain([start]).collect();
    starts.dedup();
    let polished = best_first(&starts, |start| {
        let better = few.then(|| stage.by_pairs(wanted.outline, start));
        polish(
            wanted,
            pairings,
            direction_deg,
            better.as_ref().unwrap_or(start),
        )
    });
    match polished.into_iter().next() {
        Some((objective_mm2, _, strands)) => (objective_mm2, strands),
        None => (0.0, Vec::new()),
    }
}

/// Searches finely among the candidates much like those of a filling.
fn polish(
    wanted: &Wanted<'_>,
    pairings: &[Pairing],
    direction_deg: f64,
    start: &[Pairing],
) -> (f64, Vec<Pairing>) {
    let reach = NEAR_WIDTHS * wanted.width;
    let alike = |p: &&Pairing| {
        let mut own = start.iter().filter(|s| s.layer == p.layer);
        own.any(|s| p.apart(&s.at) < reach)
    };
    let near: Vec<Pairing> = pairings.iter().filter(alike).copied().collect();
    let fine = Stage::new(wanted, &near, direction_deg, FINE, 1.0);
    fine.search(wanted.outline, start, POLISH, COOL)
}

/// Fills a feature in one direction, quickly: to see whether it can come out at all.
pub(super) fn quick(wanted: &Wanted<'_>, direction_deg: f64) -> Filled {
    let stage = Stage::new(wanted, &wanted.pairings(), direction_deg, COARSE, 1.0);
    let (objective_mm2, strands) = stage.search(wanted.outline, &[], COMPARE, WARM);
    Filled {
        direction_deg,
        moved: Vec2::ZERO,
        seat_won_mm2: 0.0,
        strands,
        objective_mm2,
    }
}

/// Shifts the outline by up to a quarter stitch and a quarter row where that wins.
fn seat(wanted: &Wanted<'_>, pairings: &[Pairing], exact: Filled) -> Filled {
    let direction = exact.direction_deg;
    let stage = Stage::new(wanted, pairings, direction, COARSE, STRAIGHT);
    let screened = best_first(&seats(wanted), |&moved| {
        let outline = shifted(wanted.outline, moved);
        stage.search(&outline, &exact.strands, RESEAT, COOL)
    });
    let finals = best_first(&screened, |(_, moved, start)| {
        let outline = shifted(wanted.outline, *moved);
        let there = Wanted {
            outline: &outline,
            ..*wanted
        };
        polish(&there, pairings, direction, start)
    });
    match finals.into_iter().next() {
        Some((objective_mm2, (_, moved, _), strands)) if objective_mm2 > exact.objective_mm2 => {
            Filled {
                moved,
                seat_won_mm2: objective_mm2 - exact.objective_mm2,
                strands,
                objective_mm2,
                ..exact
            }
        }
        _ => exact,
    }
}

/// Shifts to try, mm; a centred feature stays on the centre line.
fn seats(wanted: &Wanted<'_>) -> Vec<Vec2> {
    let step = |i: i32, size: f64| f64::from(i) / f64::from(SEAT_STEPS) * size / 4.0;
    let sideways = if wanted.fold == Fold::Centre {
        0
    } else {
        SEAT_STEPS
    };
    (-sideways..=sideways)
        .flat_map(|i| (-SEAT_STEPS..=SEAT_STEPS).map(move |j| (i, j)))
        .filter(|&place| place != (0, 0))
        .map(|(i, j)| {
            Vec2::new(
                step(i, wanted.instep.stitch_mm()),
                step(j, wanted.instep.row_mm()),
            )
        })
        .collect()
}

fn shifted(outline: &BezPath, by: Vec2) -> BezPath {
    Affine::translate(by) * outline
}

/// A choice with what it is worth, mm2, and the strands found for it.
type Judged<T> = (f64, T, Vec<Pairing>);

/// Judges each choice and keeps the best few, the best first; equal ones in their first order.
fn best_first<T: Clone + Send + Sync>(
    choices: &[T],
    judge: impl Fn(&T) -> (f64, Vec<Pairing>) + Sync,
) -> Vec<Judged<T>> {
    let mut judged: Vec<_> = choices
        .par_iter()
        .map(|choice| {
            let (worth, strands) = judge(choice);
            (worth, choice.clone(), strands)
        })
        .collect();
    judged.sort_by(|a, b| b.0.total_cmp(&a.0));
    judged.truncate(FINALISTS);
    judged
}

/// One direction on one grid: candidates ready for the search.
struct Stage {
    ground: Ground,
    problem: Problem,
    even: bool,
}

impl Stage {
    /// All candidates that leave the direction by at most a share of the spread.
    fn new(
        wanted: &Wanted<'_>,
        pairings: &[Pairing],
        direction_deg: f64,
        samples: f64,
        askew: f64,
    ) -> Self {
        let ground = Ground::new(wanted, wanted.width / samples, direction_deg);
        let target = ground.target(wanted.outline);
        let sample_mm2 = ground.grid.sample_mm2();
        let (mut near, mut strands) = (Vec::new(), Vec::new());
        for pairing in pairings {
            let spread_deg = wanted.settings.spread_deg;
            let off = score::angle_between(pairing.direction_deg, direction_deg);
            if off > askew * spread_deg {
                continue;
            }
            let Some(price_mm2) = pairing.price(direction_deg, wanted.width, spread_deg) else {
                continue;
            };
            let cells = ground.cells(pairing, wanted.width);
            if worth_a_thought(&cells, &target) {
                near.push(*pairing);
                strands.push(Strand::new(cells, price_mm2, sample_mm2));
            }
        }
        Self {
            problem: Problem::new(
                near,
                strands,
                wanted.free.to_vec(),
                wanted.width,
                sample_mm2,
            ),
            ground,
            even: wanted.fold != Fold::None,
        }
    }

    fn filling(&self, outline: &BezPath) -> Filling<'_> {
        Filling::new(
            &self.problem,
            Canvas::new(&self.ground.target(outline), self.even),
        )
    }

    fn chosen(&self, filling: &Filling<'_>) -> Vec<Pairing> {
        filling
            .chosen()
            .into_iter()
            .map(|strand| self.problem.pairings[strand as usize])
            .collect()
    }

    fn indices(&self, strands: &[Pairing]) -> Vec<u32> {
        (0_u32..)
            .zip(&self.problem.pairings)
            .filter(|(_, pairing)| strands.contains(pairing))
            .map(|(index, _)| index)
            .collect()
    }

    /// A filling bettered two strands at a time.
    fn by_pairs(&self, outline: &BezPath, start: &[Pairing]) -> Vec<Pairing> {
        let mut filling = self.filling(outline);
        filling.sew_all(&self.indices(start));
        filling.exchange_pairs();
        self.chosen(&filling)
    }

    /// Searches from a start; returns what the filling is worth, mm2, and its strands.
    fn search(
        &self,
        outline: &BezPath,
        start: &[Pairing],
        steps: u32,
        warmth: f64,
    ) -> (f64, Vec<Pairing>) {
        let mut filling = self.filling(outline);
        filling.sew_all(&self.indices(start));
        filling.grow();
        let sample_mm2 = self.problem.sample_mm2;
        let price_of_t2 = canvas::points(self.problem.width * self.problem.width, sample_mm2);
        filling.anneal(steps, warmth * price_of_t2 as f64);
        (
            canvas::mm2(filling.score, sample_mm2),
            self.chosen(&filling),
        )
    }
}
