//! Where am I, and what now: a part-bored top planned on from what exists.
//!
//! If what exists is what the job's own plan bores first, that plan goes on: its done set-ups stay
//! in the data, marked, so that the prediction knows of them. Otherwise what exists holds the pins,
//! with a stated assumption about where it lies, and the rest is planned from it. A spoiled hole is
//! plugged and bored again; going round it is planned too, and the two are compared.

use super::choose::{finish, plan_from};
use super::explain;
use super::part::Part;
use super::{PlanOptions, refuse};
use crate::fault::Fault;
use crate::job::Job;
use crate::plan::{Place, Plan, Setup};
use crate::top::{CellRange, Layout, lay_out};

/// See [`super::make_plan`].
pub(super) fn plan(job: &Job, layout: &Layout, options: &PlanOptions) -> Result<Plan, Vec<Fault>> {
    let found = Part::found(job, layout)?;
    if found.is_bare() && found.plugged.is_empty() {
        return plan_from(job, layout, options, &found).map(|made| made.0);
    }
    if let Some(part) = gone_round(job, layout, options) {
        let (mut plan, _) = plan_from(job, layout, options, &part)?;
        let names: Vec<&str> = job.spoiled.iter().map(|s| s.hole.as_str()).collect();
        plan.reasons.splice(..0, [explain::found(job.units, &part, &plan), explain::given_up(&names)]);
        return Ok(plan);
    }
    let known = known(job, layout, options, &found);
    if let (Some((own, done)), true) = (&known, found.plugged.is_empty()) {
        return Ok(goes_on(job, own, done));
    }
    let part = match &known {
        Some((own, done)) => found.with_history(own, done),
        None => found,
    };
    refuse::nothing_to_pin(job, layout, &part)?;
    let (mut plan, spread) = plan_from(job, layout, options, &part)?;
    let mut reasons = vec![explain::found(job.units, &part, &plan)];
    if !plan.plugged.is_empty() {
        let around = go_round(job, layout, options, &part);
        // Where nobody knows how it began, what is planned now tells what the hole is needed for.
        let nothing_done = vec![false; plan.setups.len()];
        let (of, done) = known.as_ref().map_or((&plan, &nothing_done), |(own, done)| (own, done));
        let needed: Vec<(String, Vec<&Setup>)> =
            plan.plugged.iter().map(|name| (name.clone(), stood_in(of, done, name))).collect();
        reasons.extend(explain::spoiled(&needed, known.is_some(), (spread, plan.minutes()), &around));
    }
    reasons.append(&mut plan.reasons);
    plan.reasons = reasons;
    Ok(plan)
}

/// The job's plan from the bare sheet, and which of its set-ups are done, if what exists came about so.
fn known(job: &Job, layout: &Layout, options: &PlanOptions, found: &Part) -> Option<(Plan, Vec<bool>)> {
    if found.states_scatter() {
        return None;
    }
    let mut bare = job.clone();
    bare.done.clear();
    bare.spoiled.clear();
    let (own, _) = plan_from(&bare, layout, options, &found.before()).ok()?;
    found.done_of(&own).map(|done| (own, done))
}

/// What is known of a top whose spoiled holes have been given up since, each skipped by its name: what
/// exists was bored by the plan in which they were still wanted. `None` where it was not, or where no
/// spoiled hole was given up so.
fn gone_round(job: &Job, layout: &Layout, options: &PlanOptions) -> Option<Part> {
    let given_up = |range: &CellRange| {
        range.from == range.to && job.spoiled.iter().any(|s| CellRange::parse(&s.hole).as_ref() == Some(range))
    };
    let mut before = job.clone();
    before.grid.skip.retain(|range| !given_up(range));
    if before.grid.skip.len() == job.grid.skip.len() {
        return None;
    }
    let wanted = lay_out(&before).ok()?;
    // A grid placed by fit may have moved: then these are not the holes that were bored.
    if wanted.origin != layout.origin {
        return None;
    }
    let found = Part::found(&before, &wanted).ok()?;
    let (own, done) = known(&before, &wanted, options, &found)?;
    Some(found.with_history(&own, &done).going_round())
}

/// The job's own plan, its done set-ups first and marked.
fn goes_on(job: &Job, own: &Plan, done: &[bool]) -> Plan {
    let mut plan = own.clone();
    let (mut first, mut rest) = (Vec::new(), Vec::new());
    for (mut setup, &done) in plan.setups.into_iter().zip(done) {
        setup.done = done;
        if done { first.push(setup) } else { rest.push(setup) }
    }
    let counts = (first.len(), rest.len());
    first.append(&mut rest);
    for (number, setup) in (1..).zip(&mut first) {
        setup.number = number;
    }
    plan.setups = first;
    finish(job, &mut plan);
    plan.reasons.insert(0, explain::goes_on(counts, plan.minutes()));
    plan
}

/// Set-ups of the own plan, not done yet, in which a hole was to hold a pin or a dog.
fn stood_in<'a>(own: &'a Plan, done: &[bool], hole: &str) -> Vec<&'a Setup> {
    own.setups
        .iter()
        .zip(done)
        .filter(|(s, done)| !**done && s.pins.iter().any(|p| p.b == Place::hole(hole)))
        .map(|(s, _)| s)
        .collect()
}

/// Spread of square, rad, and minutes of the plan that leaves the spoiled holes out, or why there is none.
fn go_round(job: &Job, layout: &Layout, options: &PlanOptions, part: &Part) -> Result<(f64, f64), String> {
    let names: Vec<String> = part.plugged.iter().filter_map(|&p| super::lattice::grid_name(p)).collect();
    let mut less = job.clone();
    less.grid.skip.extend(names.iter().filter_map(|n| CellRange::parse(n)));
    let mut rest = layout.clone();
    rest.holes.retain(|h| !names.contains(&h.name));
    match plan_from(&less, &rest, options, &part.going_round()) {
        Ok((plan, spread)) => Ok((spread, plan.minutes())),
        Err(faults) => Err(faults.into_iter().next().map_or_else(String::new, |fault| fault.message)),
    }
}
