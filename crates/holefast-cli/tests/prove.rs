//! `holefast prove`.

use crate::common::Bench;

/// Instruments and readings for the first top: both long diagonals and four sides of its 4 × 6 holes.
const READINGS: &str = r#"
[[instrument]]
name = "long caliper"
reads = ["distance"]
u = 0.05
minutes = 1.5
"#;

fn distance(between: [&str; 2], value: f64) -> String {
    let [a, b] = between;
    format!(
        "\n[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"long caliper\"\nvalue = {value}\n"
    )
}

/// The first top (4 × 6 holes at 80 mm) with these readings added.
fn bench(readings: &str) -> Bench {
    let bench = Bench::with("first-top.toml");
    let job = bench.text("job.toml");
    bench.put("job.toml", format!("{job}\n{READINGS}{readings}"));
    bench
}

/// Diagonals of a top that leans by `square` mm per m, to first order: A1–D6 and A6–D1.
fn diagonals(square: f64) -> String {
    let (a, b) = (400.0f64, 240.0f64);
    let long = (a * a + b * b).sqrt();
    let change = a * b * square / 1000.0 / long;
    distance(["A1", "D6"], long - change) + &distance(["A6", "D1"], long + change)
}

#[test]
fn two_crossed_diagonals_tell_square() {
    let ran = bench(&diagonals(0.8)).run(&["prove", "job.toml", "--json"]).went_well();
    let json = ran.json();
    assert_eq!(json["outcome"], "converged");
    let value = json["square"]["value"].as_f64().unwrap();
    let u = json["square"]["u"].as_f64().unwrap();
    assert!((value - 0.8).abs() < 0.03, "{value}");
    assert!((0.15..0.6).contains(&u), "{u}");
    assert_eq!(json["square"]["over"], "all holes");
    assert_eq!(json["holes"].as_array().unwrap().len(), 24);
}

#[test]
fn in_words_the_verdict_comes_first() {
    let said = bench(&diagonals(0.1)).run(&["prove", "job.toml"]).went_well().out();
    let first = said.lines().next().unwrap();
    assert!(first.starts_with("Undecided: square is ") || first.starts_with("Square within "), "{first}");
    assert!(said.contains("Of all 24 holes, from 2 readings"), "{said}");
    assert!(said.contains("The best right angle on this top: fence on "), "{said}");
}

#[test]
fn the_plan_s_promise_counts_where_it_was_followed_and_is_shown_beside() {
    let bench = bench(&format!("{}\n[proof]\nprior = \"prediction\"\n", diagonals(0.1)));
    let json = bench.run(&["prove", "job.toml", "--json"]).went_well().json();
    assert_eq!(json["datum"]["prior"], "prediction");
    let with = json["square"]["u"].as_f64().unwrap();
    let without = json["without_prior"]["square"]["u"].as_f64().unwrap();
    assert!(with < 0.9 * without, "{with} {without}");
    let said = bench.run(&["prove", "job.toml"]).went_well().out();
    assert!(said.contains("without what the plan promises"), "{said}");
}

#[test]
fn what_cannot_be_of_this_top_is_told_with_what_was_expected() {
    let none = Bench::with("first-top.toml");
    none.run(&["prove", "job.toml"]).ended_with(1, &["the job has no reading", "holefast next"]);
    bench(&distance(["A1", "H6"], 500.0))
        .run(&["prove", "job.toml"])
        .ended_with(1, &["this top has no hole H6", "A1 to D6"]);
    // 466.48 with two digits swapped
    bench(&distance(["A1", "D6"], 646.48)).run(&["prove", "job.toml"]).ended_with(
        1,
        &["A1 to D6 is read as 646.48 mm; expected is 466.476 mm", "are two digits swapped? 466.48 mm would fit"],
    );
    // over the outer faces of 20 mm dogs
    bench(&distance(["A1", "D6"], 486.48))
        .run(&["prove", "job.toml"])
        .ended_with(1, &["was it read over the outer faces of dogs or edges of 20 mm?"]);
    bench(&distance(["A1", "D6"], 466.5).replace("long caliper", "tape"))
        .run(&["prove", "job.toml"])
        .ended_with(1, &["there is no instrument \"tape\"", "the job has long caliper"]);
    // one reading leaves square free, which is a result and no refusal
    let one = bench(&distance(["A1", "D6"], 466.5));
    let said = one.run(&["prove", "job.toml"]).went_well().out();
    assert!(said.starts_with("Square is not told: these readings leave it free."), "{said}");
    assert_eq!(one.run(&["prove", "job.toml", "--json"]).went_well().json()["outcome"], "free directions");
}

