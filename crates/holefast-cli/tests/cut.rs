//! `holefast cut`.

mod common;

use common::Bench;

const OCTAGON: &str = "\n[[cut]]\nname = \"octagon sides\"\nangle = 67.5\nlength = 300\nat = \"far\"\nwidth = 85\nkerf = 2.2\n\
                       quantity = 8\n";

fn with_cut(example: &str, cut: &str) -> Bench {
    let bench = Bench::with(example);
    bench.put("job.toml", bench.text("job.toml") + cut);
    bench
}

#[test]
fn a_cut_is_set_up_in_words() {
    let shown = with_cut("trailer-top.toml", OCTAGON).run(&["cut", "job.toml"]).went_well();
    let out = shown.out();
    for words in [
        "octagon sides: 67.5° from the fence, 22.5° on a mitre scale, 8 pieces\n",
        "  Fence    dogs in B1 and G8; looking from B1 to G8 the fence lies on their right, and the work against it\n",
        "  Rail     dogs in F6 and A14; looking from F6 to A14 the rail lies on their right, the cut 180 mm from the dogs\n",
        "  Shim     a shim of 0.65 mm between the fence and the dog in G8",
        "  Stop     300 mm long at the far edge: a dog in F8, then a spacer of 4.66 mm",
        "  Room     cuts up to 839 mm long, keeps the piece under the rail; the blade passes 180 mm from the nearest dog; it nicks E4\n",
        "  Mind     The cut passes over left trestle rail",
        "  Mind     Clamp the rail",
    ] {
        assert!(out.contains(words), "{words:?} is not in\n{out}");
    }
}

#[test]
fn a_settled_arrangement_is_taken_as_it_is() {
    let cut = "\n[[cut]]\nname = \"ends\"\nangle = 90\nlength = 400\nkerf = 2.2\n\
               fence = { holes = [\"B2\", \"B11\"], side = \"left\" }\n\
               rail = { holes = [\"A3\", \"G3\"], side = \"right\" }\nstop = { hole = \"C12\" }\n";
    let bench = with_cut("trailer-top.toml", cut);
    let json = bench.run(&["cut", "job.toml", "--json"]).went_well().json();
    let cut = &json["cuts"][0];
    assert_eq!(cut["fence"]["holes"], serde_json::json!(["B2", "B11"]));
    assert_eq!(cut["stop"]["hole"], "C12");
    // From the dogs in column 3, the cut 180 mm and half a dog off; the stop's dog in column 12.
    let dog = cut["stop"]["dog_mm"].as_f64().unwrap();
    let spacer = 900.0 - (0.5 * dog + 180.0) - 0.5 * dog - 2.2 - 400.0;
    assert!((cut["stop"]["spacer_mm"].as_f64().unwrap() - spacer).abs() < 1e-9, "{cut}");
    assert!(cut["u_mm_per_m"].as_f64().unwrap() > 0.0);
}

#[test]
fn a_cut_is_drawn_and_replaces_only_a_drawing() {
    let bench = with_cut("trailer-top.toml", OCTAGON);
    let printed = bench.run(&["cut", "job.toml", "--svg", "-"]).went_well().out();
    assert!(printed.starts_with("<svg") && printed.contains("stroke-dasharray"), "the cut is dashed");
    bench.run(&["cut", "job.toml", "--svg", "cut.svg"]).went_well().said(&["drawing written to cut.svg"]);
    assert_eq!(bench.text("cut.svg"), printed);
    bench.put("note.svg", "a note");
    bench.run(&["cut", "job.toml", "--svg", "note.svg"]).ended_with(4, &["it is no SVG drawing"]);
}

#[test]
fn what_cannot_be_cut_is_told_at_its_line() {
    let bench = Bench::with("trailer-top.toml");
    bench.run(&["cut", "job.toml"]).ended_with(1, &["the job has no cut", "[[cut]]"]);
    let far = "\n[[cut]]\nname = \"x\"\nangle = 90\nfence = { holes = [\"B2\", \"Z9\"], side = \"left\" }\n\
               rail = { holes = [\"A3\", \"G3\"], side = \"right\" }\n";
    with_cut("trailer-top.toml", far).run(&["cut", "job.toml"]).ended_with(1, &["Z9", "no dog hole of this top"]);
    let wide = "\n[[cut]]\nname = \"x\"\nangle = 67.5\nwidth = 2000\n";
    with_cut("trailer-top.toml", wide).run(&["cut", "job.toml"]).ended_with(3, &["leaves room", "2000 mm wide"]);
    let bench = with_cut("trailer-top.toml", OCTAGON);
    bench.run(&["cut", "job.toml", "--only", "nonagon"]).ended_with(2, &["no cut \"nonagon\"", "\"octagon sides\""]);
}

/// The worked cases of cutting are compared in the core; here that data comes out as it is asked for.
#[test]
fn a_job_without_a_kit_says_that_nothing_is_known_of_its_holes() {
    let bench = Bench::new();
    bench.put(
        "job.toml",
        "holefast = 1\nname = \"x\"\nunits = \"mm\"\n[top]\nlength = 1000\nwidth = 600\nthickness = 18\n\
         material = \"MDF\"\n[grid]\npitch = 96\nhole = 20\npilot = 3\nrows = 5\ncolumns = 9\nedge = 45\n\
         origin = \"centred\"\n[[cut]]\nname = \"square\"\nangle = 90\n",
    );
    let read = "[[instrument]]\nname = \"rule\"\nreads = [\"distance\"]\nu = 0.2\n[[reading]]\nkind = \"distance\"\n\
                between = [\"A1\", \"E5\"]\nwith = \"rule\"\nvalue = 543.1\n";
    bench.put("read.toml", bench.text("job.toml") + read);
    bench.run(&["cut", "read.toml", "--json"]).went_well().said(&["readings are not taken into account"]);
    let json = bench.run(&["cut", "job.toml", "--json"]).went_well().json();
    assert_eq!(json["basis"], "as planned, spread not known");
    assert!(json["cuts"][0]["u_mm_per_m"].is_null() && json["cuts"][0]["looked_for"] == true);
}
