//! Filling one feature, one pair, or one centred feature: which direction, where it sits, which
//! strands.

use kurbo::{Affine, BezPath, Vec2};
use rayon::prelude::*;

use super::candidate::{Fold, Pairing, Wanted};
use super::field::Field;
use super::stage::Stage;
use crate::face::Direction;

/// What a field must win over the best straight direction, as a ratio of the objectives: a plain
/// look is worth something, and a search may be off by half of it.
const CLEARLY: f64 = 1.025;
/// The same at first sight, from which on a field is looked at again.
const MAY_WIN: f64 = 1.0;
/// Samples across a strand while directions are compared, and while seats are compared and strands
/// are sought. Fewer, and the comparison is noise; more, and it takes longer for the same choice.
const ROUGH: f64 = 6.5;
const COARSE: f64 = 9.0;
/// Samples across a strand in the last polish: footprint areas within 1 %.
const FINE: f64 = 20.0;
/// Share of the spread within which strands lie while directions and seats are compared: the
/// price of leaving the direction keeps most strands of a good filling within it.
const STRAIGHT: f64 = 0.45;
/// Straight directions, and seats, that are looked at again after the first comparison; fillings that are
/// bettered window by window. The more, the surer, and the longer it takes.
const FINALISTS: usize = 3;
/// Fillings that are polished.
const POLISHED: usize = 1;
/// Strands taken out at once, on a side, to be sewn anew.
const WINDOW: usize = 2;
/// Where candidates are fewer than this, more fillings are bettered, in larger windows.
const FEW: usize = 700;
const FINALISTS_OF_FEW: usize = 8;
const POLISHED_OF_FEW: usize = 4;
const WINDOW_OF_FEW: usize = 3;
/// Steps of annealing to compare directions, to choose among the finalists, for each start of
/// the chosen one, to compare seats, to polish.
const COMPARE: u32 = 1_500;
const CHOOSE: u32 = 5_000;
const SEARCH: u32 = 4_000;
const RESEAT: u32 = 1_000;
const POLISH: u32 = 2_500;
/// How far the ends of two strands lie apart in all, in widths, that a polish may exchange.
const NEAR_WIDTHS: f64 = 2.5;
/// Warmth of the annealing in `t^2`: what a search may lose on its way, from a third of a short
/// strand to more than one. Which is best depends on the shape, and any one search may end in a
/// dead end.
const WARMTHS: [f64; 4] = [0.3, 0.6, 1.0, 1.6];
const WARM: f64 = 0.6;
const COOL: f64 = 0.03;
/// Steps of a seat along each axis, from a quarter back to a quarter on.
const SEAT_STEPS: i32 = 2;

/// A filling found.
#[derive(Debug, Clone)]
pub(super) struct Filled {
    /// Direction of the right half or side, of the shape as shifted.
    pub(super) field: Field,
    /// Shift of the outline, mm; x mirrored on the left.
    pub(super) moved: Vec2,
    /// What the shift won, mm2 of the joint objective.
    pub(super) seat_won_mm2: f64,
    /// The strands.
    pub(super) strands: Vec<Pairing>,
    /// The joint objective, mm2.
    pub(super) objective_mm2: f64,
}

/// The direction stated; `None` where it is left to the plan.
fn stated(wanted: &Wanted<'_>, asked: Direction) -> Option<Field> {
    match asked {
        Direction::Auto => None,
        Direction::Degrees(d) | Direction::Chevron(d) => Some(Field::Straight(d)),
        Direction::Along => Some(Field::along(wanted)),
        Direction::Fan(_) => Some(Field::fan(wanted)),
    }
}

/// The best of every 15 degrees, or of the fields where one is clearly better, with the strands
/// found for it.
fn best_direction(wanted: &Wanted<'_>, pairings: &[Pairing]) -> (Field, Vec<Pairing>) {
    let straight = (0..12).map(|i| Field::Straight(f64::from(i) * 15.0));
    let directions: Vec<Field> = straight.chain(Field::worth_a_try(wanted)).collect();
    let screened = best_first(&directions, usize::MAX, |field| {
        let stage = Stage::new(wanted, pairings, field, ROUGH, STRAIGHT);
        stage.search(wanted.outline, &[], COMPARE, WARM)
    });
    let (mut finalists, bent): (Vec<_>, Vec<_>) = screened
        .into_iter()
        .partition(|(_, field, _)| field.is_straight());
    finalists.truncate(FINALISTS);
    let enough = finalists[0].0 * MAY_WIN;
    finalists.extend(bent.into_iter().filter(|(worth, ..)| *worth > enough));
    let finals = best_first(&finalists, usize::MAX, |(_, field, _)| {
        let stage = Stage::new(wanted, pairings, field, COARSE, STRAIGHT);
        stage.search(wanted.outline, &[], CHOOSE, WARM)
    });
    let worth = |judged: &Judged<Judged<Field>>| match judged.1.1.is_straight() {
        true => judged.0,
        false => judged.0 / CLEARLY,
    };
    let best = finals
        .into_iter()
        .rev()
        .max_by(|a, b| worth(a).total_cmp(&worth(b)));
    best.map_or(
        (Field::Straight(0.0), Vec::new()),
        |(_, (_, field, _), strands)| (field, strands),
    )
}

