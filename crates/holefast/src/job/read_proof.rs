//! Reads `[proof]` and `[[instrument]]`, and hands on to `read_reading` for what was read.
//!
//! Here a table is held against itself; whether a reading agrees with the top and names an
//! instrument that there is, is known when the holes are laid out (`reading::plausible`).

use super::read::{Reader, Table};
use super::read_reading;
use super::tree::{Node, Value};
use super::values::Range;
use crate::fault::Fault;
use crate::kit::Kit;
use crate::reading::{Instrument, Known, Prior, Proving, ReadingKind, Stated, TapeClass};
use crate::top::ExtraHole;

/// Greatest spread of square, pitch or a scale, mm per m: more is not known of a grid than that it
/// is one.
const MOST_PER_METRE: f64 = 100.0;
/// Least scatter of a hole, mm: nothing bored by hand lies truer, and with less the sums lose their
/// digits.
const LEAST_SCATTER: f64 = 0.001;
/// Longest time for one reading, minutes: a day.
const MOST_MINUTES: f64 = 1440.0;

/// Reads all that proving needs.
pub(super) fn proof(reader: &mut Reader, root: &Table<'_>, extra: &[ExtraHole], kit: Option<&Kit>) -> Option<Proving> {
    let (prior, date) = match root.get("proof") {
        None => (None, None),
        Some(_) => {
            let table = reader.table(root, "proof", "proof")?;
            let prior = match table.get("prior") {
                None => None,
                Some(Node { value: Value::Table(_), .. }) => Some(Prior::Stated(stated(reader, &table)?)),
                Some(_) => {
                    let words = [("prediction", Prior::Prediction), ("scatter", Prior::Scatter), ("none", Prior::None)];
                    Some(reader.word(&table, "prior", &words)?)
                }
            };
            (prior, date(reader, &table, "date")?)
        }
    };
    let instruments: Vec<Option<Instrument>> =
        reader.tables(root, "instrument", "instrument").iter().map(|table| instrument(reader, table)).collect();
    let readings: Vec<_> = reader
        .tables(root, "reading", "reading")
        .iter()
        .map(|table| read_reading::reading(reader, table, extra, kit))
        .collect();
    let instruments: Vec<Instrument> = instruments.into_iter().collect::<Option<_>>()?;
    for (i, one) in instruments.iter().enumerate() {
        if let (Some(span), true) = (one.span, instruments[..i].iter().any(|other| other.name == one.name)) {
            let fault = Fault::input(format!("there are two instruments \"{}\"", super::tree::short(&one.name)));
            reader.fault(span, fault.hint("give each a name of its own: readings say which one made them"));
        }
    }
    Some(Proving { prior, date, instruments, readings: readings.into_iter().collect::<Option<_>>()? })
}

