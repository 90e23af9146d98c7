//! Reads what is wanted and what has happened: `[accuracy]`, `[climate]`, `[[done]]`,
//! `[[spoiled]]`.

use std::collections::BTreeSet;

use super::read::{Reader, Table};
use super::read_top::{cells, named_within};
use super::tree::{Node, Value, short};
use super::values::Range;
use super::{Accuracy, Air, Climate, Done, DoneAs, Spoiled};
use crate::fault::Fault;
use crate::top::{Cell, CellRange, ExtraHole, Grid, Point};

/// Confidence, unless said.
const DEFAULT_CONFIDENCE: f64 = 0.95;

/// Widest tolerance on square or a cut that makes sense, mm per m: 5.7°.
const MOST_SQUARE: f64 = 100.0;

/// Reads `[accuracy]`.
pub(super) fn accuracy(reader: &mut Reader, root: &Table<'_>) -> Option<Accuracy> {
    let Some(_) = root.get("accuracy") else {
        return Some(Accuracy { square: None, confidence: DEFAULT_CONFIDENCE, cut: None });
    };
    let table = reader.table(root, "accuracy", "accuracy")?;
    let wanted = Range { least: 0.0, most: MOST_SQUARE, open: true };
    let square = reader.number(&table, "square", "mm per m", wanted);
    let cut = reader.number(&table, "cut", "mm per m", wanted);
    let confidence = match table.get("confidence") {
        None => Some(DEFAULT_CONFIDENCE),
        Some(_) => {
            let range = Range { least: 0.5, most: 0.9999, open: false };
            let read = reader.number(&table, "confidence", "", range);
            if read.is_none()
                && let Some(fault) = reader.faults.last_mut()
            {
                fault.hint = Some("95 times in 100 is confidence = 0.95".to_owned());
            }
            read
        }
    };
    Some(Accuracy { square, confidence: confidence?, cut })
}

/// Reads `[climate]` where written: `Some(None)` where it is not.
pub(super) fn climate(reader: &mut Reader, root: &Table<'_>) -> Option<Option<Climate>> {
    if root.get("climate").is_none() {
        return Some(None);
    }
    let table = reader.table(root, "climate", "climate")?;
    let boring = air(reader, &table, "boring", "climate.boring");
    let use_ = air(reader, &table, "use", "climate.use");
    Some(Some(Climate { boring: boring?, use_: use_? }))
}

fn air(reader: &mut Reader, climate: &Table<'_>, key: &str, name: &'static str) -> Option<Air> {
    if !reader.need(climate, key) {
        return None;
    }
    let table = reader.table(climate, key, name)?;
    let number = |reader: &mut Reader, key: &str, unit: &str, range: Range| {
        if reader.need(&table, key) { reader.number(&table, key, unit, range) } else { None }
    };
    let temperature = number(reader, "temperature", "°C", Range { least: -40.0, most: 60.0, open: false });
    let humidity = number(reader, "humidity", "percent", Range { least: 0.0, most: 100.0, open: false });
    Some(Air { temperature: temperature?, humidity: humidity? })
}

/// Reads `[[done]]`: places of the grid, each once.
pub(super) fn done(reader: &mut Reader, root: &Table<'_>, grid: Option<&Grid>) -> Option<Vec<Done>> {
    let mut out = Some(Vec::new());
    let mut seen: Vec<(CellRange, DoneAs)> = Vec::new();
    for table in reader.tables(root, "done", "done") {
        let helpers = helpers(reader, &table);
        let only_helpers = table.get("helpers").is_some() && table.get("holes").is_none();
        let holes = match only_helpers {
            true => Some(Vec::new()),
            false if reader.need(&table, "holes") => cells(reader, &table, "holes"),
            false => None,
        };
        let as_ = if reader.need(&table, "as") {
            reader.word(&table, "as", &[("pilot", DoneAs::Pilot), ("dog", DoneAs::Dog)])
        } else {
            None
        };
        let items = match table.get("holes") {
            Some(Node { value: Value::List(items), .. }) => items.as_slice(),
            _ => &[],
        };
        if let Some(grid) = grid {
            for item in items {
                named_within(reader, "done.holes", item, grid.rows, grid.columns);
            }
        }
        let scatter = match table.get("scatter") {
            Some(_) => reader.length(&table, "scatter", Range::FINE).map(Some),
            None => Some(None),
        };
        if let (Some(DoneAs::Dog), Some(_)) = (as_, table.get("helpers")) {
            let fault = Fault::input("helpers are pilots that are never opened, and are done as \"dog\" here")
                .hint("name them in a [[done]] of their own, as = \"pilot\"");
            reader.fault(table.place("helpers"), fault);
        }
        match (holes, as_, scatter, helpers, &mut out) {
            (Some(holes), Some(as_), Some(scatter), Some(helpers), Some(all)) => {
                for (&range, item) in holes.iter().zip(items) {
                    done_twice(reader, item, range, as_, &seen);
                    seen.push((range, as_));
                }
                all.push(Done { holes, as_, scatter, helpers });
            }
            _ => out = None,
        }
    }
    out
}

