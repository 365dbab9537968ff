//! The lengths of yarn a thread is worked with: where each begins, and how long to cut it.

use crate::weave::{FeaturePlan, Plan, StrandPlan, ThreadPlan};

/// One length of yarn, from its start to where it is fastened off.
#[derive(Debug)]
pub(in crate::files) struct Piece<'a> {
    /// Its thread.
    pub(in crate::files) thread: &'a ThreadPlan,
    /// Its number among the lengths of that thread, 1 the first.
    pub(in crate::files) number: usize,
    /// How many lengths the thread has.
    pub(in crate::files) of: usize,
    /// Its strands in working order, each with its feature.
    pub(in crate::files) strands: Vec<(&'a FeaturePlan, &'a StrandPlan)>,
    /// Yarn to cut, tails included, mm, before any margin.
    pub(in crate::files) cut_mm: f64,
}

/// The lengths of all threads in working order: a thread that lies on another comes back to it
/// later.
pub(in crate::files) fn in_working_order(plan: &Plan) -> Vec<Piece<'_>> {
    let threads = plan.threads.iter();
    let mut all: Vec<Piece<'_>> = threads.flat_map(|thread| pieces(plan, thread)).collect();
    all.sort_by_key(|piece| piece.strands[0].1.stage);
    all
}

/// The lengths of one thread in working order.
pub(super) fn pieces<'a>(plan: &'a Plan, thread: &'a ThreadPlan) -> Vec<Piece<'a>> {
    let mut pieces: Vec<Piece<'a>> = Vec::new();
    for (feature, strand) in plan.worked_in(thread) {
        match pieces.last_mut() {
            Some(piece) if !strand.start => piece.strands.push((feature, strand)),
            _ => pieces.push(Piece {
                thread,
                number: pieces.len() + 1,
                of: 0,
                strands: vec![(feature, strand)],
                cut_mm: thread
                    .lengths_mm
                    .get(pieces.len())
                    .copied()
                    .unwrap_or_default(),
            }),
        }
    }
    let of = pieces.len();
    for piece in &mut pieces {
        piece.of = of;
    }
    pieces
}

impl Piece<'_> {
    /// Yarn not yet used when so many of its strands are worked, the last tail included, mm: each
    /// strand takes its share by what it lays outside and carries inside.
    pub(in crate::files) fn left_mm(&self, worked: usize, tail_mm: f64) -> f64 {
        let share = self.laid_mm_of(worked) / self.laid_mm();
        tail_mm + (1.0 - share) * (self.cut_mm - 2.0 * tail_mm)
    }

    /// Straight strands and straight travel, mm.
    fn laid_mm(&self) -> f64 {
        self.laid_mm_of(self.strands.len())
    }

    /// The same for so many of its first strands.
    fn laid_mm_of(&self, worked: usize) -> f64 {
        let worked = &self.strands[..worked];
        let outside: f64 = worked.iter().map(|(_, s)| s.length_mm).sum();
        let inside: f64 = worked.iter().skip(1).map(|(_, s)| s.travel_mm).sum();
        outside + inside
    }
}
