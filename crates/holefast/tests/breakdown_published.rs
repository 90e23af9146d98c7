//! Published instances of two-dimensional cutting by through cuts: each solved as published, judged
//! by the legality checker, and compared with the best that is known. The table of `docs/cutting.md`
//! is written by this test (`HOLEFAST_GOLDEN=write`) and compared with it else.
//!
//! Instances: OR-Library (Beasley 1985; Christofides and Whitlock 1977), Hopper and Turton 2001. They
//! may not be copied: the test says when they are absent. Where the values are from: `docs/cutting.md`.
#![cfg(not(target_family = "wasm"))] // minutes there; the small ones run in `breakdown::tests`

use std::path::Path;

use holefast::breakdown::legal::faults_of;
use holefast::breakdown::{Axis, Breakdown, Effort, Part, PartGrain, Problem, Proof, Stock, most_value, solve};

/// Rounds for each; a few seconds for the hardest.
const EFFORT: Effort = Effort { rounds: 100_000, seed: 1 };

/// What is asked of an instance.
enum Asked {
    /// Most value from one sheet.
    Value(Problem),
    /// Least height of a strip so wide that takes all parts.
    Height { parts: Vec<Part>, width: i64 },
}

struct Instance {
    name: String,
    variant: &'static str,
    asked: Asked,
    known: u64,
}

struct Row {
    line: String,
    share: f64,
    seconds: f64,
}

fn numbers(value: &serde_json::Value) -> Vec<i64> {
    value.as_array().expect("a list").iter().map(|n| n.as_i64().expect("a whole number")).collect()
}

fn one_sheet(size: &[i64], parts: Vec<Part>) -> Problem {
    let stock = Stock { size: [size[0], size[1]], quantity: 1, grain: Some(Axis::X), trim: 0, kerf: 0 };
    Problem { parts, stock: vec![stock], stages: None, useful: [1, 1] }
}

fn parts(instance: &serde_json::Value, make: impl Fn(Vec<i64>) -> Part) -> Vec<Part> {
    instance["pieces"].as_array().expect("pieces").iter().map(|piece| make(numbers(piece))).collect()
}

fn instances(data: &serde_json::Value) -> Vec<Instance> {
    let mut out = Vec::new();
    let named = |key: &str| data[key].as_object().expect("instances").clone();
    for (name, instance) in named("gcut") {
        let stock = numbers(&instance["stock"]);
        for (key, variant, once, grain) in [
            ("unconstrained_guillotine_fixed_orientation", "any number, not turned", false, PartGrain::Length),
            ("unconstrained_guillotine_with_90deg_turns", "any number, turned", false, PartGrain::Any),
            ("each_piece_at_most_once_guillotine_fixed_orientation", "each once, not turned", true, PartGrain::Length),
        ] {
            let Some(known) = instance[key].as_u64() else { continue };
            let parts = parts(&instance, |p| {
                let quantity = if once { 1 } else { (stock[0] * stock[1] / (p[0] * p[1])) as u32 };
                Part { size: [p[0], p[1]], quantity, grain, value: Some(p[2] as u64) }
            });
            out.push(Instance { name: name.clone(), variant, asked: Asked::Value(one_sheet(&stock, parts)), known });
        }
    }
    for (name, instance) in named("cgcut") {
        let stock = numbers(&instance["stock"]);
        let parts = parts(&instance, |p| {
            let grain = PartGrain::Length;
            Part { size: [p[0], p[1]], quantity: p[2] as u32, grain, value: Some(p[3] as u64) }
        });
        let known = instance["constrained_guillotine_fixed_orientation_optimum"].as_u64().expect("a value");
        let asked = Asked::Value(one_sheet(&stock, parts));
        out.push(Instance { name, variant: "so many each, not turned", asked, known });
    }
    for (name, instance) in data["hopper_turton_2001_C"]["instances"].as_object().expect("instances") {
        let stock = numbers(&instance["header_numbers"]);
        let parts = parts(instance, |p| Part { size: [p[0], p[1]], quantity: 1, grain: PartGrain::Any, value: None });
        let area = instance["total_piece_area"].as_u64().expect("an area");
        let value = Asked::Value(one_sheet(&stock, parts.clone()));
        out.push(Instance { name: name.clone(), variant: "area in the rectangle, turned", asked: value, known: area });
        let height = Asked::Height { parts, width: stock[0] };
        let known = stock[1] as u64;
        out.push(Instance { name: name.clone(), variant: "height of the strip, turned", asked: height, known });
    }
    out
}

