//! A top of 40 × 60 holes: what a person waits from the layout to square and its budget, planned and
//! predicted in one run, and the greatest memory that took, beside the marks set for both. Then the
//! prediction in its parts: all first-order figures, virtual boards, and what a dense table of every
//! hole by every source would take.
//!
//! Two plans for the parts: one written by hand for bars that reach two thirds of the top, and the planner's own
//! for bars of 12 holes, whose rows go on slide by slide.

#[path = "../tests/by_hand/mod.rs"]
mod by_hand;

use std::time::Instant;

use by_hand::{Arrangement, plan};
use criterion::Criterion;
use holefast::job::Job;
use holefast::kit::Kit;
use holefast::plan::{Plan, PlanOptions, make_plan};
use holefast::predict::{Ask, BLOCK, Group, Model, one_after_another, predict};
use holefast::{testing, top};

/// What 40 × 60 holes planned and predicted may take, s and MiB.
const MARKS: (f64, f64) = (2.0, 1024.0);

/// The greatest memory the process has had since it was last forgotten, MiB; `None` where the
/// system does not tell.
fn most_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    Some(line.split_whitespace().nth(1)?.parse::<f64>().ok()? / 1024.0)
}

/// Makes the system forget the greatest memory so far, where it lets us.
fn forget_most_memory() {
    let _ = std::fs::write("/proc/self/clear_refs", "5");
}

/// Runs it and says the fastest of three times and the greatest memory.
fn told<T>(what: &str, mut work: impl FnMut() -> T) -> T {
    forget_most_memory();
    let mut best = f64::INFINITY;
    let mut last = None;
    for _ in 0..3 {
        let clock = Instant::now();
        last = Some(work());
        best = best.min(clock.elapsed().as_secs_f64());
    }
    let memory = most_memory().map_or("memory not told".to_owned(), |m| format!("at most {m:.0} MiB in all"));
    println!("  {what}: {:.1} ms, {memory}", 1000.0 * best);
    last.expect("it ran three times")
}

fn predicted(name: &str, kit: &Kit, plan: &Plan) {
    println!("{name}: {} holes, {} set-ups", plan.holes.len(), plan.setups.len());
    let model = told("plan resolved", || Model::new(kit, plan).expect("the plan resolves"));
    let (square, budget) = told("square and its budget", || model.square_and_budget().expect("square is defined"));
    let quick = told("quick figures", || model.quick());
    let all = told("all first-order figures", || model.first_order(&[]).expect("there are lines"));
    assert_eq!(all.square_sd, Some(square));
    assert_eq!(all.budget, budget);
    assert!((1000.0 * quick.square_sd.expect("square is defined") / square - 1.0).abs() < 1e-9);
    let ask = Ask { boards: BLOCK, seed: 1, checks: true, lines: Vec::new(), square_limit: None };
    let boards = told("1024 virtual boards", || predict(&model, &ask, &one_after_another).expect("there are lines"));
    let drawn = boards.square.all_boards_sd.expect("square is defined");
    println!("  square {square:.4} mm/m to first order, {drawn:.4} on 1024 boards");
    let (rows, sources) = model.dense_size();
    println!(
        "  a dense table of {rows} places by {sources} sources: {:.0} MiB",
        rows as f64 * sources as f64 * 8.0 / 1048576.0
    );
}

/// From the job to square, mm per m, and its budget.
fn planned_and_predicted(job: &Job) -> (f64, Vec<(Group, f64)>) {
    let layout = top::lay_out(job).expect("the sheet is plain");
    let plan = make_plan(job, &layout, &PlanOptions::default()).expect("bars reach");
    let model = Model::new(job.kit.as_ref().expect("it has a kit"), &plan).expect("the plan resolves");
    model.square_and_budget().expect("square is defined")
}

/// The same in one run, beside its marks; first of all, before other work has had memory.
fn in_one_run(job: &Job) {
    forget_most_memory();
    let clock = Instant::now();
    let (square, budget) = planned_and_predicted(job);
    let (took, memory) = (clock.elapsed().as_secs_f64(), most_memory());
    let told = |kept: bool| if kept { "kept" } else { "missed" };
    println!("40 x 60 holes planned and predicted in one run: square {square:.4} mm/m, {} groups", budget.len());
    println!("  time {took:.2} s, mark {} s: {}", MARKS.0, told(took < MARKS.0));
    match memory {
        Some(memory) => println!("  at most {memory:.0} MiB, mark {} MiB: {}", MARKS.1, told(memory < MARKS.1)),
        None => println!("  memory not told by this system"),
    }
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    criterion.bench_function("40 x 60 holes planned and predicted", |b| b.iter(|| planned_and_predicted(job)));
    criterion.final_summary();
}

fn main() {
    let job = testing::job(6000.0, 4000.0, 100.0);
    in_one_run(&job);
    let kit = testing::kit(2, 41, 100.0);
    predicted("by hand, bars of 41 holes", &kit, &plan(&kit, Arrangement::best(40, 60, [24, 32, 40])));
    let layout = top::lay_out(&job).expect("the sheet is plain");
    let clock = Instant::now();
    match make_plan(&job, &layout, &PlanOptions::default()) {
        Ok(plan) => {
            println!("planned in {:.1} s", clock.elapsed().as_secs_f64());
            predicted("planned, bars of 12 holes", job.kit.as_ref().expect("it has a kit"), &plan);
        }
        Err(faults) => println!("planned, bars of 12 holes: refused: {}", faults[0].message),
    }
}
