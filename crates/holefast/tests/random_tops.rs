//! Planner against replay checker and an independent test of feasibility, on made tops.
//!
//! Thousands of random jobs: lone holes, corners left out, rails and posts, long tops, short bars,
//! two pins only, inch pitches, bars finer than the grid. Every plan must pass the replay; every
//! refusal must be one where bars really cannot reach.

// Two threads and minutes of work: native only. What the planner computes there is what it
// computes everywhere; the golden plans, compared on both, hold it to that.
#![cfg(not(target_family = "wasm"))]

use holefast::job::parse;
use holefast::plan::{PlanOptions, make_plan};
use holefast::replay::replay;
use holefast::testing::made::made_top;
use holefast::testing::reach::reachable;
use holefast::top::lay_out;

/// So many tops; with HOLEFAST_LONG set ten times as many, which is what a release is tried on.
const TOPS: u64 = 400;

/// Of the tops that bars can reach, at least this share is planned.
const PLANNED_AT_LEAST: f64 = 0.98;

#[test]
fn made_tops_are_planned_and_no_plan_is_refused_by_the_replay() {
    let tops = if std::env::var_os("HOLEFAST_LONG").is_some() { 10 * TOPS } else { TOPS };
    // Two threads: the machines this runs on have two cores.
    let halves = std::thread::scope(|scope| {
        let halves = [0, 1].map(|odd| scope.spawn(move || (odd..tops).step_by(2).map(try_top).collect::<Vec<_>>()));
        halves.map(|half| half.join().expect("a thread that panicked has said why"))
    });
    let (mut possible, mut planned) = (0, 0);
    let mut wrong = Vec::new();
    for outcome in halves.into_iter().flatten() {
        match outcome {
            Outcome::Planned => (possible, planned) = (possible + 1, planned + 1),
            Outcome::Impossible => {}
            Outcome::Wrong(why) => {
                possible += 1;
                wrong.push(why);
            }
        }
    }
    println!("{planned} of {possible} possible tops planned, of {tops} made");
    assert!(possible as f64 > 0.9 * tops as f64, "the generator makes too few possible tops: {possible} of {tops}");
    assert!(planned as f64 >= PLANNED_AT_LEAST * possible as f64);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

enum Outcome {
    Planned,
    /// Refused, and nothing can reach it.
    Impossible,
    Wrong(String),
}

fn try_top(seed: u64) -> Outcome {
    let text = made_top(seed);
    let parsed = parse(&text);
    let Some(job) = parsed.job else { return Outcome::Wrong(format!("seed {seed}: not read: {:?}", parsed.faults)) };
    let Ok(layout) = lay_out(&job) else { return Outcome::Impossible };
    match make_plan(&job, &layout, &PlanOptions::default()) {
        Ok(plan) => match replay(&job, &plan) {
            Ok(_) => Outcome::Planned,
            Err(fault) => Outcome::Wrong(format!("seed {seed}: planned, and the replay says: {}", fault.message)),
        },
        Err(faults) if faults.iter().any(|f| f.hint.is_none()) => {
            Outcome::Wrong(format!("seed {seed}: refused without a way out: {}", faults[0].message))
        }
        Err(faults) if reachable(&job).is_ok() => {
            Outcome::Wrong(format!("seed {seed}: refused though reachable: {}", faults[0].message))
        }
        Err(_) => Outcome::Impossible,
    }
}
