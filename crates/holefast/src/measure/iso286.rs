//! Limits of size by ISO 286: `"4 H7"`, `"20 g6"`, `"0.125 in H7"`.
//!
//! From the standard's tables, sizes over 0 up to 50 mm, grades 5 to 14, letters d to h, js, k, m,
//! n, p and their capitals, each in the grades for which the tables were checked. The tables
//! are rounded by rule and differ from the standard's formulas by up to 13 %, so the formulas are
//! no substitute. Deviations in µm, limits in mm.
//! Source: [ISO286-1] table 1 and fundamental deviations, as read in the published table that the
//! test compares every row with; grade 4, which only enters Δ, from memory and confirmed there by
//! the rows of K5 to P5.

use super::length::{LengthError, mm_from_inch, read_number, split_unit};
use crate::kit::Limits;

/// Greatest size the tables reach, mm.
pub const GREATEST_SIZE: f64 = 50.0;

/// Upper ends of the steps of size, mm; a size equal to an end belongs below it.
const STEP_ENDS: [f64; 6] = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0];

/// First grade of [`TOLERANCES`].
const FIRST_GRADE: u32 = 4;

/// Standard tolerances, µm: one row per step, IT4 to IT14.
const TOLERANCES: [[f64; 11]; 6] = [
    [3.0, 4.0, 6.0, 10.0, 14.0, 25.0, 40.0, 60.0, 100.0, 140.0, 250.0],
    [4.0, 5.0, 8.0, 12.0, 18.0, 30.0, 48.0, 75.0, 120.0, 180.0, 300.0],
    [4.0, 6.0, 9.0, 15.0, 22.0, 36.0, 58.0, 90.0, 150.0, 220.0, 360.0],
    [5.0, 8.0, 11.0, 18.0, 27.0, 43.0, 70.0, 110.0, 180.0, 270.0, 430.0],
    [6.0, 9.0, 13.0, 21.0, 33.0, 52.0, 84.0, 130.0, 210.0, 330.0, 520.0],
    [7.0, 11.0, 16.0, 25.0, 39.0, 62.0, 100.0, 160.0, 250.0, 390.0, 620.0],
];

/// The letters of a class.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Letter {
    D,
    E,
    F,
    G,
    H,
    Js,
    K,
    M,
    N,
    P,
}

/// Fundamental deviations of shafts, µm, per step: es of d, e, f, g; ei of k (IT4 to IT7), m, n, p.
const DEVIATIONS: [[f64; 8]; 6] = [
    [-20.0, -14.0, -6.0, -2.0, 0.0, 2.0, 4.0, 6.0],
    [-30.0, -20.0, -10.0, -4.0, 1.0, 4.0, 8.0, 12.0],
    [-40.0, -25.0, -13.0, -5.0, 1.0, 6.0, 10.0, 15.0],
    [-50.0, -32.0, -16.0, -6.0, 1.0, 7.0, 12.0, 18.0],
    [-65.0, -40.0, -20.0, -7.0, 2.0, 8.0, 15.0, 22.0],
    [-80.0, -50.0, -25.0, -9.0, 2.0, 9.0, 17.0, 26.0],
];

/// What a class is for: capitals are holes, small letters shafts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feature {
    /// A bore.
    Hole,
    /// A pin, a dog.
    Shaft,
}

/// A code read: nominal size and its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sized {
    /// Nominal size, mm.
    pub size: f64,
    /// Limits of size, mm.
    pub limits: Limits,
    /// Hole or shaft.
    pub feature: Feature,
}

/// Why a code gives no limits.
#[derive(Clone, Debug, PartialEq)]
pub enum IsoError {
    /// Not of the form size, letters, grade.
    NotACode(String),
    /// The size itself does not read.
    Size(LengthError),
    /// A class that is not in the tables.
    UnknownClass(String),
    /// A size outside the tables, mm.
    SizeOutOfRange(f64),
}

impl IsoError {
    /// What is wrong, lower case, no full stop.
    pub fn message(&self) -> String {
        match self {
            IsoError::NotACode(text) => format!("\"{text}\" is not an ISO 286 code"),
            IsoError::Size(error) => error.message(),
            IsoError::UnknownClass(class) => format!("the class \"{class}\" is not in the ISO 286 tables held here"),
            IsoError::SizeOutOfRange(size) => {
                format!("{size} mm is outside the ISO 286 tables held here, which go from over 0 to 50 mm")
            }
        }
    }

    /// The way out.
    pub fn hint(&self) -> String {
        match self {
            IsoError::NotACode(_) | IsoError::Size(_) => {
                "write size, letter and grade, as in \"4 H7\" for a bore or \"0.125 in h6\" for a pin; or [min, max]"
                    .to_owned()
            }
            IsoError::UnknownClass(_) => {
                "letters d e f g h js k m n p (capitals for bores), grades 5 to 14; or write [min, max]".to_owned()
            }
            IsoError::SizeOutOfRange(_) => "write the two diameters as [min, max]".to_owned(),
        }
    }
}

