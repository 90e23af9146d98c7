//! Replays any plan by the hands' rules and names the first impossible thing.
//!
//! Takes a plan from whoever made it and goes through it as a maker would: a bar lies on its pins
//! or it does not, a pin stands in a pilot that exists or it does not. It shares nothing with the
//! planners but the plan's data. How square the top comes out is [`crate::predict`]'s matter.
//!
//! `listed` checks what stands written before any work (names, numbers, kit, holes), `place` the
//! geometry, `reach` what lies on what and whether pins and bits are long enough, `locate` what
//! locates each template, `hold` and `high` what holds it down, `bore` what is bored through it. Millimetres
//! in the top's frame.

mod bore;
mod high;
mod hold;
mod listed;
mod locate;
mod part;
mod place;
mod reach;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_held;

use std::collections::BTreeMap;

use crate::fault::Fault;
use crate::job::{DoneAs, Job};
use crate::kit::Kit;
use crate::kit::reach::HELPER_WITHIN;
use crate::plan::{Bit, HoleKind, Plan, Setup, With};
use crate::top::{Layout, Point, lay_out};

/// What a plan that can be done amounts to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replayed {
    /// Set-ups, checks included.
    pub setups: usize,
    /// Of these, checks.
    pub checks: usize,
    /// Pilots bored, helpers included.
    pub pilots: usize,
    /// Of these, helpers and pilots that stay pilots.
    pub helpers: usize,
    /// Dog holes opened.
    pub opened: usize,
    /// Most close pins that stand in one set-up.
    pub most_pins: usize,
    /// What was not looked at, since the kit or the plan does not state it.
    pub not_stated: Vec<&'static str>,
}

/// How far a hole is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    Wood,
    Pilot,
    Open,
}

/// The sheet on the trestles: which holes exist at this moment.
struct Bench<'a> {
    job: &'a Job,
    kit: &'a Kit,
    plan: &'a Plan,
    states: BTreeMap<&'a str, State>,
}

impl Bench<'_> {
    fn state(&self, hole: &str) -> State {
        self.states.get(hole).copied().unwrap_or(State::Wood)
    }
}

/// Replays a plan, set-up after set-up.
///
/// Errors: the first thing that hands cannot do, with the number of the set-up and the amount; or
/// the first fault of the layout, if the job has none.
pub fn replay(job: &Job, plan: &Plan) -> Result<Replayed, Fault> {
    let Some(kit) = &job.kit else {
        return Err(Fault::impossible("the job has no kit, so nothing can be bored").hint("add [kit] to the job"));
    };
    let layout = lay_out(job)
        .map_err(|faults| faults.into_iter().next().unwrap_or_else(|| Fault::impossible("the job has no layout")))?;
    listed::numbers(plan)?;
    listed::templates(kit, plan)?;
    listed::holes(job, &layout, plan)?;
    let found = existing(job, &layout, plan);
    part::form(job, plan, &found)?;
    let mut bench = Bench { job, kit, plan, states: part::before_all(plan, &found) };
    let mut done = Replayed {
        setups: plan.setups.len(),
        checks: plan.setups.iter().filter(|setup| setup.check).count(),
        pilots: 0,
        helpers: 0,
        opened: 0,
        most_pins: 0,
        not_stated: reach::not_stated(kit),
    };
    if !hold::is_stated(plan) {
        done.not_stated.push("how bars and block are held");
    }
    let first_left = plan.setups.iter().position(|setup| !setup.done).unwrap_or(plan.setups.len());
    for (index, setup) in plan.setups.iter().enumerate() {
        if index == first_left {
            part::as_found(&mut bench, &found)?;
        }
        do_setup(&mut bench, &mut done, setup)
            .map_err(|fault| Fault { message: format!("set-up {}: {}", setup.number, fault.message), ..fault })?;
    }
    if first_left == plan.setups.len() {
        part::as_found(&mut bench, &found)?;
    }
    all_done(&bench, &layout)?;
    Ok(done)
}

