//! The finished plan: facts only, nothing left to decide by those who write or draw it.

use std::collections::BTreeMap;

use kurbo::{BezPath, Point, Vec2};

use crate::fabric::colour::Rgb;
use crate::fabric::{Instep, NeedlePoint, Placed};
use crate::face::{Facing, Side};

/// A face planned on a slipper.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The unfolded instep the plan lies on.
    pub instep: Instep,
    /// Name of the slipper.
    pub slipper_name: String,
    /// Width of the slipper's own yarn, mm.
    pub slipper_yarn_mm: f64,
    /// Colour of that yarn, when it was stated.
    pub slipper_colour: Option<Rgb>,
    /// For a baby.
    pub for_baby: bool,
    /// Name of the face.
    pub face_name: String,
    /// Width of the face's box as worn, mm.
    pub width_mm: f64,
    /// Height of the face's box, mm.
    pub height_mm: f64,
    /// Distance from the opening edge to the box, mm.
    pub below_edge_mm: f64,
    /// Who sees it upright.
    pub facing: Facing,
    /// Travel longer than this is caught on the inside, mm.
    pub float_limit_mm: f64,
    /// Length of yarn in the needle, mm.
    pub needleful_mm: f64,
    /// Length of one tail, mm.
    pub tail_mm: f64,
    /// The features in the face's order, the left side of a pair before the right.
    pub features: Vec<FeaturePlan>,
    /// The threads, in the order in which they are first used.
    pub threads: Vec<ThreadPlan>,
    /// How even the pairs and the centred features are.
    pub symmetry: Vec<SymmetryPlan>,
    /// What to beware of, problems first.
    pub findings: Vec<Finding>,
}

/// One feature, or one side of a pair.
#[derive(Debug, Clone)]
pub struct FeaturePlan {
    /// What it is called.
    pub name: String,
    /// Which side, as seen on the page.
    pub side: Side,
    /// Thread role.
    pub thread: String,
    /// The trade's word for how it is worked: `surface satin`, `backstitch`, `french knot`.
    pub method: String,
    /// Direction of the strands, degrees; of the right half where `mirrored`. `None` for lines
    /// and knots, and where the direction is bent.
    pub direction_deg: Option<f64>,
    /// A direction that changes from place to place.
    pub bent: Option<Bent>,
    /// One direction mirrored at the centre line.
    pub mirrored: bool,
    /// The outline as seated, instep frame, mm.
    pub outline: BezPath,
    /// By how much the shape was shifted to fall better on the needle points, mm.
    pub moved_mm: Vec2,
    /// Size as seated, as a share of that drawn.
    pub scale: f64,
    /// What shift and size won, mm2 of the joint objective.
    pub seat_won_mm2: f64,
    /// Width of the thread, mm.
    pub strand_mm: f64,
    /// Turns of the yarn round the needle at a French knot, 0 for everything else.
    pub wraps: u32,
    /// The strands in working order.
    pub strands: Vec<StrandPlan>,
    /// Strands against outline.
    pub measure: Measure,
    /// How near the best filling there is; `None` for lines and knots.
    pub nearness: Option<Nearness>,
}

impl FeaturePlan {
    /// True for a shape filled with strands, false for a line or a knot.
    #[must_use]
    pub fn is_fill(&self) -> bool {
        self.direction_deg.is_some() || self.bent.is_some()
    }
}

/// A direction of strands that changes from place to place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bent {
    /// Along the shape's own run.
    Along,
    /// Radiating from a point, instep frame, mm; on a shape that is its own mirror image this is
    /// the point of the right half, and the left half radiates from its mirror image.
    Fan(Point),
}

impl Bent {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Along => "along",
            Self::Fan(_) => "fan",
        }
    }
}

/// One straight length of yarn on the face of the fabric.
#[derive(Debug, Clone, Copy)]
pub struct StrandPlan {
    /// Number within its thread, over all features, 1 the first.
    pub order: usize,
    /// Stage of the whole face, 1 the first: what is sewn without a change of thread. A thread
    /// whose later features lie on those of another has several.
    pub stage: usize,
    /// A new length of yarn begins here.
    pub start: bool,
    /// Travel on the inside from the strand before to this one, mm; 0 where a new length of yarn
    /// begins, for the one before was fastened off.
    pub travel_mm: f64,
    /// Times that travel is caught under the inside loops.
    pub caught: u32,
    /// Where the needle comes up.
    pub up: Placed,
    /// Where it goes down.
    pub down: Placed,
    /// Straight length, mm.
    pub length_mm: f64,
    /// The direction asked where its middle lies, degrees, in a feature whose direction is bent.
    pub direction_deg: Option<f64>,
    /// The strand of the same feature, by its order, that this short stitch ties down.
    pub ties: Option<usize>,
}

