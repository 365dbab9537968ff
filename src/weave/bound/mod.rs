//! How good a filling is: an upper bound on the joint objective of all fillings of a feature, in
//! its direction and seat, with the needle points that the features above it left.
//!
//! The page is cut into lines across the direction (`page.rs`); on a line strands are intervals
//! (`lines.rs`) of which the best choice is found exactly (`chain.rs`). Each line chooses for
//! itself, and the division of the strands' costs among the lines is bettered until their choices
//! nearly agree (`dual.rs`). What a strand allowed is, says `strand.rs`; which exclude each other,
//! `conflict.rs`. A strand with which the bound falls below the filling known is in no better one,
//! and falls out on the way, so that each step has fewer to look at; where few are left they are
//! looked at again on finer lines, and once more.
//!
//! What it is right to: the lines measure strips of the page. Those of the rough look measure a
//! filling a tenth too low in the median, all fillings of a feature by much the same, so only what
//! the bound lies over the filling is taken from them, and a margin of 3 % is left when strands
//! fall out. Those of the fine look differ by 1 %. So the bound is right to about 1 % of the
//! filling (of an eye of a strand a side, to 2 %), and "proven" to what the fine look can
//! tell: poor fillings, judged so, were bounded well over the best (DEVELOPERS.md).

mod chain;
mod conflict;
mod dual;
mod lines;
mod page;
mod strand;

use kurbo::Rect;
use rayon::prelude::*;

use super::candidate::{Fold, Pairing, Wanted};
use super::field::Field;
use conflict::Conflicts;
use dual::{Dual, Goal};
use lines::{Crossing, Lines, crossings, objective};
use page::Page;
use strand::Candidate;

/// Lines on the width of a strand, and steps of a line on the same, in the rough look and in the
/// fine one. Two rough lines take a third longer and prove a twentieth more, one and a quarter
/// prove a tenth less; more of the others take longer and prove no more.
const ROUGH: (f64, f64) = (1.5, 8.0);
const FINE: (f64, f64) = (6.0, 11.0);
/// The same where at most so many strands are left: it proves a twentieth more, for half a percent
/// more work, and of a poor filling of one strand a bound was 2 % under the best instead of 4 %.
const FINEST: (f64, f64) = (12.0, 22.0);
const FEW_FINE: usize = 40;
/// Strands from which on rough lines lie farther apart, and how far at most.
const MANY: f64 = 1000.0;
const ROUGHEST: f64 = 0.75;
/// Strands from which on the plain bound must do: what the lines say in a bearable time is hardly
/// better then, and for centred features sooner.
const TOO_MANY: usize = 3000;
const TOO_MANY_CENTRED: usize = 2000;
/// Work of a look, in intervals. With two thirds of it the bounds of large features lie a quarter
/// farther over their fillings; with twice as much more is proven on fine yarn.
const WORK: f64 = 1.5e5;
/// Strands from which on a look begins without telling which of them exclude each other, which is
/// dear where they are many; the share of the intervals that is to be left of them then, and the
/// work that may take.
const MANY_PAIRS: usize = 400;
const FEWER: f64 = 0.5;
const WORK_WITHOUT_PAIRS: f64 = 5e4;
/// Share of the filling that rough lines may miss, and within which they need tell no more.
const LOOSE: f64 = 0.03;
const ENOUGH: f64 = 0.005;
/// Strands that are looked at on fine lines, at most, and how often.
const MOST_FINE: usize = 200;
const LOOKS: usize = 2;
/// Share of the filling within which another look, on the strands that are left, may prove it: it
/// proves 7 more of 261 features.
const AGAIN: f64 = 0.02;
/// Share of the filling within which nothing better can be told on fine lines.
const TOLD: f64 = 0.002;

/// What is known of a filling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judged {
    /// No filling is worth more, mm2 of the joint objective.
    pub(super) bound_mm2: f64,
    /// No filling is worth more by what can be told.
    pub(super) proven: bool,
}

/// Judges a filling that is worth `objective_mm2` against all others; `outline_mm2` is the area of
/// the outline, of both sides for a pair.
pub(super) fn judge(
    wanted: &Wanted<'_>,
    field: &Field,
    sewn: &[Pairing],
    outline_mm2: f64,
    objective_mm2: f64,
) -> Judged {
    let strands = strand::allowed(wanted, field);
    let plain = plain(&strands, wanted.width, outline_mm2) - objective_mm2;
    let over = |over: f64, proven: bool| Judged {
        bound_mm2: objective_mm2 + over.min(plain).max(0.0),
        proven,
    };
    let centred = wanted.fold == Fold::Centre;
    if strands.len() > if centred { TOO_MANY_CENTRED } else { TOO_MANY } {
        return over(plain, false);
    }
    let sparse = (ROUGH.0 * MANY / strands.len() as f64).clamp(ROUGHEST, ROUGH.0);
    let mut look = Look {
        wanted,
        direction_deg: field.mean_deg(),
        sewn,
        across: (sparse, ROUGH.1),
    };
    let rough = look.at(strands, LOOSE, ENOUGH);
    if rough.left.len() > MOST_FINE {
        return over(rough.over, false);
    }
    // What the rough look says of so few strands may be too low by a twentieth.
    let (mut least, mut left) = (f64::INFINITY, rough.left);
    for _ in 0..LOOKS {
        look.across = if left.len() > FEW_FINE { FINE } else { FINEST };
        let fine = look.at(left, 0.0, TOLD);
        if fine.over <= TOLD * fine.known.abs() {
            return over(0.0, true);
        }
        least = least.min(fine.over);
        if fine.over > AGAIN * fine.known.abs() {
            break;
        }
        left = fine.left;
    }
    over(least, false)
}

