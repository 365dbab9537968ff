//! The lengths of yarn a thread is worked with: where each begins, and how long to cut it.

use kurbo::Point;

use crate::weave::{FeaturePlan, Plan, StrandPlan, ThreadPlan};

/// One length of yarn, from its start to where it is fastened off.
#[derive(Debug)]
pub(super) struct Piece<'a> {
    /// Its strands in working order, each with its feature.
    pub(super) strands: Vec<(&'a FeaturePlan, &'a StrandPlan)>,
    /// Yarn to cut, tails included, mm, before any margin.
    pub(super) cut_mm: f64,
}

/// The lengths of one thread in working order.
///
/// The plan gives the yarn of the whole thread; each length takes its share by what it lays
/// outside and carries inside, and two tails.
pub(super) fn pieces<'a>(plan: &'a Plan, thread: &ThreadPlan) -> Vec<Piece<'a>> {
    let mut worked: Vec<(&FeaturePlan, &StrandPlan)> = plan
        .features
        .iter()
        .filter(|feature| feature.thread == thread.name)
        .flat_map(|feature| feature.strands.iter().map(move |strand| (feature, strand)))
        .collect();
    worked.sort_by_key(|(_, strand)| strand.order);
    let mut pieces: Vec<Piece<'a>> = Vec::new();
    for (feature, strand) in worked {
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
        let inside: f64 = self
            .strands
            .windows(2)
            .map(|pair| travel_mm(pair[0].1, pair[1].1))
            .sum();
        outside + inside
    }
}

/// Straight travel on the inside from one strand to the next, mm.
pub(super) fn travel_mm(from: &StrandPlan, to: &StrandPlan) -> f64 {
    let (down, up): (Point, Point) = (from.down.at, to.up.at);
    down.distance(up)
}

/// Times a travel is caught so that no stretch is longer than the limit.
pub(super) fn catches(travel_mm: f64, limit_mm: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few stretches, not negative"
    )]
    // A travel of just the limit needs no catching, whatever the last bit says.
    let stretches = (travel_mm / limit_mm - 1e-9).ceil().max(1.0) as usize;
    stretches - 1
}

#[cfg(test)]
mod tests {
    use super::catches;

    #[test]
    fn a_float_is_caught_as_often_as_the_limit_asks() {
        // Worked out on paper: 60 mm in stretches of at most 25 mm are three, caught twice.
        assert_eq!(catches(60.0, 25.0), 2);
        assert_eq!(catches(25.0, 25.0), 0);
        assert_eq!(catches(0.0, 25.0), 0);
        assert_eq!(catches(25.1, 25.0), 1);
    }
}
