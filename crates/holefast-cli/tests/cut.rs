//! `holefast cut`.

use crate::common::Bench;

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

#[test]
fn a_job_without_a_kit_says_that_nothing_is_known_of_its_holes() {
    let bench = Bench::new();
    bench.put(
        "job.toml",
        "holefast = 1\nname = \"x\"\nunits = \"mm\"\n[top]\nlength = 1000\nwidth = 600\nthickness = 18\n\
         material = \"MDF\"\n[grid]\npitch = 96\nhole = 20\npilot = 3\nrows = 5\ncolumns = 9\nedge = 45\n\
         origin = \"centred\"\n[[cut]]\nname = \"square\"\nangle = 90\n",
    );
    let json = bench.run(&["cut", "job.toml", "--json"]).went_well().json();
    assert_eq!(json["basis"], "as planned, spread not known");
    assert!(json["cuts"][0]["u_mm_per_m"].is_null() && json["cuts"][0]["looked_for"] == true);
    // Both diagonals of a square of holes fix the right angle; one reading alone leaves it open.
    let read = |a: &str, b: &str, value: f64| {
        format!("[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"rule\"\nvalue = {value}\n")
    };
    let rule = "[[instrument]]\nname = \"rule\"\nreads = [\"distance\"]\nu = 0.2\n";
    let one = format!("{}{rule}{}", bench.text("job.toml"), read("A1", "E5", 543.1));
    bench.put("one.toml", &one);
    bench.put("two.toml", one + &read("A5", "E1", 543.0));
    let one = bench.run(&["cut", "one.toml"]).went_well().out();
    assert!(
        one.contains("Taken as proved") && one.contains("the readings leave open how far the holes are out"),
        "{one}"
    );
    let two = bench.run(&["cut", "two.toml", "--json"]).went_well().json();
    assert_eq!(two["basis"], "as proved");
    assert!(two["cuts"][0]["u_mm_per_m"].as_f64().unwrap() > 0.0, "{two}");
    let plan = bench.run(&["cut", "two.toml", "--by-plan"]).went_well().out();
    assert!(plan.contains("Taken as planned, the job's readings left aside"), "{plan}");
}

/// The worked cases of cutting, as in the core's `tests/data/worked`, through the command.
#[test]
fn reference_cuts_on_proved_holes() {
    let bench = Bench::new();
    bench.put("job.toml", include_str!("../../holefast/tests/data/worked/p05-cuts.toml"));
    let ran = bench.run(&["cut", "job.toml", "--json"]).went_well();
    let got = ran.json();
    assert_eq!((&got["basis"], &got["check_first"]), (&"as proved".into(), &false.into()));
    let expected: serde_json::Value =
        serde_json::from_str(include_str!("../../holefast/tests/data/worked/p05-cuts.json")).unwrap();
    let mut looked_at = 0;
    for check in expected["checks"].as_array().unwrap() {
        let path = check["path"].as_str().unwrap();
        let (cut, key) = path.strip_prefix("cuts[name=").unwrap().split_once("].").unwrap();
        let cut = got["cuts"].as_array().unwrap().iter().find(|c| c["name"] == cut).unwrap();
        let value = key.split('.').fold(cut, |at, part| &at[part]);
        if let Some(wanted) = check["value"].as_f64() {
            let value = value.as_f64().unwrap_or_else(|| panic!("{path} is {value}"));
            assert!((value - wanted).abs() <= check["tol"].as_f64().unwrap(), "{path}: {value}, wanted {wanted}");
        } else {
            assert_eq!(*value, check["equals"], "{path}");
        }
        looked_at += 1;
    }
    assert_eq!(looked_at, 22);
    // The first cut says that its piece lies under the rail, and with its sides it does not: that is told.
    ran.said(&["the fence runs into the one"]);
    let text = bench.run(&["cut", "job.toml"]).went_well().out();
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words:?} is not in\n{text}"));
    assert!(at("first this arrangement, not the whole grid") < at("Angle "), "it is offered first");
    assert!(text.contains("Taken as proved: what the readings leave open"));
}

#[test]
fn a_test_cut_gives_its_shim_through_the_command() {
    let cut = "\n[[cut]]\nname = \"ends\"\nangle = 90\nfence = { holes = [\"B2\", \"B11\"], side = \"left\" }\n\
               rail = { holes = [\"A3\", \"G3\"], side = \"right\" }\n\
               [[instrument]]\nname = \"caliper\"\nreads = [\"five_cut\"]\nu = 0.02\n\
               [[reading]]\nkind = \"five_cut\"\nwith = \"caliper\"\nfence = [\"B2\", \"B11\"]\n\
               rail = [\"A3\", \"G3\"]\nstrip = [11.46, 11.30]\nlength = 400\n";
    let bench = with_cut("trailer-top.toml", cut);
    let out = bench.run(&["cut", "job.toml"]).went_well().out();
    for words in [
        "  Test cut on these very lines (reading 1): 0.10 mm per metre over the angle",
        "  Shim     a shim of 0.06 mm between the rail and the dog in G3",
        ", by the test cut; measure the first piece again after it",
    ] {
        assert!(out.contains(words), "{words:?} is not in\n{out}");
    }
    let json = bench.run(&["cut", "job.toml", "--json"]).went_well().json();
    let test = &json["cuts"][0]["test"];
    assert!((test["error_mm_per_m"].as_f64().unwrap() - 0.1).abs() < 1e-9, "{test}");
    assert_eq!((&test["readings"], &test["shim"]["fence"]["hole"]), (&serde_json::json!([1]), &"B11".into()));
}

#[test]
fn a_list_of_parts_is_set_up_on_the_top() {
    let list = "\n[[stock]]\nname = \"half sheet\"\nlength = 1200\nwidth = 500\nquantity = 2\ntrim = 5\nkerf = 2.2\n\
                [[part]]\nname = \"shelf\"\nlength = 500\nwidth = 240\nquantity = 4\ntolerance = 1.5\n";
    let bench = with_cut("trailer-top.toml", list);
    let out = bench.run(&["cut", "job.toml", "--rounds", "2000"]).went_well().out();
    for words in
        ["cuts on this top, with", "setting A: square", "not here: nothing straight lies", "setting A, stop", "shelf"]
    {
        assert!(out.contains(words), "{words:?} is not in\n{out}");
    }
    let json = bench.run(&["cut", "job.toml", "--rounds", "2000", "--json"]).went_well().json();
    let (top, cuts) = (&json["list"]["on_top"], &json["list"]["batches"][0]["cuts"]);
    assert_eq!(top["cuts"].as_array().unwrap().len(), cuts.as_array().unwrap().len());
    assert!(top["settings"][0]["capacity_mm"].as_f64().unwrap() > 490.0, "{top}");
    let setting = &top["cuts"].as_array().unwrap().iter().find(|c| c["setting"] == "A").unwrap();
    assert!(setting["not_here"].is_null());
    assert_eq!(top["parts"][0]["name"], "shelf");
    assert_eq!(json["cuts"], serde_json::json!([]));
}
