//! Rows as the maker sees them: counted from the opening edge along the centre line.

use super::{NeedlePoint, Rounds, RowPart, Shell, Spot};

/// One row, named by where its base crosses the centre line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Number of the row below the opening edge, 1 at the edge.
    pub below: u32,
    /// Round that crosses here.
    pub round: u32,
    /// Exact stitch position of the crossing, not rounded.
    pub stitch: f64,
    /// Where the basting thread goes: the crossing rounded to the nearest half stitch.
    pub baste: NeedlePoint,
    /// Rounds climbed at the crossing.
    pub climbed: f64,
}

/// A needle point as a finger finds it from the basting thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Along {
    /// Rows below the opening edge: `m` at the base of row m, `m - 1/2` in its middle.
    pub below: f64,
    /// Stitches along the row from its baste point, + to the right; a multiple of 1/2.
    pub across: f64,
}

/// All rows from the edge to the toe.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows {
    rows: Vec<Row>,
    /// Stitches worked before each round, the first round's first.
    worked_before: Vec<f64>,
    edge_turn: f64,
}

impl Rows {
    /// Follows the centre line from the opening edge to the toe.
    ///
    /// In a spiral the bases of all rounds are one line that climbs without a break; it crosses
    /// the centre line once a turn of `T - lean_turn(T)`, so a leaning spiral now and then skips
    /// a round number (and one that leans backward crosses a round twice).
    #[must_use]
    pub fn new(shell: &Shell) -> Self {
        let mut worked_before = vec![0.0];
        for &count in shell.counts() {
            worked_before.push(worked_before[worked_before.len() - 1] + f64::from(count));
        }
        let edge_turn = match shell.rounds() {
            Rounds::Spiral => base_turn(shell, shell.climbed(shell.centre())),
            Rounds::Joined => shell.turn(shell.centre()),
        };
        let rows = match shell.rounds() {
            Rounds::Spiral => (1..)
                .map_while(|below| spiral_crossing(shell, edge_turn, below))
                .collect(),
            Rounds::Joined => (1..=shell.last_round())
                .map(|below| joined_crossing(shell, edge_turn, below))
                .collect(),
        };
        Self {
            rows,
            worked_before,
            edge_turn,
        }
    }

    /// The rows, from the edge to the toe.
    #[must_use]
    pub fn all(&self) -> &[Row] {
        &self.rows
    }

    /// How a finger finds a needle point: the row by which it is reached in less than half a
    /// turn. `None` on the sole beyond the edge, and at the tip where no row crosses any more.
    #[must_use]
    pub fn along(&self, shell: &Shell, point: NeedlePoint) -> Option<Along> {
        let worked = |p: NeedlePoint| self.worked_before[p.round as usize - 1] + p.stitch();
        let base = Spot {
            row: 0.0,
            ..point.spot()
        };
        let (row, steps) = match shell.rounds() {
            Rounds::Spiral => {
                let turns_to_edge = self.edge_turn - base_turn(shell, shell.climbed(base));
                let row = self.row((turns_to_edge + 0.5).floor())?;
                (row, worked(point) - worked(row.baste))
            }
            Rounds::Joined => {
                let row = self.row(f64::from(shell.last_round() - point.round + 1))?;
                let count = f64::from(shell.count(point.round));
                let steps = point.stitch() - row.baste.stitch();
                (row, half_open(steps / count) * count)
            }
        };
        Some(Along {
            below: f64::from(row.below) - point.row.fraction(),
            // The sum with 0 keeps a baste point from being minus nothing.
            across: (2.0 * steps * shell.hand().sign()).round() / 2.0 + 0.0,
        })
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a row number between 1 and the number of rows"
    )]
    fn row(&self, below: f64) -> Option<&Row> {
        (below >= 1.0)
            .then(|| self.rows.get(below as usize - 1))
            .flatten()
    }
}

/// A turn brought into (-1/2, 1/2].
#[must_use]
pub(crate) fn half_open(turn: f64) -> f64 {
    turn - (turn - 0.5).ceil()
}

/// Turn of the climbing base line of a spiral, not wrapped: whole turns are counted on.
fn base_turn(shell: &Shell, climbed: f64) -> f64 {
    climbed - shell.lean_turn(climbed)
}

fn spiral_crossing(shell: &Shell, edge_turn: f64, below: u32) -> Option<Row> {
    let wanted = edge_turn - f64::from(below);
    let (mut low, mut high) = (0.0, f64::from(shell.last_round()) + 1.0);
    if base_turn(shell, low) > wanted {
        return None;
    }
    // The base line climbs strictly, so halving finds the one crossing; 80 halvings reach the
    // last bit of an f64.
    for _ in 0..80 {
        let middle = f64::midpoint(low, high);
        if base_turn(shell, middle) <= wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    let climbed = f64::midpoint(low, high);
    // A crossing within rounding of a whole round is the start of that round.
    let level = (climbed + 1e-9).floor();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a round number"
    )]
    let round = level as u32 + 1;
    let stitch = (climbed - level).max(0.0) * f64::from(shell.count(round)) + 0.5;
    Some(Row {
        below,
        round,
        stitch,
        baste: baste_point(shell, round, stitch),
        climbed,
    })
}

fn joined_crossing(shell: &Shell, edge_turn: f64, below: u32) -> Row {
    let round = shell.last_round() + 1 - below;
    let climbed = f64::from(round) - 1.0;
    let share = (edge_turn + shell.lean_turn(climbed) + 1e-12).rem_euclid(1.0);
    let stitch = share * f64::from(shell.count(round)) + 0.5;
    Row {
        below,
        round,
        stitch,
        baste: baste_point(shell, round, stitch),
        climbed,
    }
}

/// The half stitch nearest to a crossing, under its canonical name. Where that would be the start
/// of a round not worked any more, the middle of the last stitch.
fn baste_point(shell: &Shell, round: u32, stitch: f64) -> NeedlePoint {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and twice the stitches of a round, and one"
    )]
    // A crossing exactly between two half stitches goes to the farther one of the round,
    // whatever the last bit of the sum says.
    let half_stitches = (2.0 * stitch + 1e-9).round() as u32;
    let past_the_end = half_stitches > 2 * shell.count(round);
    let (round, half_stitches) = match shell.rounds() {
        Rounds::Joined if past_the_end => (round, 1),
        Rounds::Spiral if past_the_end => (round + 1, 1),
        _ => (round, half_stitches),
    };
    let last = shell.last_round();
    NeedlePoint {
        round: round.min(last),
        half_stitches: if round > last {
            2 * shell.last_count()
        } else {
            half_stitches
        },
        row: RowPart::Base,
    }
}
