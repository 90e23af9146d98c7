//! Reads `[[cut]]`: what is to be cut, and where fence, rail and stop stand where the maker has
//! settled that. Whether the holes exist on this top is `cut`'s work, once it is laid out.

use std::collections::BTreeSet;
use std::f64::consts::{FRAC_PI_2, PI};

use super::read::{Reader, Table};
use super::read_rest::hole_of;
use super::values::Range;
use super::{Cut, CutAt, HoleLine, Kept, LineSide, StopHole};
use crate::fault::Fault;
use crate::top::ExtraHole;

/// Widest tolerance on an angle that makes sense, degrees.
const MOST_TOLERANCE: f64 = 10.0;
/// Thickest cut, mm: no saw takes more out; a greater figure is a slip of the decimal sign.
const MOST_KERF: f64 = 20.0;
/// Most pieces of one setting.
const MOST_PIECES: u32 = 10_000;
/// An angle lies between these, degrees, neither included.
const HALF_TURN: Range = Range { least: 0.0, most: 180.0, open: true };

/// Reads all cuts; each has a name of its own.
pub(super) fn cuts(reader: &mut Reader, root: &Table<'_>, extra: &[ExtraHole]) -> Option<Vec<Cut>> {
    let mut out = Some(Vec::new());
    let mut names = BTreeSet::new();
    for table in reader.tables(root, "cut", "cut") {
        let cut = cut(reader, &table, extra);
        if let Some(cut) = &cut
            && !names.insert(cut.name.clone())
        {
            let fault = Fault::input(format!("two cuts are called \"{}\"", super::tree::short(&cut.name)));
            reader.fault(table.place("name"), fault.hint("give each its own name; the cards go by it"));
        }
        match (cut, &mut out) {
            (Some(cut), Some(all)) => all.push(cut),
            _ => out = None,
        }
    }
    out
}

fn cut(reader: &mut Reader, table: &Table<'_>, extra: &[ExtraHole]) -> Option<Cut> {
    let name = if reader.need(table, "name") { reader.text(table, "name") } else { None };
    let angle = if reader.need(table, "angle") { angle(reader, table, "angle") } else { None };
    let end = match table.get("end") {
        Some(_) => angle_of(reader, table, "end"),
        None => Some(FRAC_PI_2),
    };
    let tolerance = Range { least: 0.0, most: MOST_TOLERANCE, open: true };
    let tolerance = reader.number(table, "tolerance", "degrees", tolerance);
    let length = reader.length(table, "length", Range::SIZE);
    let width = reader.length(table, "width", Range::SIZE);
    let kerf = reader.length(table, "kerf", Range { least: 0.0, most: MOST_KERF, open: true });
    let at = match table.get("at") {
        Some(_) => reader.word(table, "at", &[("fence", CutAt::Fence), ("middle", CutAt::Middle), ("far", CutAt::Far)]),
        None => Some(CutAt::Fence),
    };
    let kept = match table.get("kept") {
        Some(_) => reader.word(table, "kept", &[("under rail", Kept::UnderRail), ("beyond", Kept::Beyond)]),
        None => None,
    };
    let quantity = match table.get("quantity") {
        Some(_) => reader.whole(table, "quantity", 1, MOST_PIECES),
        None => Some(1),
    };
    let fence = line(reader, table, "fence", "cut.fence", extra);
    let rail = line(reader, table, "rail", "cut.rail", extra);
    let stop = stop(reader, table, extra);
    together(reader, table);
    Some(Cut {
        name: name?.to_owned(),
        angle: angle?,
        tolerance: tolerance.map(f64::to_radians),
        length,
        at: at?,
        width,
        kerf,
        kept,
        end: end?,
        quantity: quantity?,
        fence: fence?,
        rail: rail?,
        stop: stop?,
    })
}

