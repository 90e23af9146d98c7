//! The way from a job to its plan and prediction, as several commands go it.

use std::path::Path;

use holefast::cut::Places;
use holefast::plan::{self, PlanOptions};
use holefast::predict::{self, Ask, HoleCovariance, Lessening, Model, Prediction};
use holefast::proof::{ProofAsk, proved_holes};
use holefast::reading::Prior;
use holefast::{Fault, Layout, Plan, top};

use crate::exit::Trouble;
use crate::job_file::{JobFile, read_bytes};
use crate::progress::Progress;
use crate::{blocks, faults, words};

/// Lays a job out; its remarks stand in the layout.
pub fn lay_out(file: &JobFile) -> Result<Layout, Trouble> {
    top::lay_out(&file.job).map_err(|faults| file.trouble(faults))
}

/// Plans a layout with everything left to the planner.
pub fn plan(file: &JobFile, layout: &Layout) -> Result<Plan, Trouble> {
    let planned = {
        let _progress = Progress::of_some(words::PLANNING);
        plan::make_plan(&file.job, layout, &PlanOptions::default())
    };
    let plan = planned.map_err(|faults| file.trouble(faults))?;
    faults::show(&file.path, &file.text, &holefast::words::astray(&file.job, &plan));
    Ok(plan)
}

/// Reads a plan that somebody else made and lets the replay checker go through it.
pub fn plan_from(path: &Path, file: &JobFile) -> Result<Plan, Trouble> {
    let bytes = read_bytes(path)?;
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let at_fault = |fault| Trouble::Faults { path: path.to_owned(), text: String::new(), faults: vec![fault] };
    let plan = plan::from_json(&text).map_err(at_fault)?;
    let done = holefast::replay::replay(&file.job, &plan).map_err(at_fault)?;
    faults::remark(&words::replayed(&done));
    Ok(plan)
}

/// Virtual boards at most: their figures are kept, some hundred bytes for each.
pub const MOST_BOARDS: u64 = 10_000_000;

/// Which virtual boards are built.
#[derive(Clone, Copy)]
pub struct Boards {
    /// How many.
    pub number: u64,
    /// Seed of their random numbers.
    pub seed: u64,
    /// Whether the plan's checks are made on them.
    pub checks: bool,
}

/// Predicts a plan, on all cores.
pub fn predict(file: &JobFile, plan: &Plan, boards: Boards) -> Result<Prediction, Trouble> {
    let model = model(file, plan)?;
    let ask = Ask {
        boards: boards.number,
        seed: boards.seed,
        checks: boards.checks,
        lines: predict::lines_of(&file.job),
        square_limit: file.job.accuracy.square,
    };
    predict::predict(&model, &ask, &blocks::on_all_cores).map_err(|faults| file.trouble(faults))
}

/// Where the dog holes are for cutting: where the job has readings as they prove them; else, or where
/// the plan is asked for, with a kit as the plan is foretold to leave them, without one as wanted.
pub fn places(file: &JobFile, layout: &Layout, by_plan: bool) -> Result<Places, Trouble> {
    let job = &file.job;
    if !job.proof.readings.is_empty() && !by_plan {
        let prediction = match job.proof.prior {
            Some(Prior::Prediction) => Some(hole_covariance(file, layout)?),
            _ => None,
        };
        let ask = ProofAsk { prediction: prediction.as_ref(), ..ProofAsk::default() };
        let proof = proved_holes(job, layout, &ask).map_err(|faults| file.trouble(faults))?;
        return Ok(Places::proved(layout, &proof));
    }
    if job.kit.is_none() {
        return Ok(Places::planned(layout));
    }
    let plan = plan(file, layout)?;
    Ok(Places::predicted(layout, &model(file, &plan)?))
}

/// What would lessen the spread of square, found by predicting again.
pub fn lessen(file: &JobFile, plan: &Plan) -> Result<Vec<Lessening>, Trouble> {
    match &file.job.kit {
        Some(kit) => predict::lessen(kit, plan).map_err(|faults| file.trouble(faults)),
        None => Ok(Vec::new()),
    }
}

/// What the job's own plan predicts of every hole, checks left out.
pub fn hole_covariance(file: &JobFile, layout: &Layout) -> Result<HoleCovariance, Trouble> {
    Ok(model(file, &plan(file, layout)?)?.hole_covariance())
}

fn model(file: &JobFile, plan: &Plan) -> Result<Model, Trouble> {
    let kit = file
        .job
        .kit
        .as_ref()
        .ok_or_else(|| file.trouble(vec![Fault::impossible(words::NO_KIT).hint(words::ADD_A_KIT)]))?;
    let model = Model::new(kit, plan).map_err(|faults| file.trouble(faults))?;
    Ok(model.in_climate(&file.job.top, file.job.climate.as_ref()))
}
