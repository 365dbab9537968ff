//! The pieces of work a face is made of: strands found for a feature or the two sides of a pair,
//! before their threads are routed.

use kurbo::{BezPath, Point, Vec2};
use rayon::prelude::*;

use super::candidate::{Fold, Pairing, Wanted};
use super::field::OnPage;
use super::fill::Filled;
use super::footprint::Footprint;
use super::ink::Ink;
use super::knot::{self, KnotsWanted};
use super::line::LineWanted;
use super::nearness::{self, Made};
use super::plan::{FeaturePlan, Measure, knot_mm};
use super::room::Room;
use super::score;
use super::seat::Seat;
use super::settings::Job;
use super::thread::{Stitches, Unsewn};
use crate::fabric::Instep;
use crate::face::{Direction, Fill, LineStitch, PlacedFeature, Side, Work};

/// The line round a fill, and its stitch.
pub(super) type Edge<'g> = (&'g Group<'g>, LineStitch);

/// A feature, or the two sides of a pair.
pub(super) type Group<'a> = Vec<&'a PlacedFeature<'a>>;

pub(super) fn groups<'a>(features: &'a [PlacedFeature<'a>]) -> Vec<Group<'a>> {
    features
        .chunk_by(|a, b| a.index == b.index)
        .map(|sides| sides.iter().collect())
        .collect()
}

/// The stitch of a group that is the line round the fill of the group before it.
pub(super) fn edge_stitch(group: &Group<'_>, before: &Group<'_>) -> Option<LineStitch> {
    let (line, fill) = (group[0].feature, before[0].feature);
    let is_round = (line.pair, &line.outline) == (fill.pair, &fill.outline);
    match (line.work, fill.work) {
        (Work::Line(stitch), Work::Fill { .. }) if is_round => Some(stitch),
        _ => None,
    }
}

/// One feature, or one side of a pair, as found.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub(super) feature: FeaturePlan,
    pub(super) stitches: Stitches,
    /// What it covers.
    pub(super) sewn: Ink,
    /// Which way the strands of a fill are wanted.
    pub(super) field: Option<OnPage>,
}

/// What is found for a group, and for the line round it.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) pieces: Vec<Piece>,
    /// Where its outline sits.
    pub(super) seat: Seat,
    /// The joint objective of a fill; the score of lines and knots; mm2.
    pub(super) objective_mm2: f64,
    /// The strands of a fill.
    pub(super) filled: Option<Filled>,
    /// A fill that is to be judged.
    pub(super) made: Option<Made>,
}

/// What pieces are sought with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seeker<'a> {
    pub(super) job: &'a Job,
    pub(super) instep: &'a Instep,
    pub(super) room: &'a Room,
    /// Starts of each fill that there is time for, as [`more_starts`](super::effort::more_starts)
    /// tells.
    pub(super) more_starts: usize,
}

