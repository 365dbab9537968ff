//! `instep start`: files to fill in.

use std::path::PathBuf;

use clap::Args;
use instep::files::{self, Existing, Ready, WriteError, write_set};

use super::Verdict;
use super::screen::{HEADING, Stop, show, typed};

/// Write a slipper file and a face file to fill in, with every key explained.
///
/// Never writes over a file that is there.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  instep start            into this directory
  instep start lantern    into a directory named lantern")]
pub(crate) struct Start {
    /// Directory, made when missing.
    #[arg(default_value = ".")]
    dir: PathBuf,
}

impl Start {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let set = files::start::files().map(|(name, text)| Ready::new(name, text));
        let written = write_set(&self.dir, &set, Existing::Refuse).map_err(refused)?;
        let mut text = format!("{HEADING}Written{HEADING:#}  to {}: ", typed(&self.dir));
        let names: Vec<&str> = set.iter().map(|file| file.name.as_str()).collect();
        text.push_str(&names.join(", "));
        text.push('\n');
        if let Some(slipper) = written.first() {
            text.push_str(&format!(
                "Put your counts into it, then:  instep fabric {}\n",
                slipper.display()
            ));
        }
        show(&text)?;
        Ok(Verdict::Good)
    }
}

fn refused(error: WriteError) -> Stop {
    match error {
        WriteError::AlreadyThere { .. } => Stop::with_tip(
            error,
            "name another directory, such as `instep start second`, or move the file away",
        ),
        WriteError::Refused { .. } => Stop::because(error),
    }
}
