//! The pieces of work a face is made of: strands found for a feature or the two sides of a pair,
//! before their threads are routed.

use kurbo::{Point, Vec2};
use rayon::prelude::*;

use super::candidate::{Fold, Pairing, Wanted};
use super::field::OnPage;
use super::fill::{self, Filled};
use super::footprint::Footprint;
use super::ink::Ink;
use super::knot::{self, KnotsWanted};
use super::line::LineWanted;
use super::nearness::Made;
use super::plan::{FeaturePlan, knot_mm};
use super::score;
use super::seat::Seat;
use super::settings::Job;
use super::thread::{Stitches, Unsewn};
use crate::fabric::Instep;
use crate::face::{Direction, Fill, LineStitch, PlacedFeature, Side, Work};

/// Share of the score a fill has by itself that it is to keep where a line round it takes its needle
/// points first.
const EDGED: f64 = 0.8;

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
#[derive(Debug)]
pub(super) struct Piece {
    pub(super) feature: FeaturePlan,
    pub(super) stitches: Stitches,
    /// What it covers.
    pub(super) sewn: Ink,
    /// Which way the strands of a fill are wanted.
    pub(super) field: Option<OnPage>,
}

/// What is found for a group, and for the line round it.
#[derive(Debug)]
pub(super) struct Found {
    pub(super) pieces: Vec<Piece>,
    /// Where its outline sits.
    seat: Seat,
    /// The joint objective of a fill, mm2.
    objective_mm2: f64,
    /// A fill that is to be judged.
    pub(super) made: Option<Made>,
}

/// What pieces are sought with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seeker<'a> {
    pub(super) job: &'a Job,
    pub(super) instep: &'a Instep,
    /// Free strand ends by needle point.
    pub(super) free: &'a [u32],
}

/// The free strand ends by needle point of a bare slipper.
pub(super) fn all_free(job: &Job, instep: &Instep) -> Vec<u32> {
    vec![job.settings.hole_limit; instep.points().len()]
}

