//! Which way the strands of a feature are wanted, place by place: one direction, or a field of
//! them that follows the shape.
//!
//! A field is worked out for the outline of the right side or half (places in folded coordinates),
//! and moves with the outline. A strand is judged by the direction at its middle.

use std::sync::Arc;

use kurbo::{Affine, Point, Vec2};

use super::candidate::{Fold, Pairing, Wanted, mirror};
use super::plan::Bent;
use super::score;
use crate::face::Run;

/// Agreement of its directions ([`Run::straightness`]) above which a field is as good as straight
/// and not worth a try: a mean of 8 degrees to either side, half of what lies between two of the
/// straight directions tried.
const STRAIGHT: f64 = 0.961;

/// How clear a shape's run must be ([`Run::clearness`]). Below, strands along the outline of a
/// compact shape frame it like beams and leave its middle open: triangles, heads and a ghost with
/// its eyes looked worse for it, in pictures at bulky and worsted gauge, though they scored more.
const CLEAR: f64 = 0.7;

/// Which way strands are wanted.
#[derive(Debug, Clone)]
pub(super) enum Field {
    /// The same everywhere, degrees.
    Straight(f64),
    /// Along the shape's run; the map leads from where the shape sits back to where it is drawn.
    Along(Arc<Run>, Affine),
    /// Radiating from a point.
    Fan(Fan),
}

/// Rays from a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fan {
    from: Point,
    /// Mean direction over the shape, degrees, and how much its directions agree.
    mean_deg: f64,
    straightness: f64,
    /// Mean distance of the shape's places from the point.
    reach: f64,
}

impl Field {
    /// Along the run of the outline wanted.
    pub(super) fn along(wanted: &Wanted<'_>) -> Self {
        Self::Along(Arc::new(run(wanted)), Affine::IDENTITY)
    }

    /// Radiating from the point stated, or from where rays follow the edges best.
    pub(super) fn fan(wanted: &Wanted<'_>) -> Self {
        Self::Fan(Fan::new(&run(wanted), wanted.fan_from))
    }

    /// The fields worth a try where the direction is left to the plan.
    pub(super) fn worth_a_try(wanted: &Wanted<'_>) -> Vec<Self> {
        let run = run(wanted);
        if run.clearness() < CLEAR {
            return Vec::new();
        }
        let fan = Fan::new(&run, None);
        let straight = [run.straightness(), fan.straightness];
        let fields = [Self::Along(Arc::new(run), Affine::IDENTITY), Self::Fan(fan)];
        let bends = fields.into_iter().zip(straight);
        bends
            .filter(|(_, straight)| *straight < STRAIGHT)
            .map(|(field, _)| field)
            .collect()
    }

    /// The same for the shape moved, or in another size.
    pub(super) fn seated(&self, onto: Affine) -> Self {
        match self {
            Self::Straight(_) => self.clone(),
            Self::Along(run, back) => Self::Along(run.clone(), *back * onto.inverse()),
            Self::Fan(fan) => Self::Fan(Fan {
                from: onto * fan.from,
                ..*fan
            }),
        }
    }

    /// The direction at a place, degrees.
    pub(super) fn at(&self, place: Point) -> f64 {
        match self {
            Self::Straight(degrees) => *degrees,
            Self::Along(run, back) => run.at(*back * place),
            Self::Fan(fan) => fan.at(place),
        }
    }

    /// How far a strand leaves the direction asked at its middle, degrees.
    pub(super) fn off_deg(&self, strand: &Pairing) -> f64 {
        strand.off_deg(self.at(strand.middle()))
    }

    /// The mean direction over the shape, degrees.
    pub(super) fn mean_deg(&self) -> f64 {
        match self {
            Self::Straight(degrees) => *degrees,
            Self::Along(run, _) => run.mean_deg(),
            Self::Fan(fan) => fan.mean_deg,
        }
    }

    /// The place across the direction, mm: rows of strands side by side have levels of their own.
    pub(super) fn level(&self, place: Point) -> f64 {
        match self {
            Self::Straight(degrees) => {
                let (sin, cos) = degrees.to_radians().sin_cos();
                place.x * sin + place.y * cos
            }
            Self::Along(run, back) => run.level(*back * place),
            Self::Fan(fan) => fan.level(place),
        }
    }

