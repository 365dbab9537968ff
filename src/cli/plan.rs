//! `instep plan`: the face planned, shown and written.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use instep::draw::{self, Painted, Paper};
use instep::files::{self, Existing, Ready, Words, write_set};
use instep::weave;

use super::Verdict;
use super::inputs::Wanted;
use super::screen::{HEADING, Stop, hung, show, typed};
use super::summary::summary;
use super::wording::{Wording, drawn};

/// Plan a face on a slipper: show it in figures, write the chart, the steps and the data.
///
/// These files are written into one directory, all or none: chart.png and chart.svg (the chart
/// and the look of it), worn.png (the slipper as it is worn), companion.html (a page for the
/// phone beside the work), steps.txt (the written pattern), strands.csv (one row a strand),
/// plan.json (every fact, for other programs) and sheet-a4.pdf (a paper pattern true to size,
/// and the steps, to print). Files of these names from an earlier plan are replaced.
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
    /// Paper of the true-size sheet: a4 (210 x 297 mm, the paper of most countries), letter
    /// (8.5 x 11 in, North America), or both. A sheet for the other paper that an earlier plan
    /// wrote stays as it is: throw it away.
    #[arg(long, value_enum, default_value_t = PaperWord::A4)]
    paper: PaperWord,
    /// Print plan.json instead of the summary; the files are written all the same.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    wording: Wording,
}

/// Papers of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperWord {
    A4,
    Letter,
    Both,
}

impl PaperWord {
    /// The papers, each with the name of its file.
    fn papers(self) -> &'static [(Paper, &'static str)] {
        const ALL: [(Paper, &str); 2] = [
            (Paper::A4, "sheet-a4.pdf"),
            (Paper::Letter, "sheet-letter.pdf"),
        ];
        match self {
            Self::A4 => &ALL[..1],
            Self::Letter => &ALL[1..],
            Self::Both => &ALL,
        }
    }
}

impl Plan {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let words = self.wording.words();
        let job = self.wanted.job(words.ruler)?;
        let plan = weave::plan(&job).map_err(Stop::because)?;
        let set = files_of(&plan, words, self.paper, &Painted::default())?;
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

/// The files of a plan, made in memory; `painted` keeps what recurs in the pictures of a slipper's
/// next face.
pub(crate) fn files_of(
    plan: &weave::Plan,
    words: Words,
    paper: PaperWord,
    painted: &Painted,
) -> Result<Vec<Ready>, Stop> {
    let settings = drawn(words, plan.slipper_colour);
    let chart = draw::chart(plan, &settings);
    let worn = || draw::worn(plan, &settings).to_png_with(draw::worn::DPI, painted);
    let written = || {
        let map = draw::work_map(plan, &settings).to_screen_svg();
        let steps = files::steps(plan, &words);
        let sheet = |&(paper, name): &(Paper, &str)| {
            let pages = draw::true_size(plan, &settings, paper, &steps);
            Ready::new(name, draw::pdf(&plan.face_name, &pages))
        };
        let sheets: Vec<Ready> = paper.papers().iter().map(sheet).collect();
        let companion = files::companion(plan, &words, &map);
        (chart.to_svg(), companion, steps, sheets)
    };
    // The two pictures take longest: each on a core of its own, and the rest when one is done.
    let (png, (worn, (svg, companion, steps, sheets))) =
        rayon::join(|| chart.to_png(CHART_DPI), || rayon::join(worn, written));
    let mut set = vec![
        Ready::new("chart.png", png.map_err(Stop::because)?),
        Ready::new("chart.svg", svg),
        Ready::new("worn.png", worn.map_err(Stop::because)?),
        Ready::new("companion.html", companion),
        Ready::new("steps.txt", steps),
        Ready::new("strands.csv", files::strands_csv(plan, &words)),
        Ready::new(
            "plan.json",
            files::plan_json(plan, &words).map_err(Stop::because)?,
        ),
    ];
    set.extend(sheets);
    Ok(set)
}

/// Dots per inch of the chart: sharp in print, and fast enough.
pub(crate) const CHART_DPI: f64 = 150.0;
