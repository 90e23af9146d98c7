//! Two test cuts, worked through: how to make them safely, what to measure, what it says, what to do
//! about it. Examples are worked out here, from strips and gaps that are made up for them.

use crate::job::Units;
use crate::measure::format;

use super::figures::fine;

/// A test cut as a page has it.
#[derive(Clone, Debug, PartialEq)]
pub struct TestCut {
    /// Its name.
    pub head: &'static str,
    /// What it is good for.
    pub about: String,
    /// What is done, in order.
    pub steps: Vec<String>,
    /// What the figures say, and an example.
    pub says: Vec<String>,
}

/// The example's figures, mm; made up, round in the job's units.
struct Example {
    /// Strip at the end that lay against the fence and at the other.
    strip: [f64; 2],
    strip_length: f64,
    /// Standard uncertainty of the caliper.
    caliper: f64,
    gap: f64,
    /// Length of the cut that is turned over.
    cut_length: f64,
    /// Between the rail's two dogs.
    base: f64,
}

impl Example {
    fn of(units: Units) -> Example {
        let inch = crate::measure::mm_from_inch;
        match units {
            Units::Mm => Example {
                strip: [11.62, 11.22],
                strip_length: 400.0,
                caliper: 0.03,
                gap: 0.2,
                cut_length: 500.0,
                base: 600.0,
            },
            Units::Inch => Example {
                strip: [inch(0.457), inch(0.441)],
                strip_length: inch(16.0),
                caliper: inch(0.001),
                gap: inch(0.008),
                cut_length: inch(20.0),
                base: inch(24.0),
            },
        }
    }
}

/// mm per m in one.
const PER_METRE: f64 = 1000.0;

/// Departure from 90° by five cuts, mm per m: (A − B) / (4 L).
pub fn by_five_cuts([fence, other]: [f64; 2], length: f64) -> f64 {
    (fence - other) / (4.0 * length) * PER_METRE
}

/// Departure from 90° by a gap between halves turned over, mm per m: gap / (2 L).
pub fn by_turning_over(gap: f64, length: f64) -> f64 {
    gap / (2.0 * length) * PER_METRE
}

/// What holds for both beside the cautions of every cut ([`super::cutting::CUTTING`]).
pub const CAUTIONS: [&str; 2] = [
    "The saw moves, the board lies held. Plug or battery out while the board is turned.",
    "The last strip is narrow: it lies free beyond the cut until the blade stands, and no hand goes near it before. A board too small to be clamped is too small for this.",
];

/// Both test cuts, in the job's units.
pub fn test_cuts(units: Units) -> [TestCut; 2] {
    let say = |mm: f64| fine(units, mm);
    let per = |value: f64| format!("{} mm per metre", format::signed(value, 2));
    let Example { strip, strip_length, caliper, gap, cut_length, base } = Example::of(units);
    let five = by_five_cuts(strip, strip_length);
    let u = std::f64::consts::SQRT_2 * caliper / (4.0 * strip_length) * PER_METRE;
    let turned = by_turning_over(gap, cut_length);
    let shim = five.abs() / PER_METRE * base;
    [
        TestCut {
            head: "Five cuts",
            about: "The error of one arrangement of fence and rail, four times over, on the very lines it will be used on: nothing reads it finer.".to_owned(),
            steps: vec![
                "Take a board as large as the arrangement takes, about square, its edges straight. Number its edges 1 to 4 round in one sense.".to_owned(),
                "Edge 1 against the fence, cut a little off the end. Turn the board a quarter so that the fresh edge lies against the fence, and cut; so all the way round, always in the same sense.".to_owned(),
                "At the fifth cut the first edge cut comes under the blade again: cut off a strip a good centimetre wide and as long as the board. Mark at once the end that lay against the fence.".to_owned(),
                "Measure the strip's width at both ends, a finger's breadth in: A at the end from the fence, B at the other; L between the two places.".to_owned(),
            ],
            says: vec![
                format!(
                    "(A − B) / (4 L) is what the angle on the work's side is over 90°. An example, figures made up: A {}, B {}, L {}: {}, give or take {} with a caliper good to {}.",
                    say(strip[0]), say(strip[1]), say(strip_length), per(five), format::fixed(1.96 * u, 2), say(caliper)
                ),
                "In the job: kind = \"five_cut\", fence from the cut into the work, rail away from the fence, strip = [A, B], length = L.".to_owned(),
                format!(
                    "The correction is that times the distance of the rail's two dogs: at {} here {}. Over 90°: a shim that thick at the far dog where the rail lies on the work's side of its dogs, at the near dog where it lies on the other. Under 90°: the other dog. Then cut once more and look.",
                    say(base), say(shim)
                ),
            ],
        },
        TestCut {
            head: "Turned over",
            about: "Quicker, and coarser by the eye: one cut, doubled.".to_owned(),
            steps: vec![
                "Take a board with two parallel edges, as wide as the cut is to be long. One edge against the fence, cut it in two.".to_owned(),
                "Leave one half as it lies, turn the other over edge for edge, push both against the fence and bring the cut edges together.".to_owned(),
                "Look for light. Measure the gap with feelers where it is widest, and note whether that is at the fence or at the far edge; L is the length of the cut.".to_owned(),
            ],
            says: vec![
                format!(
                    "Gap / (2 L) is what the angle is off. A gap at the fence: over 90° on the work's side; at the far edge: under. An example, made up: {} at the fence over {}: {}.",
                    say(gap), say(cut_length), per(turned)
                ),
                "In the job: kind = \"turn_over\", fence and rail as above, gap, gap_at = \"fence\" or \"far\", length = L. The correction is the same.".to_owned(),
            ],
        },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Five cuts made with a rail that leans, corner by corner: the strip is as wide as the words say.
    #[test]
    fn five_cuts_of_a_leaning_rail_leave_the_strip_of_the_formula() {
        let lean = 0.25 / PER_METRE;
        // Each turn of the board adds a cut at 90° and the lean to the edge on the fence; after four the
        // new edge stands at four times it to the first.
        let between = 4.0 * lean;
        let other = 11.22;
        let fence = other + 400.0 * crate::math::tan(between);
        assert!((by_five_cuts([fence, other], 400.0) - 0.25).abs() < 1e-5);
    }

    #[test]
    fn halves_turned_over_double_the_lean() {
        let lean = 0.2 / PER_METRE;
        let gap = 2.0 * 500.0 * crate::math::tan(lean);
        assert!((by_turning_over(gap, 500.0) - 0.2).abs() < 1e-6);
    }

    #[test]
    fn examples_come_out_of_their_own_figures() {
        let [five, turned] = test_cuts(Units::Mm);
        assert!(five.says[0].contains("+0.25 mm per metre, give or take 0.05"), "{}", five.says[0]);
        assert!(five.says[2].contains("0.15"), "{}", five.says[2]);
        assert!(turned.says[0].contains("+0.20 mm per metre"), "{}", turned.says[0]);
        let [five, turned] = test_cuts(Units::Inch);
        assert!(five.says[0].contains("+0.25 mm per metre"), "{}", five.says[0]);
        assert!(five.says[2].contains("0.006"), "{}", five.says[2]);
        assert!(turned.says[0].contains("+0.20 mm per metre"), "{}", turned.says[0]);
    }
}
