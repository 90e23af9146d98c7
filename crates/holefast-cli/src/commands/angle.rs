//! `holefast angle`: which lines of holes make an angle, and the best arrangements for it.

use std::path::PathBuf;

use clap::Args;
use holefast::cut::{Dogs, Search, angle_to_json, search, wanted_angle};
use holefast::words::cutting;

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output;
use crate::stages::Bench;

/// Finds the holes that carry fence and guide rail for an angle
///
/// The angle is the one between fence and cut on the work's side: 90 is a square cut; the figure on a
/// mitre scale stands beside it. Told are the directions of the grid that make it, and the best few
/// arrangements: how near they come, how well that is known, how long a cut they allow, what the
/// blade comes near to, which shim closes what is missing. Where the job has readings the holes are
/// taken as these prove them, else as the plan is foretold to leave them; it is said which.
#[derive(Args)]
pub struct AngleCommand {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Degrees (22.5), rise over run (1:12), two lengths (85 mm over 150 mm), or a frame (8 sides)
    #[arg(required = true, num_args = 1.., value_name = "ANGLE", allow_negative_numbers = true)]
    angle: Vec<String>,
    /// How far from it a pair of directions may be, degrees
    #[arg(long, value_name = "DEG", default_value_t = 0.1, value_parser = tolerance)]
    tolerance: f64,
    /// Width of the work, in the job's units, so that the cut is long enough for it
    #[arg(long, value_name = "LENGTH")]
    width: Option<String>,
    /// So many arrangements
    #[arg(long, value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u8).range(1..=50))]
    best: u8,
    /// Go by the plan, though the job has readings
    #[arg(long)]
    by_plan: bool,
    /// Print directions and arrangements as data, and nothing else
    #[arg(long)]
    json: bool,
}

/// Widest tolerance that still tells directions apart, degrees.
const MOST_TOLERANCE: f64 = 10.0;

fn tolerance(text: &str) -> Result<f64, String> {
    match text.replace(',', ".").parse::<f64>() {
        Ok(degrees) if degrees > 0.0 && degrees <= MOST_TOLERANCE => Ok(degrees),
        _ => Err(format!("a number of degrees, more than 0 and at most {MOST_TOLERANCE}")),
    }
}

impl AngleCommand {
    pub fn run(self) -> Result<(), Trouble> {
        let file = JobFile::read(&self.job)?;
        let job = &file.job;
        let typed = |fault| Trouble::Typed { fault };
        let wanted = wanted_angle(&self.angle.join(" "), job.units).map_err(typed)?;
        let width = match &self.width {
            None => None,
            Some(text) => Some(holefast::cut::wanted_length(text, job.units).map_err(typed)?),
        };
        let places = Bench::new(&file).places(self.by_plan)?;
        let ask = Search {
            wanted,
            tolerance: self.tolerance.to_radians(),
            best: usize::from(self.best),
            width,
            kerf: None,
            kept: None,
        };
        let found = search(job, &places, &Dogs::of(job), &ask);
        if self.json {
            return output::print(&angle_to_json(job, &places, &ask, &found));
        }
        output::print(&output::lines(&cutting::angle_lines(job, &places, &ask, &found)))
    }
}
