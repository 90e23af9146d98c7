//! `holefast predict`.

use crate::common::{Bench, EXAMPLES};

#[test]
fn every_example_is_predicted_as_data_and_nothing_else() {
    for example in EXAMPLES {
        let ran = Bench::with(example).run(&["predict", "job.toml", "--json", "--boards", "5000"]).went_well();
        let json = ran.json();
        assert_eq!(json["boards"], 5000, "{example}");
        // first order and boards are two ways to one number; the tight comparison is the core's
        let (first, all) = (&json["square"]["first_order_sd"], &json["square"]["all_boards_sd"]);
        let ratio = all.as_f64().unwrap() / first.as_f64().unwrap();
        assert!((0.85..1.15).contains(&ratio), "{example}: {ratio}");
        let shares: f64 = json["budget"].as_array().unwrap().iter().map(|b| b["share"].as_f64().unwrap()).sum();
        assert!((shares - 1.0).abs() < 1e-9, "{example}: the budget adds up to {shares}");
        assert!(!ran.err().contains('%'), "progress in a pipe:\n{}", ran.err());
    }
}

#[test]
fn the_answer_does_not_hang_on_the_number_of_threads() {
    let bench = Bench::with("first-top.toml");
    let with_threads = |n: &str| {
        bench.run_with_variable("RAYON_NUM_THREADS", n, &["predict", "job.toml", "--json", "--boards", "9000"]).out()
    };
    let one = with_threads("1");
    assert_eq!(with_threads("2"), one);
    assert_eq!(with_threads("7"), one);
}

#[test]
fn another_seed_gives_other_boards_and_the_same_first_order() {
    let bench = Bench::with("first-top.toml");
    let seed = |s| bench.run(&["predict", "job.toml", "--json", "--boards", "2000", "--seed", s]).went_well().json();
    let (one, two) = (seed("1"), seed("2"));
    assert_ne!(one["square"]["all_boards_sd"], two["square"]["all_boards_sd"]);
    assert_eq!(one["square"]["first_order_sd"], two["square"]["first_order_sd"]);
}

#[test]
fn our_own_plan_read_back_is_predicted_the_same() {
    let bench = Bench::with("trailer-top.toml");
    bench.put("plan.json", bench.run(&["plan", "job.toml", "--json"]).went_well().out());
    let plain = bench.run(&["predict", "job.toml", "--json", "--boards", "3000"]).went_well();
    let read = bench.run(&["predict", "job.toml", "--json", "--boards", "3000", "--plan", "plan.json"]).went_well();
    assert!(read.err().contains("the plan can be done: "), "{}", read.err());
    assert_eq!(read.out(), plain.out());
}

#[test]
fn a_plan_that_hands_cannot_do_is_refused_with_its_set_up() {
    let bench = Bench::with("trailer-top.toml");
    let plan = bench.run(&["plan", "job.toml", "--json"]).went_well().out();
    // the first pin that stands in A1 is asked for in a hole that is bored only at the very end
    bench.put("plan.json", plan.replacen("\"b\": \"A1\"", "\"b\": \"D8\"", 1));
    bench.run(&["predict", "job.toml", "--json", "--plan", "plan.json"]).ended_with(3, &["set-up ", "D8"]);
    bench.put("plan.json", "{}");
    bench
        .run(&["predict", "job.toml", "--plan", "plan.json"])
        .ended_with(1, &["this is not a plan", "holefast plan JOB --json"]);
}

#[test]
fn in_words_the_first_line_is_what_a_maker_asks() {
    let bench = Bench::with("trailer-top.toml");
    let said = bench.run(&["predict", "job.toml", "--boards", "5000"]).went_well().out();
    let first = said.lines().next().unwrap();
    assert!(first.starts_with("Expect this top to come out square within 0.0"), "{first}");
    assert!(first.contains("mm per metre, 95 times in 100. Not counted: "), "{first}");
    assert!(said.contains("less\n") && said.contains("5000 virtual boards, seed 1"), "{said}");
    bench.change("confidence = 0.95", "confidence = 0.5");
    let half = bench.run(&["predict", "job.toml", "--boards", "5000"]).went_well().out();
    assert!(half.contains("50 times in 100") && half.lines().next() != Some(first), "{half}");
}

#[test]
fn without_boards_it_stays_at_first_order() {
    let bench = Bench::with("first-top.toml");
    let said = bench.run(&["predict", "job.toml", "--boards", "0"]).went_well().out();
    assert!(said.contains("square within") && said.contains("first order, no virtual boards"), "{said}");
    let json = bench.run(&["predict", "job.toml", "--boards", "0", "--json"]).went_well().json();
    assert!(json["passed"].is_null() && json["square"]["first_order_sd"].is_f64(), "{json}");
    bench.run(&["predict", "job.toml", "--boards", "many"]).ended_with(2, &["--boards"]);
}

#[test]
fn checks_can_be_left_out() {
    let bench = Bench::with("trailer-top.toml");
    let json = bench.run(&["predict", "job.toml", "--json", "--boards", "3000", "--no-checks"]).went_well().json();
    assert_eq!(json["passed"], 1.0);
    assert_eq!(json["checks"].as_array().unwrap().len(), 0);
}
