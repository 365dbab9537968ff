//! The command line of `instep`.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
