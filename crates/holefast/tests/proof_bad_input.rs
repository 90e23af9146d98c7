//! Readings that cannot decide anything, or cannot be: each says what is missing and what to measure,
//! and nothing entered is dropped.

use holefast::job::parse;
use holefast::proof::{NoSquare, ProofAsk, prove};
use holefast::top::lay_out;
use holefast::words;

const TOP: &str = "holefast = 1\nname = \"Bench\"\nunits = \"mm\"\n[top]\nlength = 700\nwidth = 500\nthickness = 18\n\
    material = \"birch plywood\"\n[grid]\npitch = 96\nhole = 20\npilot = 4\nrows = 4\ncolumns = 6\nedge = 40\n\
    origin = \"centred\"\n[accuracy]\nsquare = 0.25\n[[instrument]]\nname = \"caliper\"\nreads = [\"distance\", \"offset\"]\nu = 0.05\n";

fn distance(a: &str, b: &str, value: &str) -> String {
    format!("[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"caliper\"\nvalue = {value}\n")
}

/// Everything that is told of a job with these readings: faults with hints, else the proof in words.
fn told(readings: &str) -> String {
    let parsed = parse(&format!("{TOP}{readings}"));
    let said = |faults: &[holefast::Fault]| {
        faults
            .iter()
            .map(|f| format!("{}\n{}", f.message, f.hint.clone().unwrap_or_default()))
            .collect::<Vec<_>>()
            .join("\n")
    };
    let Some(job) = parsed.job else { return said(&parsed.faults) };
    match prove(&job, &lay_out(&job).unwrap(), &ProofAsk::default()) {
        Ok(proof) => words::proof::lines(&proof, &job).join("\n"),
        Err(faults) => said(&faults),
    }
}

#[track_caller]
fn says(readings: &str, wanted: &[&str]) {
    let said = told(readings);
    for text in wanted {
        assert!(said.contains(text), "wanted: {text}\ntold: {said}");
    }
}

#[test]
fn no_reading_and_one() {
    says("", &["the job has no reading, so nothing is proved", "holefast next says which are worth taking first"]);
    // A diagonal alone does not part square from pitch.
    says(
        &distance("A1", "D6", "559.78"),
        &["Square is not told: these readings leave it free", "two crossed diagonals"],
    );
    // One reading of square itself does.
    says(
        "[[reading]]\nkind = \"angle\"\nlines = [[\"A1\", \"A6\"], [\"A1\", \"D1\"]]\ngap = 0.05\nlength = 300\nu = 0.03\n",
        &["from 1 reading", "Undecided"],
    );
}

#[test]
fn readings_that_contradict_each_other_are_checked_first() {
    let twice = distance("A1", "D6", "559.78") + &distance("A1", "D6", "560.4") + &distance("A6", "D1", "559.78");
    says(&twice, &["Check first: ", "With everything as it stands:", "reading 2"]);
}

#[test]
fn all_on_one_line() {
    let line = distance("A1", "A6", "480.0") + &distance("A1", "A4", "288.0");
    says(&line, &["Square is not told", "two crossed diagonals"]);
    // With nothing known beforehand only the holes read are there.
    says(
        &format!("[proof]\nprior = \"none\"\n{line}"),
        &["Square is not told: the holes read lie on one line. Read across: the two long diagonals first."],
    );
}

#[test]
fn a_free_direction_that_changes_square_is_named() {
    let sides = distance("A1", "A6", "480.0")
        + &distance("D1", "D6", "480.0")
        + &distance("A1", "D1", "288.0")
        + &distance("A6", "D6", "288.0");
    let parsed = parse(&format!("{TOP}{sides}"));
    let job = parsed.job.unwrap();
    let proof = prove(&job, &lay_out(&job).unwrap(), &ProofAsk::default()).unwrap();
    assert_eq!(proof.square, Err(NoSquare::Free));
    assert!(proof.datum.free.iter().any(|name| name == "square"), "{:?}", proof.datum);
    assert_eq!(proof.readings.len(), 4);
    says(&sides, &["These readings leave free: square", "two crossed diagonals with the same instrument"]);
}

#[test]
fn what_cannot_be_a_reading() {
    let without = "[[instrument]]\nname = \"rule\"\nreads = [\"distance\"]\n";
    says(&format!("{without}{}", distance("A1", "D6", "559.78")), &["instrument", "`u`"]);
    let nobody = "[[reading]]\nkind = \"distance\"\nbetween = [\"A1\", \"D6\"]\nvalue = 559.78\n";
    says(nobody, &["how well A1 to D6 is read is not said", "name an instrument with `with`, or add u"]);
    for value in ["0", "-559.78"] {
        says(&distance("A1", "D6", value), &["reading.value"]);
    }
    says(&distance("A1", "D6", "595.78"), &["are two digits swapped? 559.78 mm would fit"]);
    says(&distance("A1", "D6", "579.78"), &["was it read over the outer faces"]);
    says(&distance("A1", "H6", "559.78"), &["this top has no hole H6"]);
}
