//! What is offered for a group of a face: as it is where all lies as drawn, and in the room that
//! others leave in their seats; a fill with the line round it.

use super::fill::{self, Filled};
use super::piece::{Edge, Found, Group, Piece, Seeker, ends};
use super::room::Room;
use super::seat::Seat;
use crate::face::{Direction, Fill, Work};

/// Share of the score a fill has by itself that it is to keep where a line round it takes its needle
/// points first.
const EDGED: f64 = 0.8;

/// What is offered for a group.
#[derive(Debug, Clone)]
pub(super) struct Offer {
    /// The best that was found.
    pub(super) best: Found,
    /// The same in a face that all lies as drawn, where that is another.
    pub(super) drawn: Option<Found>,
    /// The best in the room that others leave in their seats, where that is worth less.
    pub(super) less: Option<Found>,
}

impl Offer {
    /// Of what is found as drawn and seated, the better one, of so many pieces of the fill.
    fn of(drawn: Found, seated: Option<Found>, sides: usize) -> Self {
        match seated {
            Some(mut best) if best.objective_mm2 > drawn.objective_mm2 => {
                if best.seat != Seat::DRAWN {
                    let won_mm2 = best.objective_mm2 - drawn.objective_mm2;
                    for piece in &mut best.pieces[..sides] {
                        piece.feature.seat_won_mm2 = won_mm2;
                    }
                }
                Self {
                    best,
                    drawn: Some(drawn),
                    less: None,
                }
            }
            less => Self {
                best: drawn,
                drawn: None,
                less,
            },
        }
    }

    /// As it is in a face that all lies as drawn.
    pub(super) fn if_drawn(&self) -> &Found {
        self.drawn.as_ref().unwrap_or(&self.best)
    }

    /// The same, to be sewn.
    pub(super) fn as_drawn(&mut self) -> &mut Found {
        self.drawn.as_mut().unwrap_or(&mut self.best)
    }
}

impl Seeker<'_> {
    /// Finds the strands of a group, and of the line round it if there is one: in the room that
    /// others leave as drawn, and in that they leave in their seats.
    pub(super) fn find(&self, group: &Group<'_>, edge: Option<Edge<'_>>, seated: &Room) -> Offer {
        let there = Seeker {
            room: seated,
            ..*self
        };
        let (drawn, seated) = match group[0].feature.work {
            Work::Fill { fill, direction } => {
                let wanted = self.wanted(group);
                let (drawn, seated) =
                    fill::fill(&wanted, direction, there.room.free(), self.more_starts);
                let work = (fill, direction);
                rayon::join(
                    || self.finished(group, edge, work, drawn),
                    || seated.map(|seated| there.finished(group, edge, work, seated)),
                )
            }
            _ => rayon::join(
                || self.lines_or_knots(group),
                || (self.room != seated).then(|| there.lines_or_knots(group)),
            ),
        };
        Offer::of(drawn, seated, group.len())
    }

    /// The same for a group that is found as drawn, in other room.
    pub(super) fn find_again(
        &self,
        group: &Group<'_>,
        edge: Option<Edge<'_>>,
        drawn: Found,
    ) -> Offer {
        let again = match (group[0].feature.work, &drawn.filled) {
            (Work::Fill { fill, direction }, Some(filled)) => {
                let reseated = fill::reseated(&self.wanted(group), filled);
                reseated.map(|filled| self.finished(group, edge, (fill, direction), filled))
            }
            _ => Some(self.lines_or_knots(group)),
        };
        Offer::of(drawn, again, group.len())
    }

    /// A fill whose strands are found, measured, with the line round it.
    fn finished(
        &self,
        group: &Group<'_>,
        edge: Option<Edge<'_>>,
        work: (Fill, Direction),
        filled: Filled,
    ) -> Found {
        let alone = self.filled(group, work.0, filled);
        match edge {
            Some(edge) => self.with_line(group, edge, work, alone),
            None => alone,
        }
    }

    /// A fill found `alone` with a line round it, in the same seat. The line has the choice of the
    /// needle points at the edge, and the fill those that are left: a fill has many others. But
    /// where they are so few that it would lose much of its score, it comes first.
    fn with_line(
        &self,
        group: &Group<'_>,
        (edge, stitch): Edge<'_>,
        (fill, direction): (Fill, Direction),
        alone: Found,
    ) -> Found {
        let seat = alone.seat;
        let line = self.lines(edge, stitch, seat);
        let left_by = |pieces: &[Piece]| {
            let mut left = self.room.clone();
            left.take(&ends(self.instep, pieces));
            left
        };
        let inside = Seeker {
            room: &left_by(&line),
            ..*self
        }
        .fill(group, fill, |wanted| {
            fill::seated(wanted, direction, seat, self.more_starts)
        });
        let (mut found, line) = if inside.score_mm2() < EDGED * alone.score_mm2() {
            let left = Seeker {
                room: &left_by(&alone.pieces),
                ..*self
            };
            let line = left.lines(edge, stitch, seat);
            (alone, line)
        } else {
            (inside, line)
        };
        found.pieces.extend(line);
        found
    }
}
