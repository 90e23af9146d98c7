//! A proof of 200 holes from 400 readings, adjusted with full covariance and every test, beside the
//! same adjustment by scipy (`benches/peers/adjust.py`); then the next reading worth taking, singly and
//! in pairs. Marks: 30 ms; 100 ms for the best single of all pairs of holes; 2 s with the best pair.
//! Single, pair and the count until a verdict are timed together, and held against the marks of each.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use criterion::Criterion;
use holefast::Layout;
use holefast::job::{Job, parse};
use holefast::proof::{ProofAsk, next, prove};
use holefast::top::lay_out;

/// Scatter of a hole that jobs have where nothing is said, mm.
const HOLE: f64 = 0.1;
/// Uncertainty of the readings, mm.
const U: f64 = 0.05;

/// Uniform numbers from -1 to 1, the same on every machine (Lehmer's generator, from memory).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self.0 * 48_271 % 2_147_483_647;
        2.0 * self.0 as f64 / 2_147_483_647.0 - 1.0
    }
}

/// 10 × 20 holes, 400 distances between holes of rows and columns of their own, read with noise.
fn job() -> (Job, Layout) {
    let mut text = "holefast = 1\nname = \"Long bench\"\nunits = \"mm\"\n[top]\nlength = 1400\nwidth = 760\n\
        thickness = 21\nmaterial = \"birch plywood\"\n[grid]\npitch = 64\nhole = 20\npilot = 4\nrows = 10\ncolumns = 20\n\
        edge = 45\norigin = \"centred\"\n[accuracy]\nsquare = 0.25\n[[instrument]]\nname = \"caliper\"\n\
        reads = [\"distance\"]\nu = 0.05\nminutes = 1.5\n"
        .to_owned();
    let mut numbers = Numbers(1);
    let mut seen = std::collections::BTreeSet::new();
    while seen.len() < 400 {
        let mut pick = |most: f64| ((numbers.next() + 1.0) / 2.0 * most) as u32;
        let [a, b] = [0, 1].map(|_| (pick(10.0), pick(20.0)));
        if a.0 == b.0 || a.1 == b.1 || !seen.insert((a.min(b), a.max(b))) {
            continue;
        }
        let name = |(row, column): (u32, u32)| format!("{}{}", char::from(b'A' + row as u8), column + 1);
        let [dr, dc] = [f64::from(a.0) - f64::from(b.0), f64::from(a.1) - f64::from(b.1)];
        let value = 64.0 * (dr * dr + dc * dc).sqrt() + 2.0 * U * numbers.next();
        text.push_str(&format!(
            "[[reading]]\nkind = \"distance\"\nbetween = [\"{}\", \"{}\"]\nwith = \"caliper\"\nvalue = {value:.3}\n",
            name(a),
            name(b)
        ));
    }
    let job = parse(&text).job.expect("the job reads");
    let layout = lay_out(&job).expect("200 holes fit");
    assert_eq!(layout.holes.len(), 200);
    (job, layout)
}

/// The fastest of twenty times, s.
fn fastest(mut work: impl FnMut()) -> f64 {
    let times = (0..20).map(|_| {
        let clock = Instant::now();
        work();
        clock.elapsed().as_secs_f64()
    });
    times.fold(f64::INFINITY, f64::min)
}

fn peer(job: &Job, layout: &Layout, ours: f64) {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../benches/peers/adjust.py");
    let python = std::env::var("HOLEFAST_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let at = |name: &str| layout.holes.iter().position(|h| h.name == name).expect("a hole of the layout");
    let readings: Vec<_> = job
        .proof
        .readings
        .iter()
        .filter_map(|r| match &r.what {
            holefast::reading::What::Distance { between: [a, b], value, .. } => {
                Some(serde_json::json!([at(a), at(b), value, U]))
            }
            _ => None,
        })
        .collect();
    let nominal: Vec<[f64; 2]> = layout.holes.iter().map(|h| [h.centre.x, h.centre.y]).collect();
    let given = serde_json::json!({"nominal": nominal, "readings": readings, "hole": HOLE});
    let spawned = Command::new(&python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut child) = spawned else {
        println!("scipy peer: skipped: {python} does not start");
        return;
    };
    let written = child.stdin.take().map(|mut pipe| pipe.write_all(given.to_string().as_bytes()));
    let output = child.wait_with_output().expect("the peer ends");
    if output.status.code() == Some(3) {
        println!("scipy peer: skipped: {python} has no scipy; benches/peers/adjust.py says how to get it");
        return;
    }
    assert!(output.status.success() && written.is_some_and(|w| w.is_ok()), "the peer failed");
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).expect("the peer prints JSON");
    let proof = prove(job, layout, &ProofAsk::default()).expect("the readings are of this top");
    let mut most = 0.0f64;
    for (hole, theirs) in proof.holes.iter().zip(told["d"].as_array().expect("deviations")) {
        for axis in 0..2 {
            most = most.max((hole.d[axis] - theirs[axis].as_f64().expect("a number")).abs());
        }
    }
    let wall = told["wall_s"].as_f64().expect("a time");
    println!(
        "scipy peer ({}, {}): {:.1} ms, {:.1} times ours (at least 20 asked); greatest difference {most:.1e} mm",
        told["scipy"],
        told["method"],
        1000.0 * wall,
        wall / ours
    );
    assert!(most < 1e-9, "the peer disagrees");
}

fn main() {
    let (job, layout) = job();
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    criterion.bench_function("prove 200 holes, 400 readings", |b| {
        b.iter(|| prove(&job, &layout, &ProofAsk::default()).expect("the readings are of this top"));
    });
    let ours = fastest(|| {
        prove(&job, &layout, &ProofAsk::default()).expect("the readings are of this top");
    });
    println!("200 holes and 400 readings, covariance and tests: {:.1} ms (mark 30)", 1000.0 * ours);
    let mut few = job.clone();
    few.proof.readings.truncate(4);
    for (name, job) in [("after 4 readings", &few), ("after 400 readings", &job)] {
        let taken = fastest(|| {
            next(job, &layout, None).expect("there is an instrument");
        });
        println!(
            "best single and best pair of 19,900, and how many until a verdict, {name}: {:.0} ms (marks: single 100, pair 2000)",
            1000.0 * taken
        );
    }
    peer(&job, &layout, ours);
}
