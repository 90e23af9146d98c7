//! Reads one `[[reading]]`: every kind has its own keys, and a key of another kind is a fault, so
//! that nothing entered is dropped silently.

use std::f64::consts::PI;

use super::place_files;
use super::read::{Reader, Table};
use super::read_proof::date;
use super::read_rest::hole_of;
use super::tree::{Node, Value};
use super::values::Range;
use crate::fault::{Fault, Span};
use crate::kit::Kit;
use crate::measure::format;
use crate::reading::{Over, Reading, ReadingKind, Taken, What};
use crate::top::ExtraHole;

/// Offsets and gaps, mm, either way: more is no feeler's work.
const GAP: Range = Range { least: -50.0, most: 50.0, open: false };
/// A bar's holes lie as far apart as a reading says to this, mm: rounding of what was typed.
pub(crate) const BAR_APART: f64 = 0.01;
/// Keys of every reading.
const COMMON: [&str; 6] = ["kind", "with", "u", "date", "note", "sure"];

/// The keys of a kind: those it must have, then those it may have.
fn keys_of(kind: ReadingKind) -> (&'static [&'static str], &'static [&'static str]) {
    match kind {
        ReadingKind::Distance => (&["between", "value"], &["over", "faces", "diameters", "clearance", "pressed"]),
        ReadingKind::Offset => (&["of", "from", "value"], &[]),
        ReadingKind::Angle => (&["lines", "gap", "length"], &["against"]),
        ReadingKind::FiveCut => (&["fence", "rail", "strip", "length"], &[]),
        ReadingKind::TurnOver => (&["fence", "rail", "gap", "gap_at", "length"], &[]),
        ReadingKind::Went | ReadingKind::DidNotGo => (&["between", "length"], &["play", "pinned", "bar_holes"]),
        ReadingKind::Place => (&["holes", "x", "y"], &["covariance", "frame"]),
    }
}

/// Reads one reading.
pub(super) fn reading(
    reader: &mut Reader,
    table: &Table<'_>,
    extra: &[ExtraHole],
    kit: Option<&Kit>,
) -> Option<Reading> {
    if !reader.need(table, "kind") {
        return None;
    }
    let kind = reader.word(table, "kind", &ReadingKind::ALL.map(|kind| (kind.name(), kind)))?;
    if kind == ReadingKind::Place && table.get("places").is_some() {
        return from_file(reader, table, extra);
    }
    let (must, may) = keys_of(kind);
    let mut whole = true;
    for key in table.keys() {
        if super::schema::keys("reading").iter().all(|(known, _, _)| *known != key) {
            continue; // told where the table was opened
        }
        if !must.contains(&key) && !may.contains(&key) && !COMMON.contains(&key) {
            let fault = Fault::input(format!("a reading of kind \"{}\" has no `{key}`", kind.name()));
            reader.fault(table.place(key), fault.hint(format!("it takes {}", [must, may].concat().join(", "))));
            whole = false;
        }
    }
    for key in must {
        whole &= reader.need(table, key);
    }
    let with = optional(table, "with", || reader.text(table, "with").map(str::to_owned));
    let u = optional(table, "u", || reader.length(table, "u", Range { least: 0.0, most: 50.0, open: true }));
    let date = date(reader, table, "date");
    let sure = optional(table, "sure", || reader.flag(table, "sure"));
    if table.get("note").is_some() {
        whole &= reader.text(table, "note").is_some();
    }
    let what = what(reader, table, kind, extra, kit);
    if !whole {
        return None;
    }
    let value_key = ["value", "gap", "strip", "length", "x"].into_iter().find(|key| table.get(key).is_some());
    Some(Reading {
        what: what?,
        with: with?,
        with_span: table.get("with").map(|node| node.span),
        u: u?,
        date: date?,
        sure: sure?.unwrap_or(false),
        span: Some(table.span),
        value_span: value_key.map(|key| table.place(key)),
    })
}