/// A date where written: `Some(None)` where it is not.
pub(super) fn date(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<Option<String>> {
    match table.get(key).map(|node| &node.value) {
        None => Some(None),
        Some(Value::Date(text) | Value::Text(text)) => Some(Some(text.clone())),
        Some(_) => {
            reader.wrong_type_with_example(table, key, "a date as in 2026-05-16");
            None
        }
    }
}

fn stated(reader: &mut Reader, proof: &Table<'_>) -> Option<Stated> {
    let table = reader.table(proof, "prior", "proof.prior")?;
    let per_metre = Range { least: 0.0, most: MOST_PER_METRE, open: false };
    let scatter = Range { least: LEAST_SCATTER, ..Range::FINE };
    let hole = if reader.need(&table, "hole") {
        known(reader, &table, "hole", |r| r.length(&table, "hole", scatter))
    } else {
        None
    };
    let square = if reader.need(&table, "square") {
        known(reader, &table, "square", |r| r.number(&table, "square", "mm per m", per_metre))
    } else {
        None
    };
    let pitch = if !reader.need(&table, "pitch") {
        None
    } else if let Some(Node { value: Value::List(items), .. }) = table.get("pitch") {
        let call = table.call("pitch");
        if items.len() != 2 {
            let fault = Fault::input(format!("{call} must have 2 entries, this has {}", items.len()));
            reader.fault(table.place("pitch"), fault.hint("one along x and one along y: [0.05, 0.1]"));
            return None;
        }
        let mut both = items.iter().map(|item| match &item.value {
            Value::Text(text) if text == "unknown" => Some(Known::Unknown),
            _ => reader.number_of(item, &call, "mm per m", per_metre).map(Known::Within),
        });
        match (both.next().flatten(), both.next().flatten()) {
            (Some(x), Some(y)) => Some([x, y]),
            _ => None,
        }
    } else {
        known(reader, &table, "pitch", |r| r.number(&table, "pitch", "mm per m", per_metre)).map(|k| [k, k])
    };
    Some(Stated { hole: hole?, square: square?, pitch: pitch? })
}

/// "unknown", or what the getter reads.
fn known(
    reader: &mut Reader,
    table: &Table<'_>,
    key: &str,
    read: impl FnOnce(&mut Reader) -> Option<f64>,
) -> Option<Known> {
    match table.get(key).map(|node| &node.value) {
        Some(Value::Text(text)) if text == "unknown" => Some(Known::Unknown),
        _ => read(reader).map(Known::Within),
    }
}

fn instrument(reader: &mut Reader, table: &Table<'_>) -> Option<Instrument> {
    let name = if reader.need(table, "name") { reader.text(table, "name") } else { None };
    let reads = if reader.need(table, "reads") { reads(reader, table) } else { None };
    let above = |most| Range { least: 0.0, most, open: true };
    let u = reader.need_length(table, "u", above(50.0));
    let from_nil = |most| Range { least: 0.0, most, open: false };
    let optional = |reader: &mut Reader, key: &str, unit: &str, range: Range| match table.get(key) {
        None => Some(None),
        Some(_) => reader.number(table, key, unit, range).map(Some),
    };
    let u_per_m = optional(reader, "u_per_m", "mm per m", from_nil(MOST_PER_METRE));
    let minutes = optional(reader, "minutes", "minutes", above(MOST_MINUTES));
    let scale = match table.get("scale") {
        None => Some(None),
        Some(_) => {
            known(reader, table, "scale", |r| r.number(table, "scale", "mm per m", from_nil(MOST_PER_METRE))).map(Some)
        }
    };
    // Of a square that is held against lines, mm per m, in inch jobs too.
    let of_angles = reads.as_ref().is_some_and(|kinds| kinds.contains(&ReadingKind::Angle));
    let zero = match table.get("zero") {
        None => Some(None),
        Some(_) if of_angles => {
            known(reader, table, "zero", |r| r.number(table, "zero", "mm per m", from_nil(50.0))).map(Some)
        }
        Some(_) => known(reader, table, "zero", |r| r.length(table, "zero", from_nil(50.0))).map(Some),
    };
    let class = match table.get("class") {
        None => Some(None),
        Some(_) => reader
            .word(table, "class", &[("I", TapeClass::I), ("II", TapeClass::II), ("III", TapeClass::III)])
            .map(Some),
    };
    let range = match table.get("range") {
        None => Some(None),
        Some(_) => reader.lengths::<2>(table, "range", Range::DISTANCE).and_then(|[least, most]| {
            if least <= most {
                return Some(Some([least, most]));
            }
            let message = format!("instrument.range runs from {} down to {}", reader.say(least), reader.say(most));
            reader.fault(table.place("range"), Fault::input(message).hint("write the lesser first, [least, most]"));
            None
        }),
    };
    let size = |reader: &mut Reader, key: &str| match table.get(key) {
        None => Some(None),
        Some(_) => reader.length(table, key, Range::SIZE).map(Some),
    };
    let blade = size(reader, "blade");
    let strip = size(reader, "strip");
    Some(Instrument {
        name: name?.to_owned(),
        reads: reads?,
        u: u?,
        u_per_m: u_per_m?.unwrap_or(0.0),
        scale: scale?,
        zero: zero?,
        class: class?,
        range: range?,
        minutes: minutes?,
        blade: blade?,
        strip: strip?,
        span: Some(table.span),
    })
}

/// The kinds an instrument takes.
fn reads(reader: &mut Reader, table: &Table<'_>) -> Option<Vec<ReadingKind>> {
    let items = reader.list(table, "reads", "a list of kinds")?;
    let mut kinds = Vec::with_capacity(items.len());
    for item in items {
        let word = match &item.value {
            Value::Text(text) => ReadingKind::ALL.into_iter().find(|kind| kind.name() == text),
            _ => None,
        };
        let Some(kind) = word else {
            let known: Vec<&str> = ReadingKind::ALL.into_iter().map(ReadingKind::name).collect();
            let fault = Fault::input(format!("instrument.reads: {} is no kind of reading", item.value.shown()));
            reader.fault(item.span, fault.hint(format!("known: {}", known.join(", "))));
            return None;
        };
        if !kinds.contains(&kind.as_read()) {
            kinds.push(kind.as_read());
        }
    }
    if kinds.is_empty() {
        let fault = Fault::input("instrument.reads names no kind of reading");
        reader.fault(table.place("reads"), fault.hint("write reads = [\"distance\"]"));
        return None;
    }
    Some(kinds)
}
