//! The face while it is made: fills, lines and knots feature by feature, then the threads.

use std::ops::Range;

use kurbo::{BezPath, Point, Vec2};
use rayon::prelude::*;

use super::candidate::{Fold, Pairing, Wanted};
use super::field::OnPage;
use super::fill::{self, Filled};
use super::footprint::Footprint;
use super::ink::Ink;
use super::knot::{self, KnotsWanted};
use super::line::LineWanted;
use super::nearness::Made;
use super::plan::{FeaturePlan, Nearness, SymmetryPlan, ThreadPlan, knot_mm};
use super::score;
use super::settings::Job;
use super::symmetry::{Compared, counted_naively, figures};
use super::thread::{Stage, Stitches, Unsewn, sew_thread, stages};
use super::tie::TiesWanted;
use crate::fabric::Instep;
use crate::face::{Direction, Fill, LineStitch, PlacedFeature, Side, Work};

/// A feature, or the two sides of a pair.
pub(super) type Group<'a> = Vec<&'a PlacedFeature<'a>>;

pub(super) fn groups<'a>(features: &'a [PlacedFeature<'a>]) -> Vec<Group<'a>> {
    features
        .chunk_by(|a, b| a.index == b.index)
        .map(|sides| sides.iter().collect())
        .collect()
}

/// The face while it is made.
pub(super) struct Workshop<'a> {
    job: &'a Job,
    instep: &'a Instep,
    /// Free strand ends by needle point.
    free: Vec<u32>,
    pub(super) features: Vec<FeaturePlan>,
    stitches: Vec<Stitches>,
    /// What each feature covers, in the order of the features.
    sewn: Vec<Ink>,
    /// Which way the strands of each fill are wanted, in the same order.
    fields: Vec<Option<OnPage>>,
    /// The fills that are to be judged.
    fills: Vec<Made>,
}

impl<'a> Workshop<'a> {
    pub(super) fn new(job: &'a Job, instep: &'a Instep) -> Self {
        Self {
            job,
            instep,
            free: vec![job.settings.hole_limit; instep.points().len()],
            features: Vec::new(),
            stitches: Vec::new(),
            sewn: Vec::new(),
            fields: Vec::new(),
            fills: Vec::new(),
        }
    }

