//! The whole slipper in space: the tube by its counts, and a heel as a foot would have it.

use std::f64::consts::FRAC_PI_2;

use kurbo::Point;

use super::cloth::{Place, Stitch};
use super::look::Look;
use crate::fabric::{Instep, Space, Spot, Worn};

/// Length of a foot for its girth (common practice, no source). It only says how long the strip
/// is drawn, for a slipper file does not tell.
const FOOT_LENGTH: f64 = 1.0;

/// Share of its width that a foot loses toward the heel.
const NARROWER: f64 = 0.16;

/// Share by which the strip is drawn higher there: it is as wide as before, round a slimmer heel.
const HIGHER: f64 = 0.34;

/// A slipper with its stitches in space.
#[derive(Debug, Clone)]
pub struct Body<'a> {
    instep: &'a Instep,
    worn: Worn,
    /// Straight length of the strip before it rounds the heel, mm.
    straight: f64,
    /// Half the width of the heel.
    heel: f64,
}

impl<'a> Body<'a> {
    /// The slipper of an unfolded instep.
    #[must_use]
    pub fn new(instep: &'a Instep) -> Self {
        let worn = Worn::new(instep);
        let heel = worn.half_size(0.0).0 * (1.0 - NARROWER);
        let around = instep.around_mm();
        let rest = FOOT_LENGTH * around - worn.along(instep.centre_line_mm());
        Self {
            instep,
            straight: (rest - heel).max(0.22 * around),
            heel,
            worn,
        }
    }

    /// Half the height of the tube, mm.
    #[must_use]
    pub fn half_height(&self) -> f64 {
        self.worn.half_size(0.0).1
    }

    /// A place of the instep frame in space.
    #[must_use]
    pub fn place(&self, at: Point) -> Place {
        self.turned(Worn::turn_of(self.instep, at), at.y)
    }

    fn turned(&self, turn: f64, y: f64) -> Place {
        Place {
            at: self.worn.at(turn, y),
            outward: self.worn.outward(turn, y),
        }
    }

    /// All stitches of the rounds, each round from left to right.
    #[must_use]
    pub fn tube(&self) -> Vec<Stitch> {
        let shell = self.instep.shell();
        let rounds = (1..=shell.last_round()).flat_map(|round| {
            let count = shell.count(round);
            let stitches = shell.hand().left_to_right(count);
            stitches.map(move |stitch| self.stitch(round, f64::from(stitch)))
        });
        rounds.collect()
    }

    fn stitch(&self, round: u32, stitch: f64) -> Stitch {
        let spread = |across: f64, row: f64| {
            let spot = Spot {
                round,
                stitch: stitch + across,
                row,
            };
            let at = self.instep.unfold(spot);
            // The ring is drawn shut: its stitches all stand in one hole.
            let hole = round == 1 && row <= 0.0;
            let y = if hole {
                self.instep.centre_line_mm()
            } else {
                at.y
            };
            (Worn::turn_of(self.instep, at), y)
        };
        let (turn, y) = spread(0.0, 0.5);
        let right = 0.5 * self.instep.shell().hand().sign();
        let corner = |across: f64, row: f64| {
            let (other, y) = spread(across, row);
            // The unfolding tears the fabric under the sole; a stitch there stays whole.
            self.turned(beside(turn, other), y)
        };
        Stitch {
            foot: [corner(-right, 0.0), corner(right, 0.0)],
            top: [corner(-right, 1.0), corner(right, 1.0)],
            middle: self.turned(turn, y),
        }
    }

    /// The opening edge from left to right: the tops of the open stitches, with their turns.
    #[must_use]
    pub fn edge(&self) -> Vec<(f64, f64)> {
        let shell = self.instep.shell();
        let first = f64::from(shell.extra_before_turn()) + 0.5;
        let mut edge: Vec<(f64, f64)> = (0..=shell.open_stitches())
            .map(|step| self.top_of_last(first + f64::from(step)))
            .collect();
        if edge[0].0 > edge[edge.len() - 1].0 {
            edge.reverse();
        }
        edge
    }

    /// Turn and height of the top of a place of the last round.
    fn top_of_last(&self, stitch: f64) -> (f64, f64) {
        let at = self.instep.unfold(Spot {
            round: self.instep.shell().last_round(),
            stitch,
            row: 1.0,
        });
        (Worn::turn_of(self.instep, at), at.y)
    }

    /// From the opening edge to the seam at the heel, mm.
    fn strip_length(&self) -> f64 {
        self.straight + self.heel * FRAC_PI_2
    }