impl Seeker<'_> {
    /// Finds the strands of a group, and of the line round it if there is one.
    pub(super) fn find(&self, group: &Group<'_>, edge: Option<Edge<'_>>) -> Found {
        let pieces = match group[0].feature.work {
            Work::Fill { fill, direction } => {
                return match edge {
                    Some(edge) => self.edged(group, edge, fill, direction),
                    None => self.fill(group, fill, direction, fill::fill),
                };
            }
            Work::Line(stitch) => self.lines(group, stitch, Seat::DRAWN),
            Work::Knot { wraps } => self.knots(group, wraps),
        };
        Found {
            pieces,
            seat: Seat::DRAWN,
            objective_mm2: 0.0,
            made: None,
        }
    }

    /// A fill with a line round it, both in the seat that suits the fill, or both as drawn where that
    /// is better once the line is there.
    fn edged(&self, group: &Group<'_>, edge: Edge<'_>, fill: Fill, direction: Direction) -> Found {
        let alone = self.fill(group, fill, direction, fill::fill);
        if alone.seat == Seat::DRAWN {
            return self.with_line(group, edge, (fill, direction), alone);
        }
        let as_drawn =
            |wanted: &Wanted<'_>, direction| fill::seated(wanted, direction, Seat::DRAWN);
        let drawn = self.fill(group, fill, direction, as_drawn);
        let (mut seated, drawn) = rayon::join(
            || self.with_line(group, edge, (fill, direction), alone),
            || self.with_line(group, edge, (fill, direction), drawn),
        );
        let won_mm2 = seated.objective_mm2 - drawn.objective_mm2;
        if won_mm2 <= 0.0 {
            return drawn;
        }
        for piece in &mut seated.pieces[..group.len()] {
            piece.feature.seat_won_mm2 = won_mm2;
        }
        seated
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
        let room = self.left_by(&line);
        let inside = Seeker {
            free: &room,
            ..*self
        }
        .fill(group, fill, direction, |wanted, direction| {
            fill::seated(wanted, direction, seat)
        });
        let (mut found, line) = if inside.score_mm2() < EDGED * alone.score_mm2() {
            let room = self.left_by(&alone.pieces);
            let left = Seeker {
                free: &room,
                ..*self
            };
            (alone, left.lines(edge, stitch, seat))
        } else {
            (inside, line)
        };
        found.pieces.extend(line);
        found
    }

    /// The free strand ends by needle point that pieces leave.
    fn left_by(&self, pieces: &[Piece]) -> Vec<u32> {
        let mut free = self.free.to_vec();
        for end in ends(self.instep, pieces) {
            free[end] = free[end].saturating_sub(1);
        }
        free
    }

    /// Finds the strands of a fill by some search.
    pub(super) fn fill(
        &self,
        group: &Group<'_>,
        fill: Fill,
        direction: Direction,
        search: impl Fn(&Wanted<'_>, Direction) -> Filled,
    ) -> Found {
        let main = group[group.len() - 1];
        let fold = if group.len() == 2 {
            Fold::Pair
        } else if Ink::Area(main.outline.clone()).is_its_own_mirror() {
            Fold::Centre
        } else {
            Fold::None
        };
        let width = self.width_mm(main);
        let chevron = matches!(
            main.feature.work,
            Work::Fill {
                direction: Direction::Chevron(_),
                ..
            }
        );
        let mirrored = fold == Fold::Centre || (fold == Fold::None && chevron);
        let wanted = Wanted {
            instep: self.instep,
            settings: &self.job.settings,
            width,
            fold,
            mirrored,
            outline: &main.outline,
            fan_from: main.fan_from,
            free: self.free,
        };
        let filled = search(&wanted, direction);
        let sides = group.par_iter();
        let pieces: Vec<Piece> = sides
            .map(|side| self.filled(side, fill, &wanted, &filled))
            .collect();
        let made = self.job.settings.judge.then(|| Made {
            width,
            fold,
            mirrored,
            outline: filled.seat.seated(&main.outline),
            field: filled.field.clone(),
            free: self.free.to_vec(),
            measures: pieces.iter().map(|piece| piece.feature.measure).collect(),
            sewn: pieces.iter().map(|piece| piece.sewn.clone()).collect(),
            strands: filled.strands,
        });
        Found {
            pieces,
            seat: filled.seat,
            objective_mm2: filled.objective_mm2,
            made,
        }
    }

    fn filled(
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
            seat_won_mm2: filled.seat_won_mm2,
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
    fn lines(&self, group: &Group<'_>, stitch: LineStitch, seat: Seat) -> Vec<Piece> {
        let main = group[group.len() - 1];
        let width = self.width_mm(main);
        let path = seat.seated(&main.outline);
        let wanted = LineWanted {
            instep: self.instep,
            settings: &self.job.settings,
            width,
            stitch,
            path: &path,
            free: self.free,
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
            free: self.free,
        }
        .knots(&places);
        let knotted = |((side, at), knot): ((&&PlacedFeature<'_>, Point), Option<Unsewn>)| {
            let across = knot_mm(self.width_mm(side), wraps);
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
            strand_mm: self.width_mm(side),
            wraps: 0,
            strands: Vec::new(),
            measure: Default::default(),
            nearness: None,
        }
    }

    /// Width of the thread of a feature, mm.
    pub(super) fn width_mm(&self, side: &PlacedFeature<'_>) -> f64 {
        self.job.yarn(&side.feature.thread).width_mm()
    }
}

impl Found {
    /// What its strands are worth, mm2.
    pub(super) fn score_mm2(&self) -> f64 {
        let scores = self.pieces.iter().map(|p| p.feature.measure.score_mm2);
        scores.sum()
    }
}

/// The needle points that pieces end at, each as often as strands do.
pub(super) fn ends(instep: &Instep, pieces: &[Piece]) -> Vec<usize> {
    let strands = pieces
        .iter()
        .flat_map(|piece| piece.stitches.runs.iter().flatten());
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
