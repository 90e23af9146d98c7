//! The `holefast` command: a thin skin over the core, which does all the reckoning.
//!
//! Each subcommand is one file in `commands`, its test file of the same name in `tests`. Reading
//! and writing files, threads, progress and exit codes live here and nowhere else.

mod blocks;
mod commands;
mod exit;
mod faults;
mod job_file;
mod output;
mod progress;
mod stages;
mod words;

use std::process::ExitCode;

use clap::{FromArgMatches, Parser};

use commands::Command;

/// Lays out, plans and foretells worktops bored with a grid of dog holes, and prints the shop book.
///
/// Everything starts from a job file: one worktop, the kit at hand, what is wanted of it. `holefast
/// new` writes one that runs as it stands. Results go to standard output, remarks to standard
/// error; `--json` gives data and nothing else.
#[derive(Parser)]
#[command(name = "holefast", version, max_term_width = 100, after_long_help = exit::HELP)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

fn main() -> ExitCode {
    let arguments = Arguments::from_arg_matches(&commands::definition().get_matches()).unwrap_or_else(|e| e.exit());
    match arguments.command.run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(trouble) => {
            faults::show_trouble(&trouble);
            exit::code(&trouble)
        }
    }
}
