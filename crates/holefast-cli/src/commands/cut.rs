//! `holefast cut`: the cuts of a job and of its list of parts, each with fence, rail, stop and shim.

use std::path::{Path, PathBuf};

use clap::Args;
use holefast::cut::{Places, cuts_to_json, settle_one};
use holefast::drawing::{Theme, cut_view};
use holefast::parts::CutList;
use holefast::parts::on_top::{OnTop, on_top, show::show_list};
use holefast::words::{cutting, on_top as words_on_top};
use holefast::{Fault, Job};

use crate::exit::Trouble;
use crate::job_file::JobFile;
use crate::output::{self, Kind};
use crate::progress::Progress;
use crate::stages::Bench;
use crate::words;

/// Sets the job's cuts up: fence, guide rail, stop, spacer, shim, and how far out each can be
///
/// Every [[cut]] of the job is taken with the holes it names; where it names none the best are
/// chosen. A list of [[part]] is broken down as by holefast parts, and each of its cuts gets fence,
/// rail and stop, few settings for all of them, and how far out size and square can be against the
/// part's tolerance; what cannot be cut on this top is told with the reason. Where the job has readings the holes are taken as these prove them, else as the plan is
/// foretold to leave them; it is said which. Without an option the cards are printed in words.
#[derive(Args)]
pub struct CutCommand {
    /// The job file; - reads it from standard input
    job: PathBuf,
    /// Only the cut of this name
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// Go by the plan, though the job has readings
    #[arg(long)]
    by_plan: bool,
    /// Rounds of the search that breaks the list down, for each thickness [default: as holefast parts]
    #[arg(long, value_parser = clap::value_parser!(u64).range(0..=100_000_000))]
    rounds: Option<u64>,
    /// Seed of that search
    #[arg(long, default_value_t = holefast::desk::SEED)]
    seed: u64,
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
        let has_list = !job.part_list.parts.is_empty() && self.only.is_none() && self.svg.is_none();
        if job.cuts.is_empty() && !has_list {
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
        let bench = Bench::new(&file);
        let places = bench.places(self.by_plan)?;
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
        let list = if has_list { Some(super::parts::broken_down(&file, self.rounds, self.seed)?) } else { None };
        let top = list.as_ref().map(|list| set_up(job, &places, list));
        let remarks: Vec<Fault> = settled.iter().flat_map(|cut| cut.remarks.clone()).collect();
        crate::faults::show(&file.path, &file.text, &remarks);
        if self.json {
            let list = list.as_ref().map(|list| show_list(job, &places, list, top.as_ref().and_then(Option::as_ref)));
            return output::print(&cuts_to_json(job, &places, &settled, list.as_ref()));
        }
        let (Some(_), [one]) = (&self.svg, settled.as_slice()) else {
            let mut lines = match (&list, top) {
                (Some(list), Some(Some(top))) => words_on_top::lines(job, &places, list, &top),
                (Some(list), _) => {
                    let mut lines = holefast::words::parts::lines(job, list);
                    lines.push(words_on_top::NO_RAIL.to_owned());
                    lines
                }
                (None, _) => Vec::new(),
            };
            lines.extend(cutting::cut_lines(job, &places, &settled));
            return output::print(&output::lines(&lines));
        };
        let svg = holefast_paper::svg(&cut_view(job, bench.layout()?, &places, one, ROOM), &Theme::PAPER);
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

/// Sets a list's cuts up, with progress.
pub fn set_up(job: &Job, places: &Places, list: &CutList) -> Option<OnTop> {
    let mut progress: Option<Progress> = None;
    let mut told = 0;
    on_top(job, places, list, &mut |now| {
        // how many questions there are is told with the first of them
        let bar = progress.get_or_insert_with(|| Progress::of(now.of as u64, words::SETTING_UP));
        bar.step(now.answered.saturating_sub(told) as u64);
        told = told.max(now.answered);
        true
    })
}