/// True if the text looks like a code rather than a length: it ends in letters and a number.
pub fn looks_like_code(text: &str) -> bool {
    let (_, rest) = split_unit(text);
    rest.ends_with(|c: char| c.is_ascii_digit())
}

/// Reads a code; the size is in mm unless it says `in`.
pub fn parse_code(text: &str) -> Result<Sized, IsoError> {
    let (number, rest) = split_unit(text);
    let wrong = || IsoError::NotACode(text.trim().chars().take(40).collect());
    let (unit, class) = match rest.split_once(char::is_whitespace) {
        Some((unit, class)) => (unit, class.trim()),
        None => ("mm", rest),
    };
    if number.is_empty() || class.is_empty() {
        return Err(wrong());
    }
    let value = read_number(number).map_err(IsoError::Size)?;
    let size = match unit {
        "mm" => value,
        "in" | "inch" => mm_from_inch(value),
        _ => return Err(wrong()),
    };
    let (feature, [lower, upper]) = deviations(size, class)?;
    // One division of whole micrometres, so that 4 + 12 µm is the double nearest to 4.012.
    let at = |deviation: f64| (size * 1000.0 + deviation) / 1000.0;
    Ok(Sized { size, limits: Limits::new(at(lower), at(upper)), feature })
}

/// Lower and upper deviation of a class such as `H7` at a size in mm; µm.
pub fn deviations(size: f64, class: &str) -> Result<(Feature, [f64; 2]), IsoError> {
    let unknown = || IsoError::UnknownClass(class.chars().take(12).collect());
    let split = class.find(|c: char| c.is_ascii_digit()).ok_or_else(unknown)?;
    let (letters, digits) = class.split_at(split);
    let (letter, feature) = letter(letters).ok_or_else(unknown)?;
    if digits.len() > 2 || digits.starts_with('0') {
        return Err(unknown());
    }
    let grade: u32 = digits.parse().map_err(|_| unknown())?;
    if !(5..=last_grade(letter, feature)).contains(&grade) {
        return Err(unknown());
    }
    // A comparison written this way round also refuses NaN.
    if !(size > 0.0 && size <= GREATEST_SIZE) {
        return Err(IsoError::SizeOutOfRange(size));
    }
    let step = STEP_ENDS.iter().position(|&end| size <= end).unwrap_or(STEP_ENDS.len() - 1);
    let it = tolerance(step, grade);
    Ok((
        feature,
        match feature {
            Feature::Shaft => shaft(letter, step, grade, it),
            Feature::Hole => hole(letter, step, grade, it),
        },
    ))
}

/// IT of a grade, µm.
fn tolerance(step: usize, grade: u32) -> f64 {
    TOLERANCES[step][(grade - FIRST_GRADE) as usize]
}

fn letter(letters: &str) -> Option<(Letter, Feature)> {
    let letter = match letters.to_ascii_lowercase().as_str() {
        "d" => Letter::D,
        "e" => Letter::E,
        "f" => Letter::F,
        "g" => Letter::G,
        "h" => Letter::H,
        "js" => Letter::Js,
        "k" => Letter::K,
        "m" => Letter::M,
        "n" => Letter::N,
        "p" => Letter::P,
        _ => return None,
    };
    if letters.bytes().all(|b| b.is_ascii_uppercase()) {
        Some((letter, Feature::Hole))
    } else if letters.bytes().all(|b| b.is_ascii_lowercase()) {
        Some((letter, Feature::Shaft))
    } else {
        None
    }
}

/// The coarsest grade for which the tables were checked.
fn last_grade(letter: Letter, feature: Feature) -> u32 {
    match (letter, feature) {
        (Letter::K, Feature::Hole) => 8,
        (Letter::M | Letter::N | Letter::P, _) => 9,
        _ => 14,
    }
}

fn shaft(letter: Letter, step: usize, grade: u32, it: f64) -> [f64; 2] {
    let row = &DEVIATIONS[step];
    let below = |es: f64| [es - it, es];
    let above = |ei: f64| [ei, ei + it];
    match letter {
        Letter::D => below(row[0]),
        Letter::E => below(row[1]),
        Letter::F => below(row[2]),
        Letter::G => below(row[3]),
        Letter::H => below(0.0),
        Letter::Js => [-it / 2.0, it / 2.0],
        Letter::K => above(if grade <= 7 { row[4] } else { 0.0 }),
        Letter::M => above(row[5]),
        Letter::N => above(row[6]),
        Letter::P => above(row[7]),
    }
}

