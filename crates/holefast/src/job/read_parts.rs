//! Reads `[[part]]`, `[[stock]]` and `[breakdown]`: what is to be cut from what.
//!
//! Only what can be said of each entry by itself is found here; whether the parts can be had from the
//! stock is looked at when they are broken down, so that a list in the making stops nobody from boring.

use std::collections::BTreeMap;

use super::read::{Reader, Table};
use super::tree::{Node, Value, short};
use super::values::Range;
use super::{PartList, StockSheet, WantedPart};
use crate::breakdown::{Axis, PartGrain};
use crate::fault::{Fault, Span};

/// Most parts of a list, all quantities together: a shop that needs more has other means, and beyond
/// this the search is slow and its answer poor.
pub const MOST_PARTS: u32 = 20_000;

/// Most sheets of a sort.
const MOST_SHEETS: u32 = 10_000;

/// Kerfs, mm: no saw takes nothing, and none for wood takes 10 mm.
const KERF: Range = Range { least: 0.0, most: 10.0, open: true };

/// Trim of an edge, mm.
const TRIM: Range = Range { least: 0.0, most: 500.0, open: false };

/// Angle of a part's end, degrees.
const END: Range = Range { least: 5.0, most: 175.0, open: false };

/// Stages that may be asked for; in two, a part still comes to size both ways.
const STAGES: [u32; 2] = [2, 20];

/// Least sides of an offcut worth keeping unless said, mm (common practice, no source).
pub(super) const USEFUL: [f64; 2] = [300.0, 100.0];

/// Reads all three.
pub(super) fn parts(reader: &mut Reader, root: &Table<'_>) -> Option<PartList> {
    let parts = wanted(reader, root);
    let stock = stock(reader, root);
    let mut list = PartList { useful: USEFUL, ..PartList::default() };
    let mut sound = true;
    if root.get("breakdown").is_some() {
        let table = reader.table(root, "breakdown", "breakdown")?;
        if table.get("stages").is_some() {
            list.stages = reader.whole(&table, "stages", STAGES[0], STAGES[1]);
            sound &= list.stages.is_some();
        }
        if table.get("narrowest").is_some() {
            list.narrowest = reader.length(&table, "narrowest", Range::SIZE);
            sound &= list.narrowest.is_some();
        }
        if table.get("useful").is_some() {
            match reader.lengths::<2>(&table, "useful", Range::DISTANCE) {
                Some([a, b]) => list.useful = [a.max(b), a.min(b)],
                None => sound = false,
            }
        }
    }
    list.parts = parts?;
    list.stock = stock?;
    sound.then_some(list)
}

fn wanted(reader: &mut Reader, root: &Table<'_>) -> Option<Vec<WantedPart>> {
    let mut out = Some(Vec::new());
    let mut names = BTreeMap::new();
    let mut all = 0u64;
    for table in reader.tables(root, "part", "part") {
        let name = name(reader, &table, "part", &mut names);
        let length = reader.need_length(&table, "length", Range::SIZE);
        let width = reader.need_length(&table, "width", Range::SIZE);
        let thickness = optional(&table, "thickness", |key| reader.length(&table, key, Range::SIZE));
        let quantity = match table.get("quantity") {
            None => Some(1),
            Some(_) => reader.whole(&table, "quantity", 1, MOST_PARTS),
        };
        let grain = match table.get("grain") {
            None => Some(PartGrain::Any),
            Some(_) => reader.word(
                &table,
                "grain",
                &[("length", PartGrain::Length), ("width", PartGrain::Width), ("any", PartGrain::Any)],
            ),
        };
        let ends = optional(&table, "ends", |key| ends(reader, &table, key));
        let tolerance = optional(&table, "tolerance", |key| reader.length(&table, key, Range::DISTANCE));
        let before = all;
        all += u64::from(quantity.unwrap_or(0));
        if all > u64::from(MOST_PARTS) && before <= u64::from(MOST_PARTS) {
            let message = format!("with this the list has {all} parts, at most {MOST_PARTS} are taken");
            let place = table.place("quantity");
            reader.fault(place, Fault::input(message).hint("break the list down in several jobs"));
        }
        match (name, length, width, thickness, quantity, grain, ends, tolerance, &mut out) {
            (
                Some(name),
                Some(length),
                Some(width),
                Some(thickness),
                Some(quantity),
                Some(grain),
                Some(ends),
                Some(tolerance),
                Some(list),
            ) => {
                let place = table.path.clone();
                list.push(WantedPart { name, length, width, thickness, quantity, grain, ends, tolerance, place });
            }
            _ => out = None,
        }
    }
    out
}