#[test]
fn readings_from_a_table_are_read_as_those_of_the_job() {
    let in_job = bench(&diagonals(0.3)).run(&["prove", "job.toml", "--json"]).went_well().json();
    let apart = bench("");
    let change = 400.0 * 240.0 * 0.3 / 1000.0 / (400.0f64 * 400.0 + 240.0 * 240.0).sqrt();
    let long = (400.0f64 * 400.0 + 240.0 * 240.0).sqrt();
    apart.put(
        "readings.csv",
        format!(
            "kind;between;with;value\ndistance;A1 D6;long caliper;{}\ndistance;A6 D1;long caliper;{}\n",
            (long - change).to_string().replace('.', ","),
            (long + change).to_string().replace('.', ",")
        ),
    );
    let table = apart.run(&["prove", "job.toml", "--json", "--readings", "readings.csv"]).went_well().json();
    assert_eq!(table["square"], in_job["square"]);
    apart.put("readings.csv", "kind;between;with;value\ndistance;A1;long caliper;466\n");
    apart
        .run(&["prove", "job.toml", "--readings", "readings.csv"])
        .ended_with(1, &["reading.between must name 2 holes, this names 1", "readings.csv"]);
}

#[test]
fn the_drawing_states_its_factor() {
    let bench = bench(&diagonals(0.8));
    bench.run(&["prove", "job.toml", "--svg", "proof.svg"]).went_well();
    let svg = bench.text("proof.svg");
    assert!(svg.starts_with("<svg") || svg.contains("<svg"), "{}", &svg[..80]);
    assert!(svg.contains("deviations × "), "the factor is not on the drawing");
}

#[test]
fn dates_are_held_against_each_other_and_the_air_changes_scale_alone() {
    let dated = |square: f64, date: &str| {
        diagonals(square)
            .split("\n\n")
            .map(|reading| format!("{}\ndate = {date}\n\n", reading.trim_end()))
            .collect::<String>()
    };
    let air = "[climate]\nboring = { temperature = 12, humidity = 70 }\nuse = { temperature = 20, humidity = 50 }\n";
    let bench = bench(&format!("{}{}{air}", dated(0.1, "2026-05-16"), dated(0.9, "2026-11-20")));
    let json = bench.run(&["prove", "job.toml", "--json"]).went_well().json();
    let drift = &json["over_time"]["drift"][0];
    assert_eq!((&drift["from"], &drift["to"]), (&"2026-05-16".into(), &"2026-11-20".into()));
    assert!((drift["square"]["value"].as_f64().unwrap() - 0.8).abs() < 0.01, "{drift}");
    assert!(drift["square"]["u"].as_f64().unwrap() > 0.0);
    assert!(json["climate"]["scale_x"]["u"].as_f64().unwrap() > 0.0, "{}", json["climate"]);
    let said = bench.run(&["prove", "job.toml"]).went_well().out();
    for text in [
        "Over time, from the readings alone",
        "From 2026-05-16 to 2026-11-20, over 4 holes read both times, square went by +0.8",
        "That is scale: warmth and damp leave square alone.",
    ] {
        assert!(said.replace('\n', " ").contains(text), "{text}\n{said}");
    }
}

