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

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::super::Problem;
    use super::*;
    use crate::weave::candidate::Cell;
    use crate::weave::canvas::{Canvas, Strand};

    /// Rows 10 mm long, one above the other; row `i` covers word `i`, and of its two candidates
    /// the second costs more. Or the same turned upright, for a seam across the rows.
    fn rows(count: u32, upright: bool) -> Problem {
        let place = |row: u32| f64::from(4 * row);
        let ends = |row: u32| match upright {
            false => [Point::new(0.0, place(row)), Point::new(10.0, place(row))],
            true => [
                Point::new(12.0 * place(row), 0.0),
                Point::new(12.0 * place(row) + 10.0, 0.0),
            ],
        };
        let candidates = (0..count).flat_map(|row| [(row, 1.0), (row, 20.0)]);
        let strands = candidates.map(|(row, price_mm2)| {
            let cell = Cell {
                tile: 2 * row,
                bits: u64::MAX,
            };
            let strand = Strand::new(vec![cell], price_mm2, 1.0, 64, false);
            ([2 * row, 2 * row + 1], ends(row), 0, strand)
        });
        Problem::of(strands, 4.0, 1.0)
    }

    /// Two fillings, each dear on the other side of the middle: their splice is dear nowhere. With
    /// one free end a needle point, a row must go before the other filling's can come.
    #[test]
    fn a_splice_takes_the_better_half_of_each() {
        for (upright, seam) in [(false, Seam::BetweenRows), (true, Seam::AcrossRows)] {
            let problem = rows(6, upright);
            let bare = Filling::new(&problem, Canvas::new(&[u64::MAX; 6], false));
            let worth = |strands: &[u32]| {
                let mut filling = bare.clone();
                filling.sew_all(strands);
                assert_eq!(filling.chosen(), strands);
                (filling.score, filling)
            };
            let (first_half, second_half) = ([0, 2, 4, 7, 9, 11], [1, 3, 5, 6, 8, 10]);
            let (best, _) = worth(&[0, 2, 4, 6, 8, 10]);
            let (less, filling) = worth(&second_half);
            let (score, strands) = filling.spliced(&first_half, seam).expect("unlike fillings");
            assert_eq!(strands, [0, 2, 4, 6, 8, 10]);
            assert_eq!(score, best);
            assert!(score > less);
            let (_, same) = worth(&second_half);
            assert!(same.spliced(&second_half, seam).is_none());
        }
    }
}
