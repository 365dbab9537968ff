//! Seats: small changes of a shape's place, and of its size where the maker allows it, so that it
//! falls better on the needle points.

use kurbo::{Affine, BezPath, Shape, Vec2};

use super::candidate::{Fold, Pairing, Wanted};
use super::field::Field;
use super::fill::{COOL, Filled, best_first};
use super::polish::Polish;
use super::stage::Stage;

/// Steps of annealing to compare seats. Half as many again take a fortieth longer and win 0.03 %.
const RESEAT: u32 = 500;
/// Steps of a seat along each axis, from a quarter back to a quarter on.
const STEPS: i32 = 2;
/// Shares of the allowed change of size that are tried.
const SIZES: [f64; 4] = [-1.0, -0.5, 0.5, 1.0];

/// Where a shape sits, against where it is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Seat {
    /// Shift, mm.
    pub(super) moved: Vec2,
    /// Size as a share of that drawn; the middle of the shape's box stays.
    pub(super) scale: f64,
}

impl Seat {
    /// As drawn.
    pub(super) const DRAWN: Self = Self {
        moved: Vec2::ZERO,
        scale: 1.0,
    };

    /// The same on the other side of the centre line.
    pub(super) fn mirrored(self) -> Self {
        Self {
            moved: Vec2::new(-self.moved.x, self.moved.y),
            ..self
        }
    }

    /// An outline put into the seat.
    pub(super) fn seated(self, outline: &BezPath) -> BezPath {
        self.onto(outline) * outline
    }

    /// The map that puts an outline into the seat.
    pub(super) fn onto(self, outline: &BezPath) -> Affine {
        let middle = outline.bounding_box().center();
        Affine::translate(self.moved) * Affine::scale_about(self.scale, middle)
    }
}

/// What seats are compared on.
pub(super) struct Seating<'a> {
    /// The candidates of the shape as drawn among which strands are sought at first.
    pub(super) stage: &'a Stage,
    /// The shape as drawn, on the needle points that are free to it where all is seated.
    pub(super) wanted: &'a Wanted<'a>,
    /// Other needle points are free to it than where all lies as drawn.
    pub(super) other_room: bool,
    /// Where fillings are polished.
    pub(super) polish: &'a Polish<'a>,
    /// The direction of the shape as drawn.
    pub(super) field: &'a Field,
    /// Seats that are looked at again after the first comparison.
    pub(super) finalists: usize,
}

impl Seating<'_> {
    /// The best seat for a filling that lies exactly as drawn, if one raises its objective, or it has
    /// other room there: shifts by up to a quarter stitch and a quarter row, a pair as mirror images;
    /// then sizes, at the best shift.
    pub(super) fn seat(&self, exact: &Filled) -> Option<Filled> {
        let is_better =
            |better: &Filled| better.objective_mm2 > exact.objective_mm2 || self.other_room;
        let shifted = self.best_of(&self.shifts(), &exact.strands, |_| 1.0);
        let shifted = shifted.filter(is_better);
        let allowed = self.wanted.settings.seat_scale;
        if allowed == 0.0 {
            return shifted;
        }
        let from = shifted.as_ref().unwrap_or(exact);
        let sizes = SIZES.map(|share| Seat {
            scale: 1.0 + share * allowed,
            ..from.seat
        });
        // A larger shape wins more because it is larger: what counts is the share of its own area.
        let share = |seat: Seat| 1.0 / (seat.scale * seat.scale);
        let sized = self.best_of(&sizes, &from.strands, share);
        let is_better = |sized: &Filled| {
            sized.objective_mm2 * share(sized.seat) > from.objective_mm2
                && sized.objective_mm2 >= exact.objective_mm2
        };
        sized.filter(is_better).or_else(|| shifted.clone())
    }

    /// The best filling at any of some seats, by its objective times `weight`, sought from another.
    fn best_of(
        &self,
        seats: &[Seat],
        start: &[Pairing],
        weight: impl Fn(Seat) -> f64 + Sync,
    ) -> Option<Filled> {
        let outline = self.wanted.outline;
        let screened = best_first(seats, self.finalists, |&seat| {
            let canvas = self.stage.bare(&seat.seated(outline));
            let found = self.stage.search_on(&canvas, start, RESEAT, COOL);
            (found.0 * weight(seat), found.1)
        });
        let field = |seat: Seat| self.field.seated(seat.onto(outline));
        let finals = best_first(&screened, 1, |(_, seat, start)| {
            let there = Wanted {
                outline: &seat.seated(outline),
                ..*self.wanted
            };
            let (worth, strands) = self.polish.better(&there, &field(*seat), start);
            (worth * weight(*seat), strands)
        });
        let (worth, (_, seat, _), strands) = finals.into_iter().next()?;
        Some(Filled {
            field: field(seat),
            seat,
            strands,
            objective_mm2: worth / weight(seat),
        })
    }

    /// Shifts to try; a centred feature stays on the centre line. To stay as drawn is one of them
    /// where that is not known yet.
    fn shifts(&self) -> Vec<Seat> {
        let wanted = self.wanted;
        let step = |i: i32, size: f64| f64::from(i) / f64::from(STEPS) * size / 4.0;
        let sideways = if wanted.fold == Fold::Centre {
            0
        } else {
            STEPS
        };
        (-sideways..=sideways)
            .flat_map(|i| (-STEPS..=STEPS).map(move |j| (i, j)))
            .filter(|&place| place != (0, 0) || self.other_room)
            .map(|(i, j)| Seat {
                moved: Vec2::new(
                    step(i, wanted.instep.stitch_mm()),
                    step(j, wanted.instep.row_mm()),
                ),
                ..Seat::DRAWN
            })
            .collect()
    }
}