/// Fills a feature as well as the search can.
pub(super) fn fill(wanted: &Wanted<'_>, asked: Direction) -> Filled {
    let pairings = wanted.pairings();
    let (field, start) = match stated(wanted, asked) {
        Some(Field::Straight(d)) => (Field::Straight(d.rem_euclid(180.0)), Vec::new()),
        Some(field) => (field, Vec::new()),
        None => best_direction(wanted, &pairings),
    };
    let (objective_mm2, strands) = full_search(wanted, &pairings, &field, start);
    let exact = Filled {
        field,
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

/// Searches one direction from many starts: by greatest gain at several warmths, and on combs.
/// The best are bettered window by window and polished.
fn full_search(
    wanted: &Wanted<'_>,
    pairings: &[Pairing],
    field: &Field,
    start: Vec<Pairing>,
) -> (f64, Vec<Pairing>) {
    let stage = Stage::new(wanted, pairings, field, COARSE, 1.0);
    let few = stage.len() < FEW;
    let mut starts = best_first(&WARMTHS, usize::MAX, |&warmth| {
        stage.search(wanted.outline, &[], SEARCH, warmth)
    })
    .into_iter()
    .map(|(worth, _, strands)| (worth, strands))
    .chain(stage.combed(wanted))
    .collect::<Vec<_>>();
    if !start.is_empty() {
        starts.push(stage.search(wanted.outline, &start, 0, COOL));
    }
    starts.sort_by(|a, b| b.0.total_cmp(&a.0));
    starts.dedup_by(|a, b| a.1 == b.1);
    starts.truncate(if few { FINALISTS_OF_FEW } else { FINALISTS });
    let most = if few { WINDOW_OF_FEW } else { WINDOW };
    let kept = if few { POLISHED_OF_FEW } else { POLISHED };
    let bettered = best_first(&starts, kept, |(_, start)| {
        stage.by_windows(wanted.outline, start, most)
    });
    let polished = best_first(&bettered, 1, |(_, _, start)| {
        polish(wanted, pairings, field, start)
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
    field: &Field,
    start: &[Pairing],
) -> (f64, Vec<Pairing>) {
    let reach = NEAR_WIDTHS * wanted.width;
    let mut start_by_y: Vec<(f64, &Pairing)> = start.iter().map(|s| (s.middle().y, s)).collect();
    start_by_y.sort_by(|a, b| a.0.total_cmp(&b.0));
    let alike = |p: &&Pairing| {
        // Ends that lie `reach` apart in all have middles at most half of that apart.
        let y = p.middle().y;
        let from = start_by_y.partition_point(|s| s.0 < y - reach / 2.0);
        let near = start_by_y[from..].iter();
        near.take_while(|s| s.0 <= y + reach / 2.0)
            .any(|(_, s)| s.layer == p.layer && p.apart(&s.at) < reach)
    };
    let near: Vec<Pairing> = pairings.iter().filter(alike).copied().collect();
    let fine = Stage::new(wanted, &near, field, FINE, 1.0);
    fine.search(wanted.outline, start, POLISH, COOL)
}

/// Fills a feature in a stated direction, quickly: to see whether it can come out at all.
pub(super) fn quick(wanted: &Wanted<'_>, asked: Direction) -> Filled {
    let field = stated(wanted, asked).unwrap_or(Field::Straight(0.0));
    let stage = Stage::new(wanted, &wanted.pairings(), &field, COARSE, 1.0);
    let (objective_mm2, strands) = stage.search(wanted.outline, &[], COMPARE, WARM);
    Filled {
        field,
        moved: Vec2::ZERO,
        seat_won_mm2: 0.0,
        strands,
        objective_mm2,
    }
}

/// Shifts the outline by up to a quarter stitch and a quarter row where that wins.
fn seat(wanted: &Wanted<'_>, pairings: &[Pairing], exact: Filled) -> Filled {
    let stage = Stage::new(wanted, pairings, &exact.field, COARSE, STRAIGHT);
    let screened = best_first(&seats(wanted), FINALISTS, |&moved| {
        let outline = shifted(wanted.outline, moved);
        stage.search(&outline, &exact.strands, RESEAT, COOL)
    });
    let finals = best_first(&screened, FINALISTS, |(_, moved, start)| {
        let outline = shifted(wanted.outline, *moved);
        let there = Wanted {
            outline: &outline,
            ..*wanted
        };
        polish(&there, pairings, &exact.field.moved(*moved), start)
    });
    match finals.into_iter().next() {
        Some((objective_mm2, (_, moved, _), strands)) if objective_mm2 > exact.objective_mm2 => {
            Filled {
                field: exact.field.moved(moved),
                moved,
                seat_won_mm2: objective_mm2 - exact.objective_mm2,
                strands,
                objective_mm2,
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
    keep: usize,
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
    judged.truncate(keep);
    judged
}
