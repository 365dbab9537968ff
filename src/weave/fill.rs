//! Filling one feature, one pair, or one centred feature: which direction, where it sits, which
//! strands.

use rayon::prelude::*;

use super::candidate::{Pairing, Wanted};
use super::effort::{COARSE, Effort, NEARLY_ALL};
use super::field::Field;
use super::polish::Polish;
use super::seat::{Seat, Seating};
use super::settings::Settings;
use super::stage::Stage;
use crate::face::Direction;

/// What a field must win over the best straight direction, as a ratio of the objectives: a plain
/// look is worth something, and a search may be off by half of it.
const CLEARLY: f64 = 1.025;
/// Share of the spread within which strands lie while seats are compared: the price of leaving the
/// direction keeps most strands of a good filling within it.
const STRAIGHT: f64 = 0.45;
/// Share of the best at first sight below which a direction is not looked at again.
const IN_SIGHT: f64 = 0.94;
/// How directions are compared. With three finalists fillings are worth 0.1 % less; with five, the
/// same; with twelve, and 20,000 steps for each, 0.2 % more, in twice the time for all of a plan.
const COMPARISON: Comparison = Comparison {
    compare: Glance {
        askew: 0.3,
        samples: 6.0,
        steps: 700,
    },
    finalists: 4,
    choose: Glance {
        askew: 0.45,
        samples: 7.0,
        steps: 3_000,
    },
};
/// The same where needle point pairs in all directions are more than this: the more there are, the
/// less a single strand is of the shape. A third less work for fillings worth the same.
const MANY_PAIRINGS: usize = 8_000;
const COMPARISON_OF_MANY: Comparison = Comparison {
    compare: Glance {
        askew: 0.2,
        samples: 4.0,
        steps: 500,
    },
    finalists: 3,
    choose: Glance {
        askew: 0.3,
        samples: 5.0,
        steps: 3_000,
    },
};
/// To see whether a feature can come out at all.
const QUICKLY: Glance = Glance {
    askew: 1.0,
    samples: COARSE,
    steps: 1_000,
};
/// To compare numbers of strands held together.
const ROUGHLY: Glance = Glance {
    askew: 0.4,
    samples: 5.0,
    steps: 500,
};
/// Steps of annealing for a start in the chosen direction.
const SEARCH: u32 = 1_000;
/// Fillings of a sweep that are starts, at most. With four, and with the best of each front, more
/// fillings are short.
const SWEPT: usize = 8;
/// Warmth of the annealing in `t^2`, what a search may lose on its way: where directions are
/// compared more than half of a short strand, for a start a third, from another filling hardly
/// anything.
const WARM: f64 = 0.6;
const MILD: f64 = 0.3;
pub(super) const COOL: f64 = 0.03;

/// How the best of the straight directions is chosen.
#[derive(Debug, Clone, Copy)]
struct Comparison {
    /// How all of them are looked at.
    compare: Glance,
    /// How many are looked at again. The more, the surer, and the longer it takes.
    finalists: usize,
    /// How these are looked at.
    choose: Glance,
}

/// How closely a direction is looked at when it is compared with others.
#[derive(Debug, Clone, Copy)]
struct Glance {
    /// Share of the spread within which strands lie. With more, strands that suit another direction
    /// better speak for this one.
    askew: f64,
    /// Samples across a strand.
    samples: f64,
    /// Steps of annealing.
    steps: u32,
}

impl Glance {
    /// What is found in a direction: what it is worth, mm2, and its strands.
    fn at(self, wanted: &Wanted<'_>, pairings: &[Pairing], field: &Field) -> (f64, Vec<Pairing>) {
        let stage = Stage::at_first(wanted, pairings, field, self.samples, self.askew);
        stage.search(&[], self.steps, WARM)
    }
}

/// A filling found.
#[derive(Debug, Clone)]
pub(super) struct Filled {
    /// Direction of the right half or side, of the shape as seated.
    pub(super) field: Field,
    /// Where the outline sits; mirrored on the left.
    pub(super) seat: Seat,
    /// The strands.
    pub(super) strands: Vec<Pairing>,
    /// The joint objective, mm2.
    pub(super) objective_mm2: f64,
}

impl Filled {
    /// What some of its strands cost whatever they cover, mm2.
    pub(super) fn prices<'s>(
        &self,
        wanted: &Wanted<'_>,
        strands: impl Iterator<Item = &'s Pairing>,
    ) -> f64 {
        let price = |strand: &Pairing| {
            let asked_deg = self.field.at(strand.middle());
            strand.price(asked_deg, wanted.width, wanted.settings.spread_deg)
        };
        strands.filter_map(price).sum()
    }
}

