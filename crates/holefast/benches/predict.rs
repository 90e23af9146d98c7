//! What a person waits for when a plan is predicted: first order, and virtual boards by the second,
//! beside the same virtual board in numpy (`benches/peers/boards.py` says how to install it).
//!
//! Both sides are timed by the processor's own account of them as well as by the clock, since the
//! machine may have other work. `HOLEFAST_PYTHON` names the python that has numpy.

#[path = "../tests/by_hand/mod.rs"]
mod by_hand;

use std::hint::black_box;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use by_hand::{Arrangement, common_practice_kit, plan};
use criterion::Criterion;
use holefast::kit::{Kit, Limits};
use holefast::plan::{Plan, to_json};
use holefast::predict::{Ask, BLOCK, Block, Model, Prediction, one_after_another, predict};

const BOARDS: u64 = 40 * BLOCK;

fn ask() -> Ask {
    Ask { boards: BOARDS, seed: 1, checks: true, lines: Vec::new(), square_limit: Some(0.25) }
}

/// Seconds of processor time this thread has had; the clock where the system does not tell.
fn processor_seconds(started: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|t| t.split_whitespace().next()?.parse::<f64>().ok());
    nanoseconds.map_or_else(|| started.elapsed().as_secs_f64(), |ns| ns * 1e-9)
}

fn two_threads(blocks: usize, work: &(dyn Fn(usize) -> Block + Sync)) -> Vec<Block> {
    std::thread::scope(|scope| {
        let half = blocks / 2;
        let first = scope.spawn(move || (0..half).map(work).collect::<Vec<_>>());
        let mut rest: Vec<Block> = (half..blocks).map(work).collect();
        let mut all = first.join().expect("a block does not panic");
        all.append(&mut rest);
        all
    })
}

fn criterion_part(model: &Model, kit: &Kit, plan: &Plan) {
    let mut criterion = Criterion::default().sample_size(30).configure_from_args();
    criterion.bench_function("model of 98 holes", |b| b.iter(|| black_box(Model::new(kit, plan).is_ok())));
    criterion.bench_function("quick figures, 98 holes", |b| b.iter(|| black_box(model.quick())));
    criterion.bench_function("full first order, 98 holes", |b| b.iter(|| black_box(model.first_order(&[]).is_ok())));
    let one_block = Ask { boards: BLOCK, ..ask() };
    criterion.bench_function("1024 virtual boards, 98 holes", |b| {
        b.iter(|| black_box(predict(model, &one_block, &one_after_another).is_ok()))
    });
    criterion.final_summary();
}

/// The fastest of three runs, as boards per second by the clock and by the processor.
fn boards_per_second(model: &Model) -> (Prediction, f64, f64) {
    let mut best = (0.0f64, 0.0f64);
    let mut last = None;
    for _ in 0..3 {
        let (clock, before) = (Instant::now(), processor_seconds(Instant::now()));
        last = predict(model, &ask(), &one_after_another).ok();
        let (wall, busy) = (clock.elapsed().as_secs_f64(), processor_seconds(clock) - before);
        best = (best.0.max(BOARDS as f64 / wall), best.1.max(BOARDS as f64 / busy));
    }
    (last.expect("the plan by hand is predicted"), best.0, best.1)
}

fn limits(l: Limits) -> serde_json::Value {
    serde_json::json!([l.min, l.max])
}

fn peer(kit: &Kit, plan: &Plan, ours: &Prediction, our_rate: f64) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../benches/peers/boards.py");
    let python = std::env::var("HOLEFAST_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let numbers = serde_json::json!({
        "plan": serde_json::from_str::<serde_json::Value>(&to_json(plan)).expect("a plan is JSON"),
        "boards": BOARDS, "seed": 1,
        "kit": {
            "pin": limits(kit.pin.diameter), "dog": limits(kit.dog.diameter), "give": kit.give,
            "pilot_diameter": kit.pilot_bit.diameter.min, "opening_diameter": kit.opening_bit.diameter.min,
            "pilot_clearance": limits(kit.pilot_bit.clearance), "bush_clearance": limits(kit.opening_bit.clearance),
            "pilot_wander": kit.pilot_bit.wander, "opening_wander": kit.opening_bit.wander,
            "pilot_oversize": limits(kit.pilot_bit.oversize), "opening_oversize": limits(kit.opening_bit.oversize),
        },
    });
    let spawned = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut child) = spawned else {
        println!("numpy peer: skipped: {python} does not start");
        return;
    };
    let written = child.stdin.take().map(|mut pipe| pipe.write_all(numbers.to_string().as_bytes()));
    let output = child.wait_with_output().expect("the peer ends");
    if output.status.code() == Some(3) {
        println!("numpy peer: skipped: {python} has no numpy; benches/peers/boards.py says how to get it");
        return;
    }
    assert!(output.status.success() && written.is_some_and(|w| w.is_ok()), "the peer failed");
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("the peer prints JSON");
    let number = |key: &str| told[key].as_f64().expect("the peer prints numbers");
    let rates = (number("boards") / number("wall_s"), number("boards") / number("cpu_s"));
    println!("numpy peer ({}): {:.0} boards/s by the clock, {:.0} by the processor", told["numpy"], rates.0, rates.1);
    let square = ours.square.all_boards_sd.expect("square is defined");
    let seat = ours.does_not_seat.as_ref().expect("there are boards").setups_per_board;
    println!(
        "  sd of square {square:.5} and {:.5}; not seating {seat:.4} and {:.4}",
        number("square_sd"),
        number("setups_per_board")
    );
    // Two samples of 40,000 normal values: a standard error of 0.5 % of the ratio.
    assert!((number("square_sd") / square - 1.0).abs() < 0.02, "the peer's square disagrees");
    let line = ours.lines[0].figure.all_boards_sd.expect("the line is defined");
    assert!((number("line_sd") / line - 1.0).abs() < 0.02, "the peer's line disagrees");
    assert!((number("setups_per_board") / seat - 1.0).abs() < 0.06, "the peer's seats disagree");
    assert!((number("goes") - ours.checks[0].goes).abs() < 0.002, "the peer's check disagrees");
    println!("  ratio {:.1} by the processor (at least 2 asked, 5 aimed at)", our_rate / rates.1);
}

fn main() {
    let kit = common_practice_kit();
    let plan = plan(&kit, Arrangement { first_colour: 1, ..Arrangement::usual(7, 14, [8, 6, 10]) });
    let model = Model::new(&kit, &plan).expect("the plan by hand resolves");
    criterion_part(&model, &kit, &plan);
    let (ours, by_clock, by_processor) = boards_per_second(&model);
    println!("virtual boards, one core: {by_clock:.0}/s by the clock, {by_processor:.0}/s by the processor");
    let clock = Instant::now();
    let on_two = predict(&model, &ask(), &two_threads).expect("the plan by hand is predicted");
    println!("virtual boards, two threads: {:.0}/s by the clock", BOARDS as f64 / clock.elapsed().as_secs_f64());
    assert_eq!(ours, on_two, "the answer hangs on the number of threads");
    peer(&kit, &plan, &ours, by_processor);
}