impl Seeker<'_> {
    /// Finds the strands of lines and knots.
    pub(super) fn lines_or_knots(&self, group: &Group<'_>) -> Found {
        let pieces = match group[0].feature.work {
            Work::Line(stitch) => self.lines(group, stitch, Seat::DRAWN),
            Work::Knot { wraps } => self.knots(group, wraps),
            Work::Fill { .. } => Vec::new(),
        };
        let mut found = Found {
            pieces,
            seat: Seat::DRAWN,
            objective_mm2: 0.0,
            filled: None,
            made: None,
        };
        found.objective_mm2 = found.score_mm2();
        found
    }

    /// Finds the strands of a fill by some search.
    pub(super) fn fill(
        &self,
        group: &Group<'_>,
        fill: Fill,
        search: impl Fn(&Wanted<'_>) -> Filled,
    ) -> Found {
        self.filled(group, fill, search(&self.wanted(group)))
    }

    /// What is wanted of a fill.
    pub(super) fn wanted<'w>(&'w self, group: &Group<'w>) -> Wanted<'w> {
        let main = group[group.len() - 1];
        let fold = if group.len() == 2 {
            Fold::Pair
        } else if Ink::Area(main.outline.clone()).is_its_own_mirror() {
            Fold::Centre
        } else {
            Fold::None
        };
        let chevron = matches!(
            main.feature.work,
            Work::Fill {
                direction: Direction::Chevron(_),
                ..
            }
        );
        Wanted {
            instep: self.instep,
            settings: &self.job.settings,
            width: width_mm(self.job, main),
            fold,
            mirrored: fold == Fold::Centre || (fold == Fold::None && chevron),
            outline: &main.outline,
            fan_from: main.fan_from,
            free: self.room.free(),
        }
    }

    /// A fill whose strands are found, measured.
    pub(super) fn filled(&self, group: &Group<'_>, fill: Fill, filled: Filled) -> Found {
        let wanted = self.wanted(group);
        let sides = group.par_iter();
        let pieces: Vec<Piece> = sides
            .map(|side| self.side(side, fill, &wanted, &filled))
            .collect();
        let measures: Vec<Measure> = pieces.iter().map(|piece| piece.feature.measure).collect();
        let sewn: Vec<Ink> = pieces.iter().map(|piece| piece.sewn.clone()).collect();
        let direction_deg = filled.field.mean_deg();
        let objective_mm2 = nearness::objective_mm2(wanted.fold, &measures, &sewn, direction_deg);
        let made = self.job.settings.judge.then(|| Made {
            width: wanted.width,
            fold: wanted.fold,
            mirrored: wanted.mirrored,
            outline: filled.seat.seated(wanted.outline),
            field: filled.field.clone(),
            free: self.room.free().to_vec(),
            outline_mm2: measures.iter().map(|measure| measure.outline_mm2).sum(),
            objective_mm2,
            strands: filled.strands.clone(),
        });
        Found {
            pieces,
            seat: filled.seat,
            objective_mm2,
            filled: Some(filled),
            made,
        }
    }

    /// One side of it.
    fn side(
        &self,
        side: &PlacedFeature<'_>,
        fill: Fill,
        wanted: &Wanted<'_>,
        filled: &Filled,
    ) -> Piece {
        let (fold, width) = (wanted.fold, wanted.width);
        let own = |strand: &&Pairing| {
            fold != Fold::Pair || (strand.layer == 1) == (side.side == Side::Left)
        };
        let strands: Vec<&Pairing> = filled.strands.iter().filter(own).collect();
        let left_of_pair = fold == Fold::Pair && side.side == Side::Left;
        let seat = if left_of_pair {
            filled.seat.mirrored()
        } else {
            filled.seat
        };
        let field = OnPage::new(filled.field.clone(), fold, left_of_pair);
        let (direction_deg, bent) = (field.mean_deg(), field.bent());
        let slants = score::angle_between(2.0 * direction_deg, 0.0) > 1e-6;
        let outline = seat.seated(&side.outline);
        let points = self.instep.points();
        let unsewn: Vec<Unsewn> = strands
            .iter()
            .map(|strand| {
                let [a, b] = strand.ends.map(|end| points[end as usize]);
                Unsewn { up: a, down: b }
            })
            .collect();
        let prices = filled.prices(wanted, strands.iter().copied());
        let sewn = bars(&unsewn, width);
        let measure = score::measure(&Ink::Area(outline.clone()), &sewn, direction_deg, prices);
        let feature = FeaturePlan {
            direction_deg: bent.is_none().then_some(direction_deg),
            bent,
            mirrored: wanted.mirrored && slants && bent.is_none(),
            outline,
            moved_mm: seat.moved,
            scale: seat.scale,
            measure,
            ..self.undone(side, fill.word())
        };
        let runs = unsewn
            .into_iter()
            .map(|strand| vec![oriented(strand, &field)])
            .collect();
        Piece {
            feature,
            stitches: Stitches::new(runs, fill == Fill::SurfaceSatin),
            sewn,
            field: Some(field),
        }
    }

    /// Lines along outlines put into a seat, which is that of the right side of a pair.
    pub(super) fn lines(&self, group: &Group<'_>, stitch: LineStitch, seat: Seat) -> Vec<Piece> {
        let main = group[group.len() - 1];
        let width = width_mm(self.job, main);
        let path = seat.seated(&main.outline);
        let wanted = LineWanted {
            instep: self.instep,
            settings: &self.job.settings,
            width,
            stitch,
            path: &path,
            free: self.room.free(),
        };
        let runs = if group.len() == 2 {
            wanted.pair().to_vec()
        } else {
            vec![wanted.alone(Ink::line(&path, width).is_its_own_mirror())]
        };
        let drawn = |(side, runs): (&&PlacedFeature<'_>, Vec<Vec<Unsewn>>)| {
            let sewn = bars(&runs.concat(), width);
            let left_of_pair = group.len() == 2 && side.side == Side::Left;
            let seat = if left_of_pair { seat.mirrored() } else { seat };
            let outline = seat.seated(&side.outline);
            let target = Ink::line(&outline, width);
            let turns = stitch != LineStitch::Chain;
            let undone = FeaturePlan {
                outline,
                moved_mm: seat.moved,
                scale: seat.scale,
                ..self.undone(side, stitch.word())
            };
            drawn(undone, &target, sewn, Stitches::new(runs, turns))
        };
        group.iter().zip(runs).map(drawn).collect()
    }

    fn knots(&self, group: &Group<'_>, wraps: u32) -> Vec<Piece> {
        let places: Vec<Point> = group.iter().map(|s| knot::place(&s.outline)).collect();
        let knots = KnotsWanted {
            instep: self.instep,
            settings: &self.job.settings,
            free: self.room.free(),
        }
        .knots(&places);
        let knotted = |((side, at), knot): ((&&PlacedFeature<'_>, Point), Option<Unsewn>)| {
            let across = knot_mm(width_mm(self.job, side), wraps);
            let disc = |at: Point| Footprint::disc(at, across);
            let middle = |knot: Unsewn| knot.up.at.midpoint(knot.down.at);
            let sewn = Ink::Bars(knot.into_iter().map(|knot| disc(middle(knot))).collect());
            let undone = FeaturePlan {
                wraps,
                ..self.undone(side, "french knot")
            };
            let runs = knot.into_iter().map(|strand| vec![strand]).collect();
            let target = Ink::Bars(vec![disc(at)]);
            drawn(undone, &target, sewn, Stitches::new(runs, true))
        };
        group.iter().zip(places).zip(knots).map(knotted).collect()
    }

    /// A feature of which only is known what is wanted.
    fn undone(&self, side: &PlacedFeature<'_>, method: &str) -> FeaturePlan {
        FeaturePlan {
            name: side.feature.name.clone(),
            side: side.side,
            thread: side.feature.thread.clone(),
            method: method.to_owned(),
            direction_deg: None,
            bent: None,
            mirrored: false,
            outline: side.outline.clone(),
            moved_mm: Vec2::ZERO,
            scale: 1.0,
            seat_won_mm2: 0.0,
            strand_mm: width_mm(self.job, side),
            wraps: 0,
            strands: Vec::new(),
            measure: Default::default(),
            nearness: None,
        }
    }
}

impl Found {
    /// The needle points that its strands and ties end at.
    pub(super) fn ends(&self, instep: &Instep) -> Vec<usize> {
        ends(instep, &self.pieces)
    }

    /// What its strands are worth, mm2.
    pub(super) fn score_mm2(&self) -> f64 {
        let scores = self.pieces.iter().map(|p| p.feature.measure.score_mm2);
        scores.sum()
    }
}

/// What a feature should cover, its outline lying wherever it lies.
pub(super) fn aim(job: &Job, side: &PlacedFeature<'_>, outline: &BezPath) -> Ink {
    let width = width_mm(job, side);
    match side.feature.work {
        Work::Fill { .. } => Ink::Area(outline.clone()),
        Work::Line(_) => Ink::line(outline, width),
        Work::Knot { wraps } => {
            let disc = Footprint::disc(knot::place(outline), knot_mm(width, wraps));
            Ink::Bars(vec![disc])
        }
    }
}

/// Width of the thread of a feature, mm.
pub(super) fn width_mm(job: &Job, side: &PlacedFeature<'_>) -> f64 {
    job.yarn(&side.feature.thread).width_mm()
}

/// The needle points that the strands of pieces end at, with their ties, each as often as they do.
pub(super) fn ends(instep: &Instep, pieces: &[Piece]) -> Vec<usize> {
    let strands = pieces.iter().flat_map(|piece| {
        let ties = piece.stitches.ties.iter().map(|(tie, _)| tie);
        piece.stitches.runs.iter().flatten().chain(ties)
    });
    let ends = strands.flat_map(|strand| [strand.up, strand.down]);
    ends.filter_map(|end| instep.index_of(end.point)).collect()
}

/// A line or a knot that lies on `sewn` and should lie on `target`.
fn drawn(undone: FeaturePlan, target: &Ink, sewn: Ink, stitches: Stitches) -> Piece {
    let strands = stitches.runs.iter().flatten();
    let prices = strands
        .map(|strand| score::price(undone.strand_mm, 0.0, strand.pierced(), 0.0))
        .sum();
    Piece {
        feature: FeaturePlan {
            measure: score::measure(target, &sewn, 0.0, prices),
            ..undone
        },
        stitches,
        sewn,
        field: None,
    }
}

fn bars(strands: &[Unsewn], width: f64) -> Ink {
    let bar = |s: &Unsewn| Footprint::new(s.up.at, s.down.at, width);
    Ink::Bars(strands.iter().map(bar).collect())
}

/// A strand that comes up at the end that lies farther back in its direction: in a satin filling
/// all strands come up on the same side.
fn oriented(strand: Unsewn, field: &OnPage) -> Unsewn {
    let ahead = field.ahead(strand.up.at.midpoint(strand.down.at));
    if (strand.down.at - strand.up.at).dot(ahead) < 0.0 {
        Unsewn {
            up: strand.down,
            down: strand.up,
        }
    } else {
        strand
    }
}
