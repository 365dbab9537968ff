//! The route: in which order and from which end the strands of a thread are sewn, so that it
//! takes as little yarn as can be.
//!
//! Counted in mm of yarn, travel on the inside (with take-up) and new starts (two tails each) are
//! minimised together:
//!
//! ```text
//! sum over needlefuls of (2 tail + sum travel (1 + take_up))
//! ```
//!
//! A new start needs no travel to it. A needleful holds only so much, travel through one needle
//! point or beyond the carry ends the thread, and what lies on top is sewn later. Up to [`EXACT`]
//! legs every order is weighed ([`exact`]), else routes are bettered step by step ([`search`]).

mod exact;
mod search;

use kurbo::Point;

/// Legs up to which every order is weighed. The tables grow with `2^legs`: 12 take a millisecond
/// or two, 16 would take fifty.
const EXACT: usize = 12;

/// A needle point on the route: which one, and where it lies (mm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Stop {
    pub(super) hole: u32,
    pub(super) at: Point,
}

/// Something sewn in one go: a strand, or a whole line of them.
#[derive(Debug, Clone)]
pub(super) struct Leg {
    /// How it can be sewn, by its first up and its last down; the second way, if any, is the first
    /// one turned round.
    pub(super) ways: Vec<[Stop; 2]>,
    /// Legs of a lower stage are sewn before those of a higher one.
    pub(super) stage: usize,
    /// Yarn it takes from its first up to its last down, take-up included, mm.
    pub(super) yarn_mm: f64,
}

/// One leg of a route and the way it is sewn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sewn {
    pub(super) leg: usize,
    pub(super) way: usize,
}

/// What travel on the inside costs, mm of yarn.
#[derive(Debug, Clone, Copy)]
pub(super) struct TravelCost {
    /// Travel longer than this ends the thread.
    pub(super) carry_mm: f64,
    /// Yarn lost by a new start: two tails.
    pub(super) start_mm: f64,
    /// Share by which yarn lies longer than the straight line.
    pub(super) take_up: f64,
    /// Yarn of a needleful between its tails.
    pub(super) room_mm: f64,
}

impl TravelCost {
    /// Yarn from one down to the next up; `None` where the thread is fastened off and begun again.
    /// In one and the same needle point the stitch would pull out, beyond the carry the float is
    /// too long, and where travel takes more than two tails a new start is cheaper.
    pub(super) fn travel(&self, down: Stop, up: Stop) -> Option<f64> {
        let distance = down.at.distance(up.at);
        let yarn = distance * (1.0 + self.take_up);
        let goes = down.hole != up.hole && distance <= self.carry_mm && yarn < self.start_mm;
        goes.then_some(yarn)
    }
}

/// The best route found over all legs, beginning wherever it likes. Where needlefuls end in it is
/// for [`super::needleful`] to say.
pub(super) fn route(legs: &[Leg], cost: TravelCost) -> Vec<Sewn> {
    if legs.is_empty() {
        Vec::new()
    } else if legs.len() <= EXACT {
        exact::route(legs, cost)
    } else {
        search::route(legs, cost)
    }
}
