//! Splices: one filling on this side of a seam, another beyond it.
//!
//! Fillings that no window betters are each the better one in some part of the shape. What is sewn
//! here hardly matters a row or two away, so the best parts of two make a better one than either.

use super::Filling;

/// How the seam between two parts runs.
#[derive(Debug, Clone, Copy)]
pub(in crate::weave) enum Seam {
    /// Along the strands, from row to row.
    BetweenRows,
    /// Across them, through every row.
    AcrossRows,
}

impl Filling<'_> {
    /// The best splice of another filling before the seam and this one beyond it, wherever it lies:
    /// points won, and the strands in the order of the candidates. `None` where the two differ by
    /// no more than a strand.
    pub(in crate::weave) fn spliced(
        mut self,
        other: &[u32],
        seam: Seam,
    ) -> Option<(i64, Vec<u32>)> {
        let place = |strand: u32| match seam {
            Seam::BetweenRows => self.problem.levels[strand as usize],
            Seam::AcrossRows => self.problem.lies[strand as usize].along(),
        };
        // As the seam passes them, strands of the other come and those sewn here go.
        let coming = other
            .iter()
            .filter(|&&strand| !self.is_sewn[strand as usize]);
        let going = self.sewn.iter().filter(|strand| !other.contains(strand));
        let mut passed: Vec<(f64, u32)> = coming
            .chain(going)
            .map(|&strand| (place(strand), strand))
            .collect();
        passed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        // Beyond the last of them nothing is left of this one.
        passed.pop();
        let mut waiting: Vec<u32> = Vec::new();
        let mut best: Option<(i64, Vec<u32>)> = None;
        for (_, strand) in passed {
            if self.is_sewn[strand as usize] {
                self.score += self.loss(strand);
                self.unpick(strand);
            } else {
                waiting.push(strand);
            }
            waiting.retain(|&strand| !self.sew_with_room(strand));
            if best.as_ref().is_none_or(|best| self.score > best.0) {
                best = Some((self.score, self.chosen()));
            }
        }
        best
    }
}
