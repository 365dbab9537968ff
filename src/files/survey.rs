//! A slipper measured, as JSON for other programs. Lengths in mm as worn unless named otherwise.

use serde::Serialize;

use super::plan::{CrossingText, rounded};
use crate::fabric::{GaugeFit, Instep, Row, Slipper, Survey, SurveyRow};

#[derive(Serialize)]
struct SurveyText<'a> {
    format: u32,
    name: &'a str,
    hand: &'static str,
    rounds: &'static str,
    counts: &'a [u32],
    lean: f64,
    /// Unworn.
    stitch_mm: f64,
    row_mm: f64,
    stretch: f64,
    around_mm: f64,
    centre_line_mm: f64,
    stitches_in_4_in: f64,
    gauge: &'static str,
    room_wide_mm: f64,
    room_long_mm: f64,
    rise_mm: f64,
    flat_increase: f64,
    ruffled_rounds: Vec<u32>,
    centre_stitch: f64,
    centre_line: Vec<RowText>,
}

#[derive(Serialize)]
struct RowText {
    #[serde(flatten)]
    crossing: CrossingText,
    column_leads_mm: Option<f64>,
    round_starts_mm: Option<f64>,
}

/// The text of the figures, ended by a line end.
///
/// # Errors
/// Never for a slipper of finite figures.
pub fn survey_json(
    slipper: &Slipper,
    instep: &Instep,
    survey: &Survey,
) -> Result<String, serde_json::Error> {
    let shell = instep.shell();
    let text = SurveyText {
        format: 1,
        name: &slipper.name,
        hand: shell.hand().word(),
        rounds: shell.rounds().word(),
        counts: shell.counts(),
        lean: rounded(shell.lean()),
        stitch_mm: rounded(shell.gauge().stitch_mm),
        row_mm: rounded(shell.gauge().row_mm),
        stretch: rounded(instep.stretch()),
        around_mm: rounded(instep.around_mm()),
        centre_line_mm: rounded(instep.centre_line_mm()),
        stitches_in_4_in: rounded(survey.stitches_in_4_in),
        gauge: match survey.gauge {
            GaugeFit::Unknown => "unknown",
            GaugeFit::Loose => "loose",
            GaugeFit::Usual => "usual",
            GaugeFit::Firm => "firm",
        },
        room_wide_mm: rounded(survey.room_wide_mm),
        room_long_mm: rounded(survey.room_long_mm),
        rise_mm: rounded(survey.rise_mm),
        flat_increase: rounded(survey.flat_increase),
        ruffled_rounds: survey
            .cap
            .iter()
            .filter(|round| round.ruffles)
            .map(|round| round.round)
            .collect(),
        centre_stitch: rounded(shell.centre_stitch()),
        centre_line: instep
            .rows()
            .iter()
            .zip(&survey.rows)
            .map(|(row, surveyed)| RowText::new(row, surveyed))
            .collect(),
    };
    Ok(serde_json::to_string_pretty(&text)? + "\n")
}

impl RowText {
    fn new(row: &Row, surveyed: &SurveyRow) -> Self {
        Self {
            crossing: CrossingText::new(row),
            column_leads_mm: surveyed.column_leads_mm.map(rounded),
            round_starts_mm: surveyed.round_starts_mm.map(rounded),
        }
    }
}