/// Strands against the outline they fill, areas in mm2 of the instep frame.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Measure {
    /// Area of the outline.
    pub outline_mm2: f64,
    /// Overlap over union of strands and outline, 0 to 1.
    pub match_share: f64,
    /// Outline not covered.
    pub bare_mm2: f64,
    /// Strands outside the outline.
    pub spill_mm2: f64,
    /// Covered more than once, counted once for each time over.
    pub doubled_mm2: f64,
    /// The score of the design: cover less spill, doubling and the price of each strand.
    pub score_mm2: f64,
}

/// How near a filling comes to the best there is: of all strands allowed in its direction, where
/// its outline lies, with the needle points that the features above it left. The sides of a pair are
/// judged together and say the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearness {
    /// What the filling is worth, its unevenness counted, mm2.
    pub objective_mm2: f64,
    /// No filling is worth more, mm2.
    pub bound_mm2: f64,
    /// No filling is worth more by what can be measured.
    pub proven_best: bool,
}

impl Nearness {
    /// The share of the best filling that this one is proven to reach, 0 to 1; `None` where nothing
    /// is worth sewing.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        (self.bound_mm2 > 0.0).then(|| (self.objective_mm2 / self.bound_mm2).clamp(0.0, 1.0))
    }
}

/// One thread over the whole face.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreadPlan {
    /// Thread role.
    pub name: String,
    /// Its colour, as it is shown.
    pub colour: Rgb,
    /// Strands of yarn held together in the needle.
    pub held: u32,
    /// Width of what is laid down, mm.
    pub width_mm: f64,
    /// Strands on the face.
    pub strands: usize,
    /// Lengths of yarn begun.
    pub starts: usize,
    /// Yarn of each of them in working order, its two tails included, mm.
    pub lengths_mm: Vec<f64>,
    /// All travel on the inside within them, mm.
    pub travel_mm: f64,
    /// The longest stretch of it that is not caught, mm.
    pub longest_float_mm: f64,
    /// Yarn used, tails included, mm of what is held in the needle.
    pub length_mm: f64,
    /// Weight of that yarn, all held strands, g.
    pub grams: f64,
    /// Needlefuls cut.
    pub needlefuls: usize,
    /// Strand ends that pierce yarn.
    pub pierced_ends: usize,
}

/// How even a pair or a centred feature is.
#[derive(Debug, Clone, PartialEq)]
pub struct SymmetryPlan {
    /// Feature name.
    pub feature: String,
    /// A pair, else a centred feature.
    pub pair: bool,
    /// Of the strands planned.
    pub planned: Figures,
    /// Of the outlines as one who trusts a column and a round would place them.
    pub naive: Figures,
}

/// Figures of evenness.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Figures {
    /// Overlap over union with the mirror image, 0 to 1.
    pub mirror_match: f64,
    /// Right side lower than the left by this, mm.
    pub level_mm: f64,
    /// The same in rows.
    pub level_rows: f64,
    /// Right side farther from the centre line than the left by this, mm; for a centred feature
    /// how far its centroid lies right of the centre line.
    pub offset_mm: f64,
    /// Smaller over larger area of the two sides or halves.
    pub size_ratio: f64,
    /// Tilt in degrees, + where the right side is lower.
    pub tilt_deg: f64,
}

/// Weight of a finding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// The face will not come out well, or cannot be sewn so.
    Problem,
    /// Worth knowing.
    Advice,
}

impl Level {
    /// The word of the files.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Problem => "problem",
            Self::Advice => "advice",
        }
    }
}

/// Something to beware of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// Problem or advice.
    pub level: Level,
    /// Short name, stable, for programs: `reach-too-deep`.
    pub code: &'static str,
    /// The feature it is about; empty for the whole face.
    pub feature: String,
    /// What was found, and what to change and by how much.
    pub text: String,
}

impl Plan {
    /// Distance from the opening edge to the farthest needle point, mm.
    #[must_use]
    pub fn reach_mm(&self) -> f64 {
        self.strands()
            .flat_map(|strand| [strand.up, strand.down])
            .map(|end| end.at.y)
            .fold(0.0, f64::max)
    }

    /// All strands, feature by feature.
    pub fn strands(&self) -> impl Iterator<Item = &StrandPlan> {
        self.features.iter().flat_map(|feature| &feature.strands)
    }

