//! `instep fabric`: the slipper measured.

use std::path::PathBuf;

use clap::Args;
use instep::draw;
use instep::fabric::{GaugeFit, Instep, Rounds, Slipper, Survey};
use instep::files::words::{counted, halves};
use instep::files::{self, Existing, Ready, Words, write_set};

use super::Verdict;
use super::inputs::read_slipper;
use super::plan::CHART_DPI;
use super::screen::{HEADING, Stop, hung, show, typed};
use super::wording::{Wording, drawn};

/// Measure a slipper: size, lean, where the middle of the instep runs, room for a face.
///
/// The centre line is listed row by row from the opening edge: that is where the contrast thread
/// goes. Beside it stands where you would be if you followed one column of stitches instead.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep fabric slipper.toml
  instep fabric slipper.toml --units in --out map")]
pub(crate) struct Fabric {
    /// The slipper file (TOML); `instep start` writes one to fill in.
    slipper: PathBuf,
    /// Draw the map of the needle points, points.png and points.svg, into this directory.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print the figures as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    wording: Wording,
}

impl Fabric {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let slipper = read_slipper(&self.slipper)?.slipper;
        let instep = Instep::new(&slipper);
        let survey = Survey::new(&slipper, &instep);
        let words = self.wording.words();
        if let Some(dir) = &self.out {
            let map = draw::fabric_map(&instep, &slipper.name, &drawn(words, slipper.colour));
            let png = map.to_png(CHART_DPI).map_err(Stop::because)?;
            let set = [
                Ready::new("points.png", png),
                Ready::new("points.svg", map.to_svg()),
            ];
            write_set(dir, &set, Existing::Replace).map_err(Stop::because)?;
        }
        let mut text = if self.json {
            files::survey_json(&slipper, &instep, &survey).map_err(Stop::because)?
        } else {
            report(&slipper, &instep, &survey, words)
        };
        if let Some(dir) = self.out.as_ref().filter(|_| !self.json) {
            let written = format!("to {}: points.png, points.svg", typed(dir));
            text.push_str(&format!(
                "\n{HEADING}Written{HEADING:#}  {}\n",
                hung(&written, 9)
            ));
        }
        show(&text)?;
        Ok(Verdict::Good)
    }
}

fn report(slipper: &Slipper, instep: &Instep, survey: &Survey, words: Words) -> String {
    [
        size(slipper, instep, survey, words),
        centre_line(instep, survey, words),
        room(instep, survey, words),
        cap(survey, words),
    ]
    .concat()
}

fn size(slipper: &Slipper, instep: &Instep, survey: &Survey, words: Words) -> String {
    let (shell, ruler) = (instep.shell(), words.ruler);
    let gauge = shell.gauge();
    let mut text = format!("{HEADING}{}{HEADING:#}\n", slipper.name);
    let rounds = match shell.rounds() {
        Rounds::Spiral => "in a spiral",
        Rounds::Joined => "in joined rounds",
    };
    text.push_str(&format!(
        "Worked  {rounds}, {}-handed, {} from the ring to the instep\n",
        shell.hand().word(),
        counted(shell.counts().len(), "round")
    ));
    let stretch = instep.stretch();
    let worn = if stretch > 1.0 {
        format!(
            "; worn stretched by {:.0} % to {}",
            100.0 * (stretch - 1.0),
            ruler.tape(instep.around_mm())
        )
    } else {
        String::new()
    };
    text.push_str(&format!(
        "Size    {} around{worn}; {} from edge to toe\n",
        ruler.tape(slipper.tube_around_mm()),
        ruler.tape(instep.centre_line_mm())
    ));
    text.push_str(&format!(
        "Stitch  {} wide, row {} high: {:.1} {} in 4 in\n",
        ruler.small(gauge.stitch_mm),
        ruler.small(gauge.row_mm),
        survey.stitches_in_4_in,
        words.single_crochet(),
    ));
    text.push_str(&gauge_fit(slipper, survey, words));
    text
}

