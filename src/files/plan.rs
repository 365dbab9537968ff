//! `plan.json`, schema 1: every fact of a plan for other programs. The structs mirror the text.
//!
//! Lengths are in mm of the instep frame (x to the right, y down toward the toe), areas in mm2,
//! angles in degrees, all rounded to four decimals.

use std::collections::BTreeMap;

use serde::Serialize;

use super::words::{Words, row_number};
use crate::fabric::colour::hex;
use crate::fabric::{Placed, Row};
use crate::weave::{
    Bent, FeaturePlan, Figures, Finding, Plan, StrandPlan, SymmetryPlan, ThreadPlan,
};

/// Number of this schema; it changes when a key changes its meaning or goes.
const FORMAT: u32 = 1;

/// The text of `plan.json`, ended by a line end.
///
/// # Errors
/// Never for a plan of finite figures; a figure that is not finite is written as `null`.
pub fn plan_json(plan: &Plan, words: &Words) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(&PlanText::new(plan, words))?;
    text.push('\n');
    Ok(text)
}

#[derive(Serialize)]
struct PlanText<'a> {
    format: u32,
    slipper: SlipperText<'a>,
    face: FaceText<'a>,
    centre_line: Vec<CrossingText>,
    features: Vec<FeatureText<'a>>,
    needle_points: Vec<EndsText>,
    threads: Vec<ThreadText<'a>>,
    symmetry: Vec<SymmetryText<'a>>,
    findings: Vec<FindingText<'a>>,
}

#[derive(Serialize)]
struct SlipperText<'a> {
    name: &'a str,
    hand: &'static str,
    rounds: &'static str,
    stitch_mm: f64,
    row_mm: f64,
    lean: f64,
    counts: &'a [u32],
    flat_stitches: u32,
    centre_stitch: f64,
    strand_mm: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    colour: Option<String>,
    stretch: f64,
    for_baby: bool,
}

#[derive(Serialize)]
struct FaceText<'a> {
    name: &'a str,
    width_mm: f64,
    height_mm: f64,
    below_edge_mm: f64,
    facing: &'static str,
    reach_mm: f64,
}

#[derive(Serialize)]
pub(super) struct CrossingText {
    below: u32,
    round: u32,
    /// Exact crossing, not rounded.
    stitch: f64,
    /// Stitch position of the basting thread.
    baste: f64,
    /// Its round: another than `round` where the crossing rounds up past the last stitch.
    baste_round: u32,
}

#[derive(Serialize)]
struct FeatureText<'a> {
    name: &'a str,
    side: &'static str,
    thread: &'a str,
    method: &'a str,
    direction_deg: Option<f64>,
    /// `along` or `fan`, where strands have no one direction.
    #[serde(skip_serializing_if = "Option::is_none")]
    direction: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fan_from_mm: Option<[f64; 2]>,
    mirrored: bool,
    outline_mm: String,
    moved_mm: [f64; 2],
    scale: f64,
    seat_won_mm2: f64,
    strand_mm: f64,
    wraps: u32,
    strands: Vec<StrandText>,
    #[serde(rename = "match")]
    match_share: f64,
    outline_mm2: f64,
    bare_mm2: f64,
    /// Share of the outline that is bare, 0 to 1.
    bare_share: f64,
    spill_mm2: f64,
    doubled_mm2: f64,
    score_mm2: f64,
    /// What the fill is worth, its unevenness counted; of both sides of a pair together. Left out
    /// for lines and knots, as are the next two.
    #[serde(skip_serializing_if = "Option::is_none")]
    objective_mm2: Option<f64>,
    /// No fill in this direction and place is worth more.
    #[serde(skip_serializing_if = "Option::is_none")]
    bound_mm2: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    proven_best: Option<bool>,
    /// First row of `strands_per_row`, 1 at the opening edge.
    first_row: u32,
    /// Strands in each row from there toward the toe; a strand counts in every row it spans.
    strands_per_row: Vec<usize>,
    strands_per_round: Vec<RoundText>,
}

#[derive(Serialize)]
struct RoundText {
    round: u32,
    strands: usize,
}

/// A needle point that is used, and how many strand ends it takes.
#[derive(Serialize)]
struct EndsText {
    round: u32,
    stitch: f64,
    row: &'static str,
    ends: u32,
}

impl EndsText {
    fn all(plan: &Plan) -> Vec<Self> {
        let ends = plan.ends_by_point();
        ends.into_iter()
            .map(|(point, ends)| Self {
                round: point.round,
                stitch: point.stitch(),
                row: point.row.word(),
                ends,
            })
            .collect()
    }
}

#[derive(Serialize)]
struct StrandText {
    order: usize,
    stage: usize,
    start: bool,
    /// On the inside from the strand before, and how often it is caught on the way.
    travel_mm: f64,
    caught: u32,
    up: PointText,
    down: PointText,
    length_mm: f64,
    /// The direction asked here, where the feature has no one direction.
    #[serde(skip_serializing_if = "Option::is_none")]
    direction_deg: Option<f64>,
    /// The strand that this one ties down, by its order.
    ties: Option<usize>,
}

