//! `plan.json` read back: what a set needs to know of a piece that was planned earlier. Keys that
//! are not needed are passed over.

use kurbo::{Affine, BezPath, Point};
use serde::Deserialize;
use serde::de::Error as _;

use crate::face::Side;
use crate::weave::Level;
use crate::weave::set::{Sewn, SewnFeature, SewnFinding, SewnThread};

/// Reads the text of a `plan.json`.
///
/// # Errors
/// Where it is no plan of this schema.
pub fn sewn(text: &[u8]) -> Result<Sewn, serde_json::Error> {
    let plan: PlanText = serde_json::from_slice(text)?;
    let feature = |feature: FeatureText| {
        let wrong = |_| serde_json::Error::custom("an outline that is no path");
        let outline = BezPath::from_svg(&feature.outline_mm).map_err(wrong)?;
        let [x, y] = feature.moved_mm;
        Ok(SewnFeature {
            name: feature.name,
            side: match feature.side.as_str() {
                "left" => Side::Left,
                "right" => Side::Right,
                _ => Side::Centre,
            },
            thread: feature.thread,
            filled: feature.direction_deg.is_some() || feature.direction.is_some(),
            outline: Affine::translate((-x, -y)) * outline,
            strand_mm: feature.strand_mm,
            wraps: feature.wraps,
            strands: feature
                .strands
                .into_iter()
                .map(|strand| (strand.up.into(), strand.down.into()))
                .collect(),
            match_share: feature.match_share,
            outline_mm2: feature.outline_mm2,
            bare_mm2: feature.bare_mm2,
            spill_mm2: feature.spill_mm2,
        })
    };
    let thread = |thread: ThreadText| SewnThread {
        colour: rgb(&thread.colour),
        name: thread.name,
        held: thread.held,
        width_mm: thread.width_mm,
        strands: thread.strands,
        needlefuls: thread.needlefuls,
        length_mm: thread.length_mm,
        grams: thread.grams,
    };
    let finding = |finding: FindingText| SewnFinding {
        level: match finding.level.as_str() {
            "problem" => Level::Problem,
            _ => Level::Advice,
        },
        code: finding.code,
        feature: finding.feature,
        text: finding.text,
    };
    let features = plan.features.into_iter().map(feature);
    Ok(Sewn {
        width_mm: plan.face.width_mm,
        below_edge_mm: plan.face.below_edge_mm,
        features: features.collect::<Result<_, serde_json::Error>>()?,
        threads: plan.threads.into_iter().map(thread).collect(),
        findings: plan.findings.into_iter().map(finding).collect(),
    })
}

/// A colour as `plan.json` writes it; black where it is none.
fn rgb(colour: &str) -> [u8; 3] {
    let part = |at: usize| {
        let digits = colour.get(at..at + 2).unwrap_or_default();
        u8::from_str_radix(digits, 16).unwrap_or(0)
    };
    [part(1), part(3), part(5)]
}

#[derive(Deserialize)]
struct PlanText {
    face: FaceText,
    features: Vec<FeatureText>,
    threads: Vec<ThreadText>,
    findings: Vec<FindingText>,
}

#[derive(Deserialize)]
struct FaceText {
    width_mm: f64,
    below_edge_mm: f64,
}

#[derive(Deserialize)]
struct FeatureText {
    name: String,
    side: String,
    thread: String,
    direction_deg: Option<f64>,
    direction: Option<String>,
    outline_mm: String,
    moved_mm: [f64; 2],
    strand_mm: f64,
    wraps: u32,
    strands: Vec<StrandText>,
    #[serde(rename = "match")]
    match_share: f64,
    outline_mm2: f64,
    bare_mm2: f64,
    spill_mm2: f64,
}

#[derive(Deserialize)]
struct StrandText {
    up: PointText,
    down: PointText,
}

#[derive(Deserialize)]
struct PointText {
    x_mm: f64,
    y_mm: f64,
}

impl From<PointText> for Point {
    fn from(text: PointText) -> Self {
        Self::new(text.x_mm, text.y_mm)
    }
}

#[derive(Deserialize)]
struct ThreadText {
    name: String,
    colour: String,
    held: u32,
    width_mm: f64,
    strands: usize,
    length_mm: f64,
    grams: f64,
    needlefuls: usize,
}

#[derive(Deserialize)]
struct FindingText {
    level: String,
    code: String,
    feature: String,
    text: String,
}
