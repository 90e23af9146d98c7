//! The desk as commands sit at it: faults with their file and line, progress while it plans, and a plan from a
//! file.

use std::path::Path;

use holefast::cut::Places;
use holefast::desk::{Boards, Desk};
use holefast::predict::Prediction;
use holefast::{Layout, Plan, plan};

use crate::exit::Trouble;
use crate::job_file::{JobFile, read_bytes};
use crate::progress::Progress;
use crate::{blocks, faults, words};

/// Virtual boards at most: their figures are kept, some hundred bytes for each.
pub const MOST_BOARDS: u64 = 10_000_000;

/// A job file with all that follows from its job.
pub struct Bench<'a> {
    file: &'a JobFile,
    desk: Desk<'a>,
}

impl<'a> Bench<'a> {
    /// A job file, nothing made of it yet.
    pub fn new(file: &'a JobFile) -> Bench<'a> {
        Bench { file, desk: Desk::new(&file.job) }
    }

    /// The same with a plan that somebody else made, once the replay checker has gone through it.
    pub fn with_plan_from(file: &'a JobFile, path: &Path) -> Result<Bench<'a>, Trouble> {
        let bytes = read_bytes(path)?;
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let at_fault = |fault| Trouble::Faults { path: path.to_owned(), text: String::new(), faults: vec![fault] };
        let plan = plan::from_json(&text).map_err(at_fault)?;
        let done = holefast::replay::replay(&file.job, &plan).map_err(at_fault)?;
        faults::remark(&words::replayed(&done));
        Ok(Bench { file, desk: Desk::with_plan(&file.job, plan) })
    }

    /// The desk itself, for what needs neither progress nor remarks.
    pub fn desk(&self) -> &Desk<'a> {
        &self.desk
    }

    /// The layout; its remarks stand in it.
    pub fn layout(&self) -> Result<&Layout, Trouble> {
        self.desk.layout().map_err(|faults| self.file.trouble(faults))
    }

    /// The plan, with what it leaves astray said on standard error.
    pub fn plan(&self) -> Result<&Plan, Trouble> {
        let planned = {
            let _progress = Progress::of_some(words::PLANNING);
            self.desk.plan()
        };
        let plan = planned.map_err(|faults| self.file.trouble(faults))?;
        faults::show(&self.file.path, &self.file.text, &holefast::words::astray(&self.file.job, plan));
        Ok(plan)
    }

    /// Plans first where the job lets its plan count as what is known before any reading.
    pub fn with_prior(&self) -> Result<(), Trouble> {
        if self.file.job.proof.prior == Some(holefast::reading::Prior::Prediction) {
            self.plan()?;
        }
        Ok(())
    }

    /// The prediction, on all cores.
    pub fn prediction(&self, boards: Boards) -> Result<Prediction, Trouble> {
        self.desk.prediction(boards, &blocks::on_all_cores).map_err(|faults| self.file.trouble(faults))
    }

    /// Where the dog holes are for cutting; `by_plan` leaves the readings aside.
    pub fn places(&self, by_plan: bool) -> Result<Places, Trouble> {
        self.layout()?;
        if self.desk.places_need_a_plan(by_plan) {
            self.plan()?;
        }
        let places = if by_plan { self.desk.places_by_plan() } else { self.desk.places() };
        places.map_err(|faults| self.file.trouble(faults))
    }
}