#[derive(Serialize)]
struct PointText {
    round: u32,
    stitch: f64,
    row: &'static str,
    across: f64,
    below: f64,
    x_mm: f64,
    y_mm: f64,
}

#[derive(Serialize)]
struct ThreadText<'a> {
    name: &'a str,
    colour: String,
    held: u32,
    width_mm: f64,
    strands: usize,
    starts: usize,
    /// Yarn of each length in working order, its two tails included.
    lengths_mm: Vec<f64>,
    travel_mm: f64,
    longest_float_mm: f64,
    length_mm: f64,
    grams: f64,
    needlefuls: usize,
    pierced_ends: usize,
}

#[derive(Serialize)]
struct SymmetryText<'a> {
    feature: &'a str,
    pair: bool,
    #[serde(flatten)]
    planned: FiguresText,
    naive: FiguresText,
}

#[derive(Serialize)]
struct FiguresText {
    mirror_match: f64,
    level_mm: f64,
    level_rows: f64,
    offset_mm: f64,
    size_ratio: f64,
    tilt_deg: f64,
}

#[derive(Serialize)]
struct FindingText<'a> {
    level: &'static str,
    code: &'static str,
    feature: &'a str,
    text: String,
}

impl<'a> PlanText<'a> {
    fn new(plan: &'a Plan, words: &Words) -> Self {
        Self {
            format: FORMAT,
            slipper: SlipperText::new(plan),
            face: FaceText::new(plan),
            centre_line: plan.instep.rows().iter().map(CrossingText::new).collect(),
            features: plan.features.iter().map(FeatureText::new).collect(),
            needle_points: EndsText::all(plan),
            threads: plan.threads.iter().map(ThreadText::new).collect(),
            symmetry: plan.symmetry.iter().map(SymmetryText::new).collect(),
            findings: plan
                .findings
                .iter()
                .map(|finding| FindingText::new(finding, words))
                .collect(),
        }
    }
}

impl<'a> SlipperText<'a> {
    fn new(plan: &'a Plan) -> Self {
        let shell = plan.instep.shell();
        Self {
            name: &plan.slipper_name,
            hand: shell.hand().word(),
            rounds: shell.rounds().word(),
            stitch_mm: rounded(shell.gauge().stitch_mm),
            row_mm: rounded(shell.gauge().row_mm),
            lean: rounded(shell.lean()),
            counts: shell.counts(),
            flat_stitches: shell.flat_stitches(),
            centre_stitch: rounded(shell.centre_stitch()),
            strand_mm: rounded(plan.slipper_yarn_mm),
            colour: plan.slipper_colour.map(hex),
            stretch: rounded(plan.instep.stretch()),
            for_baby: plan.for_baby,
        }
    }
}

impl<'a> FaceText<'a> {
    fn new(plan: &'a Plan) -> Self {
        Self {
            name: &plan.face_name,
            width_mm: rounded(plan.width_mm),
            height_mm: rounded(plan.height_mm),
            below_edge_mm: rounded(plan.below_edge_mm),
            facing: plan.facing.word(),
            reach_mm: rounded(plan.reach_mm()),
        }
    }
}

impl CrossingText {
    pub(super) fn new(row: &Row) -> Self {
        Self {
            below: row.below,
            round: row.round,
            stitch: rounded(row.stitch),
            baste: row.baste.stitch(),
            baste_round: row.baste.round,
        }
    }
}

impl<'a> FeatureText<'a> {
    fn new(feature: &'a FeaturePlan) -> Self {
        let (first_row, strands_per_row) = strands_per_row(&feature.strands);
        Self {
            name: &feature.name,
            side: feature.side.word(),
            thread: &feature.thread,
            method: &feature.method,
            direction_deg: feature.direction_deg.map(rounded),
            direction: feature.bent.map(Bent::word),
            fan_from_mm: match feature.bent {
                Some(Bent::Fan(from)) => Some([rounded(from.x), rounded(from.y)]),
                _ => None,
            },
            mirrored: feature.mirrored,
            outline_mm: path_data(&feature.outline),
            moved_mm: [rounded(feature.moved_mm.x), rounded(feature.moved_mm.y)],
            scale: rounded(feature.scale),
            seat_won_mm2: rounded(feature.seat_won_mm2),
            strand_mm: rounded(feature.strand_mm),
            wraps: feature.wraps,
            strands: feature.strands.iter().map(StrandText::new).collect(),
            match_share: rounded(feature.measure.match_share),
            outline_mm2: rounded(feature.measure.outline_mm2),
            bare_mm2: rounded(feature.measure.bare_mm2),
            bare_share: rounded(feature.measure.bare_share()),
            spill_mm2: rounded(feature.measure.spill_mm2),
            doubled_mm2: rounded(feature.measure.doubled_mm2),
            score_mm2: rounded(feature.measure.score_mm2),
            objective_mm2: feature.nearness.map(|near| rounded(near.objective_mm2)),
            bound_mm2: feature.nearness.map(|near| rounded(near.bound_mm2)),
            proven_best: feature.nearness.map(|near| near.proven_best),
            first_row,
            strands_per_row,
            strands_per_round: feature
                .strands_by_round()
                .into_iter()
                .map(|(round, strands)| RoundText { round, strands })
                .collect(),
        }
    }
}

