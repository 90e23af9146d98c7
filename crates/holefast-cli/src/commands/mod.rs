//! The subcommands, one file each.

mod book;
mod complete;
mod manual;
mod new;
mod plan;
mod predict;
mod show;

use clap::{CommandFactory, Subcommand};

use crate::exit::Trouble;

/// One of the subcommands; their first lines are the help that `holefast help` lists.
#[derive(Subcommand)]
pub enum Command {
    New(new::New),
    Show(show::Show),
    Plan(plan::PlanCommand),
    Predict(predict::Predict),
    Book(book::Book),
    Complete(complete::Complete),
    Manual(manual::Manual),
}

impl Command {
    /// Does it.
    pub fn run(self) -> Result<(), Trouble> {
        match self {
            Command::New(new) => new.run(),
            Command::Show(show) => show.run(),
            Command::Plan(plan) => plan.run(),
            Command::Predict(predict) => predict.run(),
            Command::Book(book) => book.run(),
            Command::Complete(complete) => complete.run(),
            Command::Manual(manual) => manual.run(),
        }
    }
}

/// The whole command's definition, from which completions and manual page are made.
fn definition() -> clap::Command {
    crate::Arguments::command()
}
