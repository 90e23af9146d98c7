//! `holefast plan`: the set-ups in their order, in outline or as data.

use std::path::PathBuf;

use clap::Args;

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output;
use crate::stages::Bench;

/// Plans the boring: what is bored through what, in which order, and why so
///
/// The ways that the kit allows are tried, and the one that is foretold to come out most nearly
/// square is taken. Without an option the outline is printed: the stages with their cards, as the
/// shop book has them, what is done in each, and minutes.
#[derive(Args)]
pub struct PlanCommand {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Print the whole plan as data, and nothing else
    ///
    /// Such a plan, also one made by hand or by another program, is taken by holefast predict
    /// --plan.
    #[arg(long)]
    json: bool,
}

impl PlanCommand {
    pub fn run(self) -> Result<(), Trouble> {
        let file = JobFile::read(&self.job)?;
        let bench = Bench::new(&file);
        let plan = bench.plan()?;
        if self.json {
            return output::print(&holefast::plan::to_json(plan));
        }
        output::print(&output::lines(&holefast::words::outline::lines(&file.job, plan)))
    }
}
