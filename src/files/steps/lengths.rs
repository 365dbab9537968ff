//! The lengths of yarn a thread is worked with: where each begins, and how long to cut it.

use crate::weave::{FeaturePlan, Plan, StrandPlan, ThreadPlan};

/// One length of yarn, from its start to where it is fastened off.
#[derive(Debug)]
pub(super) struct Piece<'a> {
    /// Its strands in working order, each with its feature.
    pub(super) strands: Vec<(&'a FeaturePlan, &'a StrandPlan)>,
    /// Yarn to cut, tails included, mm, before any margin.
    pub(super) cut_mm: f64,
}

/// The lengths of all threads in working order: a thread that lies on another comes back to it
/// later.
pub(super) fn in_working_order<'a>(plan: &'a Plan) -> Vec<(&'a ThreadPlan, Piece<'a>)> {
    let mut all: Vec<(&ThreadPlan, Piece<'a>)> = plan
        .threads
        .iter()
        .flat_map(|thread| pieces(plan, thread).into_iter().map(move |p| (thread, p)))
        .collect();
    all.sort_by_key(|(_, piece)| piece.strands[0].1.stage);
    all
}

/// The lengths of one thread in working order.
///
/// The plan gives the yarn of the whole thread; each length takes its share by what it lays
/// outside and carries inside, and two tails.
pub(super) fn pieces<'a>(plan: &'a Plan, thread: &ThreadPlan) -> Vec<Piece<'a>> {
    let mut pieces: Vec<Piece<'a>> = Vec::new();
    for (feature, strand) in plan.worked_in(thread) {
        match pieces.last_mut() {
            Some(piece) if !strand.start => piece.strands.push((feature, strand)),
            _ => pieces.push(Piece {
                strands: vec![(feature, strand)],
                cut_mm: 0.0,
            }),
        }
    }
    let tails = 2.0 * plan.tail_mm;
    let laid: f64 = pieces.iter().map(Piece::laid_mm).sum();
    let without_tails = (thread.length_mm - tails * thread.starts as f64).max(laid);
    for piece in &mut pieces {
        piece.cut_mm = piece.laid_mm() / laid * without_tails + tails;
    }
    pieces
}

impl Piece<'_> {
    /// Straight strands and straight travel, mm.
    fn laid_mm(&self) -> f64 {
        let outside: f64 = self.strands.iter().map(|(_, s)| s.length_mm).sum();
        let inside: f64 = self.strands[1..].iter().map(|(_, s)| s.travel_mm).sum();
        outside + inside
    }
}
