//! What is sewn at once while a filling is sought: a strand, or a couple of twins.

use std::iter;

use super::Filling;
use crate::weave::canvas::{self, Strand};

/// What a strand loses at least, in shares of what it has in common with the one sewn last, by how
/// the two lie: 1.35 where that was bare before, nothing where it was not. With less, more strands
/// are weighed and no better ones found; with more, some are missed.
const CLASH: f64 = 0.95;

/// A strand, or a couple.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unit {
    /// The first, and what is compared where one is enough.
    pub(super) strand: u32,
    /// The other, of a couple.
    twin: Option<u32>,
}

impl Unit {
    pub(super) fn alone(strand: u32) -> Self {
        Self { strand, twin: None }
    }

    pub(super) fn is_alone(self) -> bool {
        self.twin.is_none()
    }

    pub(super) fn strands(self) -> impl Iterator<Item = u32> {
        iter::once(self.strand).chain(self.twin)
    }

    /// Each of its strands with each of another's.
    pub(super) fn pairs(self, other: Self) -> impl Iterator<Item = (u32, u32)> {
        self.strands()
            .flat_map(move |one| other.strands().map(move |other| (one, other)))
    }
}

impl Filling<'_> {
    /// A strand with its twin; `None` where it has none, or is itself that of one with which it makes
    /// a couple.
    pub(super) fn couple(&self, strand: u32) -> Option<Unit> {
        let twin = self.problem.couple(strand)?.twin;
        let is_second = self.lie(strand).layer() == 1 && self.problem.twin(twin) == Some(strand);
        (!is_second).then_some(Unit {
            strand,
            twin: Some(twin),
        })
    }

    /// What a unit covers and costs.
    pub(super) fn covered(&self, unit: Unit) -> &Strand {
        let couple = unit.twin.and_then(|_| self.problem.couple(unit.strand));
        couple.map_or(&self.problem.strands[unit.strand as usize], |c| &c.both)
    }

    pub(super) fn has_room(&self, unit: Unit) -> bool {
        if unit
            .strands()
            .any(|s| self.is_sewn[s as usize] || !self.fits(s))
        {
            return false;
        }
        // The two may share a needle point.
        let Some(twin) = unit.twin else { return true };
        let ends = self.ends(unit.strand);
        let mut shared = self.ends(twin).into_iter().filter(|end| ends.contains(end));
        shared.all(|end| self.free[end] > 1)
    }

    /// Points won by sewing a unit.
    pub(super) fn unit_gain(&self, unit: Unit) -> i64 {
        let in_line: i64 = unit.strands().map(|strand| self.in_line(strand)).sum();
        self.canvas.gain(self.covered(unit)) - in_line
    }

    /// The most that a unit may win as others are sewn: a couple is even by itself.
    pub(super) fn evened(&self, unit: Unit) -> i64 {
        match unit.twin {
            None => self.canvas.evened(self.covered(unit)),
            Some(_) => 0,
        }
    }

    /// About what a unit loses to another that lies on it, at least.
    pub(super) fn clash_of(&self, unit: Unit, other: Unit) -> i64 {
        let pairs = unit.pairs(other);
        pairs.map(|(one, other)| self.clash(one, other)).sum()
    }

    /// The same of two strands.
    pub(super) fn clash(&self, strand: u32, other: u32) -> i64 {
        let common = self.lie(strand).common(self.lie(other), self.problem.width);
        canvas::points(CLASH * common, self.problem.sample_mm2)
    }
}
