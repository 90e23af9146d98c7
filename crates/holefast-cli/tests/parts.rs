//! `holefast parts`.

use crate::common::Bench;

const SIXTY: &str = include_str!("../../holefast/tests/lists/sixty-parts.toml");

/// The trailer top with a list on it.
fn bench(list: &str) -> Bench {
    let bench = Bench::with("trailer-top.toml");
    bench.put("job.toml", format!("{}{list}", bench.text("job.toml")));
    bench
}

#[test]
fn sixty_parts_in_words_and_as_data() {
    let bench = bench(SIXTY);
    let said = bench.run(&["parts", "job.toml", "--rounds", "4000"]).went_well().out();
    for words in ["60 parts from", "sheet 1: full sheet, 2440 x 1220 mm, kerf 2.2 mm", "cabinet side", "never by hand"]
    {
        assert!(said.contains(words), "{words:?} is not in\n{said}");
    }
    let data = bench.run(&["parts", "job.toml", "--rounds", "4000", "--json"]).went_well().json();
    let sheets = data["batches"][0]["sheets"].as_array().unwrap();
    let parts: usize = sheets.iter().map(|s| s["parts"].as_array().unwrap().len()).sum();
    assert_eq!(parts, 60);
    let cuts = data["batches"][0]["cuts"].as_array().unwrap();
    assert!(said.contains(&format!("{} cuts,", cuts.len())), "{said}");
}

#[test]
fn the_same_seed_gives_the_same_and_the_drawing_is_written() {
    let bench = bench(SIXTY);
    let run = || bench.run(&["parts", "job.toml", "--rounds", "1500", "--seed", "7"]).went_well().out();
    assert_eq!(run(), run());
    bench
        .run(&["parts", "job.toml", "--rounds", "1500", "--svg", "sheets.svg"])
        .went_well()
        .said(&["drawing written to sheets.svg"]);
    let drawing = bench.text("sheets.svg");
    assert!(drawing.starts_with("<svg") || drawing.contains("<svg"));
    assert!(drawing.contains("drawer front"));
}

#[test]
fn what_cannot_be_cut_is_told_by_line() {
    bench("").run(&["parts", "job.toml"]).ended_with(3, &["the job has no [[part]]", "add [[part]]"]);
    let long = SIXTY.replace("length = 1800", "length = 2500");
    bench(&long)
        .run(&["parts", "job.toml"])
        .ended_with(3, &["part \"plinth front\" is 2500 x 100 mm", "70 mm too large"]);
    let no_kerf = SIXTY.replacen("kerf = 2.2", "kerf = 0", 1);
    bench(&no_kerf)
        .run(&["parts", "job.toml"])
        .ended_with(1, &["stock.kerf is 0 mm", "measure the slot of a trial cut"]);
}