/// A reading whose places are in a file of their own. What is wrong there is told at the file's name.
fn from_file(reader: &mut Reader, table: &Table<'_>, extra: &[ExtraHole]) -> Option<Reading> {
    if let Some(key) = place_files::KEYS.into_iter().find(|key| table.get(key).is_some()) {
        let fault = Fault::input(format!("`{key}` is written here, and the places are in a file of their own"));
        reader.fault(table.place(key), fault.hint("keep one of them"));
        return None;
    }
    let name = reader.text(table, "places")?.to_owned();
    let at = table.place("places");
    let (units, mut inside) = match place_files::opened(&name, &reader.files) {
        Ok(opened) => opened,
        Err(fault) => {
            reader.fault(at, fault);
            return None;
        }
    };
    let beside = table.entries.iter().filter(|entry| entry.key != "places");
    inside.extend(beside.cloned());
    // The file's units hold for it alone, and what is to be said of it is said where it is named.
    let (own, lengths, before) = (reader.units, reader.lengths.len(), reader.faults.len());
    reader.units = units;
    let whole = Table { entries: &inside, ..table.clone() };
    let read = reading(reader, &whole, extra, None);
    reader.units = own;
    reader.lengths.truncate(lengths);
    for fault in reader.faults.iter_mut().skip(before) {
        if fault.span.is_none_or(|span| span == Span { start: 0, end: 0 }) {
            fault.span = Some(at);
            fault.message = format!("{}: {}", super::tree::short(&name), fault.message);
        }
    }
    Some(Reading { value_span: Some(at), ..read? })
}

/// `Some(None)` where a key is not written, `None` where it is faulty.
fn optional<T>(table: &Table<'_>, key: &str, read: impl FnOnce() -> Option<T>) -> Option<Option<T>> {
    if table.get(key).is_none() { Some(None) } else { read().map(Some) }
}

fn what(
    reader: &mut Reader,
    table: &Table<'_>,
    kind: ReadingKind,
    extra: &[ExtraHole],
    kit: Option<&Kit>,
) -> Option<What> {
    let pair = |reader: &mut Reader, key: &str| {
        table.get(key)?;
        two_holes(reader, table.get(key)?, &table.call(key), extra)
    };
    match kind {
        ReadingKind::Distance => {
            let between = pair(reader, "between");
            let value = reader.length(table, "value", Range { open: true, ..Range::DISTANCE });
            let taken = taken(reader, table);
            Some(What::Distance { between: between?, value: value?, taken: taken? })
        }
        ReadingKind::Offset => {
            let of = table.get("of").and_then(|node| hole_of(reader, node, "reading.of", extra));
            let from = pair(reader, "from");
            let value = reader.length(table, "value", GAP);
            let (of, from) = (of?, from?);
            if from.contains(&of) {
                let fault = Fault::input(format!("hole {of} is an end of the line it is to be measured from"));
                reader.fault(table.place("of"), fault.hint("take a hole between the two, or beyond them"));
                return None;
            }
            Some(What::Offset { of, from, value: value? })
        }
        ReadingKind::Angle => {
            let lines = lines(reader, table, extra);
            let gap = reader.length(table, "gap", GAP);
            let length = reader.length(table, "length", Range::SIZE);
            let degrees = Range { least: 0.0, most: 180.0, open: true };
            let against = optional(table, "against", || reader.number(table, "against", "°", degrees))?;
            Some(What::Angle {
                lines: lines?,
                gap: gap?,
                length: length?,
                against: against.unwrap_or(90.0) * PI / 180.0,
            })
        }
        ReadingKind::FiveCut => {
            let fence = pair(reader, "fence");
            let rail = pair(reader, "rail");
            let strip = reader.lengths::<2>(table, "strip", Range::SIZE);
            let length = reader.length(table, "length", Range::SIZE);
            Some(What::FiveCut { fence: fence?, rail: rail?, strip: strip?, length: length? })
        }
        ReadingKind::TurnOver => {
            let fence = pair(reader, "fence");
            let rail = pair(reader, "rail");
            let gap = reader.length(table, "gap", Range { least: 0.0, ..GAP });
            let at_fence =
                optional(table, "gap_at", || reader.word(table, "gap_at", &[("fence", true), ("far", false)]))?;
            let length = reader.length(table, "length", Range::SIZE);
            Some(What::TurnOver { fence: fence?, rail: rail?, gap: gap?, at_fence: at_fence?, length: length? })
        }
        ReadingKind::Went | ReadingKind::DidNotGo => {
            let between = pair(reader, "between");
            let length = reader.length(table, "length", Range::SIZE);
            let play = play(reader, table, kit);
            let (between, length) = (between?, length?);
            let bar_holes = optional(table, "bar_holes", || bar_holes(reader, table, kit, length))?;
            Some(What::Gauge { between, length, play: play?, bar_holes, went: kind == ReadingKind::Went })
        }
        ReadingKind::Place => places(reader, table, extra),
    }
}

