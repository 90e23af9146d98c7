//! A part-bored top: set-ups that are done, holes that exist, holes plugged; against what the job
//! says is done and spoiled.

use std::collections::{BTreeMap, BTreeSet};

use super::{Bench, State};
use crate::fault::Fault;
use crate::job::Job;
use crate::plan::{HoleKind, Plan};

type States<'a> = BTreeMap<&'a str, State>;

fn called(state: State) -> &'static str {
    match state {
        State::Wood => "not bored",
        State::Pilot => "a pilot",
        State::Open => "a dog hole",
    }
}

/// Done set-ups come first; what exists is what the job says is done; what is plugged was spoiled.
pub(super) fn form(job: &Job, plan: &Plan, found: &States<'_>) -> Result<(), Fault> {
    let mut left = false;
    for setup in &plan.setups {
        if setup.done && left {
            return Err(Fault::input(format!("set-up {} is done, and one before it is not", setup.number))
                .hint("put what is done first"));
        }
        left |= !setup.done;
    }
    for exists in &plan.exists {
        let says = found.get(exists.hole.as_str()).copied().unwrap_or(State::Wood);
        let plans = if exists.dog { State::Open } else { State::Pilot };
        if says != plans {
            return Err(Fault::impossible(format!(
                "{} exists as {} in the plan, and is {} by the job",
                exists.hole,
                called(plans),
                called(says)
            ))
            .hint("[[done]] and [[spoiled]] say what exists"));
        }
    }
    match plan.plugged.iter().find(|name| job.spoiled.iter().all(|spoiled| spoiled.hole != **name)) {
        Some(name) => {
            Err(Fault::impossible(format!("{name} is plugged in the plan, and the job has it not as spoiled"))
                .hint("add it as [[spoiled]]"))
        }
        None => Ok(()),
    }
}

/// Before any set-up, the done ones included: what they bored is wood still.
pub(super) fn before_all<'a>(plan: &'a Plan, found: &States<'a>) -> States<'a> {
    let mut states = found.clone();
    for bore in plan.setups.iter().filter(|s| s.done).flat_map(|s| &s.bores) {
        states.insert(&bore.hole, State::Wood);
    }
    for exists in &plan.exists {
        states.insert(&exists.hole, if exists.dog { State::Open } else { State::Pilot });
    }
    states
}

/// After the done set-ups the top is as the job says; what was spoiled is plugged.
pub(super) fn as_found<'a>(bench: &mut Bench<'a>, found: &States<'a>) -> Result<(), Fault> {
    let done: BTreeSet<&'a str> =
        bench.plan.setups.iter().filter(|s| s.done).flat_map(|s| &s.bores).map(|b| b.hole.as_str()).collect();
    for (&hole, &says) in found {
        let comes_to = bench.state(hole);
        let spoiled = bench.job.spoiled.iter().any(|spoiled| spoiled.hole == hole);
        // A helper has no place in [[done]]: it is there if its set-up is done.
        let of_layout = bench.plan.hole(hole).is_some_and(|h| h.kind == HoleKind::Dog);
        if spoiled {
            bench.states.insert(hole, State::Wood);
        } else if comes_to != says && of_layout && (done.contains(hole) || says != State::Wood) {
            return Err(Fault::impossible(format!(
                "after the set-ups that are done {hole} is {}, and is {} by the job",
                called(comes_to),
                called(says)
            ))
            .hint("[[done]] says what exists"));
        }
    }
    Ok(())
}
