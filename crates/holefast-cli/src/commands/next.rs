//! `holefast next`: which reading is worth taking.

use std::path::PathBuf;

use clap::Args;

use super::prove::add_readings;
use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::stages::Bench;
use crate::{faults, output};

/// Says which reading is worth taking next, also before there is any
///
/// For every [[instrument]] of the job the best single reading and the best pair are told, with what
/// each leaves of square's uncertainty and how many it takes until a verdict if square stays where it
/// is. Readings already in the job count.
#[derive(Args)]
pub struct NextCommand {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Count the readings of this table (CSV) too
    #[arg(long, value_name = "FILE.csv")]
    readings: Option<PathBuf>,
    /// Say instead which readings find a bad hole and name it
    ///
    /// A straightedge along every row and column where an instrument reads offsets, else short
    /// distances. Readings chosen for square visit each hole once and cannot name it.
    #[arg(long)]
    bad_hole: bool,
    /// Print the suggestions as data, and nothing else
    #[arg(long)]
    json: bool,
}

impl NextCommand {
    pub fn run(self) -> Result<(), Trouble> {
        let mut file = JobFile::read(&self.job)?;
        if let Some(path) = &self.readings {
            add_readings(&mut file.job, path)?;
        }
        let bench = Bench::new(&file);
        bench.layout()?;
        bench.with_prior()?;
        if self.bad_hole {
            let set = bench.desk().bad_hole().map_err(|faults| file.trouble(faults))?;
            return output::print(&if self.json {
                set.to_json()
            } else {
                output::lines(&holefast::words::next::bad_hole_lines(&set, &file.job))
            });
        }
        let next = bench.desk().next().map_err(|faults| file.trouble(faults))?;
        faults::show(&file.path, &file.text, &next.remarks);
        if self.json {
            return output::print(&next.to_json());
        }
        output::print(&output::lines(&holefast::words::next::lines(&next)))
    }
}
