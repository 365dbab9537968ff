//! The face while it is made: group by group, then the threads.

use kurbo::BezPath;
use rayon::prelude::*;

use super::field::OnPage;
use super::footprint::Footprint;
use super::ink::Ink;
use super::knot;
use super::nearness::Made;
use super::piece::{Found, Group, Piece, Seeker, all_free, edge_stitch, ends};
use super::plan::{FeaturePlan, StrandPlan, SymmetryPlan, knot_mm};
use super::settings::Job;
use super::symmetry::{Compared, counted_naively, figures};
use super::thread::{SewnThread, Stage, Stitches, sew_thread, stages};
use super::tie::TiesWanted;
use crate::fabric::Instep;
use crate::face::{PlacedFeature, Work};

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
}

impl<'a> Workshop<'a> {
    pub(super) fn new(job: &'a Job, instep: &'a Instep) -> Self {
        Self {
            job,
            instep,
            free: all_free(job, instep),
            features: Vec::new(),
            stitches: Vec::new(),
            sewn: Vec::new(),
            fields: Vec::new(),
        }
    }

    /// Makes the features of a face, those that lie apart from each other side by side. `judge` is
    /// given each fill that is to be judged, as soon as it is made, with the index of its feature.
    pub(super) fn make_all(&mut self, groups: &[Group<'_>], judge: impl Fn(usize, Made)) {
        let mut made: Vec<Vec<Piece>> = groups.iter().map(|_| Vec::new()).collect();
        let edge = |at: usize| {
            let next = groups.get(at + 1)?;
            Some((next, edge_stitch(next, &groups[at])?))
        };
        for wave in self.waves(groups) {
            let find = |at: usize| self.seeker().find(&groups[at], edge(at));
            let found: Vec<Found> = wave.par_iter().map(|&at| find(at)).collect();
            for (at, mut found) in wave.into_iter().zip(found) {
                if !self.has_room(&found) {
                    found = self.seeker().find(&groups[at], edge(at));
                }
                self.sew(&mut found);
                if let Some(fill) = found.made {
                    judge(groups[at][0].index, fill);
                }
                // With those of the line round it, which comes next.
                made[at] = found.pieces;
            }
        }
        for piece in made.into_iter().flatten() {
            self.features.push(piece.feature);
            self.stitches.push(piece.stitches);
            self.sewn.push(piece.sewn);
            self.fields.push(piece.field);
        }
    }

    /// The groups that may be made side by side, in the order of making. What lies on top is made
    /// first, for it is small and has few needle points to choose from: a group waits for all
    /// later ones of the face that it comes near. A line round a fill is made with it.
    fn waves(&self, groups: &[Group<'_>]) -> Vec<Vec<usize>> {
        let inks = |side: &&PlacedFeature<'_>| {
            let width = self.seeker().width_mm(side);
            let edge = Ink::line(&side.outline, width / 2.0);
            [self.ink(side, &side.outline), edge]
        };
        let inks = |group: &Group<'_>| group.iter().flat_map(inks).collect();
        let inks: Vec<Vec<Ink>> = groups.iter().map(inks).collect();
        let near = |a: usize, b: usize| {
            let mut inks_of_a = inks[a].iter();
            inks_of_a.any(|ink| inks[b].iter().any(|other| ink.touches(other)))
        };
        let mut waves: Vec<Vec<usize>> = Vec::new();
        let mut numbers = vec![0; groups.len()];
        let is_edge = |at: usize| at > 0 && edge_stitch(&groups[at], &groups[at - 1]).is_some();
        for at in (0..groups.len()).rev().filter(|&at| !is_edge(at)) {
            let others = (at + 1..groups.len()).filter(|&other| !is_edge(other));
            let waits_for = others.filter(|&other| near(at, other));
            let number = waits_for.map(|other| numbers[other] + 1).max().unwrap_or(0);
            numbers[at] = number;
            waves.resize_with(waves.len().max(number + 1), Vec::new);
            waves[number].push(at);
        }
        waves
    }

    fn seeker(&self) -> Seeker<'_> {
        Seeker {
            job: self.job,
            instep: self.instep,
            free: &self.free,
        }
    }

    /// Whether there is room for all that was found: what was made beside it may have taken some.
    fn has_room(&self, found: &Found) -> bool {
        let mut ends = ends(self.instep, &found.pieces);
        ends.sort_unstable();
        let mut points = ends.chunk_by(|a, b| a == b);
        points.all(|ends| ends.len() <= self.free[ends[0]] as usize)
    }

    /// Takes the room of what was found, and ties its long strands down if that is wanted.
    fn sew(&mut self, found: &mut Found) {
        for end in ends(self.instep, &found.pieces) {
            self.free[end] = self.free[end].saturating_sub(1);
        }
        if self.job.settings.tie_down {
            found
                .pieces
                .iter_mut()
                .for_each(|piece| self.tie_down(piece));
        }
    }

    /// Ties the long strands of a fill down.
    fn tie_down(&mut self, piece: &mut Piece) {
        if let Some(field) = &piece.field {
            piece.stitches.ties = TiesWanted {
                instep: self.instep,
                settings: &self.job.settings,
                width: piece.feature.strand_mm,
                free: &mut self.free,
            }
            .ties(&piece.stitches.runs.concat(), |middle| field.level(middle));
        }
    }

    /// Sews thread by thread: the threads, in the order of their first use, with their strands.
    pub(super) fn route(&self) -> Vec<SewnThread> {
        let names: Vec<&str> = self.features.iter().map(|f| f.thread.as_str()).collect();
        let sewn = &self.sewn;
        let stages = stages(&names, |later, earlier| sewn[later].touches(&sewn[earlier]));
        let mut threads: Vec<&str> = Vec::new();
        for stage in &stages {
            if !threads.contains(&names[stage[0]]) {
                threads.push(names[stage[0]]);
            }
        }
        let sew = |thread: &&str| {
            let own: Vec<Stage<'_>> = stages
                .iter()
                .enumerate()
                .filter(|(_, stage)| names[stage[0]] == *thread)
                .map(|(i, stage)| Stage {
                    number: i + 1,
                    stitches: stage.iter().map(|&f| (f, &self.stitches[f])).collect(),
                    goes_on: i > 0 && names[stages[i - 1][0]] == *thread,
                })
                .collect();
            sew_thread(self.job, self.instep, thread, &own, &self.features)
        };
        threads.par_iter().map(sew).collect()
    }

    /// The features with their strands.
    pub(super) fn with_strands(
        mut self,
        strands: impl Iterator<Item = (usize, StrandPlan)>,
    ) -> Vec<FeaturePlan> {
        for (feature, mut strand) in strands {
            let bent = self.fields[feature]
                .as_ref()
                .filter(|field| field.bent().is_some());
            if let (Some(field), None) = (bent, strand.ties) {
                let middle = strand.up.at.midpoint(strand.down.at);
                strand.direction_deg = Some(field.at(middle));
            }
            self.features[feature].strands.push(strand);
        }
        self.features
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
        let width = self.seeker().width_mm(side);
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
