//! The command line of `instep`.

mod cli;

use std::process::ExitCode;

use mimalloc::MiMalloc;

/// A search copies canvases all the time, on every thread: with the system's allocator a plan
/// takes an eighth longer.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    cli::run()
}
