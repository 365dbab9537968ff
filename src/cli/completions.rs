//! `instep completions`: a script for the shell.

use clap::{Args, CommandFactory};
use clap_complete::Shell;

use super::screen::{Stop, show};
use super::{Cli, Verdict};

/// Print a script that lets a shell complete commands and options.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  \
    instep completions bash > ~/.local/share/bash-completion/completions/instep")]
pub(crate) struct Completions {
    /// The shell to write for.
    #[arg(value_enum)]
    shell: Shell,
}

impl Completions {
    pub(crate) fn run(&self) -> Result<Verdict, Stop> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Cli::command(), "instep", &mut script);
        show(&String::from_utf8_lossy(&script))?;
        Ok(Verdict::Good)
    }
}
