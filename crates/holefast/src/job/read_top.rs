//! Reads the sheet and what is laid out on it: `[top]`, `[grid]`, `[[keep_out]]`, `[[support]]`.

use std::collections::BTreeSet;

use super::outline;
use super::read::{Reader, Table};
use super::tree::{Node, Value, short};
use super::values::Range;
use crate::fault::{Fault, Span};
use crate::measure::format;
use crate::top::{
    Cell, CellRange, Count, ExtraHole, Grain, Grid, GridOrigin, InPlane, KeepOut, KeepOutShape, MOST_ROWS_OR_COLUMNS,
    Material, Point, Side, Sorption, Support, Top, row_letters,
};

/// Thickest sheet, mm; thicker is a slip of units.
const MOST_THICKNESS: f64 = 300.0;

/// Heaviest load a top is asked to bear, kg; more is no work on a bench.
const MOST_LOAD: f64 = 1000.0;

/// Reads `[top]`.
pub(super) fn top(reader: &mut Reader, root: &Table<'_>) -> Option<Top> {
    let table = reader.need_table(root, "top", "top")?;
    let length = reader.need_length(&table, "length", Range::SIZE);
    let width = reader.need_length(&table, "width", Range::SIZE);
    let thickness = reader.need_length(&table, "thickness", Range { most: MOST_THICKNESS, ..Range::SIZE });
    let material = if reader.need(&table, "material") { material(reader, &table) } else { None };
    let outline = match (table.get("outline"), length, width) {
        (Some(_), Some(length), Some(width)) => outline::read(reader, &table, length, width),
        (None, Some(length), Some(width)) => {
            Some(vec![Point::new(0.0, 0.0), Point::new(length, 0.0), Point::new(length, width), Point::new(0.0, width)])
        }
        _ => None,
    };
    let grain = match table.get("grain") {
        None => Some(Grain::default()),
        Some(_) => reader.word(&table, "grain", &[("length", Grain::Length), ("width", Grain::Width)]),
    };
    let free_below = reader.length(&table, "free_below", Range::DISTANCE);
    let load = reader.number(&table, "load", "kg", above_nil(MOST_LOAD));
    if table.get("load").is_some() && load.is_none() {
        return None;
    }
    Some(Top {
        length: length?,
        width: width?,
        thickness: thickness?,
        material: material?,
        grain: grain?,
        load,
        free_below,
        outline: outline?,
    })
}

fn material(reader: &mut Reader, top: &Table<'_>) -> Option<Material> {
    if let Some(Node { value: Value::Table(_), .. }) = top.get("material") {
        let table = reader.table(top, "material", "top.material")?;
        let name = if reader.need(&table, "name") { reader.text(&table, "name") } else { None };
        // Steel is 7850 kg/m³ and 210 000 MPa; no sheet that wood is bored on comes near.
        let density = match table.get("density") {
            None => Some(None),
            Some(_) => reader.number(&table, "density", "kg/m³", above_nil(10_000.0)).map(Some),
        };
        let modulus = in_plane(reader, &table, "modulus", "MPa", 300_000.0);
        let movement = in_plane(reader, &table, "movement", "mm/m for each percent of moisture", 100.0);
        // Aluminium grows by 0.024 mm/m for each K (from memory); no board grows a tenth of a percent.
        let heat = in_plane(reader, &table, "heat", "mm/m for each K", 1.0);
        let typed = Material {
            name: name?.to_owned(),
            density: density?,
            modulus: modulus?,
            movement: movement?,
            heat: heat?,
            sorption: Sorption::Wood,
            source: "as the job states it".to_owned(),
        };
        return Some(match Material::known(&typed.name) {
            Some(known) => typed.filled_from(known),
            None => typed,
        });
    }
    let name = reader.text(top, "material")?;
    if let Some(material) = Material::known(name) {
        return Some(material);
    }
    let shown = short(name);
    let near = super::nearest::nearest(name, Material::names());
    let table = format!("material = {{ name = \"{shown}\", density = 600 }}");
    let hint = match near {
        Some(near) => format!("is \"{near}\" meant? or state it: {table}"),
        None => format!("known: {}; or state it: {table}", Material::names().collect::<Vec<_>>().join(", ")),
    };
    reader.fault(top.place("material"), Fault::input(format!("no material \"{shown}\" is known here")).hint(hint));
    None
}

fn above_nil(most: f64) -> Range {
    Range { least: 0.0, most, open: true }
}

/// A figure of a material where written: one for every direction, or `[along, across]` the grain.
fn in_plane(reader: &mut Reader, table: &Table<'_>, key: &str, unit: &str, most: f64) -> Option<InPlane> {
    if table.get(key).is_none() {
        return Some(InPlane::NONE);
    }
    reader.one_or_two_numbers(table, key, unit, above_nil(most)).map(|[along, across]| InPlane::two(along, across))
}

