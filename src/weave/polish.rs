//! The last touch: a filling bettered on a fine grid among the candidates much like its own, and
//! its joints laid apart.

use std::sync::OnceLock;

use rayon::prelude::*;

use super::candidate::{Cell, Ground, Pairing, Wanted};
use super::effort::{Effort, THOROUGH};
use super::field::Field;
use super::fill::Filled;
use super::search::{Joints, Windows};
use super::stage::Stage;

/// How windows are filled where joints are laid apart. With larger ones, and a beam of 12, hardly
/// fewer joints are left in line, for a thirtieth of all time.
const STAGGERING: Windows = Windows {
    pool: 32,
    beam: 6,
    ..THOROUGH
};
/// How far the ends of two strands lie apart in all, in widths, that may be exchanged.
const NEAR_WIDTHS: f64 = 2.5;
/// Share of the objective that laying joints as bricks may cost: a seam right across a wide shape
/// shows, so little cover does not.
const STAGGER_LOSS: f64 = 0.004;

/// What the fillings of a shape are polished on, wherever it sits.
pub(super) struct Polish<'a> {
    /// All candidates.
    pairings: &'a [Pairing],
    /// How fillings are bettered.
    windows: Windows,
    /// The grid of the shape as drawn. It reaches as far beyond the shape as a strand may stick out,
    /// so every seat's outline lies on it; what sticks out farther is cut off, and loses in any
    /// case.
    ground: Ground,
    /// What each of them covers there, counted when first asked for: most that are asked for in one
    /// seat are in another.
    cells: Vec<OnceLock<Vec<Cell>>>,
}

impl<'a> Polish<'a> {
    /// For a shape as drawn and all candidates in its direction.
    pub(super) fn new(
        wanted: &Wanted<'_>,
        pairings: &'a [Pairing],
        field: &Field,
        effort: &Effort,
    ) -> Self {
        Self {
            pairings,
            windows: effort.polish,
            ground: Ground::new(wanted, wanted.width / effort.fine, field.mean_deg()),
            cells: vec![OnceLock::new(); pairings.len()],
        }
    }

    /// Betters a filling window by window, the shape wanted in any seat: what it is worth, mm2, and
    /// its strands.
    pub(super) fn better(
        &self,
        wanted: &Wanted<'_>,
        field: &Field,
        start: &[Pairing],
    ) -> (f64, Vec<Pairing>) {
        self.stage(wanted, field, start)
            .by_windows(start, self.windows)
    }

    /// The filling with its joints laid as bricks are, if that costs next to nothing; the shape is
    /// wanted as drawn.
    pub(super) fn staggered(&self, wanted: &Wanted<'_>, filled: Filled) -> Filled {
        let outline = filled.seat.seated(wanted.outline);
        let there = Wanted {
            outline: &outline,
            ..*wanted
        };
        let seams = |strands: &[Pairing]| {
            Joints::new(strands, &outline, &filled.field, wanted.width).all_in_line()
        };
        let found = seams(&filled.strands);
        if found == 0 {
            return filled;
        }
        let stage = self.stage(&there, &filled.field, &filled.strands);
        let least_mm2 = (1.0 - STAGGER_LOSS) * filled.objective_mm2;
        let (objective_mm2, strands) = stage.staggered(
            (&outline, &filled.field),
            &filled.strands,
            least_mm2,
            STAGGERING,
        );
        if seams(&strands) < found {
            Filled {
                strands,
                objective_mm2,
                ..filled
            }
        } else {
            filled
        }
    }

    /// The candidates much like the strands of a filling.
    fn stage(&self, wanted: &Wanted<'_>, field: &Field, start: &[Pairing]) -> Stage {
        let reach = NEAR_WIDTHS * wanted.width;
        let mut start_by_y: Vec<(f64, &Pairing)> =
            start.iter().map(|s| (s.middle().y, s)).collect();
        start_by_y.sort_by(|a, b| a.0.total_cmp(&b.0));
        let alike = |(_, p): &(usize, &Pairing)| {
            // Ends that lie `reach` apart in all have middles at most half of that apart.
            let y = p.middle().y;
            let from = start_by_y.partition_point(|s| s.0 < y - reach / 2.0);
            let near = start_by_y[from..].iter();
            near.take_while(|s| s.0 <= y + reach / 2.0)
                .any(|(_, s)| s.layer == p.layer && p.apart(&s.at) < reach)
        };
        let near = self.pairings.par_iter().enumerate().filter(alike);
        let cells = |index: usize| {
            let count = || self.ground.cells(&self.pairings[index], wanted.width);
            self.cells[index].get_or_init(count).clone()
        };
        Stage::on(&self.ground, wanted, field, near, cells)
    }
}