    /// All strands, feature by feature, each with its [name](Self::strand_name).
    pub fn named_strands(&self) -> impl Iterator<Item = (String, &StrandPlan)> {
        self.features.iter().flat_map(move |feature| {
            let strands = feature.strands.iter();
            strands.map(move |strand| (self.strand_name(feature, strand), strand))
        })
    }

    /// What tells a strand from all others of the plan: the number of its thread and its own
    /// number within it, `2-7`.
    #[must_use]
    pub fn strand_name(&self, feature: &FeaturePlan, strand: &StrandPlan) -> String {
        let mut threads = self.threads.iter();
        let thread = threads.position(|thread| thread.name == feature.thread);
        format!("{}-{}", thread.map_or(0, |at| at + 1), strand.order)
    }

    /// The strands of a thread in working order, each with its feature.
    #[must_use]
    pub fn worked_in(&self, thread: &ThreadPlan) -> Vec<(&FeaturePlan, &StrandPlan)> {
        let mut worked: Vec<(&FeaturePlan, &StrandPlan)> = self
            .features
            .iter()
            .filter(|feature| feature.thread == thread.name)
            .flat_map(|feature| feature.strands.iter().map(move |strand| (feature, strand)))
            .collect();
        worked.sort_by_key(|(_, strand)| strand.order);
        worked
    }

    /// A letter for a thread, A for the first, where the face has several: numbers begin anew with
    /// each thread, and the letter tells them apart. `None` for a lone thread, and past Z.
    #[must_use]
    pub fn letter(&self, thread: &str) -> Option<char> {
        let at = self.threads.iter().position(|own| own.name == thread)?;
        ('A'..='Z').nth(at).filter(|_| self.threads.len() > 1)
    }

    /// Strand ends of the whole face in each needle point that is used.
    #[must_use]
    pub fn ends_by_point(&self) -> BTreeMap<NeedlePoint, u32> {
        let mut ends = BTreeMap::new();
        for strand in self.strands() {
            for end in [strand.up.point, strand.down.point] {
                *ends.entry(end).or_default() += 1;
            }
        }
        ends
    }

    /// True when a finding is a problem.
    #[must_use]
    pub fn has_problem(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Problem)
    }
}

impl Measure {
    /// Share of the outline that is not covered, 0 to 1.
    #[must_use]
    pub fn bare_share(&self) -> f64 {
        if self.outline_mm2 > 0.0 {
            self.bare_mm2 / self.outline_mm2
        } else {
            0.0
        }
    }
}

impl FeaturePlan {
    /// Strands over each round, 1 at the toe; a strand counts in every round from that of its one
    /// end to that of the other.
    #[must_use]
    pub fn strands_by_round(&self) -> BTreeMap<u32, usize> {
        let mut strands = BTreeMap::new();
        for strand in self.strands.iter().filter(|strand| strand.ties.is_none()) {
            let [a, b] = [strand.up.point.round, strand.down.point.round];
            for round in a.min(b)..=a.max(b) {
                *strands.entry(round).or_default() += 1;
            }
        }
        strands
    }

    /// The longest stretch of a strand that is not tied down, mm.
    #[must_use]
    pub fn free_mm(&self, strand: &StrandPlan) -> f64 {
        let run = strand.down.at - strand.up.at;
        let ties = self
            .strands
            .iter()
            .filter(|tie| tie.ties == Some(strand.order));
        let mut cuts: Vec<f64> = ties
            .map(|tie| {
                let (from, to) = (tie.up.at - strand.up.at, tie.down.at - strand.up.at);
                let (out, into) = (from.cross(run), to.cross(run));
                from.lerp(to, out / (out - into)).dot(run) / run.hypot()
            })
            .chain([0.0, strand.length_mm])
            .collect();
        cuts.sort_by(f64::total_cmp);
        cuts.windows(2)
            .map(|two| two[1] - two[0])
            .fold(0.0, f64::max)
    }

    /// Width of the feature's French knot on the face, mm; of its thread when it is none.
    #[must_use]
    pub fn knot_mm(&self) -> f64 {
        knot_mm(self.strand_mm, self.wraps)
    }
}

/// Width of a French knot on the face, mm: one turn makes it twice as wide as the yarn, each
/// further turn adds half a width (common practice, no source; a sampler tells).
pub(super) fn knot_mm(width: f64, wraps: u32) -> f64 {
    match wraps {
        0 => width,
        turns => width * (1.5 + 0.5 * f64::from(turns)),
    }
}