/// The direction stated; `None` where it is left to the plan.
fn stated(wanted: &Wanted<'_>, asked: Direction) -> Option<Field> {
    match asked {
        Direction::Auto => None,
        // A direction of -0 is one of 0.
        Direction::Degrees(d) | Direction::Chevron(d) => {
            Some(Field::Straight(d.rem_euclid(180.0) + 0.0))
        }
        Direction::Along => Some(Field::along(wanted)),
        Direction::Fan(_) => Some(Field::fan(wanted)),
    }
}

/// The best of every 15 degrees, or of the fields where one is clearly better, with the strands
/// found for it.
fn best_direction(wanted: &Wanted<'_>, pairings: &[Pairing]) -> (Field, Vec<Pairing>) {
    let comparison = if pairings.len() > MANY_PAIRINGS {
        COMPARISON_OF_MANY
    } else {
        COMPARISON
    };
    let compared = |fields: &[Field], keep: usize| {
        best_first(fields, keep, |field| {
            comparison.compare.at(wanted, pairings, field)
        })
    };
    let straight: Vec<Field> = (0..12)
        .map(|i| Field::Straight(f64::from(i) * 15.0))
        .collect();
    let (mut finalists, bent) = rayon::join(
        || compared(&straight, comparison.finalists),
        || compared(&Field::worth_a_try(wanted), usize::MAX),
    );
    // At first sight a field need only be as good to be looked at again.
    let enough = finalists[0].0;
    finalists.retain(|(worth, ..)| *worth >= IN_SIGHT * enough);
    finalists.extend(bent.into_iter().filter(|(worth, ..)| *worth > enough));
    let finals = best_first(&finalists, usize::MAX, |(_, field, _)| {
        comparison.choose.at(wanted, pairings, field)
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

/// Fills a feature as well as the search can: as drawn on the needle points that are free to it,
/// and, where shapes may shift, in the best seat on those of `seated_free`, if some seat is better.
/// Searched from so many starts more than its row of [`Effort`] gives it.
pub(super) fn fill(
    wanted: &Wanted<'_>,
    asked: Direction,
    seated_free: &[u32],
    more_starts: usize,
) -> (Filled, Option<Filled>) {
    let stated = stated(wanted, asked);
    let pairings = wanted.pairings(stated.as_ref());
    let (field, start) = match stated {
        Some(field) => (field, Vec::new()),
        None => best_direction(wanted, &pairings),
    };
    let choice = Choice::new(wanted, pairings, &field);
    let polish = choice.polish(wanted, &field);
    let effort = choice.effort.with(more_starts);
    let found = full_search(&choice.stage, &effort, wanted, start);
    let polished = best_first(&found, 1, |strands| polish.better(wanted, &field, strands));
    let (objective_mm2, _, strands) = polished.into_iter().next().unwrap_or_default();
    let drawn = Filled {
        field,
        seat: Seat::DRAWN,
        strands,
        objective_mm2,
    };
    if !wanted.settings.seat {
        return (polish.staggered(wanted, drawn), None);
    }
    let there = Wanted {
        free: seated_free,
        ..*wanted
    };
    let mut ends = choice.pairings.iter().flat_map(|pairing| pairing.ends);
    let other_room = ends.any(|end| wanted.free[end as usize] != seated_free[end as usize]);
    let seated = choice.seated(&there, &polish, &drawn, other_room);
    rayon::join(
        || polish.staggered(wanted, drawn),
        || seated.map(|seated| polish.staggered(&there, seated)),
    )
}

/// The best seat for a filling that lies as drawn, on the needle points that are free, if some seat
/// is better.
pub(super) fn reseated(wanted: &Wanted<'_>, drawn: &Filled) -> Option<Filled> {
    let choice = Choice::new(wanted, wanted.pairings(Some(&drawn.field)), &drawn.field);
    let polish = choice.polish(wanted, &drawn.field);
    let seated = choice.seated(wanted, &polish, drawn, true)?;
    Some(polish.staggered(wanted, seated))
}

/// What a filling is chosen from: the candidates in its direction.
struct Choice {
    /// All of them.
    pairings: Vec<Pairing>,
    /// Those among which strands are sought at first.
    stage: Stage,
    /// What is done among so many.
    effort: Effort,
}

impl Choice {
    /// Of needle point pairs, in a direction.
    fn new(wanted: &Wanted<'_>, mut pairings: Vec<Pairing>, field: &Field) -> Self {
        if field.is_straight() {
            // What leaves the direction by more is never looked at, wherever the shape sits.
            pairings.retain(|pairing| field.off_deg(pairing) <= wanted.settings.spread_deg);
        }
        let mut stage = Stage::at_first(wanted, &pairings, field, COARSE, NEARLY_ALL);
        let effort = Effort::of(stage.len());
        if effort.is_finer() {
            stage = Stage::new(wanted, &pairings, field, effort.coarse, effort.askew);
        }
        Self {
            pairings,
            stage,
            effort,
        }
    }

    /// Where fillings are polished.
    fn polish(&self, wanted: &Wanted<'_>, field: &Field) -> Polish<'_> {
        Polish::new(wanted, &self.pairings, field, &self.effort)
    }

    /// The best seat for a filling that lies as drawn, if some seat is better.
    fn seated(
        &self,
        wanted: &Wanted<'_>,
        polish: &Polish<'_>,
        drawn: &Filled,
        other_room: bool,
    ) -> Option<Filled> {
        let seating = Seating {
            stage: &self.stage.straighter(wanted, &drawn.field, STRAIGHT),
            wanted,
            other_room,
            polish,
            field: &drawn.field,
            finalists: self.effort.seats,
        };
        seating.seat(drawn)
    }
}

/// The same as drawn with the shape in a given seat, on the needle points that are free.
pub(super) fn seated(
    wanted: &Wanted<'_>,
    asked: Direction,
    seat: Seat,
    more_starts: usize,
) -> Filled {
    let outline = seat.seated(wanted.outline);
    let settings = Settings {
        seat: false,
        ..*wanted.settings
    };
    let there = Wanted {
        outline: &outline,
        settings: &settings,
        fan_from: wanted.fan_from.map(|from| seat.onto(wanted.outline) * from),
        ..*wanted
    };
    Filled {
        seat,
        ..fill(&there, asked, wanted.free, more_starts).0
    }
}

/// Searches one direction from many starts: on combs, by greatest gain, by a sweep. The best are
/// bettered window by window; those fillings that are worth a polish, the best first.
fn full_search(
    stage: &Stage,
    effort: &Effort,
    wanted: &Wanted<'_>,
    start: Vec<Pairing>,
) -> Vec<Vec<Pairing>> {
    let (mut starts, rows) = rayon::join(|| stage.combed(wanted), || stage.in_rows(effort.rows));
    starts.push(stage.search(&[], SEARCH, MILD));
    if !start.is_empty() {
        starts.push(stage.search(&start, 0, COOL));
    }
    if effort.is_swept {
        starts.extend(stage.swept(SWEPT));
    }
    starts.sort_by(|a, b| b.0.total_cmp(&a.0));
    starts.dedup_by(|a, b| a.1 == b.1);
    starts.truncate(effort.starts);
    let bettered = bettered(stage, &starts, &rows, effort);
    let spliced = stage.spliced(&bettered);
    let mut found = vec![stage.by_windows(&spliced, effort.windows).1];
    for other in bettered {
        if other != spliced && !found.contains(&other) {
            found.push(other);
        }
    }
    found.truncate(effort.polished);
    found
}

/// Betters starts window by window, the best first, so many at once, until the best filling was
/// reached from two; and fillings put together row by row, which are often alike.
fn bettered(
    stage: &Stage,
    starts: &[(f64, Vec<Pairing>)],
    rows: &[(f64, Vec<Pairing>)],
    effort: &Effort,
) -> Vec<Vec<Pairing>> {
    let better = |(_, start): &(f64, Vec<Pairing>)| stage.by_windows(start, effort.quick);
    let of_starts = || {
        let mut found: Vec<(f64, Vec<Pairing>)> = Vec::new();
        for some in starts.chunks(effort.at_once) {
            found.par_extend(some.par_iter().map(better));
            found.sort_by(|a, b| b.0.total_cmp(&a.0));
            if found.len() > 1 && found[0].1 == found[1].1 {
                break;
            }
        }
        found
    };
    let of_rows = || rows.par_iter().map(better).collect::<Vec<_>>();
    let (mut found, of_rows) = rayon::join(of_starts, of_rows);
    found.extend(of_rows);
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.into_iter().map(|(_, strands)| strands).collect()
}

/// Fills a feature in a stated direction, quickly: to see whether it can come out at all.
pub(super) fn quick(wanted: &Wanted<'_>, asked: Direction) -> Filled {
    at_a_glance(wanted, asked, QUICKLY)
}

/// Fills a feature in a stated direction, quicker still: to compare it with the same in other yarn.
pub(super) fn rough(wanted: &Wanted<'_>, asked: Direction) -> Filled {
    at_a_glance(wanted, asked, ROUGHLY)
}

fn at_a_glance(wanted: &Wanted<'_>, asked: Direction, glance: Glance) -> Filled {
    let field = stated(wanted, asked).unwrap_or(Field::Straight(0.0));
    let (objective_mm2, strands) = glance.at(wanted, &wanted.pairings(Some(&field)), &field);
    Filled {
        field,
        seat: Seat::DRAWN,
        strands,
        objective_mm2,
    }
}

/// A choice with what it is worth, mm2, and the strands found for it.
pub(super) type Judged<T> = (f64, T, Vec<Pairing>);

/// Judges each choice and keeps the best few, the best first; equal ones in their first order.
pub(super) fn best_first<T: Clone + Send + Sync>(
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
