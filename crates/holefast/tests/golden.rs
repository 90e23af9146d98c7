//! Plans and predictions of the examples, kept as data: the same natively and as WebAssembly to
//! nine significant digits.
//!
//! A changed number here is a changed result: it belongs in the changelog with its reason.

use crate::files::assert_golden;
use holefast::job::parse;
use holefast::plan::{PlanOptions, make_plan, to_json};
use holefast::predict::{Ask, Model, one_after_another, predict};
use holefast::top::lay_out;

/// Enough boards that a slip in the streams shows, few enough for WebAssembly's pace.
const BOARDS: u64 = 2000;

fn check(name: &str, text: &str) {
    let parsed = parse(text);
    let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    let layout = lay_out(&job).unwrap_or_else(|faults| panic!("{faults:?}"));
    let plan = make_plan(&job, &layout, &PlanOptions::default()).unwrap_or_else(|faults| panic!("{faults:?}"));
    assert_golden(&format!("{name}.plan.json"), &to_json(&plan));
    let kit = job.kit.as_ref().expect("a planned job has a kit");
    let model = Model::new(kit, &plan).unwrap_or_else(|faults| panic!("{faults:?}"));
    let ask = Ask { boards: BOARDS, seed: 1, checks: true, lines: Vec::new(), square_limit: job.accuracy.square };
    let prediction = predict(&model, &ask, &one_after_another).unwrap_or_else(|faults| panic!("{faults:?}"));
    assert_golden(&format!("{name}.predict.json"), &prediction.to_json());
}

#[test]
fn trailer_top() {
    check("trailer-top", include_str!("../../../examples/trailer-top.toml"));
}

#[test]
fn press_bench() {
    check("press-bench", include_str!("../../../examples/press-bench.toml"));
}

#[test]
fn first_top() {
    check("first-top", include_str!("../../../examples/first-top.toml"));
}