/// A bound without any look, mm2: what is covered takes at least as much strand as it has area,
/// and that costs at least as much as the strand that is cheapest for its area.
fn plain(strands: &[Candidate], width: f64, outline_mm2: f64) -> f64 {
    let dear = |strand: &Candidate| strand.price / strand.pairing.footprint(width).area();
    let cheapest = strands.iter().map(dear).fold(1.0, f64::min);
    outline_mm2 * (1.0 - cheapest)
}

/// A look at some strands, on lines of some pitch.
struct Look<'a> {
    wanted: &'a Wanted<'a>,
    /// The mean direction, degrees.
    direction_deg: f64,
    sewn: &'a [Pairing],
    /// Lines and steps on the width of a strand.
    across: (f64, f64),
}

/// What a look has shown.
struct Seen {
    /// By how much a filling may be worth more than the one known, mm2.
    over: f64,
    /// What that is worth here, mm2.
    known: f64,
    /// Strands that may be in a better one.
    left: Vec<Candidate>,
}

impl Look<'_> {
    /// Looks; `loose` is the share of the filling that may be missed when strands fall out, `enough`
    /// that within which the bound need come no nearer.
    fn at(&self, strands: Vec<Candidate>, loose: f64, enough: f64) -> Seen {
        let (wanted, width) = (self.wanted, self.wanted.width);
        let bounds = |strand: &Candidate| strand.pairing.footprint(width).bounds();
        let area = strands.iter().map(bounds).reduce(|a, b| a.union(b));
        let page = Page::new(
            wanted.outline,
            wanted.fold,
            self.direction_deg,
            area.unwrap_or(Rect::ZERO),
            (width / self.across.0, width / self.across.1),
        );
        let most = strand::most(wanted.fold);
        let lying = |strand: Candidate| {
            let own = crossings(&page, &strand, width);
            let inside: f64 = own.iter().map(|c| page.inside_mm2(c.0, c.2, c.3)).sum();
            (most * inside > strand.cost || self.is_sewn(&strand)).then_some((strand, own))
        };
        let lying: Vec<_> = strands.into_par_iter().filter_map(lying).collect();
        let (strands, mut crossings): (Vec<_>, Vec<Vec<Crossing>>) = lying.into_iter().unzip();
        let layers = if wanted.fold == Fold::None { 1 } else { 2 };
        let costs: Vec<f64> = strands.iter().map(|s| s.cost).collect();
        let is_sewn: Vec<bool> = strands.iter().map(|s| self.is_sewn(s)).collect();
        let sewn: Vec<(f64, &Vec<Crossing>)> = costs
            .iter()
            .zip(&crossings)
            .zip(&is_sewn)
            .filter(|(_, is_sewn)| **is_sewn)
            .map(|((cost, own), _)| (*cost, own))
            .collect();
        let known = objective(&page, layers, &sewn);
        let goal = Goal {
            known,
            enough: enough * known.abs(),
            loose: loose * known.abs(),
            is_sewn: &is_sewn,
        };
        let mut lines = Lines::new(&crossings);
        let mut dual = Dual::new(&page, layers, &strands, &crossings, wanted.free);
        if strands.len() > MANY_PAIRS {
            let none = Conflicts::none(strands.len());
            dual.descend(&mut lines, &none, &goal, (WORK_WITHOUT_PAIRS, FEWER));
            let fallen = crossings.iter_mut().zip(&dual.fallen);
            fallen.filter(|own| *own.1).for_each(|own| own.0.clear());
        }
        let conflicts = Conflicts::new(&page, &crossings, &costs, most);
        let bound = dual.descend(&mut lines, &conflicts, &goal, (WORK, 0.0));
        dual.let_fall(&lines, &conflicts, &goal, bound);
        let left = strands.into_iter().zip(&dual.fallen);
        Seen {
            over: (bound - known).max(0.0),
            known,
            left: left.filter(|left| !left.1).map(|left| left.0).collect(),
        }
    }

    fn is_sewn(&self, strand: &Candidate) -> bool {
        let name = |p: &Pairing| (p.layer, p.ends[0].min(p.ends[1]), p.ends[0].max(p.ends[1]));
        self.sewn.iter().any(|s| name(s) == name(&strand.pairing))
    }
}