fn run(instance: &Instance) -> Row {
    let start = std::time::Instant::now();
    let (found, share, proof) = match &instance.asked {
        Asked::Value(problem) => {
            let found = most_value(problem, EFFORT, &mut |_| true);
            assert_eq!(faults_of(problem, &found), None, "{}, {}", instance.name, instance.variant);
            (found.value, found.value as f64 / instance.known as f64, said(&found))
        }
        Asked::Height { parts, width } => {
            let mut height = instance.known;
            loop {
                let problem = one_sheet(&[*width, height as i64], parts.clone());
                let found = solve(&problem, Effort { rounds: EFFORT.rounds / 2, ..EFFORT }, &mut |p| {
                    // all parts are in: what is left over is of no interest here
                    p.stock_area.is_none()
                });
                assert_eq!(faults_of(&problem, &found), None, "{}, {}", instance.name, instance.variant);
                if found.left.iter().all(|&n| n == 0) {
                    break;
                }
                height += 1;
            }
            let proof = if height == instance.known { "proved best" } else { "not proved" };
            (height, instance.known as f64 / height as f64, proof.to_owned())
        }
    };
    let Instance { name, variant, known, .. } = instance;
    let line = format!("| {name} | {variant} | {known} | {found} | {:.2} | {proof} |", share * 100.0);
    Row { line, share, seconds: start.elapsed().as_secs_f64() }
}

fn said(found: &Breakdown) -> String {
    match found.proof {
        Proof::Best => "proved best".to_owned(),
        Proof::Within(share) => format!("within {:.2} % of the bound", share * 100.0),
    }
}

/// The table in the document stands between these lines.
const MARKS: [&str; 2] = ["<!-- table of published instances: begin -->\n", "<!-- end -->\n"];

#[test]
fn reference_instances_come_out_as_the_document_says() {
    let Some(text) = crate::files::handed_over("reference/cutting_public.json") else { return };
    let data: serde_json::Value = serde_json::from_str(&text).expect("the published data is JSON");
    let rows: Vec<Row> = instances(&data).iter().map(run).collect();
    let mean = rows.iter().map(|r| r.share).sum::<f64>() / rows.len() as f64;
    let least = rows.iter().map(|r| r.share).fold(f64::INFINITY, f64::min);
    for row in &rows {
        println!("{} {:.2} s", row.line, row.seconds);
    }
    let mut table =
        String::from("\n| instance | variant | known best | found | % of it | |\n|---|---|---|---|---|---|\n");
    rows.iter().for_each(|row| table.extend([&row.line, "\n"]));
    table.push_str(&format!("\nMean {:.2} %, least {:.2} %.\n\n", mean * 100.0, least * 100.0));
    assert!(rows.len() >= 34, "{} rows", rows.len());
    assert!(mean >= 0.98, "{mean}");
    assert!(rows.iter().all(|r| (0.95..=1.0).contains(&r.share)), "{least}");
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cutting.md");
    let document = std::fs::read_to_string(&path).expect("docs/cutting.md is there");
    let (before, rest) = document.split_once(MARKS[0]).expect("the table's beginning");
    let (old, after) = rest.split_once(MARKS[1]).expect("the table's end");
    if std::env::var("HOLEFAST_GOLDEN").is_ok_and(|value| value == "write") {
        std::fs::write(&path, [before, MARKS[0], &table, MARKS[1], after].concat()).expect("it can be written");
    } else {
        assert_eq!(old, table, "if it is meant: HOLEFAST_GOLDEN=write, and read the difference");
    }
}
