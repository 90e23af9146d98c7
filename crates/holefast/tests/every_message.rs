//! Messages that no bad job reaches: refusals of the planner, slips in a plan's data, plans that
//! contradict their job, edits that cannot be made. Each is brought about and must come in its words.

use holefast::Fault;
use holefast::job::{Done, DoneAs, Job, Setting, Spoiled, parse, set};
use holefast::kit::Kit;
use holefast::plan::{Exists, HoleKind, Plan, PlanOptions, from_json, make_plan, to_json};
use holefast::predict::{LineAsk, Model};
use holefast::replay::replay;
use holefast::top::{CellRange, lay_out};

const FIRST_TOP: &str = include_str!("../../../examples/first-top.toml");
const TRAILER_TOP: &str = include_str!("../../../examples/trailer-top.toml");

/// The text with pieces replaced; each must be there.
fn changed(text: &str, changes: &[(&str, &str)]) -> String {
    changes.iter().fold(text.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "{old} is not in the example");
        text.replacen(old, new, 1)
    })
}

fn job(text: &str) -> Job {
    let parsed = parse(text);
    parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults))
}

fn planned(job: &Job) -> Result<Plan, Vec<Fault>> {
    make_plan(job, &lay_out(job)?, &PlanOptions::default())
}

/// All the ways out of a refusal are said, and the message is among its faults.
fn told(faults: &[Fault], message: &str) {
    assert!(faults.iter().any(|f| f.message == message), "wanted: {message}\ntold: {faults:#?}");
    assert!(faults.iter().all(|f| f.hint.as_ref().is_some_and(|h| !h.is_empty())), "{faults:#?}");
}

