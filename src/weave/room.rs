//! Room at the needle points: how many strand ends each may still take.

use super::settings::Job;
use crate::fabric::Instep;

/// Free strand ends by needle point, in the order of [`Instep::points`].
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Room(Vec<u32>);

impl Room {
    /// That of a bare slipper.
    pub(super) fn of_all(job: &Job, instep: &Instep) -> Self {
        Self(vec![job.settings.hole_limit; instep.points().len()])
    }

    /// By needle point.
    pub(super) fn free(&self) -> &[u32] {
        &self.0
    }

    /// The same for those who take some of it.
    pub(super) fn free_mut(&mut self) -> &mut [u32] {
        &mut self.0
    }

    /// Whether there is room for some strand ends.
    pub(super) fn is_enough_for(&self, ends: &[usize]) -> bool {
        self.too_full_for(ends).is_empty()
    }

    /// The needle points without room for all of some strand ends.
    pub(super) fn too_full_for(&self, ends: &[usize]) -> Vec<usize> {
        let mut ends = ends.to_vec();
        ends.sort_unstable();
        let by_point = ends.chunk_by(|a, b| a == b);
        by_point
            .filter(|ends| ends.len() > self.0[ends[0]] as usize)
            .map(|ends| ends[0])
            .collect()
    }

    /// Takes the room of some strand ends.
    pub(super) fn take(&mut self, ends: &[usize]) {
        for &end in ends {
            self.0[end] = self.0[end].saturating_sub(1);
        }
    }
}