/// Where helper pilots are, each `[x, y]`.
fn helpers(reader: &mut Reader, table: &Table<'_>) -> Option<Vec<Point>> {
    if table.get("helpers").is_none() {
        return Some(Vec::new());
    }
    let items = reader.list(table, "helpers", "a list of places [x, y]")?;
    let mut out = Some(Vec::new());
    for item in items {
        let at = match &item.value {
            Value::List(pair) => reader.lengths_of(pair, item.span, "a place of done.helpers", Range::PLACE),
            other => {
                let message = format!("a place of done.helpers must be [x, y], this is {}", other.shown());
                reader
                    .fault(item.span, Fault::input(message).hint("as in helpers = [[75, 890]], measured on the sheet"));
                None
            }
        };
        match (at, &mut out) {
            (Some([x, y]), Some(all)) => all.push(Point::new(x, y)),
            _ => out = None,
        }
    }
    out
}

/// Finds fault with a hole that stands in `[[done]]` as a pilot and as a dog hole.
fn done_twice(reader: &mut Reader, item: &Node, range: CellRange, as_: DoneAs, seen: &[(CellRange, DoneAs)]) {
    let common = |(other, how): &(CellRange, DoneAs)| {
        let from = Cell::new(range.from.row.max(other.from.row), range.from.column.max(other.from.column));
        (*how != as_ && range.contains(from) && other.contains(from)).then_some(from)
    };
    if let Some(cell) = seen.iter().find_map(common) {
        let fault = Fault::input(format!("hole {cell} is done both as \"pilot\" and as \"dog\""));
        reader.fault(item.span, fault.hint("a dog hole was a pilot before: name it under \"dog\" alone"));
    }
}

/// Reads `[[spoiled]]`; a hole is a place of the grid or an extra hole.
pub(super) fn spoiled(reader: &mut Reader, root: &Table<'_>, grid: Option<&Grid>) -> Option<Vec<Spoiled>> {
    let extra = grid.map_or(&[][..], |grid| &grid.extra);
    let mut out = Some(Vec::new());
    let mut names = BTreeSet::new();
    for table in reader.tables(root, "spoiled", "spoiled") {
        let hole = if reader.need(&table, "hole") { hole(reader, &table, "hole", extra) } else { None };
        if let (Some(hole), Some(node)) = (&hole, table.get("hole")) {
            if !names.insert(hole.clone()) {
                let fault = Fault::input(format!("hole {hole} is spoiled twice"));
                reader.fault(node.span, fault.hint("write it once, with all there is to say in `why`"));
            } else if let Some(grid) = grid {
                named_within(reader, "spoiled.hole", node, grid.rows, grid.columns);
            }
        }
        let why = match table.get("why") {
            Some(_) => reader.text(&table, "why"),
            None => Some(""),
        };
        match (hole, why, &mut out) {
            (Some(hole), Some(why), Some(all)) => all.push(Spoiled { hole, why: why.to_owned() }),
            _ => out = None,
        }
    }
    out
}

/// The hole that a key names.
pub(super) fn hole(reader: &mut Reader, table: &Table<'_>, key: &str, extra: &[ExtraHole]) -> Option<String> {
    let node = table.get(key)?;
    let call = table.call(key);
    hole_of(reader, node, &call, extra)
}

/// The name of a hole as the grid spells it.
pub(super) fn hole_of(reader: &mut Reader, node: &Node, call: &str, extra: &[ExtraHole]) -> Option<String> {
    let Value::Text(text) = &node.value else {
        let message = format!("{call} must be a hole's name, this is {}", node.value.shown());
        reader.fault(node.span, Fault::input(message).hint("write it in quotes, as in \"C5\""));
        return None;
    };
    if extra.iter().any(|e| e.name == *text) {
        return Some(text.clone());
    }
    if let Some(cell) = Cell::parse(text) {
        return Some(cell.to_string());
    }
    let shown = short(text);
    let fault = Fault::input(format!("{call}: \"{shown}\" is neither a place of the grid nor an extra hole"))
        .hint("row letters, then the column's number, as in \"C5\"");
    reader.fault(node.span, fault);
    None
}
