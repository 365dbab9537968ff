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
pub(super) fn pieces<'a>(plan: &'a Plan, thread: &ThreadPlan) -> Vec<Piece<'a>> {
    let mut pieces: Vec<Piece<'a>> = Vec::new();
    for (feature, strand) in plan.worked_in(thread) {
        match pieces.last_mut() {
            Some(piece) if !strand.start => piece.strands.push((feature, strand)),
            _ => pieces.push(Piece {
                strands: vec![(feature, strand)],
                cut_mm: thread
                    .lengths_mm
                    .get(pieces.len())
                    .copied()
                    .unwrap_or_default(),
            }),
        }
    }
    pieces
}
