//! `holefast show`.

use crate::common::{Bench, EXAMPLES};

#[test]
fn trailer_top_in_words() {
    let shown = Bench::with("trailer-top.toml").run(&["show", "job.toml"]).went_well();
    insta::assert_snapshot!(shown.out(), @r"
    98 holes, 7 rows x 14 columns at 100 mm
    A1 stands 75 mm along and 90 mm in from the reference corner, the grid in the middle of the top
    margins to the outermost centres: left 75 mm, right 75 mm, near 90 mm, far 90 mm
    least wood: 80 mm between holes (A1 and A2), 65 mm to the edge (A1)
    material birch plywood: 680 kg/m³, 8000 MPa, 0.15 mm per m for each percent of moisture (density from memory; modulus within Wood Handbook table 12-1 for plywood, 6960 to 8550 MPa; movement from memory, 0.01 to 0.02 % per percent of moisture)
    weight 16.2 kg, 15.7 kg when bored
    sag 0.27 mm under its own weight, 0.28 mm when bored, most at x = 0 mm; holes leave 92 % of the stiffness
    it tips when more than 11 kg rest on an overhanging end
    movement not told: the job states no [climate] of boring and use
    ");
}

#[test]
fn data_is_data_only_for_every_example() {
    for example in EXAMPLES {
        let shown = Bench::with(example).run(&["show", "job.toml", "--json"]).went_well();
        assert!(shown.json().is_object(), "{example}");
    }
}

#[test]
fn a_job_comes_by_standard_input_too() {
    let bench = Bench::with("first-top.toml");
    let by_pipe = bench.run_with(&["show", "-"], &bench.text("job.toml")).went_well().out();
    assert_eq!(by_pipe, bench.run(&["show", "job.toml"]).went_well().out());
}

#[test]
fn every_slip_is_told_at_its_place_with_a_way_out() {
    let bench = Bench::with("trailer-top.toml");
    bench.change("material = \"birch plywood\"", "materiel = \"birch plywood\"");
    bench.change("pilot = 4 ", "pilot = \"4 km\" ");
    bench.run(&["show", "job.toml"]).ended_with(
        1,
        &["job.toml:17:1", "`materiel`", "is `material` meant?", "job.toml:23:", "\"4 km\"", "2 faults"],
    );
}

#[test]
fn what_is_no_text_is_told_by_its_byte() {
    let bench = Bench::new();
    bench.put("job.toml", b"name = \"caf\xe9\"\n");
    bench.run(&["show", "job.toml"]).ended_with(1, &["byte 11 (0xe9) is not UTF-8 text", "UTF-8"]);
}

#[test]
fn a_file_that_is_not_there_or_no_file_is_told() {
    let bench = Bench::new();
    bench.run(&["show", "job.toml"]).ended_with(4, &["job.toml: no such file", "holefast new"]);
    bench.run(&["show", "."]).ended_with(4, &["."]);
    bench.run(&["show"]).ended_with(2, &["<JOB>"]);
}

#[test]
fn what_cannot_be_has_an_exit_code_of_its_own() {
    let bench = Bench::with("first-top.toml");
    bench.change("width  = 340", "width  = 80");
    bench.run(&["show", "job.toml"]).ended_with(3, &["help: "]);
}

#[test]
fn a_reader_that_has_gone_is_no_fault() {
    let ran = Bench::with("trailer-top.toml").run_into_a_closed_pipe(&["show", "job.toml", "--json"]).went_well();
    assert_eq!(ran.err(), "");
}

#[test]
fn the_drawing_is_written_or_printed_and_replaces_only_a_drawing() {
    let bench = Bench::with("trailer-top.toml");
    let printed = bench.run(&["show", "job.toml", "--svg", "-"]).went_well().out();
    assert!(printed.starts_with("<svg") && printed.trim_end().ends_with("</svg>"));
    assert!(printed.matches("<circle").count() >= 98, "a circle for every hole");
    for _ in 0..2 {
        bench.run(&["show", "job.toml", "--svg", "top.svg"]).went_well().said(&["drawing written to top.svg"]);
        assert_eq!(bench.text("top.svg"), printed);
    }
    bench.put("note.svg", "a note in a file with a misleading name");
    bench.run(&["show", "job.toml", "--svg", "note.svg"]).ended_with(4, &["it is no SVG drawing"]);
    assert_eq!(bench.text("note.svg"), "a note in a file with a misleading name");
}
