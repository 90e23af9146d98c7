//! `holefast parts`: the list of parts broken down, in words, as data, or as a drawing.

use std::path::{Path, PathBuf};

use clap::Args;
use holefast::breakdown::Effort;
use holefast::drawing::{Theme, parts_view};
use holefast::parts;

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output::{self, Kind};
use crate::progress::Progress;
use crate::{faults, words};

/// Breaks sheets and offcuts down into the job's parts, by through cuts in their order
///
/// Takes [[part]] and [[stock]] of the job: as little stock as is found, then few and large offcuts;
/// says whether that is proved the best. The cuts are listed so that every sheet gets a reference
/// edge first and settings that are alike follow one another. The same rounds and seed give the same
/// answer on every machine. Without an option it is printed in words.
#[derive(Args)]
pub struct Parts {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Print all as data, and nothing else
    #[arg(long)]
    json: bool,
    /// Write the drawing of the sheets to this file as SVG, to fit an A4 sheet; - prints it
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    svg: Option<PathBuf>,
    /// Rounds of the search for each thickness: more of them may find better [default: 300000, fewer
    /// for lists of more than 100 parts]
    #[arg(long, value_parser = clap::value_parser!(u64).range(0..=100_000_000))]
    rounds: Option<u64>,
    /// Seed of the search: another one looks elsewhere
    #[arg(long, default_value_t = holefast::desk::SEED)]
    seed: u64,
}

/// Room for the drawing, mm: A4 upright less margins that every printer can do.
const ROOM: [f64; 2] = [190.0, 277.0];

impl Parts {
    pub fn run(self) -> Result<(), Trouble> {
        let to_file = self.svg.as_deref().filter(|path| *path != Path::new("-"));
        if let Some(path) = to_file {
            output::look(path, Kind::Svg)?;
        }
        let file = JobFile::read(&self.job)?;
        let list = broken_down(&file, self.rounds, self.seed)?;
        if self.json {
            return output::print(&parts::show::to_json(&file.job, &list));
        }
        if self.svg.is_none() {
            return output::print(&output::lines(&holefast::words::parts::lines(&file.job, &list)));
        }
        let svg = holefast_paper::svg(&parts_view(&file.job, &list, ROOM), &Theme::PAPER);
        match to_file {
            None => output::print(&svg),
            Some(path) => {
                output::write(path, Kind::Svg, svg.as_bytes())?;
                faults::remark(&words::written("drawing", path));
                Ok(())
            }
        }
    }
}

/// Breaks a job's list down, with progress, and tells its remarks.
pub fn broken_down(file: &JobFile, rounds: Option<u64>, seed: u64) -> Result<parts::CutList, Trouble> {
    let rounds = rounds.unwrap_or_else(|| parts::usual_rounds(&file.job));
    let effort = Effort { rounds, seed };
    let found = {
        let progress = Progress::of(rounds, words::BREAKING_DOWN);
        let mut told = 0;
        parts::break_down(&file.job, effort, &mut |now| {
            progress.step(now.rounds.saturating_sub(told));
            told = told.max(now.rounds);
            true
        })
    };
    let list = found.map_err(|faults| file.trouble(faults))?;
    faults::show(&file.path, &file.text, &list.remarks);
    Ok(list)
}