    /// Makes the features of a face, the last first: what lies on top is small and has few needle
    /// points to choose from, the shape beneath has many. Kept in the order of the face.
    pub(super) fn make_all(&mut self, groups: &[Group<'_>]) {
        for group in groups.iter().rev() {
            self.make(group);
        }
        let count = self.features.len();
        in_reverse(&mut self.features, groups);
        in_reverse(&mut self.stitches, groups);
        in_reverse(&mut self.sewn, groups);
        in_reverse(&mut self.fields, groups);
        for (feature, stitches) in self.stitches.iter_mut().enumerate() {
            stitches.feature = feature;
        }
        for made in &mut self.fills {
            made.features = count - made.features.end..count - made.features.start;
        }
    }

    fn make(&mut self, group: &Group<'_>) {
        match group[0].feature.work {
            Work::Fill { fill, direction } => self.make_fill(group, fill, direction, fill::fill),
            Work::Line(stitch) => self.make_lines(group, stitch),
            Work::Knot { wraps } => self.make_knots(group, wraps),
        }
    }

    pub(super) fn make_fill(
        &mut self,
        group: &Group<'_>,
        fill: Fill,
        direction: Direction,
        search: impl Fn(&Wanted<'_>, Direction) -> Filled,
    ) {
        let main = group[group.len() - 1];
        let fold = if group.len() == 2 {
            Fold::Pair
        } else if Ink::Area(main.outline.clone()).is_its_own_mirror() {
            Fold::Centre
        } else {
            Fold::None
        };
        let width = self.job.yarn(&main.feature.thread).width_mm();
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
            free: &self.free,
        };
        let filled = search(&wanted, direction);
        if self.job.settings.judge {
            self.fills.push(Made {
                features: self.features.len()..self.features.len() + group.len(),
                width,
                fold,
                mirrored,
                outline: filled.seat.seated(&main.outline),
                field: filled.field.clone(),
                free: self.free.clone(),
                strands: filled.strands.clone(),
            });
        }
        for side in group {
            let strands: Vec<&Pairing> = filled
                .strands
                .iter()
                .filter(|strand| {
                    fold != Fold::Pair || (strand.layer == 1) == (side.side == Side::Left)
                })
                .collect();
            self.add_fill(side, (fold, mirrored), fill, &filled, &strands, width);
        }
        if self.job.settings.tie_down {
            let sewn = self.features.len();
            (sewn - group.len()..sewn).for_each(|feature| self.tie_down(feature));
        }
    }

    fn add_fill(
        &mut self,
        side: &PlacedFeature<'_>,
        (fold, mirrored): (Fold, bool),
        fill: Fill,
        filled: &Filled,
        strands: &[&Pairing],
        width: f64,
    ) {
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
        let prices = strands
            .iter()
            .filter_map(|s| {
                let asked_deg = filled.field.at(s.middle());
                s.price(asked_deg, width, self.job.settings.spread_deg)
            })
            .sum();
        let bars = bars(&unsewn, width);
        let feature = FeaturePlan {
            name: side.feature.name.clone(),
            side: side.side,
            thread: side.feature.thread.clone(),
            method: fill.word().to_owned(),
            direction_deg: bent.is_none().then_some(direction_deg),
            bent,
            mirrored: mirrored && slants && bent.is_none(),
            moved_mm: seat.moved,
            scale: seat.scale,
            seat_won_mm2: filled.seat_won_mm2,
            strand_mm: width,
            wraps: 0,
            strands: Vec::new(),
            measure: score::measure(&Ink::Area(outline.clone()), &bars, direction_deg, prices),
            nearness: None,
            outline,
        };
        let runs = unsewn
            .into_iter()
            .map(|strand| vec![oriented(strand, &field)])
            .collect();
        self.add(feature, bars, runs, fill == Fill::SurfaceSatin);
        self.fields.push(Some(field));
    }

    /// Ties the long strands of a feature down.
    fn tie_down(&mut self, feature: usize) {
        let stitches = &mut self.stitches[feature];
        let strands: Vec<Unsewn> = stitches.runs.concat();
        if let Some(field) = &self.fields[feature] {
            stitches.ties = TiesWanted {
                instep: self.instep,
                settings: &self.job.settings,
                width: self.features[feature].strand_mm,
                free: &mut self.free,
            }
            .ties(&strands, |middle| field.level(middle));
        }
    }

    fn make_lines(&mut self, group: &Group<'_>, stitch: LineStitch) {
        let main = group[group.len() - 1];
        let width = self.job.yarn(&main.feature.thread).width_mm();
        let wanted = LineWanted {
            instep: self.instep,
            settings: &self.job.settings,
            width,
            stitch,
            path: &main.outline,
            free: &self.free,
        };
        let runs = if group.len() == 2 {
            wanted.pair().to_vec()
        } else {
            vec![wanted.alone(Ink::line(&main.outline, width).is_its_own_mirror())]
        };
        for (side, runs) in group.iter().zip(runs) {
            let target = Ink::line(&side.outline, width);
            self.add_drawn(side, stitch.word(), 0, width, &target, runs);
        }
    }

    fn make_knots(&mut self, group: &Group<'_>, wraps: u32) {
        let places: Vec<Point> = group.iter().map(|s| knot::place(&s.outline)).collect();
        let knots = KnotsWanted {
            instep: self.instep,
            settings: &self.job.settings,
            free: &self.free,
        }
        .knots(&places);
        for ((side, at), knot) in group.iter().zip(places).zip(knots) {
            let width = self.job.yarn(&side.feature.thread).width_mm();
            let target = Ink::Bars(vec![Footprint::disc(at, knot_mm(width, wraps))]);
            let runs = knot.into_iter().map(|strand| vec![strand]).collect();
            self.add_drawn(side, "french knot", wraps, width, &target, runs);
        }
    }

    fn add_drawn(
        &mut self,
        side: &PlacedFeature<'_>,
        method: &str,
        wraps: u32,
        width: f64,
        target: &Ink,
        runs: Vec<Vec<Unsewn>>,
    ) {
        let strands: Vec<Unsewn> = runs.concat();
        let bars = if wraps > 0 {
            let disc =
                |s: &Unsewn| Footprint::disc(s.up.at.midpoint(s.down.at), knot_mm(width, wraps));
            Ink::Bars(strands.iter().map(disc).collect())
        } else {
            bars(&strands, width)
        };
        let pierced = |strand: &Unsewn| {
            u32::from(strand.up.point.pierces()) + u32::from(strand.down.point.pierces())
        };
        let prices = strands
            .iter()
            .map(|strand| score::price(width, 0.0, pierced(strand), 0.0))
            .sum();
        let feature = FeaturePlan {
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
            strand_mm: width,
            wraps,
            strands: Vec::new(),
            measure: score::measure(target, &bars, 0.0, prices),
            nearness: None,
        };
        self.add(feature, bars, runs, method != "chain stitch");
        self.fields.push(None);
    }

    fn add(&mut self, feature: FeaturePlan, bars: Ink, runs: Vec<Vec<Unsewn>>, turns: bool) {
        for strand in runs.iter().flatten() {
            for end in [&strand.up, &strand.down] {
                if let Some(at) = self.instep.index_of(end.point) {
                    self.free[at] = self.free[at].saturating_sub(1);
                }
            }
        }
        self.stitches.push(Stitches {
            feature: self.features.len(),
            runs,
            turns,
            ties: Vec::new(),
        });
        self.features.push(feature);
        self.sewn.push(bars);
    }

    /// Sews thread by thread; returns the threads in the order of their first use.
    pub(super) fn route(&mut self) -> Vec<ThreadPlan> {
        let names: Vec<String> = self.features.iter().map(|f| f.thread.clone()).collect();
        let sewn = &self.sewn;
        let stages = stages(&names, |later, earlier| sewn[later].touches(&sewn[earlier]));
        let mut threads: Vec<&String> = Vec::new();
        for stage in &stages {
            if !threads.contains(&&names[stage[0]]) {
                threads.push(&names[stage[0]]);
            }
        }
        let mut plans = Vec::new();
        for thread in threads {
            let own: Vec<Stage<'_>> = stages
                .iter()
                .enumerate()
                .filter(|(_, stage)| names[stage[0]] == *thread)
                .map(|(i, stage)| Stage {
                    number: i + 1,
                    stitches: stage.iter().map(|&f| &self.stitches[f]).collect(),
                    goes_on: i > 0 && names[stages[i - 1][0]] == *thread,
                })
                .collect();
            plans.push(sew_thread(
                self.job,
                self.instep,
                thread,
                &own,
                &mut self.features,
            ));
        }
        self.direct();
        plans
    }

    /// Writes down what direction was asked of each strand of a bent fill.
    fn direct(&mut self) {
        for (feature, field) in self.features.iter_mut().zip(&self.fields) {
            let Some(field) = field.as_ref().filter(|field| field.bent().is_some()) else {
                continue;
            };
            for strand in feature.strands.iter_mut().filter(|s| s.ties.is_none()) {
                let middle = strand.up.at.midpoint(strand.down.at);
                strand.direction_deg = Some(field.at(middle));
            }
        }
    }

    /// How near each fill comes to the best, with its features.
    pub(super) fn nearness(&self) -> Vec<(Range<usize>, Nearness)> {
        let near = |made: &Made| {
            let own = made.features.clone();
            let measures: Vec<_> = self.features[own.clone()]
                .iter()
                .map(|f| f.measure)
                .collect();
            let sewn = &self.sewn[own.clone()];
            let (instep, settings) = (self.instep, &self.job.settings);
            (own, made.nearness(instep, settings, &measures, sewn))
        };
        self.fills.par_iter().map(near).collect()
    }

    /// How even each pair and each centred feature is.
    pub(super) fn symmetry(&self, groups: &[Group<'_>]) -> Vec<SymmetryPlan> {
        let starts = groups.iter().scan(0, |next, group| {
            let at = *next;
            *next += group.len();
            Some(at)
        });
        let sewn: Vec<&[Ink]> = starts
            .zip(groups)
            .map(|(at, group)| &self.sewn[at..at + group.len()])
            .collect();
        let each = groups.par_iter().zip(sewn);
        each.filter_map(|(group, sewn)| self.evenness(group, sewn))
            .collect()
    }

    /// How even a group is as sewn, and how even it would be counted naively; `None` where there
    /// is nothing to compare.
    fn evenness(&self, group: &Group<'_>, sewn: &[Ink]) -> Option<SymmetryPlan> {
        let pair = group.len() == 2;
        let main = group[0];
        if !pair && !self.ink(main, &main.outline).is_its_own_mirror() {
            return None;
        }
        let naive = || -> Vec<Ink> {
            let counted = |side: &&PlacedFeature<'_>| {
                self.ink(side, &counted_naively(self.instep, &side.outline))
            };
            group.iter().map(counted).collect()
        };
        let compared = |inks: &[Ink]| {
            let compared = if pair {
                Compared::Pair(&inks[0], &inks[1])
            } else {
                Compared::Centred(&inks[0])
            };
            figures(compared, self.instep.row_mm())
        };
        let (planned, naive) = rayon::join(|| compared(sewn), || compared(&naive()));
        Some(SymmetryPlan {
            feature: main.feature.name.clone(),
            pair,
            planned,
            naive,
        })
    }

    /// What a feature should cover, its outline lying wherever it lies.
    fn ink(&self, side: &PlacedFeature<'_>, outline: &BezPath) -> Ink {
        let width = self.job.yarn(&side.feature.thread).width_mm();
        match side.feature.work {
            Work::Fill { .. } => Ink::Area(outline.clone()),
            Work::Line(_) => Ink::line(outline, width),
            Work::Knot { wraps } => {
                let disc = Footprint::disc(knot::place(outline), knot_mm(width, wraps));
                Ink::Bars(vec![disc])
            }
        }
    }
}

/// Puts what was made group by group, the last group first, into the order of the groups.
fn in_reverse<T>(made: &mut [T], groups: &[Group<'_>]) {
    made.reverse();
    let mut rest = made;
    for group in groups {
        let (own, after) = rest.split_at_mut(group.len());
        own.reverse();
        rest = after;
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