/// Reads `[grid]`; the top, where it is sound, bounds the number of places.
pub(super) fn grid(reader: &mut Reader, root: &Table<'_>, top: Option<&Top>) -> Option<Grid> {
    let table = reader.need_table(root, "grid", "grid")?;
    let pitch = if reader.need(&table, "pitch") { reader.one_or_two(&table, "pitch", Range::SIZE) } else { None };
    let hole = reader.need_length(&table, "hole", Range::DIAMETER);
    let pilot = reader.need_length(&table, "pilot", Range::DIAMETER);
    let rows = count(reader, &table, "rows");
    let columns = count(reader, &table, "columns");
    let edge = reader.need_length(&table, "edge", Range::DISTANCE);
    let origin = if reader.need(&table, "origin") { origin(reader, &table) } else { None };
    let skip = if table.get("skip").is_some() { cells(reader, &table, "skip") } else { Some(Vec::new()) };
    let only = if table.get("only").is_some() { cells(reader, &table, "only").map(Some) } else { Some(None) };
    if table.get("skip").is_some() && table.get("only").is_some() {
        let fault = Fault::input("grid has both `skip` and `only`")
            .hint("`skip` leaves places out of the whole grid, `only` names those wanted: keep one of them");
        reader.fault(table.place("only"), fault);
    }
    let extra = extras(reader, &table);
    if let (Some(rows), Some(columns)) = (rows, columns) {
        within_grid(reader, &table, rows, columns);
    }
    sizes(reader, &table, hole, pilot, edge, pitch);
    if let (Some(top), Some(pitch)) = (top, pitch) {
        not_too_fine(reader, &table, top, pitch);
    }
    Some(Grid {
        pitch: pitch?,
        hole: hole?,
        pilot: pilot?,
        rows: rows?,
        columns: columns?,
        edge: edge?,
        origin: origin?,
        skip: skip?,
        only: only?,
        extra: extra?,
    })
}

fn sizes(
    reader: &mut Reader,
    table: &Table<'_>,
    hole: Option<f64>,
    pilot: Option<f64>,
    edge: Option<f64>,
    pitch: Option<[f64; 2]>,
) {
    if let (Some(hole), Some(pilot)) = (hole, pilot)
        && pilot >= hole
    {
        let message = format!("the pilot is {}, the dog hole it is opened to {}", reader.say(pilot), reader.say(hole));
        reader.fault(table.place("pilot"), Fault::input(message).hint("a pilot is smaller than its dog hole"));
    }
    if let (Some(hole), Some(edge)) = (hole, edge)
        && edge <= hole / 2.0
    {
        let message = format!(
            "holes may come within {} of the edge, measured from their centre; their radius is {}",
            reader.say(edge),
            reader.say(hole / 2.0)
        );
        reader.fault(table.place("edge"), Fault::input(message).hint("leave wood between hole and edge"));
    }
    if let (Some(hole), Some(pitch)) = (hole, pitch) {
        let least = pitch[0].min(pitch[1]);
        if least <= hole {
            let message =
                format!("holes of {} at a pitch of {} run into each other", reader.say(hole), reader.say(least));
            reader.fault(table.place("pitch"), Fault::input(message).hint("take a wider pitch or smaller holes"));
        }
    }
}

fn not_too_fine(reader: &mut Reader, table: &Table<'_>, top: &Top, pitch: [f64; 2]) {
    for (along, pitch, word) in [(top.length, pitch[0], "columns"), (top.width, pitch[1], "rows")] {
        if along / pitch >= f64::from(MOST_ROWS_OR_COLUMNS) {
            let message = format!(
                "a pitch of {} gives more than {MOST_ROWS_OR_COLUMNS} {word} on {}",
                reader.say(pitch),
                reader.say(along)
            );
            reader.fault(table.place("pitch"), Fault::input(message).hint("take a wider pitch"));
        }
    }
}

