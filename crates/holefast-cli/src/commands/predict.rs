//! `holefast predict`: how square a plan comes out, before a hole is bored.

use std::path::PathBuf;

use clap::Args;

use holefast::desk::{self, Boards};

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output;
use crate::stages::{self, Bench};

/// Foretells how square the top comes out, and what would lessen its spread
///
/// The spread is reckoned twice: each cause by itself and all added up (first order), then on many
/// virtual boards, each with clearances, wander and tolerances of its own. What is not counted: swarf under a bar, a bar bent by its
/// clamps, a slip.
#[derive(Args)]
pub struct Predict {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Print the prediction as data, and nothing else
    #[arg(long)]
    json: bool,
    /// Virtual boards to build; 0 leaves it at first order
    #[arg(long, value_name = "N", default_value_t = desk::BOARDS, value_parser = clap::value_parser!(u64).range(..=stages::MOST_BOARDS))]
    boards: u64,
    /// Seed of their random numbers: the same seed gives the same boards
    #[arg(long, value_name = "S", default_value_t = holefast::desk::SEED)]
    seed: u64,
    /// Predict the plan of this file instead, after it was found that hands can do it
    ///
    /// The file is one that holefast plan --json prints, or one made by hand or by another program
    /// in the same shape.
    #[arg(long, value_name = "PLAN.json")]
    plan: Option<PathBuf>,
    /// Leave the checks of the plan out
    #[arg(long)]
    no_checks: bool,
}

impl Predict {
    pub fn run(self) -> Result<(), Trouble> {
        let file = JobFile::read(&self.job)?;
        let bench = match &self.plan {
            Some(path) => Bench::with_plan_from(&file, path)?,
            None => Bench::new(&file),
        };
        // One that was read in is no planner's work.
        let plan = if self.plan.is_some() { bench.desk().plan() } else { Ok(bench.plan()?) };
        let plan = plan.map_err(|faults| file.trouble(faults))?;
        let boards = Boards { number: self.boards, seed: self.seed, checks: !self.no_checks };
        let prediction = bench.prediction(boards)?;
        if self.json {
            return output::print(&prediction.to_json());
        }
        let lessenings = bench.desk().lessenings().map_err(|faults| file.trouble(faults))?;
        let job = &file.job;
        let mut lines =
            holefast::words::expected::lines(&prediction, plan, &lessenings, job.accuracy.confidence, job.units);
        lines.push(format!("From {}.", holefast::words::expected::basis(prediction.boards, prediction.seed)));
        output::print(&output::lines(&lines))
    }
}
