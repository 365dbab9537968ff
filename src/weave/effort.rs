//! How much is done for a filling, by how many strands it is chosen from.

use super::search::{Units, Windows};

/// What is done for a filling in its direction.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Where fewer candidates than this lie in the direction.
    below: usize,
    /// Share of the spread within which strands are sought. All of it takes a twentieth longer where
    /// candidates are many, and finds no more: what is more askew a polish may still choose.
    pub(super) askew: f64,
    /// Samples across a strand while strands are sought and seats compared. Fewer, and the
    /// comparison is noise; more, and it takes longer for the same choice. The smaller the shape,
    /// the more a sample is of it: what is best on a coarse grid may be worse by 2 %, and a filling
    /// of two strands by a fifth.
    pub(super) coarse: f64,
    /// Samples across a strand in the polish.
    pub(super) fine: f64,
    /// A sweep makes starts as well: where a few strands are all of a filling, other starts hardly
    /// differ, and a pair of eyes was a twentieth short. Where candidates are more, other starts are
    /// as good.
    pub(super) is_swept: bool,
    /// Starts that are bettered window by window, at most, and how many at once: when the best filling
    /// was reached from two, no more are. Windows take the most time, and where candidates are many
    /// starts differ little. On thick yarn strands lie in few rows and fillings differ much: with
    /// eight, and none after the best was reached twice, twice as many of 870 fills were more than
    /// half a percent short of the best known.
    pub(super) starts: usize,
    pub(super) at_once: usize,
    /// Starts put together row by row besides, at most, where there is time.
    pub(super) rows: usize,
    /// How they are bettered.
    pub(super) quick: Windows,
    /// How the best filling is bettered then.
    pub(super) windows: Windows,
    /// How fillings are bettered in the polish.
    pub(super) polish: Windows,
    /// Fillings that are polished: on the finer grid another may be the best.
    pub(super) polished: usize,
    /// Seats that are looked at again after the first comparison.
    pub(super) seats: usize,
}

/// Rows, alone and with what lies opposite, and single strands. Without any of the three fillings
/// are worth 0.04 to 0.09 % less; couples, and single strands with what lies opposite, take an eighth
/// of all time and win nothing, where candidates are many, that the thorough look does not. A beam
/// of 6 and a pool of 40 find 0.05 % less.
const QUICK: Windows = Windows {
    on_a_side: 1,
    in_all: (1, 1),
    pool: 48,
    beam: 8,
    at_freed: false,
    in_couples: false,
    on_both: Units::Strands,
};

/// The same with a strand and what lies opposite. Of 870 bulky fills two thirds as many are over
/// half a percent short of the best known; where candidates are more it wins nothing.
const QUICK_OF_LESSER: Windows = Windows {
    in_all: (1, 2),
    ..QUICK
};

/// Where strands are few rows of both sides are filled in couples: of 870 bulky fills a third fewer
/// are over half a percent short, in the same time.
const QUICK_OF_FEW: Windows = Windows {
    on_both: Units::Couples,
    ..QUICK
};

/// The same with couples and more ways to fill each, for the best filling: larger windows win less,
/// and take longer.
pub(super) const THOROUGH: Windows = Windows {
    on_a_side: 2,
    in_all: (1, 2),
    pool: 64,
    beam: 10,
    at_freed: false,
    in_couples: true,
    on_both: Units::Strands,
};

/// Larger windows, where strands are few. Below 700 candidates alone, hats of 15 strands were 3 and
/// 1 % under the best known; below 1,500 they are not, for 3 % of all time.
const THOROUGH_OF_FEW: Windows = Windows {
    on_a_side: 3,
    in_all: (2, 4),
    at_freed: true,
    on_both: Units::Either,
    ..THOROUGH
};

/// Fewer ways to fill a window for a polish, for there is little left to win. Couples too, where
/// strands are many, take a fortieth longer and win nothing.
const POLISH: Windows = Windows {
    pool: 24,
    beam: 3,
    ..THOROUGH
};
const POLISH_OF_FEW: Windows = Windows {
    on_both: Units::Either,
    ..POLISH
};