impl StrandText {
    fn new(strand: &StrandPlan) -> Self {
        Self {
            order: strand.order,
            stage: strand.stage,
            travel_mm: rounded(strand.travel_mm),
            caught: strand.caught,
            start: strand.start,
            up: PointText::new(&strand.up),
            down: PointText::new(&strand.down),
            length_mm: rounded(strand.length_mm),
            direction_deg: strand.direction_deg.map(rounded),
            ties: strand.ties,
        }
    }
}

impl PointText {
    fn new(placed: &Placed) -> Self {
        Self {
            round: placed.point.round,
            stitch: placed.point.stitch(),
            row: placed.point.row.word(),
            across: rounded(placed.along.across),
            below: placed.along.below,
            x_mm: rounded(placed.at.x),
            y_mm: rounded(placed.at.y),
        }
    }
}

impl<'a> ThreadText<'a> {
    fn new(thread: &'a ThreadPlan) -> Self {
        Self {
            name: &thread.name,
            colour: hex(thread.colour),
            held: thread.held,
            width_mm: rounded(thread.width_mm),
            strands: thread.strands,
            starts: thread.starts,
            lengths_mm: thread.lengths_mm.iter().copied().map(rounded).collect(),
            travel_mm: rounded(thread.travel_mm),
            longest_float_mm: rounded(thread.longest_float_mm),
            length_mm: rounded(thread.length_mm),
            grams: rounded(thread.grams),
            needlefuls: thread.needlefuls,
            pierced_ends: thread.pierced_ends,
        }
    }
}

impl<'a> SymmetryText<'a> {
    fn new(symmetry: &'a SymmetryPlan) -> Self {
        Self {
            feature: &symmetry.feature,
            pair: symmetry.pair,
            planned: FiguresText::new(&symmetry.planned),
            naive: FiguresText::new(&symmetry.naive),
        }
    }
}

impl FiguresText {
    fn new(figures: &Figures) -> Self {
        Self {
            mirror_match: rounded(figures.mirror_match),
            level_mm: rounded(figures.level_mm),
            level_rows: rounded(figures.level_rows),
            offset_mm: rounded(figures.offset_mm),
            size_ratio: rounded(figures.size_ratio),
            tilt_deg: rounded(figures.tilt_deg),
        }
    }
}

impl<'a> FindingText<'a> {
    fn new(finding: &'a Finding, words: &Words) -> Self {
        Self {
            level: finding.level.word(),
            code: finding.code,
            feature: &finding.feature,
            text: words.put(&finding.text),
        }
    }
}

/// Four decimals, and never `-0`.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1e4).round() / 1e4 + 0.0
}

/// SVG path data with coordinates to four decimals.
fn path_data(path: &kurbo::BezPath) -> String {
    let round = |p: kurbo::Point| kurbo::Point::new(rounded(p.x), rounded(p.y));
    let rounded_path: kurbo::BezPath = path
        .elements()
        .iter()
        .map(|&element| match element {
            kurbo::PathEl::MoveTo(p) => kurbo::PathEl::MoveTo(round(p)),
            kurbo::PathEl::LineTo(p) => kurbo::PathEl::LineTo(round(p)),
            kurbo::PathEl::QuadTo(a, p) => kurbo::PathEl::QuadTo(round(a), round(p)),
            kurbo::PathEl::CurveTo(a, b, p) => kurbo::PathEl::CurveTo(round(a), round(b), round(p)),
            kurbo::PathEl::ClosePath => kurbo::PathEl::ClosePath,
        })
        .collect();
    rounded_path.to_svg()
}

/// The first row with a strand, and the strands of each row from there toward the toe.
fn strands_per_row(strands: &[StrandPlan]) -> (u32, Vec<usize>) {
    let mut rows: BTreeMap<u32, usize> = BTreeMap::new();
    for strand in strands.iter().filter(|strand| strand.ties.is_none()) {
        let (a, b) = (row_number(strand.up.along), row_number(strand.down.along));
        for row in a.min(b)..=a.max(b) {
            *rows.entry(row).or_default() += 1;
        }
    }
    let first = rows.keys().next().copied().unwrap_or(0);
    let last = rows.keys().next_back().copied().unwrap_or(0);
    let counts = (first..=last)
        .filter(|&row| row > 0)
        .map(|row| rows.get(&row).copied().unwrap_or(0))
        .collect();
    (first, counts)
}