#[test]
fn a_bar_of_the_kit_needs_no_play_written_and_is_not_counted_twice() {
    let went = "[[instrument]]\nname = \"S1\"\nreads = [\"went\"]\nu = 0.02\n\
        [[reading]]\nkind = \"went\"\nbetween = [\"A1\", \"D5\"]\nwith = \"S1\"\nlength = 400\n\
        [[reading]]\nkind = \"went\"\nbetween = [\"A6\", \"D2\"]\nwith = \"S1\"\nlength = 400\n";
    let bench = bench(&format!("{went}[proof]\nprior = \"prediction\"\n"));
    let ran = bench.run(&["prove", "job.toml", "--json"]).went_well();
    let err = ran.err().replace('\n', " ");
    assert!(err.contains("play is taken from the kit: "), "{err}");
    assert!(err.contains("S1 is a bar of the kit"), "{err}");
    let common = ran.json()["square"]["u"].as_f64().unwrap();
    // Under another name it is a stranger, with the same play.
    bench.change("name = \"S1\"\nreads", "name = \"lent\"\nreads");
    bench.change("with = \"S1\"\nlength = 400\n[[reading]]", "with = \"lent\"\nlength = 400\n[[reading]]");
    bench.change("with = \"S1\"", "with = \"lent\"");
    let ran = bench.run(&["prove", "job.toml", "--json"]).went_well();
    let err = ran.err().replace('\n', " ");
    assert!(err.contains("counts as one that did not make this top"), "{err}");
    assert_ne!(common, ran.json()["square"]["u"].as_f64().unwrap());
}

#[test]
fn a_bar_is_pinned_at_the_holes_that_are_said() {
    let went = |more: &str| {
        let text = "[[instrument]]\nname = \"S1\"\nreads = [\"went\"]\nu = 0.02\n\
            [[reading]]\nkind = \"went\"\nbetween = [\"A1\", \"A4\"]\nwith = \"S1\"\nlength = 240\n";
        bench(&format!("{text}{more}\n[proof]\nprior = \"prediction\"\n"))
    };
    let u = |more: &str| went(more).run(&["prove", "job.toml", "--json"]).went_well().json()["pitch_x"]["u"].clone();
    let first = u("");
    assert_eq!(first, u("bar_holes = [1, 4]"), "its first holes, unless said");
    assert_eq!(first, u("bar_holes = [4, 1]"));
    assert_ne!(first, u("bar_holes = [3, 6]"), "other holes, otherwise known");
    let said = went("bar_holes = [3, 6]").run(&["prove", "job.toml"]).went_well().err().replace('\n', " ");
    assert!(said.contains("pinned at its holes 3 and 6"), "{said}");
    for (more, told) in [
        ("bar_holes = [3, 5]", "lie 160 mm apart"),
        ("bar_holes = [4, 7]", "two of the 6 holes"),
        ("bar_holes = [0, 3]", "two of the 6 holes"),
        ("bar_holes = [1.5, 4.5]", "two of the 6 holes"),
        ("bar_holes = 3", "bar_holes must be a list"),
    ] {
        let said = went(more).run(&["prove", "job.toml"]).ended_with(1, &[]).err().replace('\n', " ");
        assert!(said.contains(told), "{more}: {said}");
    }
    let lent = went("play = 0.06\nbar_holes = [1, 4]");
    lent.change("with = \"S1\"", "with = \"lent\"");
    lent.change("name = \"S1\"\nreads", "name = \"lent\"\nreads");
    lent.run(&["prove", "job.toml"]).ended_with(1, &["bars of the kit alone"]);
}

/// Places of the four corners of a top that leans by 0.8 mm per m, written by a camera into a file.
const PHOTO: &str = r#"{ "holefast_places": 1, "units": "mm", "holes": ["A1", "A6", "D1", "D6"],
  "x": [0.0, 400.0, -0.192, 399.808], "y": [0.0, 0.0, 240.0, 240.0], "u": 0.02 }"#;

#[test]
fn places_are_read_from_the_file_that_the_job_names() {
    let bench = bench("\n[[reading]]\nkind = \"place\"\nplaces = \"photo.json\"\n");
    let said = bench.run(&["prove", "job.toml"]).ended_with(1, &[]).err();
    assert!(said.contains("photo.json: no such file"), "{said}");
    bench.put("photo.json", PHOTO);
    let json = bench.run(&["prove", "job.toml", "--json"]).went_well().json();
    let square = json["square"]["value"].as_f64().unwrap();
    // The prediction, 0.09 mm per m or so, pulls a little.
    assert!((square - 0.8).abs() < 0.1, "{square}");
    bench.put("job.toml", bench.text("job.toml").replace("photo.json", "../photo.json"));
    let said = bench.run(&["prove", "job.toml"]).ended_with(1, &[]).err();
    assert!(said.contains("leads away from the job"), "{said}");
}
