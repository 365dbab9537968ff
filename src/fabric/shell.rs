//! The shell as worked: rounds, counts, lean; how high and how far round a place lies.

use super::{Gauge, Spot};

/// The hand that holds the hook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hand {
    /// Works counter-clockwise, right side facing; columns lean to the right.
    Right,
    /// Works clockwise; columns lean to the left.
    Left,
}

impl Hand {
    /// Sign of x for a step in the working direction, as one looks at the outside with the toe
    /// down: -1 (leftward) for a right-handed maker.
    #[must_use]
    pub fn sign(self) -> f64 {
        match self {
            Self::Right => -1.0,
            Self::Left => 1.0,
        }
    }

    /// The stitches of a round of `count` as they stand from left to right.
    pub(crate) fn left_to_right(self, count: u32) -> impl Iterator<Item = u32> {
        (1..=count).map(move |stitch| match self {
            Self::Right => count + 1 - stitch,
            Self::Left => stitch,
        })
    }

    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }
}

/// How one round goes over into the next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounds {
    /// Worked on without a join: the round climbs one row in a turn.
    Spiral,
    /// Closed with a slip stitch: each round is level and a seam runs up its start.
    Joined,
}

impl Rounds {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Spiral => "spiral",
            Self::Joined => "joined",
        }
    }
}

/// Why a shell cannot be built.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ShellError {
    /// No round at all.
    #[error("the toe has no round")]
    NoRounds,
    /// A single round is a ring: nothing unfolds.
    #[error("the shell has one round; it needs at least 2")]
    OneRound,
    /// A round of too few stitches to be a tube.
    #[error("round {round} has {count} stitches; a round needs at least 3")]
    TooFewStitches {
        /// Round, 1 at the toe.
        round: usize,
        /// Stitches found.
        count: u32,
    },
    /// The flat strip leaves no opening.
    #[error(
        "the flat strip takes {flat} of the {last} stitches of the last round; at least 2 must stay open"
    )]
    NoOpening {
        /// Stitches of the strip.
        flat: u32,
        /// Stitches of the last round.
        last: u32,
    },
    /// More stitches before the turn than the strip is wide.
    #[error(
        "{extra} stitches are worked before the turn, but the flat strip has only {flat}; it covers them all"
    )]
    ExtraPastStrip {
        /// Stitches worked into the next round before the turn.
        extra: u32,
        /// Stitches of the strip.
        flat: u32,
    },
    /// The centre lies outside the last round.
    #[error("the centre stitch {centre} is not in the last round of {last} stitches")]
    CentreOutside {
        /// Centre asked for.
        centre: f64,
        /// Stitches of the last round.
        last: u32,
    },
    /// A lean of a whole stitch a round or more is no drift.
    #[error("the lean is {0} stitches a round; it must be under 1 either way")]
    LeanTooLarge(f64),
}

/// What a maker states of the shell, before it is checked.
#[derive(Debug, Clone, PartialEq)]
pub struct ShellSpec {
    /// Stitch and row size.
    pub gauge: Gauge,
    /// The hook hand.
    pub hand: Hand,
    /// Spiral or joined.
    pub rounds: Rounds,
    /// Stitches of each increase round, the ring first.
    pub toe: Vec<u32>,
    /// Rounds worked even after the toe, each with its last count.
    pub even_rounds: u32,
    /// Stitches by which a column moves against the working direction in a round.
    pub lean: f64,
    /// Stitches of the last round that go on as the flat strip.
    pub flat_stitches: u32,
    /// Stitches or slip stitches worked into the next round before the turn.
    pub extra_before_turn: u32,
    /// Centre of the opening in the last round; worked out from the counts when absent.
    pub centre_stitch: Option<f64>,
}

/// A checked shell.
///
/// # Guarantees
/// At least two rounds, each of 3 stitches or more; an opening of at least 2 stitches; no more
/// stitches before the turn than the strip has; the centre within the last round; lean between
/// -1 and 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell {
    spec: ShellSpec,
    counts: Vec<u32>,
    centre_stitch: f64,
    profile: Profile,
}

