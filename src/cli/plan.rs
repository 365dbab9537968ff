//! `instep plan`: the face planned, shown and written.

use std::path::PathBuf;

use clap::Args;
use instep::draw;
use instep::files::{self, Existing, Ready, Words, write_set};
use instep::weave;

use super::Verdict;
use super::inputs::Wanted;
use super::screen::{HEADING, Stop, hung, show, typed};
use super::summary::summary;
use super::wording::{Wording, drawn};

/// Plan a face on a slipper: show it in figures, write the chart, the steps and the data.
///
/// Five files are written into one directory, all or none: chart.png and chart.svg (the chart
/// and the look of it), steps.txt (the written pattern), strands.csv (one row a strand) and
/// plan.json (every fact, for other programs). Files of these names from an earlier plan are
/// replaced.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep plan slipper.toml lantern-smile
  instep plan slipper.toml lantern-smile --width 6cm --below 2cm --out smile
  instep plan slipper.toml my-face.toml --points open --terms uk --units in")]
pub(crate) struct Plan {
    #[command(flatten)]
    wanted: Wanted,
    /// Directory for the files, made when missing. Unless given, a directory here named after
    /// slipper and face: slipper-lantern-smile.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print plan.json instead of the summary; the files are written all the same.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    wording: Wording,
}

impl Plan {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let words = self.wording.words();
        let job = self.wanted.job(words.ruler)?;
        let plan = weave::plan(&job).map_err(Stop::because)?;
        let set = files_of(&plan, words)?;
        let dir = self
            .out
            .clone()
            .unwrap_or_else(|| PathBuf::from(self.wanted.set_name()));
        write_set(&dir, &set, Existing::Replace).map_err(Stop::because)?;
        if self.json {
            show(&files::plan_json(&plan, &words).map_err(Stop::because)?)?;
        } else {
            let names: Vec<&str> = set.iter().map(|file| file.name.as_str()).collect();
            let written = format!("to {}: {}", typed(&dir), names.join(", "));
            show(&format!(
                "{}\n{HEADING}Written{HEADING:#}  {}\n",
                summary(&plan, words),
                hung(&written, 9)
            ))?;
        }
        Ok(verdict(&plan))
    }
}

/// Whether a plan holds a problem.
pub(crate) fn verdict(plan: &weave::Plan) -> Verdict {
    if plan.has_problem() {
        Verdict::Problem
    } else {
        Verdict::Good
    }
}

/// The files of a plan, made in memory.
pub(crate) fn files_of(plan: &weave::Plan, words: Words) -> Result<Vec<Ready>, Stop> {
    let chart = draw::chart(plan, &drawn(words));
    let (png, svg) = rayon::join(|| chart.to_png(CHART_DPI), || chart.to_svg());
    Ok(vec![
        Ready::new("chart.png", png.map_err(Stop::because)?),
        Ready::new("chart.svg", svg),
        Ready::new("steps.txt", files::steps(plan, &words)),
        Ready::new("strands.csv", files::strands_csv(plan, &words)),
        Ready::new(
            "plan.json",
            files::plan_json(plan, &words).map_err(Stop::because)?,
        ),
    ])
}

/// Dots per inch of the chart: sharp in print, and fast enough.
pub(crate) const CHART_DPI: f64 = 150.0;
