//! `holefast angle`.

use std::collections::BTreeSet;

use crate::common::{Bench, EXAMPLES};

#[test]
fn the_best_arrangements_are_told_in_words() {
    let bench = Bench::with("trailer-top.toml");
    let shown = bench.run(&["angle", "job.toml", "67.5", "--best", "2"]).went_well();
    let out = shown.out();
    for line in [
        "67.5° between fence and cut, on the work's side; 22.5° on a mitre scale",
        "12 pairs of directions stand within 0.1° of it:",
        "  fence 13 left and 3 up, rail 1 left and 6 up: 67.543°, +0.043° off",
        "1  fence F13 to A6, on their right; rail B9 to G1, on their right",
        "   a shim of 0.65 mm between the fence and the dog in A6, of your stock 0.5 mm + 0.1 mm + 0.05 mm",
        "For a cut that matters prove the arrangement, not the whole grid: five cuts on these very holes, then a shim.",
        "Taken by the plan: what it is foretold to leave, the dogs' fit and the bit's lean.",
    ] {
        assert!(out.lines().any(|l| l == line), "{line:?} is not in\n{out}");
    }
    assert!(out.contains("give or take 0.18 mm per metre, 95 times in 100"), "{out}");
}

/// The pairs of directions in a list, each read as told.
fn pairs(list: &serde_json::Value, of: fn(&serde_json::Value) -> [String; 2]) -> BTreeSet<[String; 2]> {
    list.as_array().unwrap().iter().map(of).collect()
}

/// The worked cases of angles, as in the core's `tests/data/worked`, through the command.
#[test]
fn reference_directions() {
    let bench = Bench::new();
    bench.put("job.toml", include_str!("../../holefast/tests/data/worked/p04-angles.toml"));
    let all: serde_json::Value =
        serde_json::from_str(include_str!("../../holefast/tests/data/worked/p04-angles.json")).unwrap();
    for angle in ["22.5", "30.0", "54.0"] {
        let expected = &all["angles"][angle];
        let json = bench.run(&["angle", "job.toml", angle, "--tolerance", "0.2", "--json"]).went_well().json();
        let found = pairs(&json["directions"], |d| [d["fence"].to_string(), d["rail"].to_string()]);
        let wanted = pairs(&expected["directions"], |d| [d[0].to_string(), d[1].to_string()]);
        assert_eq!(found, wanted, "{angle}");
        let most = expected["at_most_deg"].as_f64().unwrap();
        assert!(json["directions"][0]["error_deg"].as_f64().unwrap().abs() <= most, "{angle}");
        assert_eq!(json["basis"], "as planned, spread not known");
    }
}

#[test]
fn an_angle_is_typed_as_people_say_it() {
    let bench = Bench::with("first-top.toml");
    let angle = |words: &[&str]| {
        let arguments = [&["angle", "job.toml", "--json", "--tolerance", "2"], words].concat();
        bench.run(&arguments).went_well().json()["angle_deg"].as_f64().unwrap()
    };
    assert!((angle(&["octagon"]) - 67.5).abs() < 1e-9);
    assert!((angle(&["1:1"]) - 45.0).abs() < 1e-9);
    assert!((angle(&["50", "mm", "over", "50", "mm"]) - 45.0).abs() < 1e-9);
    assert!((angle(&["22,5°"]) - 22.5).abs() < 1e-9);
}

#[test]
fn data_is_data_only_and_every_arrangement_has_its_figures() {
    for example in EXAMPLES {
        let json = Bench::with(example).run(&["angle", "job.toml", "90", "--json"]).went_well().json();
        let arrangements = json["arrangements"].as_array().unwrap();
        assert!(!arrangements.is_empty(), "{example}");
        for a in arrangements {
            let (error, u) = (a["error_mm_per_m"].as_f64().unwrap(), a["u_mm_per_m"].as_f64().unwrap());
            let bound = a["bound_mm_per_m"].as_f64().unwrap();
            assert!((bound - error.abs() - 2.0 * u).abs() < 1e-9, "{example}: {a}");
        }
    }
}

#[test]
fn an_angle_that_no_pair_reaches_names_the_nearest_on_both_sides() {
    let bench = Bench::with("first-top.toml");
    let ran = bench.run(&["angle", "job.toml", "1.5", "--tolerance", "0.01"]).went_well();
    assert_eq!(
        ran.out(),
        "1.5° between fence and cut, on the work's side; 88.5° on a mitre scale\n\
         no two lines of holes stand within 0.01° of it\n\
         nothing below it on this grid\n\
         nearest above: fence 5 right and 1 up, rail 4 right and 1 up: 2.726°, +1.226° off\n\
         --tolerance takes in the nearest; a step block at one dog closes the rest\n"
    );
    let json = bench.run(&["angle", "job.toml", "1.5", "--tolerance", "0.01", "--json"]).went_well().json();
    assert_eq!(json["directions"].as_array().unwrap().len(), 0);
    assert!(json["nearest"]["above"]["angle_deg"].as_f64().unwrap() > 1.5);
}

#[test]
fn what_is_no_angle_is_told_with_a_way_out() {
    let bench = Bench::with("first-top.toml");
    bench.run(&["angle", "job.toml", "steep"]).ended_with(2, &["\"steep\" is no angle", "help: "]);
    bench.run(&["angle", "job.toml", "180"]).ended_with(2, &["180° is no angle of a cut", "help: "]);
    bench.run(&["angle", "job.toml", "-5"]).ended_with(2, &["-5° is no angle of a cut"]);
    bench.run(&["angle", "job.toml", "90", "--bent"]).ended_with(2, &["--bent"]);
    bench.run(&["angle", "job.toml", "90", "--width", "0"]).ended_with(2, &["0 mm is no width of work"]);
    bench.run(&["angle", "job.toml", "90", "--tolerance", "0"]).ended_with(2, &["more than 0"]);
    bench.run(&["angle", "job.toml"]).ended_with(2, &["<ANGLE>"]);
}
