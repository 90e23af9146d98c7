//! Usual practice against recommended readings: what each leaves of square's uncertainty on a top of
//! 7 × 14 holes at 96 mm, worked out anew and held against the table of docs/proving.md.

use std::fmt::Write as _;

use holefast::Layout;
use holefast::job::{Job, parse};
use holefast::proof::{ProofAsk, prove};
use holefast::reading::{Known, Prior, Stated};
use holefast::top::lay_out;

const TOP: &str = "holefast = 1\nname = \"Seven by fourteen\"\nunits = \"mm\"\n[top]\nlength = 1480\nwidth = 760\n\
    thickness = 18\nmaterial = \"birch plywood\"\n[grid]\npitch = 96\nhole = 20\npilot = 3\nrows = 7\ncolumns = 14\nedge = 45\n\
    origin = \"centred\"\n[accuracy]\nsquare = 0.25\n\
    [[instrument]]\nname = \"tape\"\nreads = [\"distance\"]\nu = 0.3\nclass = \"II\"\n\
    [[instrument]]\nname = \"pinch rod\"\nreads = [\"distance\"]\nu = 0.05\nzero = \"unknown\"\n\
    [[instrument]]\nname = \"rule\"\nreads = [\"distance\"]\nu = 0.2\n\
    [[instrument]]\nname = \"caliper 1 m\"\nreads = [\"distance\"]\nu = 0.05\n\
    [[instrument]]\nname = \"caliper 300\"\nreads = [\"distance\", \"five_cut\"]\nu = 0.025\n\
    [[instrument]]\nname = \"try square\"\nreads = [\"angle\"]\nu = 0.03\nzero = \"unknown\"\n\
    [[instrument]]\nname = \"bar\"\nreads = [\"went\"]\nu = 0.012\n";

fn hole(name: &str) -> [f64; 2] {
    let row = f64::from(name.as_bytes()[0] - b'A');
    let column: f64 = name[1..].parse::<f64>().unwrap() - 1.0;
    [96.0 * column, 96.0 * row]
}

fn distance([a, b]: [&str; 2], with: &str) -> String {
    let (p, q) = (hole(a), hole(b));
    let value = ((p[0] - q[0]) * (p[0] - q[0]) + (p[1] - q[1]) * (p[1] - q[1])).sqrt();
    format!("[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"{with}\"\nvalue = {value}\n")
}

fn distances(pairs: &[[&str; 2]], with: &str) -> String {
    pairs.iter().map(|pair| distance(*pair, with)).collect()
}

fn job(readings: &str, prior: Prior) -> (Job, Layout) {
    let parsed = parse(&format!("{TOP}{readings}"));
    let mut job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
    job.proof.prior = Some(prior);
    let layout = lay_out(&job).unwrap();
    assert_eq!(layout.holes.len(), 98);
    (job, layout)
}

/// Standard uncertainty of square; `None` where it is not fixed.
fn u(readings: &str, prior: Prior) -> Option<f64> {
    let (job, layout) = job(readings, prior);
    prove(&job, &layout, &ProofAsk::default()).unwrap().square.ok().map(|square| square.u)
}

const LONG: [[&str; 2]; 2] = [["A1", "G14"], ["A14", "G1"]];
const BAR: [[&str; 2]; 2] = [["A1", "G9"], ["A9", "G1"]];