impl Shell {
    /// Checks what the maker stated.
    ///
    /// # Errors
    /// [`ShellError`] with the figures found.
    pub fn new(spec: ShellSpec) -> Result<Self, ShellError> {
        let last = *spec.toe.last().ok_or(ShellError::NoRounds)?;
        let mut counts = spec.toe.clone();
        counts.extend(std::iter::repeat_n(last, spec.even_rounds as usize));
        if counts.len() == 1 {
            return Err(ShellError::OneRound);
        }
        if let Some(at) = counts.iter().position(|&count| count < 3) {
            return Err(ShellError::TooFewStitches {
                round: at + 1,
                count: counts[at],
            });
        }
        if spec.lean.is_nan() || spec.lean.abs() >= 1.0 {
            return Err(ShellError::LeanTooLarge(spec.lean));
        }
        if spec.flat_stitches + 2 > last {
            return Err(ShellError::NoOpening {
                flat: spec.flat_stitches,
                last,
            });
        }
        if spec.extra_before_turn > spec.flat_stitches {
            return Err(ShellError::ExtraPastStrip {
                extra: spec.extra_before_turn,
                flat: spec.flat_stitches,
            });
        }
        let open = f64::from(last - spec.flat_stitches);
        let counted = f64::from(spec.extra_before_turn) + (open + 1.0) / 2.0;
        let centre_stitch = spec.centre_stitch.unwrap_or(counted);
        if !(0.5..f64::from(last) + 0.5).contains(&centre_stitch) {
            return Err(ShellError::CentreOutside {
                centre: centre_stitch,
                last,
            });
        }
        let first_top = match spec.rounds {
            Rounds::Spiral => 1.5,
            Rounds::Joined => 1.0,
        };
        Ok(Self {
            profile: Profile::new(first_top, &counts),
            spec,
            counts,
            centre_stitch,
        })
    }

    /// The same shell worked with the other hand.
    #[must_use]
    pub fn worked_with_other_hand(&self) -> Self {
        let mut other = self.clone();
        other.spec.hand = match self.spec.hand {
            Hand::Right => Hand::Left,
            Hand::Left => Hand::Right,
        };
        other
    }

    /// Stitch and row size.
    #[must_use]
    pub fn gauge(&self) -> Gauge {
        self.spec.gauge
    }

    /// The hook hand.
    #[must_use]
    pub fn hand(&self) -> Hand {
        self.spec.hand
    }

    /// Spiral or joined.
    #[must_use]
    pub fn rounds(&self) -> Rounds {
        self.spec.rounds
    }

    /// Lean, stitches per round against the working direction.
    #[must_use]
    pub fn lean(&self) -> f64 {
        self.spec.lean
    }

    /// Stitches of the flat strip.
    #[must_use]
    pub fn flat_stitches(&self) -> u32 {
        self.spec.flat_stitches
    }

    /// Stitches worked into the next round before the turn.
    #[must_use]
    pub fn extra_before_turn(&self) -> u32 {
        self.spec.extra_before_turn
    }

    /// Rounds of the toe, the increase rounds.
    #[must_use]
    pub fn toe_rounds(&self) -> usize {
        self.spec.toe.len()
    }

    /// Stitches of each round, the ring first.
    #[must_use]
    pub fn counts(&self) -> &[u32] {
        &self.counts
    }

    /// Number of rounds, `R`.
    #[must_use]
    pub fn last_round(&self) -> u32 {
        u32::try_from(self.counts.len()).unwrap_or(u32::MAX)
    }

    /// Stitches in a round, 1 at the toe; the last count beyond the last round.
    #[must_use]
    pub fn count(&self, round: u32) -> u32 {
        let index = (round.max(1) as usize - 1).min(self.counts.len() - 1);
        self.counts[index]
    }

    /// Stitches of the last round, `n_R`.
    #[must_use]
    pub fn last_count(&self) -> u32 {
        self.counts[self.counts.len() - 1]
    }

    /// Stitches of the last round that stay open.
    #[must_use]
    pub fn open_stitches(&self) -> u32 {
        self.last_count() - self.spec.flat_stitches
    }

    /// Centre of the instep `k_c` in the last round: whole on a stitch, half between two.
    #[must_use]
    pub fn centre_stitch(&self) -> f64 {
        self.centre_stitch
    }

    /// The centre of the opening edge: the top of stitch `k_c` of the last round.
    #[must_use]
    pub fn centre(&self) -> Spot {
        Spot {
            round: self.last_round(),
            stitch: self.centre_stitch,
            row: 1.0,
        }
    }