/// What a bar may be off and enter: as written, else by the kit's own diameters, and said.
fn play(reader: &mut Reader, table: &Table<'_>, kit: Option<&Kit>) -> Option<f64> {
    if table.get("play").is_some() {
        if table.get("pinned").is_some() {
            let fault = Fault::input("`pinned` says which clearances of the kit count, and `play` is written");
            reader.fault(table.place("pinned"), fault.hint("keep one of them"));
            return None;
        }
        return reader.length(table, "play", Range { open: true, ..Range::FINE });
    }
    let gauges = optional(table, "pinned", || reader.word(table, "pinned", &[("pins", false), ("gauges", true)]))?
        .unwrap_or(false);
    let with = if table.get("with").is_some() { reader.text(table, "with")? } else { "" };
    let Some(kit) = kit else {
        if reader.refused {
            return None; // a kit with faults of its own
        }
        let fault =
            Fault::input("how far the bar may be off and still enter is not said, and there is no kit to tell it");
        reader.fault(table.span, fault.hint("add play, the sum of the two radial clearances, or [kit]"));
        return None;
    };
    let bar = kit.bar_called(with).or_else(|| {
        // Bars bored alike: it does not matter which.
        let first = kit.bars.first()?;
        kit.bars.iter().all(|bar| bar.bore == first.bore).then_some(first)
    });
    let Some(bar) = bar else {
        let fault = Fault::input(
            "how far the bar may be off and still enter is not said, and the kit's bars are bored differently",
        );
        reader.fault(table.span, fault.hint("add play, or name the bar with `with` as the cards call it"));
        return None;
    };
    let play = kit.play(bar, gauges);
    let pegs = if gauges { "gauges" } else { "pins" };
    if play <= 0.0 {
        let fault = Fault::input(format!("by the kit's diameters its {pegs} have no play in this bar and its pilots"));
        reader.fault(table.span, fault.hint("add play, or look at the diameters of bars, pins and pilots"));
        return None;
    }
    let said = format::length((play * 1000.0).round() / 1000.0, reader.units);
    let remark = Fault::remark(format!("play is taken from the kit: {said}, with {pegs} at mean diameters"));
    reader.fault(table.span, remark.hint("write play where it is another"));
    Some(play)
}

/// Which two of its own holes a bar of the kit was pinned by: they must lie as far apart as it says.
fn bar_holes(reader: &mut Reader, table: &Table<'_>, kit: Option<&Kit>, length: f64) -> Option<[u32; 2]> {
    let items = reader.list(table, "bar_holes", "a list of two holes of the bar, the first being 1")?;
    let at = table.place("bar_holes");
    let with = if table.get("with").is_some() { reader.text(table, "with")? } else { "" };
    let Some(bar) = kit.and_then(|kit| kit.bar_called(with)) else {
        if !reader.refused {
            let fault = Fault::input("which of its holes a bar is pinned by matters for bars of the kit alone");
            reader.fault(at, fault.hint("name the bar with `with` as the cards call it, or take bar_holes out"));
        }
        return None;
    };
    let numbers: Vec<Option<u32>> = items
        .iter()
        .map(|item| match item.value {
            Value::Integer(n) => u32::try_from(n).ok().filter(|n| (1..=bar.holes).contains(n)),
            _ => None,
        })
        .collect();
    let [Some(first), Some(second)] = numbers[..] else {
        let fault = Fault::input(format!("bar_holes must be two of the {} holes of {with}", bar.holes));
        reader.fault(at, fault.hint("count from the bar's first hole as 1: bar_holes = [2, 12]"));
        return None;
    };
    let apart = f64::from(first.abs_diff(second)) * bar.pitch;
    if (apart - length).abs() > BAR_APART {
        let (apart, length) = (reader.say(apart), reader.say(length));
        let fault = Fault::input(format!(
            "holes {first} and {second} of {with} lie {apart} apart, and the reading is of {length}"
        ));
        reader.fault(at, fault.hint("look at the bar's holes and at the length"));
        return None;
    }
    Some([first, second])
}

