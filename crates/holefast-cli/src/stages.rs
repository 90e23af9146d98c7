//! The way from a job to its plan, as several commands go it.

use std::path::Path;

use holefast::plan::{self, PlanOptions};
use holefast::{Layout, Plan, top};

use crate::exit::Trouble;
use crate::job_file::{JobFile, read_bytes};
use crate::{faults, words};

/// Lays a job out; its remarks stand in the layout.
pub fn lay_out(file: &JobFile) -> Result<Layout, Trouble> {
    top::lay_out(&file.job).map_err(|faults| file.trouble(faults))
}

/// Plans a layout with everything left to the planner.
pub fn plan(file: &JobFile, layout: &Layout) -> Result<Plan, Trouble> {
    plan::make_plan(&file.job, layout, &PlanOptions::default()).map_err(|faults| file.trouble(faults))
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
