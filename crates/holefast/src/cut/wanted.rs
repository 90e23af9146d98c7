//! An angle as people say it: degrees, rise over run, two lengths, the sides of a polygon; and the
//! figure on a mitre scale beside ours.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::fault::Fault;
use crate::job::Units;
use crate::math;
use crate::measure::{format, length, mm_from_inch};

/// Most sides of a frame that is still told from a ring.
const MOST_SIDES: f64 = 1000.0;

/// Regular frames by name, with their sides.
const FRAMES: [(&str, f64); 8] = [
    ("triangle", 3.0),
    ("square frame", 4.0),
    ("pentagon", 5.0),
    ("hexagon", 6.0),
    ("heptagon", 7.0),
    ("octagon", 8.0),
    ("decagon", 10.0),
    ("dodecagon", 12.0),
];

/// The angle between fence and cut that a text means, rad, between 0 and half a turn.
///
/// `67.5`, `67.5°`, `1:12`, `1 in 12`, `85 mm over 150 mm` (rise away from the fence over run along
/// it), `octagon`, `8 sides` (the mitre of such a frame). Bare lengths are in the job's units, a
/// decimal comma is accepted.
///
/// Errors: what cannot be read as any of these, or is no angle of less than half a turn.
pub fn wanted_angle(text: &str, units: Units) -> Result<f64, Fault> {
    let plain = text.trim().to_lowercase();
    if let Some(sides) = sides(&plain) {
        if !(3.0..=MOST_SIDES).contains(&sides) || sides.fract() != 0.0 {
            let message = format!("a frame of {} sides has no mitre", format::number(sides, 4));
            return Err(Fault::input(message).hint("3 sides or more, as in \"8 sides\""));
        }
        return Ok(FRAC_PI_2 - PI / sides);
    }
    if let Some((rise, run)) = rise_and_run(&plain) {
        let rise = amount(rise, units, text)?;
        let run = amount(run, units, text)?;
        if rise <= 0.0 || run < 0.0 {
            let message = format!("\"{text}\" is no slope: the rise must be more than nought, the run not less");
            return Err(Fault::input(message).hint("a square cut is 90; a taper of 1 in 12 is \"1:12\""));
        }
        return Ok(math::atan2(rise, run));
    }
    let number = plain.trim_end_matches('°').trim_end_matches("degrees").trim_end_matches("deg").trim();
    let Ok(degrees) = number.replace(',', ".").parse::<f64>() else {
        return Err(Fault::input(format!("\"{text}\" is no angle"))
            .hint("write degrees (22.5), rise over run (1:12), two lengths (85 mm over 150 mm) or a frame (8 sides)"));
    };
    if !(degrees > 0.0 && degrees < 180.0) {
        let shown = format::number(degrees, 4);
        return Err(Fault::input(format!("{shown}° is no angle of a cut: it must lie between 0° and 180°"))
            .hint("it is the angle between fence and cut, on the work's side; a square cut is 90"));
    }
    Ok(degrees * PI / 180.0)
}

/// A length that a text means, mm: more than nought, bare ones in the job's units.
///
/// Errors: what is no length, or nought.
pub fn wanted_length(text: &str, units: Units) -> Result<f64, Fault> {
    let mm = amount(text, units, text)?;
    if mm > 0.0 && mm <= crate::job::MOST_LENGTH {
        return Ok(mm);
    }
    let message = format!("{} is no width of work", format::length(mm, units));
    Err(Fault::input(message).hint("measure it from the fence to its far edge, as in \"85 mm\""))
}

/// The figure on a mitre scale, rad: how far the cut is from square.
pub fn mitre(angle: f64) -> f64 {
    (FRAC_PI_2 - angle).abs()
}

fn sides(text: &str) -> Option<f64> {
    if let Some((_, sides)) = FRAMES.iter().find(|(name, _)| *name == text) {
        return Some(*sides);
    }
    text.strip_suffix("sides").or_else(|| text.strip_suffix("-sided"))?.trim().parse().ok()
}

fn rise_and_run(text: &str) -> Option<(&str, &str)> {
    // "1 in 12" is a slope, "1 in" a length: the word between two amounts is looked for.
    if let Some(parts) = text.split_once(':').or_else(|| text.split_once(" over ")) {
        return Some(parts);
    }
    let (rise, run) = text.split_once(" in ")?;
    run.trim().starts_with(|c: char| c.is_ascii_digit()).then_some((rise, run))
}

/// A bare number in the job's units, or a length with its own.
fn amount(text: &str, units: Units, whole: &str) -> Result<f64, Fault> {
    let text = text.trim();
    if let Ok(number) = text.replace(',', ".").parse::<f64>() {
        let mm = match units {
            Units::Mm => number,
            Units::Inch => mm_from_inch(number),
        };
        if mm.is_finite() {
            return Ok(mm);
        }
    }
    length::parse_length(text).map_err(|e| Fault::input(format!("\"{whole}\": {}", e.message())).hint(e.hint()))
}
