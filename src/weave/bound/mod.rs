//! How good a filling is: an upper bound on the joint objective of all fillings.

mod chain;
mod conflict;
mod dual;
mod lines;
mod page;
mod strand;

use kurbo::Rect;
use rayon::prelude::*;

use super::candidate::{Fold, Pairing, Wanted};
use conflict::Conflicts;
use dual::Dual;
use lines::{Crossing, Lines, crossings, objective};
use page::Page;
use strand::Candidate;

/// Lines across the direction on the width of a strand, and steps of a line.
const ROUGH: (f64, f64) = (3.0, 8.0);
const FINE: (f64, f64) = (12.0, 16.0);
/// Work for a look at all strands: the more intervals, the fewer steps.
const WORK: f64 = 1.2e6;
const STEPS: (f64, f64) = (40.0, 200.0);
/// Share of the filling that rough lines may miss.
const LOOSE: f64 = 0.03;
/// Strands that are looked at on fine lines, at most.
const MOST_FINE: usize = 250;
const LOOKS: usize = 4;
/// What fine lines may miss, as a share of the filling: nothing better by more than that is left.
const MISSED: f64 = 0.002;

/// What is known of a filling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judged {
    /// No filling is better by more than this, mm2 of the joint objective.
    pub(super) over_mm2: f64,
    /// None is better by more than can be measured.
    pub(super) proven: bool,
}

/// Judges the filling of a feature, pair or centred feature against all others in its direction
/// and seat, with the needle points that were free for it.
pub(super) fn judge(wanted: &Wanted<'_>, direction_deg: f64, sewn: &[Pairing]) -> Judged {
    let found = strand::allowed(wanted, direction_deg);
    let rough = Look {
        wanted,
        direction_deg,
        sewn,
        across: ROUGH,
    };
    let (mut over, known, mut left) = rough.at(found, LOOSE);
    let fine = Look {
        across: FINE,
        ..rough
    };
    let mut proven = over <= 0.0 && known == 0.0;
    for _ in 0..LOOKS {
        if left.len() > MOST_FINE {
            break;
        }
        let before = left.len();
        let (finer, known, fewer) = fine.at(left, 0.0);
        if std::env::var("TRACE").is_ok() {
            eprintln!("   fine: {before} strands, {finer:.2} over {known:.2}, {} left", fewer.len());
        }
        left = fewer;
        over = over.min(finer);
        proven = finer <= MISSED * known.abs();
        if proven || left.len() as f64 > 0.9 * before as f64 {
            break;
        }
    }
    Judged {
        over_mm2: if proven { 0.0 } else { over },
        proven,
    }
}

/// A look at some strands on lines of some pitch.
struct Look<'a> {
    wanted: &'a Wanted<'a>,
    direction_deg: f64,
    sewn: &'a [Pairing],
    across: (f64, f64),
}

impl Look<'_> {
    /// By how much a filling may be better, mm2; what the known one is worth here; and the strands
    /// that may be in a better one. Lines may miss a share of the filling.
    fn at(&self, strands: Vec<Candidate>, loose: f64) -> (f64, f64, Vec<Candidate>) {
        let began = std::time::Instant::now();
        let (wanted, width) = (self.wanted, self.wanted.width);
        let bounds = |c: &Candidate| c.pairing.footprint(width).bounds();
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
        let (strands, crossings): (Vec<Candidate>, Vec<Vec<Crossing>>) = lying.into_iter().unzip();
        let layers = if wanted.fold == Fold::None { 1 } else { 2 };
        let sewn: Vec<(f64, &Vec<Crossing>)> = strands
            .iter()
            .zip(&crossings)
            .filter(|(strand, _)| self.is_sewn(strand))
            .map(|(strand, own)| (strand.cost, own))
            .collect();
        let known = objective(&page, layers, &sewn);
        let costs: Vec<f64> = strands.iter().map(|s| s.cost).collect();
        let conflicts = Conflicts::new(&page, &crossings, &costs, most);
        let all = Lines::new(&crossings);
        let t1 = began.elapsed();
        let mut dual = Dual::new(&page, &conflicts, layers, &strands, &crossings, wanted.free);
        let work = WORK / all.intervals.len().max(1) as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped"
        )]
        let steps = work.clamp(STEPS.0, STEPS.1) as u32;
        let steps = std::env::var("STEPS").ok().and_then(|v| v.parse().ok()).unwrap_or(steps);
        let bound = dual.descend(&all, known, steps);
        let t2 = began.elapsed();
        let falls = dual.falls(&all);
        let lost = known - loose * known.abs();
        let n = strands.len();
        let left: Vec<Candidate> = strands
            .into_iter()
            .zip(falls)
            .filter(|(strand, fall)| bound - fall >= lost || self.is_sewn(strand))
            .map(|(strand, _)| strand)
            .collect();
        if std::env::var("TRACE").is_ok() {
            eprintln!("   {n} strands, {} intervals, {steps} steps, {bound:.2} of {known:.2} = {:.4}, {} left; {:.1} {:.1} {:.1} ms",
                all.intervals.len(), bound / known, left.len(), t1.as_secs_f64() * 1e3, t2.as_secs_f64() * 1e3, began.elapsed().as_secs_f64() * 1e3);
        }
        ((bound - known).max(0.0), known, left)
    }

    fn is_sewn(&self, strand: &Candidate) -> bool {
        let name = |p: &Pairing| (p.layer, p.ends[0].min(p.ends[1]), p.ends[0].max(p.ends[1]));
        self.sewn.iter().any(|s| name(s) == name(&strand.pairing))
    }
}