/// Two different holes in a list.
fn two_holes(reader: &mut Reader, node: &Node, call: &str, extra: &[ExtraHole]) -> Option<[String; 2]> {
    let items = match &node.value {
        Value::List(items) if items.len() == 2 => items,
        Value::List(items) => {
            let fault = Fault::input(format!("{call} must name 2 holes, this names {}", items.len()));
            reader.fault(node.span, fault);
            return None;
        }
        other => {
            let fault = Fault::input(format!("{call} must be a list of two holes, this is {}", other.shown()));
            reader.fault(node.span, fault.hint("write it as in [\"A1\", \"G9\"]"));
            return None;
        }
    };
    let first = hole_of(reader, &items[0], call, extra);
    let second = hole_of(reader, &items[1], call, extra);
    let (first, second) = (first?, second?);
    if first == second {
        reader.fault(node.span, Fault::input(format!("{call} names {first} twice")).hint("name two holes"));
        return None;
    }
    Some([first, second])
}

fn lines(reader: &mut Reader, table: &Table<'_>, extra: &[ExtraHole]) -> Option<[[String; 2]; 2]> {
    let items = reader.list(table, "lines", "a list of two lines")?;
    let [first, second] = items else {
        let fault = Fault::input(format!("reading.lines must have 2 lines, this has {}", items.len()));
        reader.fault(
            table.place("lines"),
            fault.hint("each from the corner outwards: [[\"A1\", \"A14\"], [\"A1\", \"G1\"]]"),
        );
        return None;
    };
    let first = two_holes(reader, first, "reading.lines", extra);
    let second = two_holes(reader, second, "reading.lines", extra);
    Some([first?, second?])
}

/// How a distance was taken.
fn taken(reader: &mut Reader, table: &Table<'_>) -> Option<Taken> {
    let words = [("centres", Over::Centres), ("pins", Over::Pins), ("dogs", Over::Dogs), ("edges", Over::Edges)];
    let over = optional(table, "over", || reader.word(table, "over", &words))?.unwrap_or(Over::Centres);
    let outer = optional(table, "faces", || reader.word(table, "faces", &[("outer", true), ("inner", false)]))?;
    let diameters = optional(table, "diameters", || reader.one_or_two(table, "diameters", Range::DIAMETER))?;
    let clearance = optional(table, "clearance", || reader.one_or_two(table, "clearance", Range::FINE))?;
    let pressed = optional(table, "pressed", || reader.flag(table, "pressed"))?;
    if over == Over::Centres {
        let extra = ["faces", "diameters", "clearance", "pressed"].into_iter().find(|key| table.get(key).is_some());
        if let Some(key) = extra {
            let fault = Fault::input(format!("a distance between centres has no `{key}`"));
            reader.fault(
                table.place(key),
                fault.hint("add over = \"pins\", \"dogs\" or \"edges\" if that is what was read"),
            );
            return None;
        }
        return Some(Taken::CENTRES);
    }
    let [outer, diameters] = match (outer, diameters) {
        (Some(outer), Some(diameters)) => return beside(reader, table, over, outer, diameters, clearance, pressed),
        (outer, diameters) => [outer.is_some(), diameters.is_some()],
    };
    for (written, key) in [(outer, "faces"), (diameters, "diameters")] {
        if !written {
            reader.need(table, key);
        }
    }
    None
}