/// What exists before the first set-up that is left, from `[[done]]`; a spoiled hole locates nothing.
fn existing<'a>(job: &Job, layout: &Layout, plan: &'a Plan) -> BTreeMap<&'a str, State> {
    let mut states = BTreeMap::new();
    for hole in &plan.holes {
        let cell = layout.holes.iter().find(|laid| laid.name == hole.name).and_then(|laid| laid.cell);
        let spoiled = job.spoiled.iter().any(|spoiled| spoiled.hole == hole.name);
        let done = job
            .done
            .iter()
            .rev()
            .find(|done| cell.is_some_and(|cell| done.holes.iter().any(|range| range.contains(cell))));
        let helper = hole.kind == HoleKind::Helper
            && job
                .done
                .iter()
                .flat_map(|done| &done.helpers)
                .any(|&at| (at - Point::new(hole.x_mm, hole.y_mm)).hypot2().sqrt() <= HELPER_WITHIN);
        let state = match done {
            _ if helper => State::Pilot,
            Some(done) if !spoiled && done.as_ == DoneAs::Dog => State::Open,
            Some(_) if !spoiled => State::Pilot,
            _ => State::Wood,
        };
        states.insert(hole.name.as_str(), state);
    }
    states
}

fn do_setup<'a>(bench: &mut Bench<'a>, done: &mut Replayed, setup: &'a Setup) -> Result<(), Fault> {
    let lying = place::lay(bench, setup)?;
    locate::pins(bench, setup, &lying)?;
    locate::counts(bench.kit, setup)?;
    locate::held(bench, setup, &lying)?;
    let levels = reach::levels(bench, setup, &lying)?;
    reach::pins(bench, setup, &levels)?;
    bore::form(setup)?;
    hold::all(bench, setup, &lying, &levels)?;
    for bored in &setup.bores {
        let hole = bore::one(bench, setup, &lying, bored)?;
        match bored.bit {
            Bit::Pilot => {
                bench.states.insert(&hole.name, State::Pilot);
                done.pilots += 1;
                done.helpers += usize::from(matches!(hole.kind, HoleKind::Helper | HoleKind::Pilot));
            }
            Bit::Opening => {
                bench.states.insert(&hole.name, State::Open);
                done.opened += 1;
            }
        }
    }
    reach::bits(bench, setup, &levels)?;
    if bench.plan.setups.iter().any(|setup| !setup.under.is_empty()) {
        reach::under(bench, setup, &lying, &levels)?;
    }
    done.most_pins = done.most_pins.max(setup.pins.iter().filter(|pin| pin.with == With::Pin).count());
    Ok(())
}

/// Every hole of the layout is open in the end, and every hole that the plan lists is bored. Extra
/// holes of another size than the opening bit's are left to the maker, who has another bit.
fn all_done(bench: &Bench, layout: &Layout) -> Result<(), Fault> {
    let bit = bench.kit.opening_bit.diameter;
    let others = |d: f64| d < bit.min - bore::ITS_OWN_SIZE || d > bit.max + bore::ITS_OWN_SIZE;
    for laid in layout.holes.iter().filter(|laid| laid.cell.is_some() || !others(laid.diameter)) {
        match bench.state(&laid.name) {
            State::Open => {}
            State::Pilot => {
                return Err(Fault::impossible(format!("{} is bored as a pilot and never opened", laid.name))
                    .hint("add an opening through the block"));
            }
            State::Wood => {
                return Err(Fault::impossible(format!("{} is wanted and never bored", laid.name))
                    .hint("add a pilot through a bar, then an opening through the block"));
            }
        }
    }
    // A spoiled hole that is not wanted any more stays as it is.
    let given_up = |name: &str| {
        bench.job.spoiled.iter().any(|spoiled| spoiled.hole == name)
            && layout.holes.iter().all(|laid| laid.name != name)
    };
    match bench.plan.holes.iter().find(|hole| bench.state(&hole.name) == State::Wood && !given_up(&hole.name)) {
        Some(hole) => Err(Fault::impossible(format!("{} is listed and never bored", hole.name))
            .hint("take it off the list of holes, or bore it")),
        None => Ok(()),
    }
}
