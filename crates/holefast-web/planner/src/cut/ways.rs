//! What was typed becomes a cut of the job, and the best few arrangements for it are found: those of
//! `holefast angle`, and for a length in the order in which `holefast cut` would take them.

use holefast::cut::{
    Arrangement, Dogs, Line, MOST_ARRANGEMENTS, Places, Search, USUAL_TOLERANCE, search, settle_one, wanted_angle,
};
use holefast::job::{self, Cut, HoleLine, Kept, Setting, StopHole};
use holefast::measure::format;
use holefast::words::cutting;
use holefast::{Fault, FaultKind, Job};

use super::kept;
use super::{FIELDS, Found, Ready, Typed, Way, Wrong, real, told};

/// So many are told, as the command line tells.
const BEST: usize = 5;

/// A tolerance that is to take a direction in is rounded up to this, degrees.
const FINE_TOLERANCE: f64 = 0.01;

/// The best few for what was typed.
pub fn found(ready: &Ready, typed: &Typed, room: [f64; 2]) -> Found {
    let cut = match cut_of(&ready.job, typed) {
        Ok(cut) => cut,
        Err(wrong) => return Found { wrong: vec![wrong], ..Found::default() },
    };
    // Without a kerf only the piece under the rail comes out as long as is wanted.
    let kept = cut.kept.or((cut.length.is_some() && cut.kerf.is_none()).then_some(Kept::UnderRail));
    let ask = Search {
        wanted: cut.angle,
        tolerance: cut.tolerance.unwrap_or(USUAL_TOLERANCE),
        best: if cut.length.is_some() { MOST_ARRANGEMENTS } else { BEST },
        width: cut.width,
        kerf: cut.kerf,
        kept,
    };
    let job = &ready.job;
    let result = search(job, &ready.places, &Dogs::of(job), &ask);
    let mut answer = Found { directions: cutting::direction_lines(&ask, &result), ..Found::default() };
    let index = job.cuts.len();
    let mut with = job.clone();
    with.cuts.push(cut.clone());
    if result.arrangements.is_empty() {
        // Nothing stands in the search's way but what the command line would tell.
        let faults = settle_one(&with, &ready.places, index).err().unwrap_or_default();
        answer.wrong = real(faults).into_iter().map(|fault| Wrong::typed(0, fault)).collect();
        if result.pairs.is_empty() {
            let near = [&result.nearest.below, &result.nearest.above];
            answer.nearest =
                near.into_iter().flatten().map(|pair| (format::angle(pair.angle), taking_in(pair.error))).collect();
        }
        return answer;
    }
    let (mut settled, mut wrong) = (Vec::new(), Vec::new());
    for arrangement in &result.arrangements {
        if let Some(kept) = with.cuts.last_mut() {
            *kept = settled_as(&ready.places, job, &cut, arrangement);
        }
        match settle_one(&with, &ready.places, index) {
            Ok(one) => settled.push((with.cuts[index].clone(), one)),
            Err(faults) => wrong.extend(real(faults)),
        }
    }
    if settled.is_empty() {
        // Of all alike: a length, and nothing that says how wide the rail is, or the kerf.
        // A rail is asked for before a kerf.
        wrong.sort_by_key(|fault| at(fault) != FIELDS.iter().position(|field| *field == "rail.cut"));
        wrong.truncate(1);
        answer.wrong = wrong.into_iter().map(|fault| Wrong { field: at(&fault), ..Wrong::typed(0, fault) }).collect();
        return answer;
    }
    if cut.length.is_some() {
        // Those first that have a stop; otherwise as they are ranked.
        settled.sort_by_key(|(_, one)| one.stop.is_none());
    }
    for (mut cut, one) in settled.into_iter().take(BEST) {
        if let (Some(stop), Some(_)) = (&one.stop, cut.length) {
            let hole = ready.places.holes()[stop.hole].name.clone();
            cut.stop = Some(StopHole { hole, dog: measured(job).then_some(stop.dog) });
        }
        if let Some(last) = with.cuts.last_mut() {
            *last = cut.clone();
        }
        let mut way: Way = told(ready, &with, &one, room);
        way.text = kept::with_cut(&ready.text, typed, &cut);
        answer.ways.push(way);
    }
    answer
}

/// Which field a fault of settling speaks of: where nothing says how wide the rail is, that one.
fn at(fault: &Fault) -> Option<usize> {
    let key = if fault.message.contains("kerf") { "kerf" } else { "rail.cut" };
    FIELDS.iter().position(|field| *field == key)
}