/// How the gauge stands to the published yarn weight table.
fn gauge_fit(slipper: &Slipper, survey: &Survey, words: Words) -> String {
    let Some((category, (fewest, most))) = slipper
        .yarn
        .weight
        .and_then(|weight| Some((weight, weight.stitches_in_4_in()?)))
    else {
        return String::new();
    };
    let verdict = match survey.gauge {
        GaugeFit::Unknown => return String::new(),
        GaugeFit::Usual => "as usual",
        GaugeFit::Loose => "looser, so that strands sink in; a smaller hook helps",
        GaugeFit::Firm => "firmer, which suits a slipper",
    };
    let text = format!(
        "the {} of yarn of weight {} ({}) is usually {fewest:.0} to {most:.0}: yours is {verdict}",
        words.gauge(),
        category.number(),
        category.name(),
    );
    format!("        {}\n", hung(&text, 8))
}

fn centre_line(instep: &Instep, survey: &Survey, words: Words) -> String {
    let shell = instep.shell();
    let mut text = format!(
        "\n{HEADING}Centre line{HEADING:#}  from stitch {1} of round {2}, the middle of the {0} open stitches\n",
        shell.open_stitches(),
        halves(shell.centre_stitch()),
        shell.last_round()
    );
    text.push_str(
        "   row  crosses at round, stitch  baste                      one column leads\n",
    );
    for (row, surveyed) in instep.rows().iter().zip(&survey.rows) {
        let lead = surveyed.column_leads_mm.map_or_else(
            || "(the toe narrows)".to_owned(),
            |mm| format!("{} {}", words.ruler.small(mm.abs()), side(mm)),
        );
        let mut baste = words.in_the_round(row.baste);
        if row.baste.round != row.round {
            baste.push_str(&format!(" ({})", row.baste.round));
        }
        text.push_str(&format!(
            "  {:>4}  {:>16}, {:<6.2}  {baste:25}  {lead}\n",
            row.below, row.round, row.stitch,
        ));
    }
    text
}

fn room(instep: &Instep, survey: &Survey, words: Words) -> String {
    let ruler = words.ruler;
    let mut text = format!(
        "\n{HEADING}Room for a face{HEADING:#}  {} wide, {} long down to the cap of the toe\n",
        ruler.tape(survey.room_wide_mm),
        ruler.tape(survey.room_long_mm)
    );
    text.push_str("Wider, it turns out of sight at the sides; longer, it bends over the toe.\n");
    match instep.shell().rounds() {
        Rounds::Spiral => text.push_str(&hung(
            &format!(
                "Across that width one round rises by {}: two eyes counted along it are not level.",
                ruler.small(survey.rise_mm)
            ),
            0,
        )),
        Rounds::Joined => text.push_str(&hung(&seam(survey, words), 0)),
    }
    text + "\n"
}

/// Where the seam of joined rounds runs.
fn seam(survey: &Survey, words: Words) -> String {
    let seen: Vec<(u32, f64)> = survey
        .rows
        .iter()
        .filter_map(|row| Some((row.below, row.round_starts_mm?)))
        .collect();
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else {
        return "The seam of the rounds runs out of sight, under the foot.".to_owned();
    };
    let at = |(row, mm): &(u32, f64)| {
        format!(
            "{} {} of the middle in row {row}",
            words.ruler.small(mm.abs()),
            side(*mm)
        )
    };
    format!(
        "The seam of the rounds is in sight: {}, {}. Keep features off it.",
        at(first),
        at(last)
    )
}

fn cap(survey: &Survey, words: Words) -> String {
    let mut text = format!(
        "\n{HEADING}Cap of the toe{HEADING:#}  {:.1} stitches more each round lie flat at your {}\n",
        survey.flat_increase,
        words.gauge()
    );
    let ruffled: Vec<String> = survey
        .cap
        .iter()
        .filter(|round| round.ruffles)
        .map(|round| format!("round {} (+{})", round.round, round.increase))
        .collect();
    if ruffled.is_empty() {
        text.push_str("No round passes it by much: the toe cups and does not ruffle.\n");
    } else {
        let found = format!(
            "More than that: {}. Such a round ruffles; spread the increases over more rounds.",
            ruffled.join(", ")
        );
        text.push_str(&hung(&found, 0));
        text.push('\n');
    }
    text
}

fn side(mm: f64) -> &'static str {
    if mm < 0.0 { "left" } else { "right" }
}