/// Samples across a strand where it is not known yet how many candidates there are.
pub(super) const COARSE: f64 = 7.0;
/// Share of the spread within which strands lie then.
pub(super) const NEARLY_ALL: f64 = 0.8;

/// For very many candidates, and for ever fewer.
const MOST: Effort = Effort {
    below: usize::MAX,
    askew: NEARLY_ALL,
    coarse: COARSE,
    fine: 12.0,
    is_swept: false,
    starts: 2,
    at_once: 2,
    rows: 0,
    quick: QUICK,
    windows: THOROUGH,
    polish: POLISH,
    polished: 1,
    seats: 2,
};
const MANY: Effort = Effort {
    below: 3_800,
    starts: 4,
    ..MOST
};
const LESS: Effort = Effort {
    below: 1_500,
    coarse: 9.0,
    starts: 12,
    at_once: 12,
    fine: 20.0,
    windows: THOROUGH_OF_FEW,
    polished: 3,
    ..MOST
};
const LESSER: Effort = Effort {
    below: 1_000,
    quick: QUICK_OF_LESSER,
    ..LESS
};
const FEW: Effort = Effort {
    below: 700,
    askew: 1.0,
    is_swept: true,
    starts: 24,
    at_once: 24,
    quick: QUICK_OF_FEW,
    polish: POLISH_OF_FEW,
    polished: 6,
    seats: 4,
    ..LESS
};
const FEWER: Effort = Effort {
    below: 300,
    fine: 30.0,
    ..FEW
};
const FEWEST: Effort = Effort {
    below: 100,
    coarse: 20.0,
    seats: 8,
    ..FEWER
};

/// What a face may take, in what one start takes for a square of the strand's width; and what it
/// takes with the starts below: for each fill, for each such square of it, and where its direction is
/// sought. Fitted to the times of the bundled faces on six slippers, so that those that take
/// longest take no longer. Of 290 worsted fills, each all of a face, 50 are more than half a
/// percent short of the best known without, 30 with.
const MAY_TAKE: f64 = 1_900.0;
const FILL_TAKES: f64 = 250.0;
const SQUARE_TAKES: f64 = 2.0;
const SEEKING_TAKES: f64 = 3.0;
/// There are no more than so many different ones.
const MOST_STARTS: f64 = 64.0;

/// Starts of each fill that there is time for besides those of its row, in a face of these fills:
/// how many squares of its strands' width each holds, and whether its direction is sought.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a small number, not negative"
)]
pub(super) fn more_starts(fills: impl Iterator<Item = (f64, bool)>) -> usize {
    let (mut left, mut all) = (MAY_TAKE, 0.0);
    for (squares, is_sought) in fills {
        let seeking = if is_sought { SEEKING_TAKES } else { 0.0 };
        left -= FILL_TAKES + (SQUARE_TAKES + seeking) * squares;
        all += squares;
    }
    (left.max(0.0) / all).min(MOST_STARTS) as usize
}

impl Effort {
    /// What is done where so many candidates lie in the direction.
    pub(super) fn of(candidates: usize) -> Self {
        let all = [FEWEST, FEWER, FEW, LESSER, LESS, MANY];
        let first = all.into_iter().find(|effort| candidates < effort.below);
        first.unwrap_or(MOST)
    }

    /// The same with so many starts more: first one put together row by row, then another and others,
    /// all at once, and more are polished, for what fillings are worth only a polish tells.
    pub(super) fn with(self, more_starts: usize) -> Self {
        let others = more_starts.saturating_sub(1);
        Self {
            rows: self.rows + more_starts.min(2),
            starts: self.starts + others,
            at_once: self.at_once + others,
            polished: self.polished + others.min(2),
            ..self
        }
    }

    /// True where the grid is to be finer than the one on which candidates were counted.
    pub(super) fn is_finer(&self) -> bool {
        self.coarse > COARSE
    }
}
