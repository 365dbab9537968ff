//! `instep check`: the same figures, nothing written.

use clap::Args;
use instep::{files, weave};

use super::Verdict;
use super::inputs::Wanted;
use super::plan::verdict;
use super::screen::{Stop, show};
use super::summary::summary;
use super::wording::Wording;

/// Check a face on a slipper: the figures of the plan, and no files.
///
/// Ends with exit code 1 when a finding is a problem, so that a set of faces and sizes can be
/// checked one after the other.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep check slipper.toml lantern-smile
  instep check child.toml my-face.toml --width 4.5cm --json")]
pub(crate) struct Check {
    #[command(flatten)]
    wanted: Wanted,
    /// Print plan.json instead of the summary.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    wording: Wording,
}

impl Check {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let words = self.wording.words();
        let plan = weave::plan(&self.wanted.job(words.ruler)?).map_err(Stop::because)?;
        if self.json {
            show(&files::plan_json(&plan, &words).map_err(Stop::because)?)?;
        } else {
            show(&summary(&plan, words))?;
        }
        Ok(verdict(&plan))
    }
}