#[test]
fn what_the_planner_refuses() {
    let kit = FIRST_TOP.find("[kit]").unwrap();
    let accuracy = FIRST_TOP.find("[accuracy]").unwrap();
    let without_kit = format!("{}{}", &FIRST_TOP[..kit], &FIRST_TOP[accuracy..]);
    told(&planned(&job(&without_kit)).unwrap_err(), "a plan needs a [kit]: bars, pins, bits, a block and dogs");

    /// An example, pieces replaced in it, and what is told.
    type Case = (&'static str, &'static [(&'static str, &'static str)], &'static str);
    let cases: [Case; 5] = [
        (
            FIRST_TOP,
            &[("count = 2                             # S1", "count = 1 # S1")],
            "a right triangle takes two bars besides the row, and the kit has 1",
        ),
        (
            FIRST_TOP,
            &[("holes = 6 ", "holes = 4 ")],
            "no right triangle fits the bars: the longest has 4 holes, and 3-4-5 on this grid takes 6",
        ),
        (
            FIRST_TOP,
            &[
                ("length = 500", "length = 260"),
                ("width  = 340", "width  = 180"),
                ("rows = 4 ", "rows = 2 "),
                ("columns = 6", "columns = 3"),
            ],
            "no right triangle stands on this grid: its longest line has 2 pitches, and 3-4-5 takes 3",
        ),
        // Both neighbours of the corner are kept clear, so neither a hole nor a helper can stand there.
        (
            FIRST_TOP,
            &[(
                "[accuracy]",
                "[[keep_out]]\nname = \"vice\"\nside = \"above\"\ncircle = [370, 290, 20]\nclearance = 5\n\n\
                 [[keep_out]]\nname = \"cleat\"\nside = \"above\"\ncircle = [450, 210, 20]\nclearance = 5\n\n[accuracy]",
            )],
            "D6 has no hole beside it, and no helper pilot can stand there, so the block cannot seat",
        ),
        (
            TRAILER_TOP,
            &[
                ("rows = \"fit\" ", "only = [\"A1:E6\", \"F14:G14\"]\nrows = \"fit\" "),
                ("holes = 12", "holes = 6"),
                ("rect = [402.5, 0, 45, 780]", "rect = [600, 0, 700, 780]"),
            ],
            "no bar pinned on bored holes reaches F14 G14",
        ),
    ];
    for (text, changes, message) in cases {
        let job = job(&changed(text, changes));
        let faults = planned(&job).map(|plan| plan.reasons).unwrap_err();
        told(&faults, message);
    }

    let top = job(FIRST_TOP);
    let mut layout = lay_out(&top).unwrap();
    layout.holes.clear();
    told(&make_plan(&top, &layout, &PlanOptions::default()).unwrap_err(), "no hole of the grid is left to bore");

    // Kits that no text gives: the reader refuses them before.
    type Change = fn(&mut Kit);
    let kits: [(Change, &str); 3] = [
        (|kit| kit.pin.count = 1, "a bar is located by two pins, and the kit has 1"),
        (|kit| kit.dog.count = 0, "the second pass seats the block on dogs, and the kit has none"),
        (
            |kit| {
                kit.pin.count = 2;
                kit.gauges.clear();
            },
            "a triangle takes three pins, and the kit has 2 and no gauge to stand in",
        ),
    ];
    for (change, message) in kits {
        let mut job = job(FIRST_TOP);
        change(job.kit.as_mut().unwrap());
        told(&planned(&job).unwrap_err(), message);
    }

    let mut begun = job(FIRST_TOP);
    let done = |holes: &str, as_| Done {
        holes: CellRange::parse(holes).into_iter().collect(),
        as_,
        scatter: None,
        helpers: Vec::new(),
    };
    begun.done.push(done("A1:C6", DoneAs::Dog));
    told(
        &planned(&begun).unwrap_err(),
        "18 dog holes exist and no pilot, and a bar's pins stand in pilots only: nothing ties D1 D2 D3 D4 D5 D6 to them",
    );
}

#[test]
fn helpers_that_cannot_be_where_they_are_said_to_be() {
    // The first top's A1 is at [50, 50] mm, its pitch 80.
    for (helper, message) in [
        ("[90, 50]", "the helper at [90, 50] lies 40 mm off the grid's pitch"),
        ("[130, 129]", "the helper at [130, 129] is B2, a hole of the grid"),
        ("[-30, 50]", "no pilot can stand at [-30, 50], where a helper is said to be"),
    ] {
        let job = job(&format!("{FIRST_TOP}\n[[done]]\nholes = [\"A1\"]\nas = \"pilot\"\nhelpers = [{helper}]\n"));
        let faults = planned(&job).unwrap_err();
        told(&faults, message);
        assert!(faults[0].span.is_some(), "{message}");
    }
}

#[test]
fn slips_in_a_plan_s_data() {
    let text = to_json(&planned(&job(FIRST_TOP)).unwrap());
    for (old, new, message) in [
        ("\"kind\": \"bar\"", "\"kind\": \"sled\"", "kind of template S1: \"sled\" is not known"),
        ("\"kind\": \"dog\"", "\"kind\": \"cat\"", "kind of hole A1: \"cat\" is not known"),
        ("\"with\": \"pin\"", "\"with\": \"gauge\"", "set-up 2: a gauge without its diameter_mm"),
        ("\"by\": \"edge clamp\"", "\"by\": \"hold-down\"", "set-up 1: a hold-down without its hole"),
        ("\"stage\": \"fill\"", "\"stage\": \"feast\"", "\"feast\" is not known"),
        ("\"bit\": \"pilot\"", "\"bit\": \"both\"", "\"both\" is not known"),
    ] {
        let slipped = changed(&text, &[(old, new)]);
        let fault = from_json(&slipped).unwrap_err();
        assert!(fault.message.contains(message) && fault.hint.is_some(), "{message}: {fault:?}");
    }
    // Limits the wrong way round, a scatter below nothing, no plan at all.
    let mut data: serde_json::Value = serde_json::from_str(&text).unwrap();
    data["templates"][0]["features"][0]["bore_mm"] = serde_json::json!([4.012, 4.0]);
    assert_eq!(from_json(&data.to_string()).unwrap_err().message, "S1:0: limits 4.012 to 4 are not a diameter");
    let mut data: serde_json::Value = serde_json::from_str(&text).unwrap();
    data["exists"] = serde_json::json!([{"hole": "A1", "as": "pilot", "scatter_mm": -1.0}]);
    assert_eq!(from_json(&data.to_string()).unwrap_err().message, "A1 exists with a scatter of -1 mm");
    assert!(from_json("{").unwrap_err().message.starts_with("this is not a plan: "));
}

#[test]
fn plans_that_contradict_themselves_or_their_job() {
    let job = job(FIRST_TOP);
    let plan = planned(&job).unwrap();
    let kit = job.kit.as_ref().unwrap();
    let modelled = |change: &dyn Fn(&mut Plan), message: &str| {
        let mut plan = plan.clone();
        change(&mut plan);
        let faults = Model::new(kit, &plan).map(|_| ()).unwrap_err();
        assert!(faults.iter().any(|f| f.message == message), "{message}: {faults:?}");
    };
    let exists = |hole: &str| Exists { hole: hole.to_owned(), dog: false, scatter_mm: 0.05 };
    modelled(&|plan| plan.templates.push(plan.templates[0].clone()), "template S1 stands in the plan twice");
    modelled(&|plan| plan.holes.push(plan.holes[0].clone()), "hole A1 stands in the plan twice");
    modelled(&|plan| plan.exists.push(exists("Q9")), "Q9 exists and is not among the plan's holes");
    modelled(&|plan| plan.plugged.push("Q9".to_owned()), "Q9 is plugged and not among the plan's holes");
    let ask = LineAsk { fence: ["A1".to_owned(), "A6".to_owned()], rail: ["A1".to_owned(), "Q9".to_owned()] };
    let faults = Model::new(kit, &plan).unwrap().first_order(&[ask]).unwrap_err();
    told(&faults, "the rail stands on Q9, which no set-up opens");

    let replayed = |job: &Job, change: &dyn Fn(&mut Plan), message: &str| {
        let mut plan = plan.clone();
        change(&mut plan);
        let fault = replay(job, &plan).map(|_| ()).unwrap_err();
        assert_eq!(fault.message, message);
        assert!(fault.hint.is_some(), "{fault:?}");
    };
    replayed(&job, &|plan| plan.setups[1].done = true, "set-up 2 is done, and one before it is not");
    replayed(
        &job,
        &|plan| plan.exists.push(exists("A1")),
        "A1 exists as a pilot in the plan, and is not bored by the job",
    );
    replayed(
        &job,
        &|plan| plan.plugged.push("A1".to_owned()),
        "A1 is plugged in the plan, and the job has it not as spoiled",
    );
    let mut begun = job.clone();
    begun.done.push(Done {
        holes: CellRange::parse("A1:A5").into_iter().collect(),
        as_: DoneAs::Pilot,
        scatter: None,
        helpers: Vec::new(),
    });
    begun.spoiled.push(Spoiled { hole: "B1".to_owned(), why: String::new() });
    replayed(
        &begun,
        &|plan| plan.setups[0].done = true,
        "after the set-ups that are done A6 is a pilot, and is not bored by the job",
    );
    let dogs = plan.holes.iter().filter(|h| h.kind == HoleKind::Dog).count();
    assert_eq!(dogs, 24, "the example that all this is made of");
}

#[test]
fn edits_that_cannot_be_made() {
    for (path, value, message) in [
        ("grid.pitch", Setting::Number(f64::INFINITY), "this number is not finite"),
        ("grid..pitch", Setting::Number(1.0), "\"grid..pitch\" is not a path"),
        ("name.x", Setting::Number(1.0), "name is not a table of the kind the path asks for"),
        ("grid", Setting::Number(1.0), "grid is a table, not a value"),
        ("kit.bar[7].bore", Setting::Number(1.0), "the job has no kit.bar[7].bore"),
    ] {
        assert_eq!(set(FIRST_TOP, path, &value).unwrap_err().message, message);
    }
    assert!(set("name = ", "name", &Setting::Flag(true)).unwrap_err().message.starts_with("not well-formed TOML"));
}

#[test]
fn a_grid_that_no_text_gives_and_a_table_left_empty() {
    let mut flat = job(FIRST_TOP);
    flat.grid.hole = 0.0;
    told(&lay_out(&flat).unwrap_err(), "the dog hole's diameter is 0 mm");
    let parsed = parse(&format!("{FIRST_TOP}\n[[keep_out]]\n"));
    assert!(parsed.job.is_some());
    let remark = parsed.faults.iter().find(|f| f.message == "this [[keep_out]] is empty and is left out");
    assert!(remark.is_some_and(|f| f.span.is_some()), "{:?}", parsed.faults);
}

#[test]
fn clamps_that_can_hold_nothing_are_remarked_on() {
    let text = changed(
        TRAILER_TOP,
        &[("opens = 160", "opens = 28\nbelow = 70"), ("thickness = 21", "thickness = 21\nfree_below = 45")],
    );
    let parsed = parse(&text);
    assert!(parsed.job.is_some());
    let remarks: Vec<&str> = parsed.faults.iter().map(|f| f.message.as_str()).collect();
    assert_eq!(
        remarks,
        [
            "the clamps open 28 mm, and sheet and a bar are 29 mm together: none holds a bar",
            "the clamps open 28 mm, and sheet and the block are 61 mm together: none holds the block",
            "the clamps take 70 mm below the sheet, and 45 mm is free there: none can be used",
        ]
    );
    told(&parsed.faults, remarks[2]);
    assert_eq!(parsed.faults[2].hint.as_deref(), Some("raise the sheet on blocks by 25 mm while you bore"));
}