/// What one key asks of another.
fn together(reader: &mut Reader, table: &Table<'_>) {
    let written = |key: &str| table.get(key).is_some();
    let lacks = |reader: &mut Reader, key: &str, message: String, hint: &str| {
        reader.fault(table.place(key), Fault::input(message).hint(hint));
    };
    for (one, other) in [("fence", "rail"), ("rail", "fence")] {
        if written(one) && !written(other) {
            let message = format!("this cut settles its {one} and not its {other}");
            lacks(reader, one, message, "settle both, or take both out: a place is then looked for");
        }
    }
    if written("stop") && !written("fence") {
        let message = "this cut settles its stop and neither fence nor rail".to_owned();
        lacks(reader, "stop", message, "settle all three, or take the stop out: a place is then looked for");
    }
    if written("stop") && !written("length") {
        let message = "this cut has a stop and no length".to_owned();
        lacks(reader, "stop", message, "add length = \"430 mm\", as it is wanted");
    }
    if written("at") && !written("length") {
        let message = "this cut says where its length is taken and has no length".to_owned();
        lacks(reader, "at", message, "add length = \"430 mm\", as it is wanted");
    }
    let far = matches!(table.get("at").map(|n| &n.value), Some(super::tree::Value::Text(t)) if t != "fence");
    if far && !written("width") {
        let message = "the length is taken away from the fence, and the cut has no width".to_owned();
        lacks(reader, "at", message, "add width = \"85 mm\", the work's from the fence to its far edge");
    }
    let beyond = matches!(table.get("kept").map(|n| &n.value), Some(super::tree::Value::Text(t)) if t == "beyond");
    if beyond && written("length") && !written("kerf") {
        let message = "what is kept lies beyond the kerf, and the cut has no kerf".to_owned();
        lacks(reader, "kept", message, "add kerf = \"2.2 mm\": cut into an offcut and measure the slot");
    }
}

/// The angle of the cut, in rad.
fn angle(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<f64> {
    let read = angle_of(reader, table, key);
    if read.is_none()
        && let Some(fault) = reader.faults.last_mut()
        && fault.message.contains("180°")
    {
        fault.hint = Some("a square cut is 90; it is the angle between fence and cut, on the work's side".to_owned());
    }
    read
}

/// An angle of less than half a turn, in rad.
fn angle_of(reader: &mut Reader, table: &Table<'_>, key: &str) -> Option<f64> {
    use super::tree::Value;
    let degrees = match table.get(key)?.value {
        Value::Integer(number) => number as f64,
        Value::Float(number) if number.is_finite() => number,
        _ => {
            reader.number(table, key, "degrees", HALF_TURN);
            return None;
        }
    };
    if degrees <= HALF_TURN.least || degrees >= HALF_TURN.most {
        let shown = crate::measure::format::number(degrees, 4);
        let message = format!("{} is {shown}°, it must lie between 0° and 180°", table.call(key));
        reader.fault(table.place(key), Fault::input(message).hint("a square end is 90"));
        return None;
    }
    Some(degrees * PI / 180.0)
}

/// A fixed line where written: `Some(None)` where it is not.
fn line(
    reader: &mut Reader,
    cut: &Table<'_>,
    key: &str,
    name: &'static str,
    extra: &[ExtraHole],
) -> Option<Option<HoleLine>> {
    if cut.get(key).is_none() {
        return Some(None);
    }
    let table = reader.table(cut, key, name)?;
    let side = if reader.need(&table, "side") {
        reader.word(&table, "side", &[("left", LineSide::Left), ("right", LineSide::Right)])
    } else {
        None
    };
    let dogs = match table.get("dogs") {
        Some(_) => reader.one_or_two(&table, "dogs", Range::DIAMETER).map(Some),
        None => Some(None),
    };
    let away = reader.length(&table, "cut", Range::DISTANCE);
    if !reader.need(&table, "holes") {
        return None;
    }
    let items = reader.list(&table, "holes", "a list of two holes")?;
    if items.len() != 2 {
        let message = format!("{} must name 2 holes, this names {}", table.call("holes"), items.len());
        reader.fault(table.place("holes"), Fault::input(message));
        return None;
    }
    let call = table.call("holes");
    let first = hole_of(reader, &items[0], &call, extra);
    let second = hole_of(reader, &items[1], &call, extra);
    let (first, second) = (first?, second?);
    if first == second {
        let message = format!("{call} names {first} twice, a line needs two holes");
        reader.fault(table.place("holes"), Fault::input(message));
        return None;
    }
    Some(Some(HoleLine { holes: [first, second], side: side?, dogs: dogs?, cut: away }))
}

/// The stop where written: `Some(None)` where it is not.
fn stop(reader: &mut Reader, cut: &Table<'_>, extra: &[ExtraHole]) -> Option<Option<StopHole>> {
    if cut.get("stop").is_none() {
        return Some(None);
    }
    let table = reader.table(cut, "stop", "cut.stop")?;
    let dog = reader.length(&table, "dog", Range::DIAMETER);
    if !reader.need(&table, "hole") {
        return None;
    }
    let hole = super::read_rest::hole(reader, &table, "hole", extra)?;
    Some(Some(StopHole { hole, dog }))
}
