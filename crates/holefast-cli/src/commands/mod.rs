//! The subcommands, one file each.

mod angle;
mod book;
mod complete;
mod cut;
mod manual;
mod new;
mod next;
mod parts;
mod plan;
mod predict;
mod prove;
mod show;

use clap::builder::PossibleValuesParser;
use clap::{CommandFactory, Subcommand};

use crate::exit::Trouble;

/// One of the subcommands; their first lines are the help that `holefast help` lists.
#[derive(Subcommand)]
pub enum Command {
    New(new::New),
    Show(show::Show),
    Plan(plan::PlanCommand),
    Predict(predict::Predict),
    Parts(parts::Parts),
    Book(book::Book),
    Prove(prove::Prove),
    Next(next::NextCommand),
    Angle(angle::AngleCommand),
    Cut(cut::CutCommand),
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
            Command::Parts(parts) => parts.run(),
            Command::Book(book) => book.run(),
            Command::Prove(prove) => prove.run(),
            Command::Next(next) => next.run(),
            Command::Angle(angle) => angle.run(),
            Command::Cut(cut) => cut.run(),
            Command::Complete(complete) => complete.run(),
            Command::Manual(manual) => manual.run(),
        }
    }
}

/// The whole command's definition, from which arguments are read, completions and manual pages made.
///
/// `manual` takes the name of any subcommand; the names are put in here, where they are all known.
pub fn definition() -> clap::Command {
    let plain = crate::Arguments::command();
    let names: Vec<String> = plain.get_subcommands().map(|c| c.get_name().to_owned()).collect();
    plain.mut_subcommand("manual", |manual| {
        manual.mut_arg("subcommand", |a| a.value_parser(PossibleValuesParser::new(names)))
    })
}
