//! `instep man`: the manual pages.

use std::path::PathBuf;

use clap::{Args, Command, CommandFactory};
use instep::files::{Existing, Ready, write_set};

use super::screen::{Stop, show, typed};
use super::{Cli, Verdict};

/// Print the manual page, or write one page for each command.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  instep man | man -l -")]
pub(crate) struct Man {
    /// Write all pages into this directory instead.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

impl Man {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let mut root = Cli::command();
        root.build();
        let Some(dir) = &self.out else {
            show(&String::from_utf8_lossy(&page(&root)?))?;
            return Ok(Verdict::Good);
        };
        let mut pages = vec![Ready::new("instep.1", page(&root)?)];
        for command in root.get_subcommands().filter(|c| c.get_name() != "help") {
            let name = format!("instep-{}.1", command.get_name());
            pages.push(Ready::new(&name, page(command)?));
        }
        let written = write_set(dir, &pages, Existing::Replace).map_err(Stop::because)?;
        show(&format!(
            "{} manual pages written to {}\n",
            written.len(),
            typed(dir)
        ))?;
        Ok(Verdict::Good)
    }
}

fn page(command: &Command) -> Result<Vec<u8>, Stop> {
    let mut text = Vec::new();
    clap_mangen::Man::new(command.clone())
        .render(&mut text)
        .map_err(Stop::Screen)?;
    Ok(text)
}
