//! How many readings a proof has to spare, counted by hand: each reading is one, and square and the two pitches
//! take one each where nothing is known of them. Readings are invented.

use holefast::desk::{Desk, SEED};
use holefast::job::parse;

const TOP: &str = include_str!("../../../examples/trailer-top.toml");

const CALIPER: &str = "\n[[instrument]]\nname = \"long caliper\"\nreads = [\"distance\"]\nu = 0.05\n";

/// Distances of the trailer top's holes, 100 mm apart: between which, and what was read.
const READ: [(&str, &str, f64); 8] = [
    ("A1", "G9", 1000.03),
    ("G1", "A9", 999.95),
    ("A1", "A9", 800.02),
    ("A1", "G1", 600.01),
    ("A14", "G14", 599.96),
    ("G1", "G9", 800.05),
    ("A5", "D9", 500.04),
    ("D1", "A5", 499.97),
];

/// Upper 5 % points of χ² with 1 to 5 degrees of freedom (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4).
const CHI_SQUARE_95: [f64; 5] = [3.841, 5.991, 7.815, 9.488, 11.070];

#[test]
fn readings_to_spare_are_those_beyond_three() {
    for (spare, limit) in (1..).zip(CHI_SQUARE_95) {
        let readings: String = READ[..3 + spare]
            .iter()
            .map(|(a, b, value)| {
                format!("[[reading]]\nkind = \"distance\"\nbetween = [\"{a}\", \"{b}\"]\nwith = \"long caliper\"\nvalue = {value}\n")
            })
            .collect();
        let parsed = parse(&format!("{TOP}{CALIPER}{readings}"));
        let job = parsed.job.unwrap_or_else(|| panic!("{:?}", parsed.faults));
        let proof = Desk::new(&job).proof(SEED).unwrap_or_else(|faults| panic!("{faults:?}"));
        assert_eq!(proof.test.freedom as usize, spare);
        assert!(
            (proof.test.limit.unwrap() - limit).abs() < 6e-4,
            "{spare} to spare: {:?} for {limit}",
            proof.test.limit
        );
    }
}