fn count(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<Count> {
    if !reader.need(table, key) {
        return None;
    }
    match &table.get(key)?.value {
        Value::Text(text) if text == "fit" => Some(Count::Fit),
        Value::Integer(_) => reader.whole(table, key, 1, MOST_ROWS_OR_COLUMNS).map(Count::Number),
        _ => {
            let shown = table.get(key).map_or(String::new(), |n| n.value.shown());
            let message = format!("{} must be a whole number or \"fit\", this is {shown}", table.call(key));
            let hint = "\"fit\" takes as many as the sheet has room for";
            reader.fault(table.place(key), Fault::input(message).hint(hint));
            None
        }
    }
}

fn origin(reader: &mut Reader, table: &Table<'_>) -> Option<GridOrigin> {
    match &table.get("origin")?.value {
        Value::List(_) => {
            let [x, y] = reader.lengths(table, "origin", Range::PLACE)?;
            Some(GridOrigin::At(Point::new(x, y)))
        }
        Value::Text(_) => reader.word(table, "origin", &[("centred", GridOrigin::Centred), ("fit", GridOrigin::Fit)]),
        _ => {
            let shown = table.get("origin").map_or(String::new(), |n| n.value.shown());
            let message = format!("grid.origin must be \"centred\", \"fit\" or the place of A1, this is {shown}");
            let hint = "write origin = [75, 90] to put A1 there";
            reader.fault(table.place("origin"), Fault::input(message).hint(hint));
            None
        }
    }
}

/// A list of places and rectangles of places.
pub(super) fn cells(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<Vec<CellRange>> {
    let items = reader.list(table, key, "a list of places")?;
    let mut out = Some(Vec::new());
    for item in items {
        let read = match &item.value {
            Value::Text(text) => CellRange::parse(text),
            _ => None,
        };
        match (read, &mut out) {
            (Some(range), Some(cells)) => cells.push(range),
            (Some(_), None) => {}
            (None, _) => {
                let shown = item.value.shown();
                let fault = Fault::input(format!("{}: {shown} is not a place of the grid", table.call(key)))
                    .hint("row letters, then the column's number: \"C4\"; for a rectangle two corners: \"D4:D9\"");
                reader.fault(item.span, fault);
                out = None;
            }
        }
    }
    out
}

/// Finds fault with places beyond the grid where its size is stated.
fn within_grid(reader: &mut Reader, table: &Table<'_>, rows: Count, columns: Count) {
    for key in ["skip", "only"] {
        let Some(Node { value: Value::List(items), .. }) = table.get(key) else { continue };
        for item in items {
            named_within(reader, &table.call(key), item, rows, columns);
        }
    }
}

/// Finds fault with a place, or rectangle of places, beyond the grid where its size is stated.
pub(super) fn named_within(reader: &mut Reader, call: &str, item: &Node, rows: Count, columns: Count) {
    let Value::Text(text) = &item.value else { return };
    let Some(range) = CellRange::parse(text) else { return };
    let row_out = matches!(rows, Count::Number(n) if range.to.row >= n);
    let column_out = matches!(columns, Count::Number(n) if range.to.column >= n);
    if !row_out && !column_out {
        return;
    }
    let size = match (rows, columns) {
        (Count::Number(rows), _) if row_out => format!("rows A to {}", row_letters(rows - 1)),
        (_, Count::Number(columns)) => format!("columns 1 to {columns}"),
        _ => return,
    };
    let fault = Fault::input(format!("{call} names {range}, the grid has {size}"));
    reader.fault(item.span, fault.hint("rows are letters, counted from the reference edge"));
}

fn extras(reader: &mut Reader, grid: &Table<'_>) -> Option<Vec<ExtraHole>> {
    let mut out = Some(Vec::new());
    let mut names = BTreeSet::new();
    for table in reader.tables(grid, "extra", "grid.extra") {
        let name = if reader.need(&table, "name") { reader.text(&table, "name") } else { None };
        if let Some(name) = name {
            extra_name(reader, &table, name, &mut names);
        }
        let x = reader.need_length(&table, "x", Range::PLACE);
        let y = reader.need_length(&table, "y", Range::PLACE);
        let diameter = reader.need_length(&table, "diameter", Range::DIAMETER);
        match (name, x, y, diameter, &mut out) {
            (Some(name), Some(x), Some(y), Some(diameter), Some(all)) => {
                all.push(ExtraHole { name: name.to_owned(), centre: Point::new(x, y), diameter });
            }
            _ => out = None,
        }
    }
    out
}

fn extra_name<'n>(reader: &mut Reader, table: &Table<'n>, name: &'n str, names: &mut BTreeSet<&'n str>) {
    let shown = short(name);
    let fault = if name.trim().is_empty() || name.contains([':', '\n']) || name.trim() != name {
        Fault::input(format!("an extra hole cannot be named \"{shown}\""))
            .hint("take a word without colon or space at its ends, as in \"vice\"")
    } else if Cell::parse(name).is_some() {
        Fault::input(format!("an extra hole cannot be named \"{shown}\": that is a place of the grid"))
            .hint(format!("take another name, as in \"extra {shown}\""))
    } else if !names.insert(name) {
        Fault::input(format!("two extra holes are named \"{shown}\"")).hint("give each its own name")
    } else {
        return;
    };
    reader.fault(table.place("name"), fault);
}

/// Reads `[[keep_out]]`.
pub(super) fn keep_outs(reader: &mut Reader, root: &Table<'_>, top: Option<&Top>) -> Option<Vec<KeepOut>> {
    let mut out = Some(Vec::new());
    let mut names = BTreeSet::new();
    for table in reader.tables(root, "keep_out", "keep_out") {
        let name = if reader.need(&table, "name") { reader.text(&table, "name") } else { None };
        if let Some(name) = name
            && !names.insert(name)
        {
            let shown = short(name);
            let fault = Fault::input(format!("two keep-outs are named \"{shown}\"")).hint("give each its own name");
            reader.fault(table.place("name"), fault);
        }
        let shape = shape(reader, &table);
        let clearance = reader.need_length(&table, "clearance", Range::DISTANCE);
        let side = if reader.need(&table, "side") {
            reader.word(&table, "side", &[("above", Side::Above), ("below", Side::Below), ("both", Side::Both)])
        } else {
            None
        };
        if let (Some(shape), Some(top)) = (shape, top) {
            off_the_sheet(reader, &table, shape, top);
        }
        match (name, shape, clearance, side, &mut out) {
            (Some(name), Some(shape), Some(clearance), Some(side), Some(all)) => {
                all.push(KeepOut { name: name.to_owned(), shape, clearance, side });
            }
            _ => out = None,
        }
    }
    out
}

fn shape(reader: &mut Reader, table: &Table<'_>) -> Option<KeepOutShape> {
    let positive = |reader: &mut Reader, value: f64, key: &str, word: &str, span: Span| {
        if value <= 0.0 {
            let message = format!("the {word} of keep_out.{key} is {}, it must be more than 0", reader.say(value));
            reader.fault(span, Fault::input(message));
        }
        value > 0.0
    };
    match (table.get("rect"), table.get("circle")) {
        (Some(node), None) => {
            let [x, y, length, width] = reader.lengths(table, "rect", Range::PLACE)?;
            let sound = positive(reader, length, "rect", "length", node.span);
            (positive(reader, width, "rect", "width", node.span) && sound).then_some(KeepOutShape::Rect {
                x,
                y,
                length,
                width,
            })
        }
        (None, Some(node)) => {
            let [x, y, diameter] = reader.lengths(table, "circle", Range::PLACE)?;
            positive(reader, diameter, "circle", "diameter", node.span)
                .then_some(KeepOutShape::Circle { centre: Point::new(x, y), diameter })
        }
        (None, None) => {
            let hint = "add rect = [x, y, length, width] or circle = [x, y, diameter]";
            reader.fault(table.span, Fault::input("this keep-out has no shape").hint(hint));
            None
        }
        (Some(_), Some(node)) => {
            let fault = Fault::input("this keep-out has both `rect` and `circle`").hint("write two keep-outs");
            reader.fault(node.span, fault);
            None
        }
    }
}

fn off_the_sheet(reader: &mut Reader, table: &Table<'_>, shape: KeepOutShape, top: &Top) {
    let (x0, y0, x1, y1, key) = match shape {
        KeepOutShape::Rect { x, y, length, width } => (x, y, x + length, y + width, "rect"),
        KeepOutShape::Circle { centre, diameter } => {
            let r = diameter / 2.0;
            (centre.x - r, centre.y - r, centre.x + r, centre.y + r, "circle")
        }
    };
    if x1 <= 0.0 || y1 <= 0.0 || x0 >= top.length || y0 >= top.width {
        let message = format!(
            "this keep-out lies beside the sheet, which is {} × {}",
            format::length_bare(top.length, reader.units),
            reader.say(top.width)
        );
        reader.fault(table.place(key), Fault::remark(message).hint("x and y are counted from the reference corner"));
    }
}

/// Reads `[[support]]`; the top, where it is sound, says whether it rests on them.
pub(super) fn supports(reader: &mut Reader, root: &Table<'_>, top: Option<&Top>) -> Option<Vec<Support>> {
    let mut out = Some(Vec::new());
    let mut seen: Vec<Support> = Vec::new();
    for table in reader.tables(root, "support", "support") {
        let line = if reader.need(&table, "line") { reader.lengths(&table, "line", Range::PLACE) } else { None };
        let Some([x0, y0, x1, y1]) = line else {
            out = None;
            continue;
        };
        let support = Support { from: Point::new(x0, y0), to: Point::new(x1, y1) };
        let fault = if support.from == support.to {
            Fault::input("this support has no length: both its ends are the same place").hint("line = [x0, y0, x1, y1]")
        } else if top.is_some_and(|top| !outline::touches(&top.outline, support.from, support.to)) {
            Fault::input("the sheet does not lie on this support: the line runs beside it")
                .hint("x and y are counted from the reference corner")
        } else if seen.iter().any(|other| *other == support || (other.from, other.to) == (support.to, support.from)) {
            Fault::input("this support stands twice").hint("take one of them out")
        } else {
            seen.push(support);
            if let Some(all) = &mut out {
                all.push(support);
            }
            continue;
        };
        reader.fault(table.place("line"), fault);
        out = None;
    }
    out
}