fn beside(
    reader: &mut Reader,
    table: &Table<'_>,
    over: Over,
    outer: bool,
    diameters: [f64; 2],
    clearance: Option<[f64; 2]>,
    pressed: Option<bool>,
) -> Option<Taken> {
    if over == Over::Edges
        && let Some(key) = ["clearance", "pressed"].into_iter().find(|key| table.get(key).is_some())
    {
        let fault = Fault::input(format!("a distance over the holes' own edges has no `{key}`"));
        reader.fault(table.place(key), fault.hint("take it out: nothing stands in the holes"));
        return None;
    }
    if pressed == Some(true) && clearance.is_none() {
        let fault = Fault::input("`pressed` corrects by the clearance, and none is written");
        reader.fault(
            table.place("pressed"),
            fault.hint("add clearance = [0.03, 0.04]: each hole's diameter less its pin's"),
        );
        return None;
    }
    Some(Taken { over, outer, diameters, clearance, pressed: pressed.unwrap_or(false) })
}

fn places(reader: &mut Reader, table: &Table<'_>, extra: &[ExtraHole]) -> Option<What> {
    let mut holes: Vec<String> = Vec::new();
    for item in reader.list(table, "holes", "a list of holes")? {
        let hole = hole_of(reader, item, "reading.holes", extra)?;
        if holes.contains(&hole) {
            let fault = Fault::input(format!("reading.holes names {hole} twice"));
            reader.fault(item.span, fault.hint("give the mean of its places, or a second reading"));
            return None;
        }
        holes.push(hole);
    }
    if holes.is_empty() {
        reader.fault(table.place("holes"), Fault::input("reading.holes names no hole"));
        return None;
    }
    let mut along = |key: &str| -> Option<Vec<f64>> {
        let items = reader.list(table, key, "a list of lengths")?;
        let call = table.call(key);
        if items.len() != holes.len() {
            let message = format!("{call} has {} entries, and there are {} holes", items.len(), holes.len());
            reader.fault(table.place(key), Fault::input(message));
            return None;
        }
        items.iter().map(|item| reader.length_of(item, &call, Range::PLACE)).collect()
    };
    let (x, y) = (along("x"), along("y"));
    let covariance = optional(table, "covariance", || covariance(reader, table, 2 * holes.len()))?;
    let own = optional(table, "frame", || reader.word(table, "frame", &[("own", true), ("top", false)]))?;
    Some(What::Place { holes, x: x?, y: y?, covariance, own_frame: own.unwrap_or(true) })
}

/// A square, symmetric list of lists, mm².
fn covariance(reader: &mut Reader, table: &Table<'_>, size: usize) -> Option<Vec<Vec<f64>>> {
    let rows = reader.list(table, "covariance", "a list of lists")?;
    let wrong = |reader: &mut Reader, is: String| {
        let fault = Fault::input(format!("reading.covariance must be {size} by {size}, {is}"));
        reader.fault(
            table.place("covariance"),
            fault.hint("in the order x and y of the first hole, of the second, …; mm²"),
        );
    };
    if rows.len() != size {
        wrong(reader, format!("this has {} rows", rows.len()));
        return None;
    }
    let mut out = Vec::with_capacity(size);
    for row in rows {
        let Value::List(items) = &row.value else {
            wrong(reader, format!("a row is {}", row.value.shown()));
            return None;
        };
        if items.len() != size {
            wrong(reader, format!("a row has {} entries", items.len()));
            return None;
        }
        let finite = Range { least: -1e6, most: 1e6, open: false };
        let row: Option<Vec<f64>> =
            items.iter().map(|item| reader.number_of(item, "reading.covariance", "mm²", finite)).collect();
        out.push(row?);
    }
    for (i, row) in out.iter().enumerate() {
        for (j, other) in out[..i].iter().enumerate() {
            /// Rounding of what was typed.
            const ALIKE: f64 = 1e-9;
            if (row[j] - other[i]).abs() > ALIKE * (row[i] * out[j][j]).abs().sqrt() {
                let (a, b) = (format::number(row[j], 9), format::number(other[i], 9));
                let message =
                    format!("reading.covariance is not symmetric: row {} has {a}, row {} has {b}", i + 1, j + 1);
                reader.fault(table.place("covariance"), Fault::input(message));
                return None;
            }
        }
    }
    Some(out)
}
