//! An arrangement kept in the job: the cut as text at its end, as a person would write it.

use holefast::job::{self, Cut, CutAt, HoleLine, Kept, LineSide, Setting, Units};
use holefast::measure::length::parse_length;
use holefast::measure::{format, mm_from_inch};
use holefast::{Fault, Job};

use super::{FIELDS, Typed};

/// Angles are written as fine as this, parts of a degree: far below what a hand can cut, and 67.5 stays
/// 67.5.
const ANGLE_STEPS: f64 = 1e9;

/// An angle in degrees, as it is written.
pub fn degrees(rad: f64) -> f64 {
    (rad.to_degrees() * ANGLE_STEPS).round() / ANGLE_STEPS
}

/// What was typed for a key: a word, a plain number where it is one, else a text with its unit.
pub fn setting_of(key: &str, typed: &str) -> Setting {
    match typed.replace(',', ".").parse::<f64>() {
        Ok(number) if number.is_finite() && !matches!(key, "at" | "kept") => Setting::Number(number),
        _ => Setting::Text(typed.to_owned()),
    }
}

/// A distance that was typed, mm: a bare one in the job's units.
pub fn distance(typed: &str, units: Units) -> Result<f64, Fault> {
    let bare = typed.replace(',', ".").parse::<f64>();
    let mm = match bare {
        Ok(number) if units == Units::Inch => mm_from_inch(number),
        Ok(number) => number,
        Err(_) => parse_length(typed).map_err(|e| Fault::input(e.message()).hint(e.hint()))?,
    };
    if mm.is_finite() && (0.0..=job::MOST_LENGTH).contains(&mm) {
        return Ok(mm);
    }
    Err(Fault::input(format!("{} is no distance from dogs to cut", format::length(mm, units)))
        .hint("measure from the dogs' faces to the slot's nearer side, as in \"180 mm\""))
}

/// A job of the least that a job needs, to read one cut with.
pub fn bare_job(units: &str) -> String {
    format!(
        "holefast = 1\nname = \"a cut\"\nunits = \"{units}\"\n[top]\nlength = \"900 mm\"\nwidth = \"600 mm\"\n\
         thickness = \"20 mm\"\nmaterial = \"MDF\"\n[grid]\npitch = \"100 mm\"\nhole = \"20 mm\"\npilot = \"4 mm\"\nrows = \"fit\"\n\
         columns = \"fit\"\nedge = \"45 mm\"\norigin = \"centred\"\n"
    )
}

/// The job's text with a cut at its end. Every value stands there as it was typed.
pub fn with_cut(text: &str, typed: &Typed, cut: &Cut) -> String {
    let mut lines = vec!["[[cut]]".to_owned(), one("name", &Setting::Text(cut.name.clone()))];
    lines.push(one("angle", &Setting::Number(degrees(cut.angle))));
    for (field, key) in FIELDS.iter().enumerate().skip(1) {
        let value = typed.values[field].trim();
        if !value.is_empty() && *key != "rail.cut" {
            lines.push(one(key, &setting_of(key, value)));
        }
    }
    for (key, line) in [("fence", &cut.fence), ("rail", &cut.rail)] {
        lines.extend(line.as_ref().map(|line| format!("{key} = {{ {} }}", of_line(line))));
    }
    if let Some(stop) = &cut.stop {
        let mut inside = vec![one("hole", &Setting::Text(stop.hole.clone()))];
        inside.extend(stop.dog.map(|dog| one("dog", &in_mm(dog))));
        lines.push(format!("stop = {{ {} }}", inside.join(", ")));
    }
    format!("{}\n\n{}\n", text.trim_end(), lines.join("\n"))
}

fn of_line(line: &HoleLine) -> String {
    let holes = Setting::List(line.holes.iter().map(|hole| Setting::Text(hole.clone())).collect());
    let side = match line.side {
        LineSide::Left => "left",
        LineSide::Right => "right",
    };
    let mut inside = vec![one("holes", &holes), one("side", &Setting::Text(side.to_owned()))];
    inside.extend(line.dogs.map(|dogs| one("dogs", &Setting::List(dogs.map(in_mm).to_vec()))));
    inside.extend(line.cut.map(|cut| one("cut", &in_mm(cut))));
    inside.join(", ")
}

/// A length that means the same in every job.
fn in_mm(mm: f64) -> Setting {
    /// A tenth of a micrometre.
    const PLACES: usize = 4;
    Setting::Text(format!("{} mm", format::number(mm, PLACES)))
}

/// `key = value`, written as the job's own editor writes it.
fn one(key: &str, setting: &Setting) -> String {
    // A plain key and a finite value can always be written.
    job::set("", key, setting).unwrap_or_default().trim_end().to_owned()
}

/// The fields that ask for such a cut.
pub fn typed_of(job: &Job, cut: &Cut) -> Typed {
    /// As fine as an angle is written, degrees.
    const PLACES: usize = 9;
    let mut typed = Typed::default();
    let mut put = |key: &str, text: Option<String>| {
        if let Some(field) = FIELDS.iter().position(|field| *field == key) {
            typed.values[field] = text.unwrap_or_default();
        }
    };
    let angle = |rad: f64| format::number(rad.to_degrees(), PLACES);
    let length = |mm: Option<f64>| mm.map(|mm| format::length_bare(mm, job.units));
    put("angle", Some(angle(cut.angle)));
    put("length", length(cut.length));
    put("width", length(cut.width));
    put("kerf", length(cut.kerf));
    let at = match cut.at {
        CutAt::Fence => "",
        CutAt::Middle => "middle",
        CutAt::Far => "far",
    };
    put("at", Some(at.to_owned()));
    let kept = cut.kept.map(|kept| if kept == Kept::Beyond { "beyond" } else { "under rail" });
    put("kept", kept.map(str::to_owned));
    let square = (cut.end - std::f64::consts::FRAC_PI_2).abs() < 1e-9;
    put("end", (!square).then(|| angle(cut.end)));
    put("quantity", (cut.quantity > 1).then(|| cut.quantity.to_string()));
    put("tolerance", cut.tolerance.map(angle));
    put("rail.cut", length(cut.rail.as_ref().and_then(|rail| rail.cut)));
    typed
}
