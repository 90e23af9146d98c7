//! A list's cuts on this top in words: settings, each cut with its stop, what is not cut here and why,
//! how far out the parts may be.

use super::cutting::{
    CUTTING, FOR_ALL, PROVE_THE_ARRANGEMENT, Shown, arrangement_words, basis, passes_over, room_words,
};
use super::figures::{about_length, fine};
use crate::cut::{Basis, Places, Shims};
use crate::job::Job;
use crate::measure::format;
use crate::parts::on_top::{Keeps, OnTop, PartError, SetUp, TopCut, Which, WhyNot};
use crate::parts::{Batch, CutList};

/// A kit without a guide rail, and a list of parts.
pub const NO_RAIL: &str =
    "the kit has no [kit.rail]: which cuts this top makes, and with which fence and stop, is not told";

/// How a setting is called: A to Z, then two letters.
pub fn setting_name(number: usize) -> String {
    let letter = |n: usize| char::from(b'A' + (n % 26) as u8);
    match number.checked_div(26) {
        None | Some(0) => letter(number).to_string(),
        Some(more) => format!("{}{}", letter(more - 1), letter(number)),
    }
}

/// What a setting's card says: what each line is about, and the line.
pub fn setting_lines(job: &Job, places: &Places, set_up: &SetUp) -> Vec<(&'static str, String)> {
    let shims = Shims::of(places, &set_up.pair, set_up.wanted);
    let shown = Shown {
        pair: &set_up.pair,
        wanted: set_up.wanted,
        u: set_up.u,
        tested: set_up.tested.as_ref(),
        shims: &shims,
        away: job.kit.as_ref().and_then(|kit| kit.rail.as_ref()).map(|rail| rail.cut),
        sizes_stated: false,
    };
    arrangement_words(job, places, &shown)
}

/// A setting's angle and how often it is used.
pub fn setting_aside(set_up: &SetUp) -> String {
    let square = (set_up.wanted - std::f64::consts::FRAC_PI_2).abs() < 1e-9;
    let angle = if square { "square".to_owned() } else { format!("{} from the fence", format::angle(set_up.wanted)) };
    format!("{angle}, {}", cuts(set_up.cuts))
}

fn cuts(n: usize) -> String {
    if n == 1 { "1 cut".to_owned() } else { format!("{n} cuts") }
}

/// Which cut it is, with its number.
pub fn what(job: &Job, batch: &Batch, cut: &TopCut) -> String {
    match cut.which {
        Which::Step(i) => super::parts::step_line(job, batch, &batch.steps[i]),
        Which::End(part, which) => format!("      {}", end_words(job, part, which)),
    }
}

/// What holds for every setting: what to prove first, and what the holes' places rest on.
pub fn for_all(job: &Job, places: &Places) -> [String; 2] {
    [PROVE_THE_ARRANGEMENT.to_owned(), basis(job, places)]
}

/// What is said of a setting and of no other: its lines without what holds for all.
pub fn own_lines(job: &Job, places: &Places, set_up: &SetUp) -> Vec<(&'static str, String)> {
    setting_lines(job, places, set_up).into_iter().filter(|(what, _)| !FOR_ALL.contains(what)).collect()
}

/// How long a cut a setting allows, which piece it keeps, and what its blade passes.
pub fn setting_room(job: &Job, places: &Places, set_up: &SetUp) -> String {
    room_words(job, places, &set_up.room)
}

/// What can hurt at a setting.
pub fn setting_cautions(job: &Job, set_up: &SetUp) -> Vec<String> {
    let mut all = passes_over(job, &set_up.room);
    all.extend(CUTTING.map(str::to_owned));
    all
}

/// A setting in a sentence, for people who cannot see the drawing.
pub fn about_setting(places: &Places, set_up: &SetUp) -> String {
    let [fence, rail] = [&set_up.pair.fence, &set_up.pair.rail].map(|line| {
        let [a, b] = line.holes.map(|hole| places.holes()[hole].name.as_str());
        format!("{a} and {b}")
    });
    format!("{}: dogs for the fence in {fence}, for the guide rail in {rail}.", setting_aside(set_up))
}

/// How a cut is made on this top, or why it is not.
pub fn how(job: &Job, places: &Places, top: &OnTop, cut: &TopCut) -> String {
    let about = |mm| about_length(job.units, mm);
    match &cut.how {
        Ok(how) => {
            let setting = format!("setting {}", setting_name(how.set_up));
            match &how.stop {
                None => format!("{setting}, no stop: as little off as makes it clean"),
                Some(stop) => {
                    let spacer = format!("spacer {}", fine(job.units, stop.spacer));
                    let hole = &places.holes()[stop.hole].name;
                    let size = stop
                        .u_length
                        .map_or_else(String::new, |u| format!(", size within {}", fine(job.units, NINETY_FIVE * u)));
                    let lean = lean(&top.set_ups[how.set_up], cut.runs)
                        .map_or_else(String::new, |mm| format!(", square over it within {}", fine(job.units, mm)));
                    format!("{setting}, stop {hole}, {spacer}{size}{lean}")
                }
            }
        }
        Err(WhyNot::Stopped) => "not looked at: it was stopped before".to_owned(),
        Err(WhyNot::NoEdge) => {
            "not here: nothing straight lies against a fence yet; rail along a drawn line".to_owned()
        }
        Err(WhyNot::TooLong(most)) => {
            let longest = most.map_or_else(
                || "no lines of holes leave room for rail and blade".to_owned(),
                |mm| format!("rail and top allow {} at most", about(mm)),
            );
            format!("not here: the cut is {} long, {longest}; rail on the sheet, to two marks", about(cut.runs))
        }
        Err(WhyNot::NoStop(None)) => "not here: no hole carries a stop for it; clamp a stop to the fence".to_owned(),
        Err(WhyNot::NoStop(Some([from, to]))) => format!(
            "not here: stops in holes serve {} to {}; clamp a stop to the fence, set by a measured piece",
            about(*from),
            about(*to)
        ),
        Err(WhyNot::NoAngle(near)) => {
            let said: Vec<String> = near.iter().flatten().map(|a| format::angle(*a)).collect();
            let near = match said.as_slice() {
                [] => "all holes lie on one line".to_owned(),
                [one] => format!("the nearest is {one}"),
                more => format!("the nearest are {}", more.join(" and ")),
            };
            format!("not here: no two lines of holes stand at this angle; {near}, and a step block closes the rest")
        }
    }
}

