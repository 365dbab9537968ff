//! A set: several faces on several slippers, looked at together: which look alike, which fail or
//! stand out, how much yarn all take.
//!
//! Everything here starts from [`Sewn`], a piece as its plan states it, so that a piece planned
//! earlier and read back gives the same figures as one just planned.

mod apart;
mod steady;
mod stock;
mod whole;

use kurbo::{BezPath, Point};

pub use apart::{Apart, Drawing, LOOKS_ALIKE, SPOT_WIDTHS, apart, colours_apart};
pub use steady::{Group, MAD_TIMES, MATCH_FLOOR, READS, YARN_FLOOR, outliers, reads};
pub use stock::{Bought, Skein, Taken, buy};
pub use whole::{Look, Made, Pair, SetFinding, Shoe, Whole, whole};

use super::footprint::Footprint;
use super::ink::Ink;
use super::plan::{Level, knot_mm};
use crate::face::Side;

/// A planned piece: what is seen of it, and what it takes.
#[derive(Debug, Clone)]
pub struct Sewn {
    /// Width of the face's box as worn, mm.
    pub width_mm: f64,
    /// Distance from the opening edge to the box, mm.
    pub below_edge_mm: f64,
    /// The features in the face's order: later ones lie on top.
    pub features: Vec<SewnFeature>,
    /// The threads.
    pub threads: Vec<SewnThread>,
    /// What to beware of.
    pub findings: Vec<SewnFinding>,
}

/// One feature, or one side of a pair.
#[derive(Debug, Clone)]
pub struct SewnFeature {
    /// What it is called.
    pub name: String,
    /// Which side, as seen on the page.
    pub side: Side,
    /// Thread role.
    pub thread: String,
    /// A filled shape; else a line or a knot.
    pub filled: bool,
    /// The outline as drawn and placed, before it was seated, instep frame, mm.
    pub outline: BezPath,
    /// Width of the thread, mm.
    pub strand_mm: f64,
    /// Turns of the yarn at a French knot, 0 for everything else.
    pub wraps: u32,
    /// Ends of each strand, instep frame, mm.
    pub strands: Vec<(Point, Point)>,
    /// Overlap over union of strands and outline.
    pub match_share: f64,
    /// Area of the outline, mm2.
    pub outline_mm2: f64,
    /// Outline not covered, mm2.
    pub bare_mm2: f64,
    /// Strands outside it, mm2.
    pub spill_mm2: f64,
}

/// One thread of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct SewnThread {
    /// Thread role.
    pub name: String,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Strands held together in the needle.
    pub held: u32,
    /// Width of what is laid down, mm.
    pub width_mm: f64,
    /// Strands on the face.
    pub strands: usize,
    /// Lengths of yarn cut.
    pub needlefuls: usize,
    /// Yarn used, tails included, mm of what is held in the needle.
    pub length_mm: f64,
    /// Its weight, all held strands, g.
    pub grams: f64,
}

/// A finding of a piece's own plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SewnFinding {
    /// Problem or advice.
    pub level: Level,
    /// Its stable name.
    pub code: String,
    /// The feature it is about; empty for the whole face.
    pub feature: String,
    /// What was found, and what to change.
    pub text: String,
}

impl Sewn {
    /// The colour of a feature's thread.
    #[must_use]
    pub fn colour(&self, feature: &SewnFeature) -> [u8; 3] {
        let thread = self.threads.iter().find(|t| t.name == feature.thread);
        thread.map_or([0; 3], |thread| thread.colour)
    }

    /// True when a finding of its plan is a problem.
    #[must_use]
    pub fn has_problem(&self) -> bool {
        self.problems().next().is_some()
    }

    /// The problems of its plan.
    pub fn problems(&self) -> impl Iterator<Item = &SewnFinding> {
        let problem = |finding: &&SewnFinding| finding.level == Level::Problem;
        self.findings.iter().filter(problem)
    }

    /// Strands against shapes over the whole piece: overlap over union of all features, each
    /// against its own outline.
    #[must_use]
    pub fn match_share(&self) -> f64 {
        let sum = |mm2: fn(&SewnFeature) -> f64| self.features.iter().map(mm2).sum::<f64>();
        let inside = sum(|f| f.outline_mm2 - f.bare_mm2);
        let either = sum(|f| f.outline_mm2 + f.spill_mm2);
        if either > 0.0 { inside / either } else { 0.0 }
    }

    /// Yarn of all threads, mm of what is held in the needle.
    #[must_use]
    pub fn length_mm(&self) -> f64 {
        self.threads.iter().map(|thread| thread.length_mm).sum()
    }

    /// Yarn taken for each time the covered area could be laid with it: length times width over
    /// area. 1 would be strands alone, without ends, travel and tails.
    #[must_use]
    pub fn yarn_share(&self) -> f64 {
        let laid: f64 = self.threads.iter().map(|t| t.length_mm * t.width_mm).sum();
        let covered: f64 = self
            .features
            .iter()
            .map(|f| f.outline_mm2 - f.bare_mm2 + f.spill_mm2)
            .sum();
        if covered > 0.0 { laid / covered } else { 0.0 }
    }
}

impl SewnFeature {
    /// Width of its French knots on the face, mm; of its thread when it is none.
    #[must_use]
    pub fn knot_mm(&self) -> f64 {
        knot_mm(self.strand_mm, self.wraps)
    }

    /// What its strands cover.
    fn bars(&self) -> Vec<Footprint> {
        let bar = |&(a, b): &(Point, Point)| match self.wraps {
            0 => Footprint::new(a, b, self.strand_mm),
            _ => Footprint::disc(a.midpoint(b), self.knot_mm()),
        };
        self.strands.iter().map(bar).collect()
    }

    /// What it should cover as drawn.
    fn drawn(&self) -> Ink {
        if self.filled {
            Ink::Area(self.outline.clone())
        } else if self.wraps > 0 {
            let place = super::knot::place(&self.outline);
            Ink::Bars(vec![Footprint::disc(place, self.knot_mm())])
        } else {
            Ink::line(&self.outline, self.strand_mm)
        }
    }
}
