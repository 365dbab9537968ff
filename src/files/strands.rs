//! `strands.csv`: one row a strand, for a spreadsheet (RFC 4180: comma, quotes doubled, CRLF).

use super::words::Words;
use crate::fabric::Placed;
use crate::weave::{FeaturePlan, Plan, StrandPlan};

const HEADER: [&str; 24] = [
    "thread",
    "order",
    "start",
    "feature",
    "side",
    "method",
    "up_row",
    "up_place",
    "up_across",
    "up_round",
    "up_stitch",
    "up_x_mm",
    "up_y_mm",
    "down_row",
    "down_place",
    "down_across",
    "down_round",
    "down_stitch",
    "down_x_mm",
    "down_y_mm",
    "length_mm",
    "wraps",
    "direction_deg",
    "ties",
];

/// The text of `strands.csv`, in working order, thread by thread.
///
/// `*_row` counts rows below the opening edge (a half is the middle of a row), `*_across`
/// stitches from the basting thread, + to the right; `ties` is the
/// order of the strand that a tie holds down.
#[must_use]
pub fn strands_csv(plan: &Plan, words: &Words) -> String {
    let mut text = record(HEADER.map(str::to_owned));
    for thread in &plan.threads {
        for (feature, strand) in plan.worked_in(thread) {
            text.push_str(&row(feature, strand, *words));
        }
    }
    text
}

fn row(feature: &FeaturePlan, strand: &StrandPlan, words: Words) -> String {
    let mut fields = vec![
        feature.thread.clone(),
        strand.order.to_string(),
        if strand.start { "yes" } else { "no" }.to_owned(),
        feature.name.clone(),
        feature.side.word().to_owned(),
        feature.method.clone(),
    ];
    fields.extend(point(&strand.up, words));
    fields.extend(point(&strand.down, words));
    fields.push(number(strand.length_mm));
    fields.push(feature.wraps.to_string());
    let direction_deg = strand.direction_deg.or(feature.direction_deg);
    fields.push(direction_deg.map_or_else(String::new, number));
    let ties = strand
        .ties
        .map_or_else(String::new, |order| order.to_string());
    fields.push(ties);
    record(fields)
}

fn point(placed: &Placed, words: Words) -> [String; 7] {
    [
        placed.along.below.to_string(),
        words.kind(placed.point.kind()).to_owned(),
        (placed.along.across + 0.0).to_string(),
        placed.point.round.to_string(),
        placed.point.stitch().to_string(),
        number(placed.at.x),
        number(placed.at.y),
    ]
}

/// Two decimals, and never `-0`.
fn number(value: f64) -> String {
    format!("{}", (value * 100.0).round() / 100.0 + 0.0)
}

/// One record of a CSV text (RFC 4180), its line end included.
pub(super) fn record(fields: impl IntoIterator<Item = String>) -> String {
    let fields: Vec<String> = fields.into_iter().map(|field| quoted(&field)).collect();
    fields.join(",") + "\r\n"
}

/// A field with a comma, a quote or a line end stands in quotes.
fn quoted(field: &str) -> String {
    if field.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", field.replace('"', "\"\""))
    } else {
        field.to_owned()
    }
}
