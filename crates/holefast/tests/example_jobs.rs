//! The example jobs and the jobs of `tests/data` are read without a fault, and say what they are
//! meant to say.

use std::path::Path;

use holefast::job::{Units, parse};
use holefast::top::Count;
use holefast::{FaultKind, Job};

/// Reads a text that must be a job; remarks are allowed.
fn read(name: &str, text: &str) -> Job {
    let parsed = parse(text);
    for fault in &parsed.faults {
        assert_eq!(fault.kind, FaultKind::Remark, "{name}: {fault:?}");
        assert!(fault.span.is_some(), "{name}: {fault:?}");
    }
    parsed.job.unwrap_or_else(|| panic!("{name} is not read"))
}

/// An example; it is to be read without even a remark.
fn example(name: &str) -> Job {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = std::fs::read_to_string(path).unwrap();
    assert_eq!(parse(&text).faults, [], "{name}");
    read(name, &text)
}

#[test]
fn the_trailer_top_is_the_design_s_job() {
    let job = example("trailer-top.toml");
    assert_eq!((job.top.length, job.top.width, job.top.thickness), (1450.0, 780.0, 21.0));
    assert_eq!(job.grid.pitch, [100.0, 100.0]);
    assert_eq!((job.grid.rows, job.grid.columns), (Count::Fit, Count::Fit));
    assert_eq!(job.keep_outs.len(), 2);
    let kit = job.kit.as_ref().unwrap();
    assert_eq!((kit.bars[0].bore.min, kit.bars[0].bore.max), (4.0, 4.012));
    assert_eq!((kit.dog.diameter.min, kit.dog.diameter.max), (19.980, 19.993));
    assert!((kit.opening_bit.lean - 0.04 * std::f64::consts::PI / 180.0).abs() < 1e-18);
    assert!(!kit.gauges[0].assumed && kit.minutes.assumed);
    // The job in the design says the same.
    let parsed = parse(include_str!("data/jobs/design-section-4.toml"));
    let empty = parsed.faults.iter().filter(|f| f.kind == FaultKind::Remark && f.message.contains("is empty"));
    assert_eq!(empty.count(), 4, "reading, cut, part and stock stand there as bare headers");
    let mut from_design = parsed.job.expect("the design's job is read");
    from_design.places = job.places.clone();
    // Of what came later the design states nothing.
    let theirs = from_design.kit.as_mut().unwrap();
    assert_eq!(
        (theirs.gauges[0].length, theirs.block.step, theirs.dog.height, theirs.clamp_opens),
        (None, None, None, None)
    );
    theirs.gauges[0].length = kit.gauges[0].length;
    (theirs.block.step, theirs.dog.height, theirs.clamp_opens) = (kit.block.step, kit.dog.height, kit.clamp_opens);
    assert_eq!(from_design, job);
}

#[test]
fn the_inch_example_is_read_in_mm() {
    let job = example("press-bench.toml");
    assert_eq!(job.units, Units::Inch);
    assert_eq!((job.top.length, job.top.width), (1117.6, 711.2));
    assert_eq!((job.grid.hole, job.grid.pilot), (19.05, 3.175));
    assert_eq!(job.grid.pitch, [101.6, 101.6]);
    assert_eq!(job.kit.unwrap().gauges[0].diameter.max, 3.0);
}

#[test]
fn the_first_top_has_a_small_kit() {
    let job = example("first-top.toml");
    assert_eq!((job.grid.rows, job.grid.columns), (Count::Number(4), Count::Number(6)));
    let kit = job.kit.unwrap();
    assert_eq!((kit.pin.count, kit.dog.count, kit.bars[0].count, kit.bars[0].holes), (3, 2, 2, 6));
    assert!(kit.bars[0].turn_over);
}

#[test]
fn jobs_of_the_worked_cases_are_read() {
    let check = read("common-practice-7x14", include_str!("data/jobs/common-practice-7x14.toml"));
    let kit = check.kit.unwrap();
    assert!(kit.gauges[0].assumed && kit.gauges[0].count == 2);
    assert_eq!((kit.pin.count, kit.dog.count, kit.opening_bit.lean), (3, 2, 0.0));
    assert_eq!(kit.bars[0].width, None);
    for (name, text) in [
        ("p01-no-prior", include_str!("data/worked/p01-no-prior.toml")),
        ("p02-prior-mixed", include_str!("data/worked/p02-prior-mixed.toml")),
        ("p03-go-no-go", include_str!("data/worked/p03-go-no-go.toml")),
        ("p04-angles", include_str!("data/worked/p04-angles.toml")),
        ("p05-cuts", include_str!("data/worked/p05-cuts.toml")),
    ] {
        let job = read(name, text);
        assert_eq!(job.kit, None, "{name}");
        if name == "p05-cuts" {
            // Each [[cut]] keeps its fixed lines.
            assert_eq!(job.cuts.len(), 2);
            assert_eq!(job.cuts[1].fence.as_ref().unwrap().holes, ["A2".to_owned(), "A12".to_owned()]);
        }
    }
}

/// The keys of proof and cutting are known: a text that has each of them is read as part of a job.
#[test]
fn the_keys_of_proof_and_cutting_are_known() {
    let keys = include_str!("data/jobs/keys-of-proof-and-cutting.toml");
    let head = "holefast = 1\nname = \"x\"\nunits = \"mm\"\n[top]\nlength = 1480\nwidth = 760\nthickness = 18\n\
                material = \"MDF\"\n[grid]\npitch = 96\nhole = 20\npilot = 3\nrows = 7\ncolumns = 14\nedge = 45\n\
                origin = \"centred\"\n";
    let parsed = parse(&format!("{head}{keys}"));
    assert_eq!(parsed.faults, []);
    let job = parsed.job.unwrap();
    assert_eq!(job.accuracy.cut, Some(0.3));
    let cut = &job.cuts[0];
    assert_eq!(
        (cut.name.as_str(), cut.rail.as_ref().unwrap().holes.clone()),
        ("octagon sides", ["B3".into(), "G5".into()])
    );
    assert!((cut.angle - 67.5f64.to_radians()).abs() < 1e-15);
    // A kind of reading and a table for the prior that it has not.
    let others = "[[reading]]\nkind = \"turn_over\"\nfence = [\"A1\", \"A9\"]\nrail = [\"A1\", \"F1\"]\ngap = 0.1\n\
                 gap_at = \"fence\"\nlength = 300\n[[cut]]\nname = \"mitre\"\nangle = 45\nend = 45\n\
                 [proof]\nprior = { hole = 0.05, square = \"unknown\", pitch = [0.05, 0.1] }\n";
    assert_eq!(parse(&format!("{head}{others}")).faults, []);
}