/// Half of the interval that holds 95 of 100, in standard uncertainties.
const NINETY_FIVE: f64 = 1.96;

/// How far a cut may lean over its length, mm, 95 times in 100.
fn lean(set_up: &SetUp, runs: f64) -> Option<f64> {
    let (off, u) = set_up.deviation();
    Some((off.abs() + NINETY_FIVE * u?) * runs)
}

/// What is said of an end that is cut from its blank.
pub fn end_words(job: &Job, part: usize, which: usize) -> String {
    let wanted = &job.part_list.parts[part];
    let degrees = wanted.ends.map_or(90.0, |ends| ends[which]);
    let turned = if which == 1 { ", turned over, the same edge against the fence" } else { "" };
    let times = if wanted.quantity == 1 { String::new() } else { format!(", {} times", wanted.quantity) };
    format!("{}: end {} at {}°{turned}{times}", wanted.name, which + 1, format::number(degrees, 4))
}

/// How far out a sort of parts may be.
pub fn error_words(job: &Job, error: &PartError) -> String {
    let wanted = &job.part_list.parts[error.part];
    let said = |what: &str, mm: Option<f64>| match mm {
        Some(mm) => format!("{what} within {}", fine(job.units, mm)),
        None => format!("{what} not known"),
    };
    let mut text = format!(
        "{}: {}, {}, {}",
        wanted.name,
        said("length", error.length),
        said("width", error.width),
        said("sides square", error.square)
    );
    if let (Some(keeps), Some(limit)) = (error.keeps, wanted.tolerance) {
        let limit = fine(job.units, limit);
        text.push_str(&match keeps {
            Keeps::Yes => format!("; its tolerance of {limit} is kept"),
            Keeps::No => format!("; its tolerance of {limit} is not kept: measure, and shim or trim"),
            Keeps::NotKnown => format!("; whether its tolerance of {limit} is kept is not known"),
        });
    }
    text
}

/// The same for a table: the part, length, width, sides square, its tolerance, whether that is kept.
pub fn error_cells(job: &Job, error: &PartError) -> [String; 6] {
    /// What stands where nothing is stated or known.
    const NOTHING: &str = "\u{2013}";
    let wanted = &job.part_list.parts[error.part];
    let said = |mm: Option<f64>| mm.map_or_else(|| "not known".to_owned(), |mm| fine(job.units, mm));
    let keeps = match error.keeps {
        Some(Keeps::Yes) => "kept",
        Some(Keeps::No) => "not kept: measure, and shim or trim",
        Some(Keeps::NotKnown) => "not known",
        None => NOTHING,
    };
    let limit = wanted.tolerance.map_or_else(|| NOTHING.to_owned(), |mm| fine(job.units, mm));
    [wanted.name.clone(), said(error.length), said(error.width), said(error.square), limit, keeps.to_owned()]
}

/// Over how far out the parts may be.
pub const ERRORS: &str = "95 times in 100 the worst of each sort comes out as follows, by what is cut here:";

/// How many of a list's cuts are made on this top, with how many settings.
pub fn here(top: &OnTop) -> String {
    let here = top.cuts.iter().filter(|cut| cut.how.is_ok()).count();
    let settings = match top.set_ups.len() {
        1 => "1 setting".to_owned(),
        n => format!("{n} settings"),
    };
    format!("{here} of {} on this top, with {settings}", cuts(top.cuts.len()))
}

/// Returns the lines that `holefast cut` prints of a list.
pub fn lines(job: &Job, places: &Places, list: &CutList, top: &OnTop) -> Vec<String> {
    let mut lines = vec![here(top)];
    lines.extend(for_all(job, places));
    for (number, set_up) in top.set_ups.iter().enumerate() {
        lines.push(format!("setting {}: {}", setting_name(number), setting_aside(set_up)));
        // what holds for all of them is said once, above
        let own = own_lines(job, places, set_up).into_iter();
        lines.extend(own.map(|(what, text)| format!("  {what:<9}{text}")));
    }
    for (number, batch) in list.batches.iter().enumerate() {
        lines.extend(super::parts::thick(job, list, batch));
        for cut in top.cuts.iter().filter(|cut| cut.batch == number) {
            lines.push(what(job, batch, cut));
            lines.push(format!("      {}", how(job, places, top, cut)));
        }
    }
    if places.basis() != Basis::Planned {
        lines.push(ERRORS.to_owned());
        lines.extend(top.errors.iter().map(|error| format!("  {}", error_words(job, error))));
    }
    lines
}