fn hole(letter: Letter, step: usize, grade: u32, it: f64) -> [f64; 2] {
    let row = &DEVIATIONS[step];
    let above = |ei: f64| [ei, ei + it];
    let below = |es: f64| [es - it, es];
    // Δ of ISO 286-1: nothing in the first step.
    let delta = if step == 0 { 0.0 } else { it - tolerance(step, grade - 1) };
    match letter {
        Letter::D => above(-row[0]),
        Letter::E => above(-row[1]),
        Letter::F => above(-row[2]),
        Letter::G => above(-row[3]),
        Letter::H => above(0.0),
        Letter::Js => [-it / 2.0, it / 2.0],
        Letter::K => below(-row[4] + delta),
        Letter::M => below(if grade <= 8 { -row[5] + delta } else { -row[5] }),
        Letter::N if grade <= 8 => below(-row[6] + delta),
        Letter::N => below(if step == 0 { -4.0 } else { 0.0 }),
        Letter::P => below(if grade <= 7 { -row[7] + delta } else { -row[7] }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_give_their_limits() {
        for (text, size, min, max, feature) in [
            ("4 H7", 4.0, 4.0, 4.012, Feature::Hole),
            ("4 h6", 4.0, 3.992, 4.0, Feature::Shaft),
            ("4h6", 4.0, 3.992, 4.0, Feature::Shaft),
            ("20 g6", 20.0, 19.980, 19.993, Feature::Shaft),
            ("20 mm H7", 20.0, 20.0, 20.021, Feature::Hole),
            ("0.125 in H7", 3.175, 3.175, 3.187, Feature::Hole),
            ("1/8 in h6", 3.175, 3.167, 3.175, Feature::Shaft),
            ("3,2 h8", 3.2, 3.182, 3.2, Feature::Shaft),
        ] {
            let read = parse_code(text).unwrap();
            assert_eq!(read.size, size, "{text}");
            assert_eq!((read.limits.min, read.limits.max), (min, max), "{text}");
            assert_eq!(read.feature, feature, "{text}");
        }
    }

    /// Worked fits, minimum and maximum clearance in µm. Source: reference README 1.4, computed
    /// there from the tables by other code.
    #[test]
    fn worked_fits() {
        for (size, hole, shaft, least, most) in [
            (20.0, "H7", "g6", 7.0, 41.0),
            (20.0, "H8", "f7", 20.0, 74.0),
            (20.0, "H9", "d9", 65.0, 169.0),
            (20.0, "H11", "h11", 0.0, 260.0),
            (20.0, "H7", "k6", -15.0, 19.0),
            (20.0, "H7", "n6", -28.0, 6.0),
            (20.0, "H7", "p6", -35.0, -1.0),
            (3.0, "H7", "m6", -8.0, 8.0),
            (3.0, "F7", "h6", 6.0, 22.0),
            (10.0, "H7", "m6", -15.0, 9.0),
        ] {
            let (_, [ei, es]) = deviations(size, hole).unwrap();
            let (_, [lower, upper]) = deviations(size, shaft).unwrap();
            assert_eq!((ei - upper, es - lower), (least, most), "{size} {hole}/{shaft}");
        }
    }

    #[test]
    fn every_class_and_step_of_the_reference_table() {
        let table = include_str!("../../tests/data/iso286-limits.csv");
        let mut lines = table.lines().filter(|line| !line.starts_with('#'));
        let two = |text: &str, between: &str| -> [f64; 2] {
            let (one, other) = text.split_once(between).unwrap();
            [one.parse().unwrap(), other.parse().unwrap()]
        };
        let steps: Vec<[f64; 2]> = lines.next().unwrap().split(',').skip(2).map(|step| two(step, " > ")).collect();
        let mut compared = 0;
        for line in lines {
            let mut fields = line.split(',');
            let (feature, class) = (fields.next().unwrap(), fields.next().unwrap());
            for ([over, up_to], limits) in steps.iter().zip(fields) {
                let wanted = two(limits, " ");
                // Just over the lower end, midway and at the upper end itself.
                for size in [over + 1e-9, 0.5 * (over + up_to), *up_to] {
                    let (is, limits) = deviations(size, class).unwrap();
                    assert_eq!(limits, wanted, "{size} {class}");
                    assert_eq!(is == Feature::Hole, feature == "hole", "{class}");
                }
                compared += 1;
            }
        }
        assert_eq!(compared, 984, "6 steps of 164 classes");
    }

    #[test]
    fn an_end_of_a_step_belongs_below_it() {
        assert_eq!(deviations(3.0, "H7").unwrap().1, [0.0, 10.0]);
        assert_eq!(deviations(3.000001, "H7").unwrap().1, [0.0, 12.0]);
        assert_eq!(deviations(50.0, "H7").unwrap().1, [0.0, 25.0]);
    }

    #[test]
    fn what_is_not_in_the_tables_is_refused() {
        for class in
            ["", "H", "7", "H4", "H15", "H07", "Hh7", "jS7", "Js7", "a11", "z6", "H7H", "K9", "k15", "m10", "H99999"]
        {
            assert!(matches!(deviations(4.0, class), Err(IsoError::UnknownClass(_))), "{class}");
        }
        for size in [0.0, -1.0, 50.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(deviations(size, "H7"), Err(IsoError::SizeOutOfRange(_))), "{size}");
        }
        for text in ["H7", "4", "4 mm", "4 cm H7", "x H7", "4 H7 H7"] {
            assert!(parse_code(text).is_err(), "{text}");
        }
    }
}