fn stock(reader: &mut Reader, root: &Table<'_>) -> Option<Vec<StockSheet>> {
    let mut out = Some(Vec::new());
    let mut names = BTreeMap::new();
    for table in reader.tables(root, "stock", "stock") {
        let name = name(reader, &table, "stock", &mut names);
        let length = reader.need_length(&table, "length", Range::SIZE);
        let width = reader.need_length(&table, "width", Range::SIZE);
        let thickness = optional(&table, "thickness", |key| reader.length(&table, key, Range::SIZE));
        let quantity = match table.get("quantity") {
            None => Some(1),
            Some(_) => reader.whole(&table, "quantity", 1, MOST_SHEETS),
        };
        let grain = match table.get("grain") {
            None => Some(Some(Axis::X)),
            Some(_) => {
                let words = [("length", Some(Axis::X)), ("width", Some(Axis::Y)), ("none", None)];
                reader.word(&table, "grain", &words)
            }
        };
        let trim = match table.get("trim") {
            None => Some(0.0),
            Some(_) => reader.length(&table, "trim", TRIM),
        };
        let kerf = reader.need_length(&table, "kerf", KERF);
        if kerf.is_none()
            && table.get("kerf").is_some()
            && let Some(fault) = reader.faults.last_mut()
        {
            fault.hint = Some("measure the slot of a trial cut: every saw takes some wood".to_owned());
        }
        if let (Some(length), Some(width), Some(trim)) = (length, width, trim)
            && 2.0 * trim >= length.min(width)
        {
            let message = format!(
                "trimming {} off both edges leaves nothing of {}",
                reader.say(trim),
                reader.say(length.min(width))
            );
            reader.fault(table.place("trim"), Fault::input(message).hint("trim is what comes off each edge"));
            out = None;
        }
        match (name, length, width, thickness, quantity, grain, trim, kerf, &mut out) {
            (
                Some(name),
                Some(length),
                Some(width),
                Some(thickness),
                Some(quantity),
                Some(grain),
                Some(trim),
                Some(kerf),
                Some(list),
            ) => {
                let place = table.path.clone();
                list.push(StockSheet { name, length, width, thickness, quantity, grain, trim, kerf, place });
            }
            _ => out = None,
        }
    }
    out
}

/// A key that may be absent: `Some(None)` then, none where it is faulty.
fn optional<T>(table: &Table<'_>, key: &str, read: impl FnOnce(&str) -> Option<T>) -> Option<Option<T>> {
    if table.get(key).is_none() { Some(None) } else { read(key).map(Some) }
}

/// A name that no other entry has.
fn name(reader: &mut Reader, table: &Table<'_>, what: &str, names: &mut BTreeMap<String, Span>) -> Option<String> {
    let text = if reader.need(table, "name") { reader.text(table, "name")?.trim().to_owned() } else { return None };
    let span = table.place("name");
    if text.is_empty() {
        let fault = Fault::input(format!("this {what} has an empty name"));
        reader.fault(span, fault.hint("it is written on the sheet and on the wood"));
        return None;
    }
    if names.insert(text.clone(), span).is_some() {
        let fault = Fault::input(format!("two entries of [[{what}]] are called \"{}\"", short(&text)));
        reader.fault(span, fault.hint("alike ones are one entry with a quantity; others need names of their own"));
        return None;
    }
    Some(text)
}

/// The angles of a part's two ends, degrees.
fn ends(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<[f64; 2]> {
    let items = reader.list(table, key, "a list of two angles")?;
    if items.len() != 2 {
        let message = format!("part.ends must have 2 entries, this has {}", items.len());
        reader.fault(table.place(key), Fault::input(message).hint("one angle for each end: [90, 45]"));
        return None;
    }
    let mut out = Some([0.0; 2]);
    for (i, item) in items.iter().enumerate() {
        match (angle(reader, item), &mut out) {
            (Some(degrees), Some(ends)) => ends[i] = degrees,
            _ => out = None,
        }
    }
    out
}

fn angle(reader: &mut Reader, item: &Node) -> Option<f64> {
    let degrees = match item.value {
        Value::Integer(number) => number as f64,
        Value::Float(number) => number,
        _ => f64::NAN,
    };
    if (END.least..=END.most).contains(&degrees) {
        return Some(degrees);
    }
    let message = format!("part.ends: {} is no angle from 5° to 175°", item.value.shown());
    reader.fault(item.span, Fault::input(message).hint("a square end is 90"));
    None
}
