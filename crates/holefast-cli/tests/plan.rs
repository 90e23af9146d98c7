//! `holefast plan`.

use crate::common::{Bench, EXAMPLES};

#[test]
fn every_example_is_planned_and_the_data_read_back_is_the_same() {
    for example in EXAMPLES {
        let planned = Bench::with(example).run(&["plan", "job.toml", "--json"]).went_well();
        let plan = holefast::plan::from_json(&planned.out()).unwrap();
        let again = holefast::plan::to_json(&plan);
        let differing = again.lines().zip(planned.out().lines()).position(|(a, b)| a != b);
        assert_eq!(differing, None, "{example}: line of the first difference, from 0");
        let json = planned.json();
        let opened = |s: &&serde_json::Value| s["stage"] == "open";
        let dogs = json["holes"].as_array().unwrap().iter().filter(|h| h["kind"] == "dog" || h["kind"] == "extra");
        assert_eq!(json["setups"].as_array().unwrap().iter().filter(opened).count(), dogs.count(), "{example}");
    }
}

#[test]
fn the_outline_names_every_stage_and_the_choice() {
    let planned = Bench::with("trailer-top.toml").run(&["plan", "job.toml"]).went_well().out();
    for words in ["triangle", "datum row", "square columns", "closing", "fill", "extend", "open, second pass"] {
        assert!(planned.contains(words), "{words} is not in\n{planned}");
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let bench = Bench::with("press-bench.toml");
    let plan = || bench.run(&["plan", "job.toml", "--json"]).went_well().out();
    assert_eq!(plan(), plan());
}

#[test]
fn a_kit_that_will_not_do_is_refused_with_what_would() {
    let bench = Bench::with("first-top.toml");
    bench.change("diameter = \"4 h6\"", "diameter = 4.2");
    bench.run(&["plan", "job.toml"]).ended_with(3, &["4.2 mm", "help: "]);
}

#[test]
fn a_bench_note_that_has_no_card_is_told_at_its_place() {
    let bench = Bench::with("first-top.toml");
    let quiet = bench.run(&["plan", "job.toml"]).went_well();
    assert_eq!(quiet.err(), "");
    assert!(
        quiet.out().contains("Times are assumed: 4 minutes a set-up, 0.3 a pilot, 1 an opening"),
        "{}",
        quiet.out()
    );
    bench.change("stage = \"open\"", "card = 400");
    bench.run(&["plan", "job.toml"]).went_well().said(&[
        "for card 400; the plan has ",
        "job.toml:",
        "a stage or a hole",
    ]);
}
