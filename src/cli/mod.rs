//! The command line: arguments become a job, the job becomes a plan, the plan is shown and
//! written. Exit codes: 0 done, 1 done but a finding is a problem, 2 not done.

mod check;
mod completions;
mod fabric;
mod faces;
mod grade;
mod inputs;
mod man;
mod plan;
mod screen;
mod set;
mod size_table;
mod start;
mod summary;
mod wording;

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use screen::Stop;

/// Plans an embroidered face on the instep of a crocheted slipper.
///
/// You state the slipper as it is worked (gauge, rounds, lean) and choose a face. The plan says
/// where the middle of the instep runs, where the needle goes stitch by row, strand by strand,
/// how even the face will look and how much yarn it takes: before the slipper is closed.
#[derive(Debug, Parser)]
#[command(name = "instep", version, max_term_width = 100, after_help = FIRST_STEPS)]
pub(crate) struct Cli {
    #[command(subcommand)]
    command: Command,
}

const FIRST_STEPS: &str = "\
First steps:
  instep start lantern                            a slipper file and a face file to fill in
  instep fabric lantern/slipper.toml              your slipper measured: middle, lean, room
  instep plan lantern/slipper.toml lantern-smile  the face planned, chart and steps written

Exit codes: 0 done, 1 done but a finding is a problem, 2 not done.";

#[derive(Debug, Subcommand)]
enum Command {
    Plan(plan::Plan),
    Check(check::Check),
    Set(set::Set),
    Fabric(fabric::Fabric),
    Faces(faces::Faces),
    Grade(grade::Grade),
    Start(start::Start),
    Completions(completions::Completions),
    Man(man::Man),
}

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// Nothing to mend.
    Good,
    /// Done, but a finding is a problem.
    Problem,
}

/// Runs the command of the arguments.
pub(crate) fn run() -> ExitCode {
    let done: Result<Verdict, Stop> = match Cli::parse().command {
        Command::Plan(plan) => plan.run(),
        Command::Check(check) => check.run(),
        Command::Set(set) => set.run(),
        Command::Fabric(fabric) => fabric.run(),
        Command::Faces(faces) => faces.run(),
        Command::Grade(grade) => grade.run(),
        Command::Start(start) => start.run(),
        Command::Completions(completions) => completions.run(),
        Command::Man(man) => man.run(),
    };
    match done {
        Ok(Verdict::Good) => ExitCode::SUCCESS,
        Ok(Verdict::Problem) => ExitCode::from(1),
        Err(stop) if screen::tell(&stop) => ExitCode::from(2),
        Err(_) => ExitCode::SUCCESS,
    }
}