    /// Rounds climbed from the ring to a place:
    /// `tau = r - 1 + f + (k - 1/2) / n_r` in a spiral, `r - 1 + f` in joined rounds.
    ///
    /// At the very tip a spiral is off by up to half a row: in a real ring all bases of round 1
    /// lie in one hole.
    #[must_use]
    pub fn climbed(&self, spot: Spot) -> f64 {
        let level = f64::from(spot.round) - 1.0 + spot.row;
        match self.spec.rounds {
            Rounds::Spiral => level + self.share_of_round(spot),
            Rounds::Joined => level,
        }
    }

    /// Stitches in a full circle at a height `N(tau)`: linear between the mean heights of the
    /// rounds' tops, constant outside.
    #[must_use]
    pub fn around(&self, climbed: f64) -> f64 {
        self.profile.around(climbed)
    }

    /// Turn of a place, as a fraction of a circle in the working direction:
    /// `alpha = (k - 1/2) / n_r - integral from 0 to tau of lambda / N(t) dt`.
    #[must_use]
    pub fn turn(&self, spot: Spot) -> f64 {
        self.share_of_round(spot) - self.lean_turn(self.climbed(spot))
    }

    /// Turn that the lean has taken away at a height: `integral from 0 to tau of lambda / N`.
    #[must_use]
    pub fn lean_turn(&self, climbed: f64) -> f64 {
        self.spec.lean * self.profile.turns_per_lean(climbed)
    }

    /// Height at which the increases end and the even tube begins, in rounds climbed.
    #[must_use]
    pub fn cap_ends(&self) -> f64 {
        let last = self.last_count();
        let shaped = self.counts.iter().rposition(|&count| count != last);
        self.profile.first_top + shaped.map_or(0.0, |index| index as f64 + 1.0)
    }

    /// Mean height of the top of round 1, in rounds climbed.
    #[must_use]
    pub fn first_top(&self) -> f64 {
        self.profile.first_top
    }

    fn share_of_round(&self, spot: Spot) -> f64 {
        (spot.stitch - 0.5) / f64::from(self.count(spot.round))
    }
}

/// `N(tau)` and the integral of `1 / N`, piecewise.
#[derive(Debug, Clone, PartialEq)]
struct Profile {
    /// Mean height of the top of round 1.
    first_top: f64,
    /// `N` at the tops, one a round.
    tops: Vec<f64>,
    /// Integral of `1 / N` from 0 to each top.
    integral: Vec<f64>,
}

impl Profile {
    fn new(first_top: f64, counts: &[u32]) -> Self {
        let tops: Vec<f64> = counts.iter().map(|&count| f64::from(count)).collect();
        let mut integral = vec![first_top / tops[0]];
        for pair in tops.windows(2) {
            let before = integral[integral.len() - 1];
            integral.push(before + integral_of_inverse(pair[0], pair[1], 1.0));
        }
        Self {
            first_top,
            tops,
            integral,
        }
    }

    /// Index of the top below a height, and the rest above it.
    fn below(&self, climbed: f64) -> Option<(usize, f64)> {
        let above = climbed - self.first_top;
        if above < 0.0 {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and capped by the number of rounds"
        )]
        let index = (above.floor() as usize).min(self.tops.len() - 1);
        Some((index, above - index as f64))
    }

    fn around(&self, climbed: f64) -> f64 {
        match self.below(climbed) {
            None => self.tops[0],
            Some((index, rest)) => match self.tops.get(index + 1) {
                Some(next) => self.tops[index] + rest * (next - self.tops[index]),
                None => self.tops[index],
            },
        }
    }

    fn turns_per_lean(&self, climbed: f64) -> f64 {
        match self.below(climbed) {
            None => climbed / self.tops[0],
            Some((index, rest)) => {
                let next = *self.tops.get(index + 1).unwrap_or(&self.tops[index]);
                self.integral[index] + integral_of_inverse(self.tops[index], next, rest)
            }
        }
    }
}

/// Integral of `1 / (a + (b - a) t)` for t from 0 to `rest`; `rest / a` where a and b are equal.
fn integral_of_inverse(a: f64, b: f64, rest: f64) -> f64 {
    let slope = b - a;
    if slope.abs() < 1e-9 {
        rest / a
    } else {
        (slope * rest / a).ln_1p() / slope
    }
}
