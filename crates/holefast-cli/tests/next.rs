//! `holefast next`.

use crate::common::Bench;

/// The first top (4 × 6 holes at 80 mm) with instruments, and readings if any.
fn bench(more: &str) -> Bench {
    let bench = Bench::with("first-top.toml");
    let job = bench.text("job.toml");
    let instruments = "[[instrument]]\nname = \"long caliper\"\nreads = [\"distance\"]\nu = 0.05\nrange = [300, 1000]\nminutes = 1.5\n\
                       [[instrument]]\nname = \"tape\"\nreads = [\"distance\"]\nu = 0.3\nclass = \"II\"\nminutes = 1.5\n\
                       [[instrument]]\nname = \"try square\"\nreads = [\"angle\"]\nu = 0.03\nzero = \"unknown\"\nblade = 300\nminutes = 2\n";
    bench.put("job.toml", format!("{job}\n{instruments}{more}"));
    bench
}

#[test]
fn before_any_reading_crossed_diagonals_of_the_best_instrument_come_first() {
    let json = bench("").run(&["next", "job.toml", "--json"]).went_well().json();
    assert!(json["square"].is_null());
    let first = &json["next"][0];
    assert_eq!(first["with"], "long caliper");
    assert_eq!(first["pair"], true);
    let mut holes: Vec<String> = serde_json::from_value::<Vec<Vec<String>>>(first["between"].clone()).unwrap().concat();
    holes.sort();
    assert_eq!(holes, ["A1", "A6", "D1", "D6"]);
    let after = |with: &str| {
        let all = json["next"].as_array().unwrap();
        all.iter().filter(|s| s["with"] == with && s["pair"] == true).map(|s| s["u_after"].as_f64().unwrap()).next()
    };
    assert!(after("long caliper").unwrap() < after("tape").unwrap());
}

#[test]
fn with_readings_it_says_how_many_more() {
    let diagonal = |a: &str, b: &str| {
        format!(
            "[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"long caliper\"\nvalue = 466.476\n"
        )
    };
    let bench = bench(&format!("{}{}", diagonal("A1", "D6"), diagonal("A6", "D1")));
    let json = bench.run(&["next", "job.toml", "--json"]).went_well().json();
    let u = json["square"]["u"].as_f64().unwrap();
    assert!(json["next"][0]["u_after"].as_f64().unwrap() < u);
    let said = bench.run(&["next", "job.toml"]).went_well().out();
    assert!(said.contains("Take next: "), "{said}");
    assert!(said.contains("two crossed diagonals fix square"), "{said}");
}

#[test]
fn without_instruments_it_says_what_to_add() {
    Bench::with("first-top.toml")
        .run(&["next", "job.toml"])
        .ended_with(1, &["the job names no instrument", "add [[instrument]] with name, reads, u and minutes"]);
}

#[test]
fn the_set_for_a_bad_hole_looks_along_every_row_and_column() {
    let straightedge = "[[instrument]]\nname = \"straightedge\"\nreads = [\"offset\"]\nu = 0.03\nminutes = 0.5\n";
    let bench = bench(straightedge);
    let json = bench.run(&["next", "job.toml", "--bad-hole", "--json"]).went_well().json();
    assert_eq!(json["aim"], "find a bad hole");
    assert_eq!(json["readings"], 28);
    assert_eq!(json["next"].as_array().unwrap().len(), 10);
    let said = bench.run(&["next", "job.toml", "--bad-hole"]).went_well().out();
    assert!(said.contains("A1 to A6: A2, A3, A4, A5"), "{said}");
}
