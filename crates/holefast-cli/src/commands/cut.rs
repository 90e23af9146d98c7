//! `holefast cut`: the cuts of a job, each with fence, rail, stop and shim.

use std::path::{Path, PathBuf};

use clap::Args;
use holefast::Fault;
use holefast::cut::{cuts_to_json, settle_one};
use holefast::drawing::{Theme, cut_view};
use holefast::words::cutting;

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output::{self, Kind};
use crate::{stages, words};

/// Sets the job's cuts up: fence, guide rail, stop, spacer, shim, and how far out each can be
///
/// Every [[cut]] of the job is taken with the holes it names; where it names none the best are
/// chosen. Without an option the cards are printed in words.
#[derive(Args)]
pub struct CutCommand {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Only the cut of this name
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// Print the cuts as data, and nothing else
    #[arg(long)]
    json: bool,
    /// Write the drawing of one cut to this file as SVG; - prints it
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    svg: Option<PathBuf>,
}

/// Room for the drawing, mm: A4 on its side less margins that every printer can do.
const ROOM: [f64; 2] = [277.0, 190.0];

impl CutCommand {
    pub fn run(self) -> Result<(), Trouble> {
        let to_file = self.svg.as_deref().filter(|path| *path != Path::new("-"));
        if let Some(path) = to_file {
            output::look(path, Kind::Svg)?;
        }
        let file = JobFile::read(&self.job)?;
        let job = &file.job;
        if job.cuts.is_empty() {
            return Err(file.trouble(vec![Fault::input(words::NO_CUT).hint(words::ADD_A_CUT)]));
        }
        let typed = |message: String| {
            let names = words::cuts(job.cuts.iter().map(|cut| cut.name.as_str()));
            Trouble::Typed { fault: Fault::input(message).hint(names) }
        };
        let asked: Vec<usize> = match &self.only {
            None => (0..job.cuts.len()).collect(),
            Some(name) => match job.cuts.iter().position(|cut| cut.name == *name) {
                Some(at) => vec![at],
                None => return Err(typed(words::no_such_cut(name))),
            },
        };
        if self.svg.is_some() && asked.len() > 1 {
            return Err(typed(words::ONE_CUT.to_owned()));
        }
        let layout = stages::lay_out(&file)?;
        let places = stages::places(&file, &layout)?;
        let mut settled = Vec::new();
        let mut faults = Vec::new();
        for index in asked {
            match settle_one(job, &places, index) {
                Ok(cut) => settled.push(cut),
                Err(more) => faults.extend(more),
            }
        }
        if !faults.is_empty() {
            return Err(file.trouble(faults));
        }
        let remarks: Vec<Fault> = settled.iter().flat_map(|cut| cut.remarks.clone()).collect();
        crate::faults::show(&file.path, &file.text, &remarks);
        if self.json {
            return output::print(&cuts_to_json(job, &places, &settled));
        }
        let (Some(_), [one]) = (&self.svg, settled.as_slice()) else {
            return output::print(&output::lines(&cutting::cut_lines(job, &places, &settled)));
        };
        let svg = holefast_paper::svg(&cut_view(job, &layout, &places, one, ROOM), &Theme::PAPER);
        match to_file {
            None => output::print(&svg),
            Some(path) => {
                output::write(path, Kind::Svg, svg.as_bytes())?;
                crate::faults::remark(&words::written("drawing", path));
                Ok(())
            }
        }
    }
}
