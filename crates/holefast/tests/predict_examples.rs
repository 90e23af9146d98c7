//! First order against virtual boards on the planner's own plans of the examples and the check job.

use holefast::job::parse;
use holefast::plan::{PlanOptions, make_plan};
use holefast::predict::{Ask, Model, lines_of, one_after_another, predict};
use holefast::top::lay_out;
use holefast::words::expected::{climate, expectation};

/// First-order over simulated standard deviation of square, over all boards, checks left out, and
/// the first-order figure itself, mm per m.
fn ratio(name: &str, text: &str) -> (f64, f64) {
    let job = parse(text).job.unwrap_or_else(|| panic!("{name} is not read"));
    let layout = lay_out(&job).unwrap();
    let plan = make_plan(&job, &layout, &PlanOptions::default()).unwrap();
    let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
    let ask = Ask { boards: 20_000, seed: 1, checks: false, lines: lines_of(&job), square_limit: job.accuracy.square };
    let p = predict(&model, &ask, &one_after_another).unwrap();
    let first = p.square.first_order_sd.unwrap();
    println!("{name}: {first:.4} mm/m, {:.3} of the boards' own", first / p.square.all_boards_sd.unwrap());
    (first / p.square.all_boards_sd.unwrap(), first)
}

#[test]
fn first_order_and_boards_agree_within_a_tenth_on_the_examples() {
    for (name, text) in [
        ("trailer-top", include_str!("../../../examples/trailer-top.toml")),
        ("first-top", include_str!("../../../examples/first-top.toml")),
        ("press-bench", include_str!("../../../examples/press-bench.toml")),
    ] {
        let (ratio, _) = ratio(name, text);
        assert!((0.9..1.1).contains(&ratio), "{name}: {ratio:.3}");
    }
}

#[test]
fn pressing_bars_home_is_said_beside_the_expectation_with_what_it_costs() {
    let text = include_str!("../../../examples/trailer-top.toml");
    let job = parse(text).job.unwrap();
    let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
    let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap();
    let ask = Ask { boards: 4_096, seed: 1, checks: true, lines: lines_of(&job), square_limit: job.accuracy.square };
    let p = predict(&model, &ask, &one_after_another).unwrap();
    let said = expectation(&p, 0.95);
    println!("{said}");
    // Half-widths in the sentence's order: as it should be, and pressed home.
    let figures: Vec<f64> =
        said.split("within ").skip(1).filter_map(|t| t.split('\u{a0}').next()?.parse().ok()).collect();
    let [afloat, home] = figures[..] else { panic!("{said}") };
    let scale = p.square_sd_pressed_home.unwrap() / p.square.first_order_sd.unwrap();
    // Each is printed with two figures.
    assert!(scale > 1.2 && (home / afloat - scale).abs() < 0.05 * scale, "{said}: {scale:.3}");
    assert!(said.contains("swarf under a bar") && said.contains("bars pressed home at one end"), "{said}");
}

#[test]
fn the_climate_is_said_with_what_is_known_of_it() {
    let text = include_str!("../../../examples/first-top.toml").to_owned();
    let said = |text: &str| {
        let job = parse(text).job.unwrap();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let model = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap().in_climate(&job.top, job.climate.as_ref());
        let ask = Ask { boards: 1_024, seed: 1, checks: true, lines: lines_of(&job), square_limit: None };
        climate(&predict(&model, &ask, &one_after_another).unwrap())
    };
    let without = said(&text);
    let air = "\n[climate]\nboring = { temperature = 12, humidity = 70 }\nuse = { temperature = 20, humidity = 50 }\n";
    let with = said(&format!("{text}{air}"));
    println!("{without}\n{with}");
    assert!(without.starts_with("No climate is stated"), "{without}");
    assert!(with.contains("12\u{a0}°C and 70\u{a0}%") && with.contains("closer together (give or take"), "{with}");
    assert!(with.contains("Square stays"), "{with}");
}

// Source: docs/design/prediction.md 9, tried: the best arrangement brings 0.043 mm/m. The planner may take, within 5 %
// of the least, one that seats more often: so up to 1.05 · 0.0435 (0.0450 when written).
#[test]
fn the_planners_choice_on_the_check_job_is_near_the_best_tried() {
    let (ratio, first) = ratio("check job", include_str!("data/jobs/common-practice-7x14.toml"));
    assert!((0.9..1.1).contains(&ratio), "{ratio:.3}");
    assert!((0.042..1.05 * 0.0435).contains(&first), "{first:.4}");
}
