//! The face while it is made: group by group, then the threads.

use rayon::prelude::*;

use super::field::OnPage;
use super::ink::Ink;
use super::making::Making;
use super::nearness::Made;
use super::piece::{Group, aim};
use super::plan::{FeaturePlan, StrandPlan, SymmetryPlan};
use super::settings::Job;
use super::symmetry::{Compared, counted_naively, figures};
use super::thread::{SewnThread, Stage, Stitches, sew_thread, stages};
use crate::fabric::Instep;
use crate::face::PlacedFeature;

/// The face while it is made.
pub(super) struct Workshop<'a> {
    job: &'a Job,
    instep: &'a Instep,
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
            features: Vec::new(),
            stitches: Vec::new(),
            sewn: Vec::new(),
            fields: Vec::new(),
        }
    }

    /// Makes the features of a face; `judge` is given each fill that is to be judged, as
    /// [`Making::pieces`] gives it.
    pub(super) fn make_all(&mut self, groups: &[Group<'_>], judge: impl FnMut(usize, Made)) {
        for piece in Making::new(self.job, self.instep, groups).pieces(judge) {
            self.features.push(piece.feature);
            self.stitches.push(piece.stitches);
            self.sewn.push(piece.sewn);
            self.fields.push(piece.field);
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
        if !pair && !aim(self.job, main, &main.outline).is_its_own_mirror() {
            return None;
        }
        let naive = || -> Vec<Ink> {
            let counted = |side: &&PlacedFeature<'_>| {
                aim(self.job, side, &counted_naively(self.instep, &side.outline))
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
}