    /// The direction at a place as a unit vector; it points the same way all over the shape.
    pub(super) fn ahead(&self, place: Point) -> Vec2 {
        match self {
            Self::Straight(degrees) => {
                let (sin, cos) = degrees.to_radians().sin_cos();
                Vec2::new(cos, -sin)
            }
            Self::Along(run, back) => run.ahead(*back * place),
            Self::Fan(fan) if place == fan.from => Self::Straight(fan.mean_deg).ahead(place),
            Self::Fan(fan) => (place - fan.from).normalize(),
        }
    }

    pub(super) fn is_straight(&self) -> bool {
        matches!(self, Self::Straight(_))
    }

    /// What the plan says of a field; `None` where it is straight.
    fn bent(&self) -> Option<Bent> {
        match self {
            Self::Straight(_) => None,
            Self::Along(..) => Some(Bent::Along),
            Self::Fan(fan) => Some(Bent::Fan(fan.from)),
        }
    }
}

fn run(wanted: &Wanted<'_>) -> Run {
    Run::new(wanted.outline, wanted.fold == Fold::Centre)
}

impl Fan {
    /// From the point stated, or from where rays follow the edges of a run best.
    pub(super) fn new(run: &Run, from: Option<Point>) -> Self {
        let from = from.unwrap_or_else(|| run.fan_point());
        let (mut sum, mut count, mut reach) = (Vec2::ZERO, 0.0, 0.0);
        for place in run.places() {
            let (sin, cos) = (2.0 * ray_deg(from, place).to_radians()).sin_cos();
            sum += Vec2::new(cos, sin);
            reach += place.distance(from);
            count += 1.0;
        }
        let count = f64::max(count, 1.0);
        Self {
            from,
            mean_deg: (sum.y.atan2(sum.x).to_degrees() / 2.0).rem_euclid(180.0),
            straightness: sum.hypot() / count,
            reach: reach / count,
        }
    }

    /// At the point itself, the mean direction.
    fn at(&self, place: Point) -> f64 {
        if place == self.from {
            self.mean_deg
        } else {
            ray_deg(self.from, place)
        }
    }

    /// The way round the point from the mean direction, at the mean distance.
    fn level(&self, place: Point) -> f64 {
        let off = (self.at(place) - self.mean_deg + 90.0).rem_euclid(180.0) - 90.0;
        off.to_radians() * self.reach
    }
}

fn ray_deg(from: Point, place: Point) -> f64 {
    score::direction_deg(from, place)
}

/// A field as it lies on the page, on the right side or half and mirrored on the left.
#[derive(Debug, Clone)]
pub(super) struct OnPage {
    field: Field,
    /// The page is mirrored here: the left side of a pair.
    mirrored: bool,
    /// The page is folded at the centre line.
    folded: bool,
}

impl OnPage {
    /// `left` for the left side of a pair.
    pub(super) fn new(field: Field, fold: Fold, left: bool) -> Self {
        let folded = fold == Fold::Centre;
        match field {
            Field::Straight(degrees) if left => Self {
                field: Field::Straight(score::mirrored_deg(degrees)),
                mirrored: false,
                folded,
            },
            field => Self {
                field,
                mirrored: left,
                folded,
            },
        }
    }

    /// The one direction of a straight field, or of a bent one the mean, degrees as seen; of the
    /// right half on a folded page.
    pub(super) fn mean_deg(&self) -> f64 {
        if self.mirrored {
            score::mirrored_deg(self.field.mean_deg())
        } else {
            self.field.mean_deg()
        }
    }

    /// The direction asked of a strand whose middle lies at a place, degrees as seen.
    pub(super) fn at(&self, middle: Point) -> f64 {
        if self.mirrored || (self.folded && middle.x < 0.0) {
            score::mirrored_deg(self.field.at(mirror(middle)))
        } else {
            self.field.at(middle)
        }
    }

    /// The place across the direction, mm.
    pub(super) fn level(&self, place: Point) -> f64 {
        let place = if self.mirrored { mirror(place) } else { place };
        self.field.level(place)
    }

    /// The direction at a place as a unit vector; it points the same way all over the shape.
    pub(super) fn ahead(&self, place: Point) -> Vec2 {
        if self.mirrored {
            let ahead = self.field.ahead(mirror(place));
            Vec2::new(-ahead.x, ahead.y)
        } else {
            self.field.ahead(place)
        }
    }

    /// What the plan says of a field; `None` where it is straight.
    pub(super) fn bent(&self) -> Option<Bent> {
        match self.field.bent()? {
            Bent::Fan(from) if self.mirrored => Some(Bent::Fan(mirror(from))),
            bent => Some(bent),
        }
    }
}