/// The tolerance, degrees, that takes a direction in which is so far off, rad.
fn taking_in(error: f64) -> String {
    let degrees = (error.abs().to_degrees() / FINE_TOLERANCE).floor() * FINE_TOLERANCE + FINE_TOLERANCE;
    format::number(degrees, 2)
}

/// The cut that was typed, as the job would hold it: each value read by the job's own reader, so that a
/// slip is told as it is there, beside its field.
fn cut_of(job: &Job, typed: &Typed) -> Result<Cut, Wrong> {
    let units = if job.units == job::Units::Mm { "mm" } else { "in" };
    let angle = wanted_angle(&typed.values[0], job.units).map_err(|fault| Wrong::typed(0, fault))?;
    let mut text = String::new();
    let put = |text: &str, key: &str, setting: &Setting| job::set(text, &format!("cut[0].{key}"), setting);
    let name = name_for(job, angle, &typed.values[1]);
    let first = put(&text, "name", &Setting::Text(name))
        .and_then(|text| put(&text, "angle", &Setting::Number(kept::degrees(angle))));
    text = first.map_err(|fault| Wrong::typed(0, fault))?;
    let mut away = None;
    for (field, key) in FIELDS.iter().enumerate().skip(1) {
        let value = typed.values[field].trim();
        if value.is_empty() {
            continue;
        }
        if *key == "rail.cut" {
            away = Some(kept::distance(value, job.units).map_err(|fault| Wrong::typed(field, fault))?);
            continue;
        }
        text = put(&text, key, &kept::setting_of(key, value)).map_err(|fault| Wrong::typed(field, fault))?;
        if let Err(fault) = read_cut(&text, units) {
            return Err(Wrong::typed(field, fault));
        }
    }
    let mut cut = read_cut(&text, units).map_err(|fault| Wrong::typed(0, fault))?;
    // Read from the text it is rounded to what people write; the search goes by that, too.
    if let Some(away) = away {
        cut.rail = Some(HoleLine {
            holes: [String::new(), String::new()],
            side: job::LineSide::Left,
            dogs: None,
            cut: Some(away),
        });
    }
    Ok(cut)
}

/// A name that no cut of the job has.
fn name_for(job: &Job, angle: f64, length: &str) -> String {
    let length = length.trim();
    let unit = if length.parse::<f64>().is_ok() { format::unit_name(job.units) } else { "" };
    let told = if length.is_empty() { String::new() } else { format!(", {}", format!("{length} {unit}").trim()) };
    let plain = format!("{}{told}", format::angle(angle));
    let taken = |name: &str| job.cuts.iter().any(|cut| cut.name == name);
    if !taken(&plain) {
        return plain;
    }
    (2..).map(|n| format!("{plain} ({n})")).find(|name| !taken(name)).unwrap_or(plain)
}

/// Reads one cut that stands alone: a job of the least that a job needs around it.
fn read_cut(cut: &str, units: &str) -> Result<Cut, Fault> {
    let text = format!("{}{cut}", kept::bare_job(units));
    let parsed = job::parse(&text);
    let fault = parsed.faults.into_iter().find(|fault| fault.kind != FaultKind::Remark);
    match (fault, parsed.job.and_then(|job| job.cuts.into_iter().next())) {
        (Some(mut fault), _) => {
            // The place is in a text that nobody sees.
            fault.span = None;
            Err(fault)
        }
        (None, Some(cut)) => Ok(cut),
        (None, None) => Err(Fault::input("this is no cut")),
    }
}

/// True where the dogs' diameters were measured, so that it matters which stands where.
fn measured(job: &Job) -> bool {
    job.kit.as_ref().is_some_and(|kit| !kit.dog.heads.is_empty())
}

/// The cut with the holes of an arrangement written down.
fn settled_as(places: &Places, job: &Job, cut: &Cut, arrangement: &Arrangement) -> Cut {
    let away = cut.rail.as_ref().and_then(|rail| rail.cut);
    let line = |line: &Line, away: Option<f64>| HoleLine {
        holes: line.holes.map(|hole| places.holes()[hole].name.clone()),
        side: line.side,
        dogs: measured(job).then_some(line.dogs),
        cut: away,
    };
    let pair = &arrangement.pair;
    Cut { fence: Some(line(&pair.fence, None)), rail: Some(line(&pair.rail, away)), ..cut.clone() }
}
