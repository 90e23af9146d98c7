//! `holefast new`.

use crate::common::Bench;

#[test]
fn what_it_writes_runs_as_it_stands_in_both_units() {
    for units in ["mm", "in"] {
        let bench = Bench::new();
        bench.run(&["new", "--units", units]).went_well().said(&["top.toml", "change [top] first"]);
        let plan = bench.run(&["plan", "top.toml"]).went_well();
        assert_eq!(plan.err(), "", "a new job has nothing to remark on");
        assert!(plan.out().contains("dog holes"), "{}", plan.out());
    }
}

#[test]
fn it_can_be_printed_instead() {
    let bench = Bench::new();
    let printed = bench.run(&["new", "-"]).went_well().out();
    assert_eq!(bench.all(), [""; 0]);
    bench.run(&["new", "a.toml"]).went_well();
    assert_eq!(bench.text("a.toml"), printed);
}

#[test]
fn a_file_that_stands_there_is_left_alone() {
    let bench = Bench::new();
    bench.put("top.toml", "mine");
    bench.run(&["new"]).ended_with(4, &["top.toml: stands there already", "--force"]);
    assert_eq!(bench.text("top.toml"), "mine");
    assert_eq!(bench.all(), ["top.toml"]);
}

#[test]
fn with_force_what_stood_there_is_kept_however_often() {
    let bench = Bench::new();
    bench.put("top.toml", "first");
    bench.run(&["new", "--force"]).went_well().said(&["kept as top.toml.1"]);
    bench.put("top.toml", "second");
    bench.run(&["new", "--force"]).went_well().said(&["kept as top.toml.2"]);
    assert_eq!([bench.text("top.toml.1"), bench.text("top.toml.2")], ["first", "second"]);
    assert!(bench.text("top.toml").starts_with("# A job for holefast"));
    assert_eq!(bench.all(), ["top.toml", "top.toml.1", "top.toml.2"]);
}

#[test]
fn a_folder_is_never_replaced() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("top.toml")).unwrap();
    bench.run(&["new", "--force"]).ended_with(4, &["not an ordinary file"]);
    bench.run(&["new", "nowhere/top.toml"]).ended_with(4, &["nowhere"]);
}