    /// Rows of the strip to the seam at the heel.
    fn strip_rows(&self) -> u32 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a length of a foot in rows"
        )]
        let rows = (self.strip_length() / self.instep.row_mm())
            .round()
            .max(2.0) as u32;
        rows
    }

    /// A place of the strip: `row` rows beyond the top of the last round.
    fn on_strip(&self, turn: f64, y: f64, row: f64) -> Place {
        let rows = f64::from(self.strip_rows());
        let back = self.strip_length() * row / rows - y * (1.0 - row / rows);
        // Small steps to both sides tell the direction: shares of a round, mm.
        let (aside, ahead) = (0.005, 0.05);
        let right = self.heel_at(turn + aside, back) - self.heel_at(turn - aside, back);
        let toward_toe = self.heel_at(turn, back - ahead) - self.heel_at(turn, back + ahead);
        Place {
            at: self.heel_at(turn, back),
            outward: right.cross(toward_toe).unit(),
        }
    }

    /// Back from the opening edge along the foot and round the heel.
    fn heel_at(&self, turn: f64, back: f64) -> Space {
        let at = self.worn.at(turn, 0.0);
        let share = (back / self.straight).clamp(0.0, 1.0);
        let eased = share * share * (3.0 - 2.0 * share);
        let x = at.x * (1.0 - NARROWER * eased);
        let sole = self.half_height();
        let (sin, cos) = ((back - self.straight) / self.heel)
            .clamp(0.0, FRAC_PI_2)
            .sin_cos();
        Space::new(
            x * cos,
            -back.min(self.straight) - x.abs() * sin,
            (at.z + sole) * (1.0 + HIGHER * eased) - sole,
        )
    }

    /// The stitches of the strip for sole and heel, seamed at the back: row by row, each from left
    /// to right.
    #[must_use]
    pub fn strip(&self) -> Vec<Stitch> {
        let shell = self.instep.shell();
        let first = shell.extra_before_turn() + shell.open_stitches();
        let right = 0.5 * shell.hand().sign();
        // Turn and height of the left, the middle and the right of each stitch of a row.
        let steps = shell.hand().left_to_right(shell.flat_stitches());
        let row_of = steps.map(|step| {
            // Past the end of the round its first stitches follow, if some were worked on.
            let stitch = f64::from((first + step - 1) % shell.last_count() + 1);
            [-right, 0.0, right].map(|across| self.top_of_last(stitch + across))
        });
        let row_of: Vec<[(f64, f64); 3]> = row_of.collect();
        let sides_at = |row: f64| {
            let sides = row_of.iter().map(|&[left, _, right]| {
                [left, right].map(|(turn, y)| self.on_strip(turn, y, row))
            });
            sides.collect::<Vec<[Place; 2]>>()
        };
        let mut stitches = Vec::new();
        let mut feet = sides_at(0.0);
        for row in 0..self.strip_rows() {
            let row = f64::from(row);
            let tops = sides_at(row + 1.0);
            for ((&foot, &top), &[_, (turn, y), _]) in feet.iter().zip(&tops).zip(&row_of) {
                stitches.push(Stitch {
                    foot,
                    top,
                    middle: self.on_strip(turn, y, row + 0.5),
                });
            }
            feet = tops;
        }
        stitches
    }

    /// Where the slipper meets the floor, around.
    #[must_use]
    pub fn sole(&self) -> Vec<Space> {
        let centre_line = self.instep.centre_line_mm();
        let down = -self.half_height();
        let flat = |at: Space| Space::new(at.x, at.y, down);
        let toe = |turn: f64, share: f64| flat(self.worn.at(turn, centre_line * share));
        let heel = |turn: f64, share: f64| flat(self.heel_at(turn, self.strip_length() * share));
        let steps = || (0..=24).map(|step| f64::from(step) / 24.0);
        let right = steps().map(|share| toe(0.25, share));
        let left = steps().rev().map(|share| toe(-0.25, share));
        let back = steps().map(|share| heel(-0.25, share));
        let forth = steps().rev().map(|share| heel(0.25, share));
        right.chain(left).chain(back).chain(forth).collect()
    }

    /// The centre line from the edge to the horizon.
    #[must_use]
    pub fn centre_line(&self, look: &Look) -> Vec<Point> {
        let centre_line = self.instep.centre_line_mm();
        (0..=40)
            .map(|step| self.turned(0.0, centre_line * f64::from(step) / 40.0))
            .take_while(|place| look.facing(place.outward) > 0.0)
            .map(|place| look.sheet(place.at))
            .collect()
    }

    /// The rim of the opening, a place for each stitch or row, from the left end of the opening
    /// edge to its right end, on along the strip and round the heel.
    #[must_use]
    pub fn rim(&self) -> Vec<Place> {
        let edge = self.edge();
        let rows = self.strip_rows();
        let (left, right) = (edge[0], edge[edge.len() - 1]);
        let front = edge.iter().map(|&(turn, y)| self.turned(turn, y));
        let back = (1..=rows).map(|row| self.on_strip(right.0, right.1, f64::from(row)));
        let forth = (1..rows)
            .rev()
            .map(|row| self.on_strip(left.0, left.1, f64::from(row)));
        front.chain(back).chain(forth).collect()
    }
}

/// A turn brought within half a round of another.
fn beside(turn: f64, other: f64) -> f64 {
    other + (turn - other).round()
}