/// What is read, and the readings.
fn cases() -> Vec<(&'static str, String)> {
    let corner = |corner: &str, along: &str, up: &str| {
        format!(
            "[[reading]]\nkind = \"angle\"\nlines = [[\"{corner}\", \"{along}\"], [\"{corner}\", \"{up}\"]]\nwith = \"try square\"\ngap = 0\nlength = 300\n"
        )
    };
    let went = |[a, b]: [&str; 2]| {
        format!(
            "[[reading]]\nkind = \"went\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"bar\"\nlength = 960\nplay = 0.06\n"
        )
    };
    vec![
        ("2 long diagonals, tape of class II, u 0.3", distances(&LONG, "tape")),
        ("2 long diagonals, pinch rod, u 0.05", distances(&LONG, "pinch rod")),
        ("3-4-5 once (3 readings), rule, u 0.2", distances(&[["A1", "A9"], ["A1", "G1"], ["G1", "A9"]], "rule")),
        ("both 960 mm diagonals, the same rule", distances(&BAR, "rule")),
        ("both 960 mm diagonals, caliper of 1 m, u 0.05", distances(&BAR, "caliper 1 m")),
        (
            "the same and four sides",
            distances(&BAR, "caliper 1 m")
                + &distances(&[["A1", "A9"], ["G1", "G9"], ["A1", "G1"], ["A9", "G9"]], "caliper 1 m"),
        ),
        ("two 271 mm diagonals, caliper of 300, u 0.025", distances(&[["A1", "C3"], ["A3", "C1"]], "caliper 300")),
        (
            "try square on long lines at 4 corners, its own error unknown",
            corner("A1", "A14", "G1") + &corner("A14", "A1", "G14") + &corner("G1", "G14", "A1") + &corner("G14", "G1", "A14"),
        ),
        (
            "five cuts once, strip of 400",
            "[[reading]]\nkind = \"five_cut\"\nfence = [\"A14\", \"A1\"]\nrail = [\"A14\", \"G14\"]\nwith = \"caliper 300\"\nstrip = [11.4, 11.4]\nlength = 400\n".to_owned(),
        ),
        ("bar of 960 mm went on both diagonals, play 0.06", BAR.map(went).concat()),
    ]
}

fn prior(hole: f64, square: Known, pitch: Known) -> Prior {
    Prior::Stated(Stated { hole: Known::Within(hole), square, pitch: [pitch; 2] })
}

/// The columns: nothing known; scatter of 0.05; *care*; *plan*.
fn priors() -> [Prior; 4] {
    [
        Prior::None,
        prior(0.05, Known::Unknown, Known::Unknown),
        prior(0.05, Known::Within(0.3), Known::Within(0.1)),
        prior(0.05, Known::Within(0.1), Known::Within(0.05)),
    ]
}

fn table() -> String {
    let mut out = String::new();
    for (name, readings) in cases() {
        let cells = priors().map(|prior| u(&readings, prior).map_or("not fixed".to_owned(), |u| format!("{u:.3}")));
        writeln!(out, "| {name} | {} |", cells.join(" | ")).unwrap();
    }
    out
}

#[test]
fn the_table_of_docs_proving_is_what_the_code_says() {
    let table = table();
    print!("{table}");
    let text = include_str!("../../../docs/proving.md");
    for row in table.lines() {
        assert!(text.contains(row), "not in docs/proving.md: {row}");
    }
}

#[test]
fn the_figures_of_the_notes_within_their_last_digit() {
    // The table of docs/proving.md as first noted; None where the table has no figure.
    let noted: [[Option<f64>; 4]; 9] = [
        [Some(0.406), Some(0.416), Some(0.244), Some(0.101)],
        [Some(0.068), Some(0.113), Some(0.106), Some(0.077)],
        [Some(0.614), None, Some(0.255), Some(0.102)],
        [Some(0.307), None, Some(0.221), Some(0.099)],
        [Some(0.077), Some(0.130), Some(0.119), Some(0.081)],
        [Some(0.077), None, Some(0.119), Some(0.081)],
        [Some(0.130), None, Some(0.238), Some(0.101)],
        [Some(0.050), Some(0.104), Some(0.098), Some(0.074)],
        [Some(0.022), Some(0.134), Some(0.122), Some(0.082)],
    ];
    let mut wrong = String::new();
    for ((name, readings), row) in cases().iter().zip(noted) {
        for (prior, wanted) in priors().into_iter().zip(row) {
            let Some(wanted) = wanted else { continue };
            let found = u(readings, prior);
            if found.is_none_or(|u| (u - wanted).abs() > 0.0021) {
                writeln!(wrong, "{name}: {found:?}, noted {wanted}").unwrap();
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}
