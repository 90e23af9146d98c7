//! `holefast show`: the layout in words or as data.

use std::path::PathBuf;

use clap::Args;

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::{output, stages};

/// Shows the layout: which holes fit, margins, conflicts, weight
///
/// Holes that are wanted and cannot be are left out, each with what it comes too near to and by how
/// much. Without an option the layout is printed in words.
#[derive(Args)]
pub struct Show {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Print the layout as data, and nothing else
    #[arg(long)]
    json: bool,
}

impl Show {
    pub fn run(self) -> Result<(), Trouble> {
        let file = JobFile::read(&self.job)?;
        let layout = stages::lay_out(&file)?;
        if self.json {
            return output::print(&holefast::top::show::to_json(&file.job, &layout));
        }
        output::print(&output::lines(&holefast::words::layout::lines(&file.job, &layout)))
    }
}
