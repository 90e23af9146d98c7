//! Looks at each part by itself: whether it can be had from any sheet, with its grain, and whether it
//! is wide enough to be held.

use super::{NARROW, part, same, stock};
use crate::fault::Fault;
use crate::job::{Job, WantedPart};
use crate::measure::format;
use crate::words::parts as words;

/// All that cannot be, and remarks; in the order of the list.
pub(super) fn look(job: &Job) -> Vec<Fault> {
    let list = &job.part_list;
    if list.parts.is_empty() {
        return vec![Fault::impossible(words::NO_PARTS).hint(words::ADD_PARTS)];
    }
    if list.stock.is_empty() {
        let at = job.span(&list.parts[0].place);
        return vec![Fault::impossible(words::NO_STOCK).at(at).hint(words::ADD_STOCK)];
    }
    let mut faults = Vec::new();
    let states = |stated: bool| {
        list.parts.iter().any(|p| p.thickness.is_some() == stated)
            || list.stock.iter().any(|s| s.thickness.is_some() == stated)
    };
    if states(true) && states(false) {
        let parts = list.parts.iter().map(|p| (&p.name, p.thickness, &p.place));
        let all = parts.chain(list.stock.iter().map(|s| (&s.name, s.thickness, &s.place)));
        for (name, _, place) in all.filter(|(_, thickness, _)| thickness.is_none()) {
            let fault = Fault::impossible(words::no_thickness(name)).at(job.span(place));
            faults.push(fault.hint(words::STATE_THICKNESS));
        }
        return faults;
    }
    for wanted in &list.parts {
        faults.extend(one(job, wanted));
    }
    faults
}

/// What is wrong with one part.
fn one(job: &Job, wanted: &WantedPart) -> Option<Fault> {
    let list = &job.part_list;
    let say = |mm: f64| format::length(mm, job.units);
    let at = |key: &str| job.span(&format!("{}.{key}", wanted.place));
    let sheets: Vec<_> = list.stock.iter().filter(|s| same(s.thickness, wanted.thickness)).collect();
    if sheets.is_empty() {
        let thick = wanted.thickness.map_or(String::new(), say);
        let fault = Fault::impossible(words::no_such_thickness(&wanted.name, &thick)).at(at("thickness"));
        return Some(fault.hint(words::ADD_STOCK));
    }
    let lies = |part: &crate::breakdown::Part| sheets.iter().any(|s| part.ways(&stock(s)).next().is_some());
    let as_wanted = part(wanted);
    if !lies(&as_wanted) {
        let free = crate::breakdown::Part { grain: crate::breakdown::PartGrain::Any, ..as_wanted };
        if lies(&free) {
            let grained = sheets.iter().any(|s| s.grain.is_some() && free.ways(&stock(s)).next().is_some());
            let message =
                if grained { words::against_the_grain(&wanted.name) } else { words::no_grain_to_follow(&wanted.name) };
            return Some(Fault::impossible(message).at(at("grain")).hint(words::FREE_THE_GRAIN));
        }
        // the sheet on which least is wanting, the part lying the better way
        let rooms = sheets.iter().map(|s| [s.length - 2.0 * s.trim, s.width - 2.0 * s.trim]);
        let wanting = |room: [f64; 2]| {
            let over = |a: f64, b: f64| [(a - room[0]).max(0.0), (b - room[1]).max(0.0)];
            let [one, other] = [over(wanted.length, wanted.width), over(wanted.width, wanted.length)];
            if one[0] + one[1] <= other[0] + other[1] { one } else { other }
        };
        let (room, over) = rooms.map(|room| (room, wanting(room))).min_by(|a, b| {
            let sum = |o: [f64; 2]| o[0] + o[1];
            sum(a.1).total_cmp(&sum(b.1))
        })?;
        let size = words::size(wanted.length, wanted.width, job.units);
        let room = words::size(room[0], room[1], job.units);
        let message = words::too_large(&wanted.name, &size, &room, &say(over[0].max(over[1])));
        return Some(Fault::impossible(message).at(at("length")).hint(words::LARGER_SHEET));
    }
    let narrow = wanted.width.min(wanted.length);
    match list.narrowest {
        Some(least) if narrow < least => {
            let message = words::too_narrow(&wanted.name, &say(narrow), &say(least));
            Some(Fault::impossible(message).at(at("width")).hint(words::CUT_WIDER))
        }
        None if narrow < NARROW => {
            let message = words::narrow(&wanted.name, &say(narrow));
            Some(Fault::remark(message).at(at("width")).hint(words::HOLD_IT))
        }
        _ => None,
    }
}
