//! Reads `[kit]` and its tables; whether its parts fit each other and the grid is `fits`' work.

use super::read::{Reader, Table};
use super::tree::short;
use super::values::Range;
use crate::fault::{Fault, Span};
use crate::kit::{
    ASSUMED_GAUGE_STEP, Bar, Block, DEFAULT_GIVE, DEFAULT_MINUTES, Dog, Fence, Gauge, Kit, Limits, Minutes, OpeningBit,
    PilotBit, Pin, Rail,
};
use crate::measure::format;
use crate::measure::iso286::{self, Feature};

/// Most of any one thing in a kit; more is a slip of the pen.
const MOST_ALIKE: u32 = 100;
/// Most holes of a bar.
const MOST_BAR_HOLES: u32 = 500;
/// Pins, unless said.
const DEFAULT_PINS: u32 = 3;
/// Dogs, unless said.
const DEFAULT_DOGS: u32 = 2;
/// Greatest lean that is still a bored hole and not a wrong drill stand, degrees.
const MOST_LEAN: f64 = 5.0;
/// Longest any step may take, minutes: a working day.
const MOST_MINUTES: f64 = 480.0;

/// Reads `[kit]` where written: `Some(None)` where it is not.
pub(super) fn kit(reader: &mut Reader, root: &Table<'_>) -> Option<Option<Kit>> {
    if root.get("kit").is_none() {
        return Some(None);
    }
    let table = reader.table(root, "kit", "kit")?;
    if reader.need(&table, "method") {
        reader.word(&table, "method", &[("bars", ())]);
    }
    let bars = bars(reader, &table);
    let pin = pin(reader, &table);
    let gauges = gauges(reader, &table, pin.as_ref());
    let pilot_bit = pilot_bit(reader, &table);
    let block = block(reader, &table);
    let opening_bit = opening_bit(reader, &table);
    let dog = dog(reader, &table);
    let [clamp_reach, clamp_opens, clamp_below, hold_down, hold_down_high] = clamp(reader, &table);
    let rail = rail(reader, &table);
    let fence = fence(reader, &table);
    let shims = shims(reader, &table);
    let give = match reader.table(&table, "wood", "kit.wood") {
        Some(wood) => reader.length(&wood, "give", Range::FINE).unwrap_or(DEFAULT_GIVE),
        None => DEFAULT_GIVE,
    };
    let minutes = minutes(reader, &table);
    Some(Some(Kit {
        bars: bars?,
        pin: pin?,
        gauges: gauges?,
        pilot_bit: pilot_bit?,
        block: block?,
        opening_bit: opening_bit?,
        dog: dog?,
        clamp_reach,
        clamp_opens,
        clamp_below,
        hold_down,
        hold_down_high,
        rail,
        fence,
        shims,
        give,
        minutes,
    }))
}

fn bars(reader: &mut Reader, kit: &Table<'_>) -> Option<Vec<Bar>> {
    if kit.get("bar").is_none() {
        let fault = Fault::input("the kit has no bar")
            .hint("add a table [[kit.bar]] with name, holes, pitch, bore, position for each sort of bar");
        reader.fault(kit.span, fault);
        return None;
    }
    let tables = reader.tables(kit, "bar", "kit.bar");
    let mut out = if tables.is_empty() { None } else { Some(Vec::new()) };
    for table in &tables {
        match (bar(reader, table), &mut out) {
            (Some(bar), Some(all)) => all.push(bar),
            _ => out = None,
        }
    }
    out
}

fn bar(reader: &mut Reader, table: &Table<'_>) -> Option<Bar> {
    let name = if reader.need(table, "name") { reader.text(table, "name") } else { None };
    let name = name.filter(|name| {
        let sound = !name.is_empty() && name.chars().count() <= 20 && name.chars().all(char::is_alphanumeric);
        if !sound {
            let shown = short(name);
            let fault = Fault::input(format!("a bar cannot be called \"{shown}\""))
                .hint("take a letter or a short word; its bars are then L1, L2, …");
            reader.fault(table.place("name"), fault);
        }
        sound
    });
    let count = match table.get("count") {
        Some(_) => reader.whole(table, "count", 1, MOST_ALIKE),
        None => Some(1),
    };
    let holes = if reader.need(table, "holes") { reader.whole(table, "holes", 2, MOST_BAR_HOLES) } else { None };
    let pitch = reader.need_length(table, "pitch", Range::SIZE);
    let bore = reader.need_limits(table, "bore", Some(Feature::Hole), Range::DIAMETER);
    let position = reader.need_length(table, "position", Range::FINE);
    let turn_over = match table.get("turn_over") {
        Some(_) => reader.flag(table, "turn_over"),
        None => Some(true),
    };
    let width = reader.length(table, "width", Range::SIZE);
    let thickness = reader.length(table, "thickness", Range::SIZE);
    let beyond = reader.length(table, "beyond", Range::DISTANCE);
    Some(Bar {
        name: name?.to_owned(),
        count: count?,
        holes: holes?,
        pitch: pitch?,
        bore: bore?,
        position: position?,
        turn_over: turn_over?,
        width,
        thickness,
        beyond,
    })
}

fn pin(reader: &mut Reader, kit: &Table<'_>) -> Option<Pin> {
    let table = reader.need_table(kit, "pin", "kit.pin")?;
    let diameter = reader.need_limits(&table, "diameter", Some(Feature::Shaft), Range::DIAMETER);
    let count = match table.get("count") {
        Some(_) => reader.whole(&table, "count", 0, MOST_ALIKE),
        None => Some(DEFAULT_PINS),
    };
    let length = reader.length(&table, "length", Range::SIZE);
    if let Some(count) = count
        && count < 2
    {
        let message =
            format!("the kit has {count} pin{}, a bar needs 2 to lie still", if count == 1 { "" } else { "s" });
        let fault = Fault::impossible(message).hint("get a second pin; with 3 the bars can also be set square");
        reader.fault(table.place("count"), fault);
        return None;
    }
    Some(Pin { diameter: diameter?, count: count?, length })
}

fn gauges(reader: &mut Reader, kit: &Table<'_>, pin: Option<&Pin>) -> Option<Vec<Gauge>> {
    let tables = reader.tables(kit, "gauge", "kit.gauge");
    let mut out = Some(Vec::new());
    for table in &tables {
        let diameter = reader.need_limits(table, "diameter", Some(Feature::Shaft), Range::DIAMETER);
        let count = if reader.need(table, "count") { reader.whole(table, "count", 1, MOST_ALIKE) } else { None };
        let length = reader.length(table, "length", Range::SIZE);
        match (diameter, count, &mut out) {
            (Some(diameter), Some(count), Some(all)) => all.push(Gauge { diameter, count, length, assumed: false }),
            _ => out = None,
        }
    }
    if !tables.is_empty() || out.is_none() {
        return out;
    }
    let diameter = assumed_gauge(pin?.diameter);
    let message =
        format!("the kit has no gauge: checks are planned with two drill shanks of {}", reader.say_limits(diameter));
    let fault = Fault::remark(message).hint("measure two shanks and state them as [[kit.gauge]]");
    reader.fault(kit.span, fault);
    Some(vec![Gauge { diameter, count: 2, length: None, assumed: true }])
}

/// The shank of a drill a step under the pin. Drills are sold in steps of 0.1 mm with shanks to
/// h8 (from memory: ISO 235); the pin's nominal is taken as its upper limit, to the step below.
fn assumed_gauge(pin: Limits) -> Limits {
    /// A pin of 3.008 mm (3 m6) counts as 3.0, one of 2.9999999 by rounding as well.
    const ROUNDING: f64 = 1e-6;
    let steps = (pin.max / ASSUMED_GAUGE_STEP + ROUNDING).floor() - 1.0;
    // Multiplied and divided by whole numbers so that 29 steps are the double nearest to 2.9.
    let drill = (steps / (1.0 / ASSUMED_GAUGE_STEP).round()).max(0.5 * pin.min);
    match iso286::deviations(drill, "h8") {
        Ok((_, [lower, _])) => Limits::new((drill * 1000.0 + lower) / 1000.0, drill),
        Err(_) => Limits::exact(drill),
    }
}

fn pilot_bit(reader: &mut Reader, kit: &Table<'_>) -> Option<PilotBit> {
    let table = reader.need_table(kit, "pilot_bit", "kit.pilot_bit")?;
    let diameter = reader.need_limits(&table, "diameter", Some(Feature::Shaft), Range::DIAMETER);
    let clearance = reader.need_limits(&table, "clearance", None, Range::FINE);
    let wander = reader.need_length(&table, "wander", Range::FINE);
    let oversize = reader.need_limits(&table, "oversize", None, Range::OVERSIZE);
    let length = reader.length(&table, "length", Range::SIZE);
    Some(PilotBit { diameter: diameter?, clearance: clearance?, wander: wander?, oversize: oversize?, length })
}

fn block(reader: &mut Reader, kit: &Table<'_>) -> Option<Block> {
    let table = reader.need_table(kit, "block", "kit.block")?;
    let reach = if reader.need(&table, "reach") { reader.one_or_two(&table, "reach", Range::SIZE) } else { None };
    let bore_pin = reader.need_limits(&table, "bore_pin", Some(Feature::Hole), Range::DIAMETER);
    let bore_dog = reader.need_limits(&table, "bore_dog", Some(Feature::Hole), Range::DIAMETER);
    let position = reader.need_length(&table, "position", Range::FINE);
    let size = match table.get("size") {
        Some(_) => reader.lengths(&table, "size", Range::SIZE),
        None => None,
    };
    let step = reader.length(&table, "step", Range::DISTANCE);
    Some(Block { reach: reach?, bore_pin: bore_pin?, bore_dog: bore_dog?, position: position?, step, size })
}

fn opening_bit(reader: &mut Reader, kit: &Table<'_>) -> Option<OpeningBit> {
    let table = reader.need_table(kit, "opening_bit", "kit.opening_bit")?;
    let diameter = reader.need_limits(&table, "diameter", Some(Feature::Shaft), Range::DIAMETER);
    let clearance = reader.need_limits(&table, "clearance", None, Range::FINE);
    let wander = reader.need_length(&table, "wander", Range::FINE);
    let lean = match table.get("lean") {
        Some(_) => reader.number(&table, "lean", "degrees", Range { least: 0.0, most: MOST_LEAN, open: false }),
        None => {
            let message = "the opening bit states no `lean`: dog holes are taken as upright, \
                           so lines and cuts look better than they will be";
            let fault =
                Fault::remark(message).hint("add lean = 0.04 or what a long rod in a trial bore shows, in degrees");
            reader.fault(table.span, fault);
            Some(0.0)
        }
    };
    let oversize = reader.need_limits(&table, "oversize", None, Range::OVERSIZE);
    let length = reader.length(&table, "length", Range::SIZE);
    Some(OpeningBit {
        diameter: diameter?,
        clearance: clearance?,
        wander: wander?,
        lean: lean?.to_radians(),
        oversize: oversize?,
        length,
    })
}

fn dog(reader: &mut Reader, kit: &Table<'_>) -> Option<Dog> {
    let table = reader.need_table(kit, "dog", "kit.dog")?;
    let diameter = reader.need_limits(&table, "diameter", Some(Feature::Shaft), Range::DIAMETER);
    let count = match table.get("count") {
        Some(_) => reader.whole(&table, "count", 0, MOST_ALIKE),
        None => Some(DEFAULT_DOGS),
    };
    let height = reader.length(&table, "height", Range::DISTANCE);
    let heads = heads(reader, &table);
    Some(Dog { diameter: diameter?, count: count?, height, heads: heads? })
}

/// What each dog measures where fence and rail touch it; none where all are as thick as stated.
fn heads(reader: &mut Reader, table: &Table<'_>) -> Option<Vec<f64>> {
    if table.get("heads").is_none() {
        return Some(Vec::new());
    }
    let items = reader.list(table, "heads", "a list of diameters, one for each dog")?;
    if items.len() > MOST_ALIKE as usize {
        let message = format!("kit.dog.heads has {} entries, at most {MOST_ALIKE} dogs are read", items.len());
        reader.fault(table.place("heads"), Fault::input(message));
        return None;
    }
    let read: Vec<f64> =
        items.iter().filter_map(|item| reader.length_of(item, "kit.dog.heads", Range::DIAMETER)).collect();
    (read.len() == items.len()).then_some(read)
}

/// Reach, opening, room below; a hold-down's reach and height.
fn clamp(reader: &mut Reader, kit: &Table<'_>) -> [Option<f64>; 5] {
    let Some(table) = reader.table(kit, "clamp", "kit.clamp") else { return [None; 5] };
    [
        reader.need_length(&table, "reach", Range::SIZE),
        reader.length(&table, "opens", Range::SIZE),
        reader.length(&table, "below", Range::DISTANCE),
        reader.length(&table, "hold_down", Range::DISTANCE),
        reader.length(&table, "hold_down_high", Range::DISTANCE),
    ]
}

fn rail(reader: &mut Reader, kit: &Table<'_>) -> Option<Rail> {
    let table = reader.table(kit, "rail", "kit.rail")?;
    let length = reader.need_length(&table, "length", Range::SIZE);
    let cut = reader.need_length(&table, "cut", Range::SIZE);
    let run = if reader.need(&table, "run") { reader.lengths(&table, "run", Range::DISTANCE) } else { None };
    Some(Rail { length: length?, cut: cut?, run: run? })
}

fn fence(reader: &mut Reader, kit: &Table<'_>) -> Option<Fence> {
    let table = reader.table(kit, "fence", "kit.fence")?;
    let length = reader.need_length(&table, "length", Range::SIZE);
    let height = reader.need_length(&table, "height", Range::DISTANCE);
    let thickness = reader.length(&table, "thickness", Range::DISTANCE);
    Some(Fence { length: length?, height: height?, thickness })
}

fn shims(reader: &mut Reader, kit: &Table<'_>) -> Vec<f64> {
    let Some(table) = reader.table(kit, "shims", "kit.shims") else { return Vec::new() };
    if !reader.need(&table, "stock") {
        return Vec::new();
    }
    let Some(items) = reader.list(&table, "stock", "a list of thicknesses") else { return Vec::new() };
    let thickness = Range { least: 0.0, most: 20.0, open: true };
    items.iter().filter_map(|item| reader.length_of(item, "kit.shims.stock", thickness)).collect()
}

fn minutes(reader: &mut Reader, kit: &Table<'_>) -> Minutes {
    let Some(table) = reader.table(kit, "minutes", "kit.minutes") else { return DEFAULT_MINUTES };
    let range = Range { least: 0.0, most: MOST_MINUTES, open: false };
    let setup = reader.number(&table, "setup", "minutes", range);
    let pilot = reader.number(&table, "pilot", "minutes", range);
    let opening = reader.number(&table, "opening", "minutes", range);
    Minutes {
        setup: setup.unwrap_or(DEFAULT_MINUTES.setup),
        pilot: pilot.unwrap_or(DEFAULT_MINUTES.pilot),
        opening: opening.unwrap_or(DEFAULT_MINUTES.opening),
        assumed: setup.is_none() || pilot.is_none() || opening.is_none(),
    }
}

impl Reader {
    /// Limits for a message, in the job's units.
    pub(super) fn say_limits(&self, limits: Limits) -> String {
        format::limits(limits, self.units)
    }
}

/// The tables of the bars that were read, in the order of `Kit::bars`, for faults about them.
pub(super) fn bar_places(reader: &Reader, kit_bars: usize, key: &str) -> Vec<Span> {
    // Empty [[kit.bar]] entries are left out of the kit but keep their number in the paths.
    let mut spans = Vec::new();
    for i in 0.. {
        if spans.len() == kit_bars {
            break;
        }
        let path = format!("kit.bar[{i}]");
        let Some(&header) = reader.places.get(&path) else { break };
        if reader.places.contains_key(&format!("{path}.name")) {
            spans.push(reader.places.get(&format!("{path}.{key}")).copied().unwrap_or(header));
        }
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_assumed_gauge_is_a_drill_a_step_under_the_pin() {
        // The shanks that the trailer top states for its 4 mm pins: [3.882, 3.900].
        assert_eq!(assumed_gauge(Limits::new(3.992, 4.0)), Limits::new(3.882, 3.9));
        assert_eq!(assumed_gauge(Limits::new(2.994, 3.0)), Limits::new(2.886, 2.9));
        assert_eq!(assumed_gauge(Limits::new(3.002, 3.008)), Limits::new(2.886, 2.9));
        assert_eq!(assumed_gauge(Limits::new(3.167, 3.175)).max, 3.0);
        for pin in [0.1, 0.15, 0.5, 1.0, 80.0] {
            let gauge = assumed_gauge(Limits::exact(pin));
            assert!(gauge.max < pin && gauge.min > 0.0, "{pin}: {gauge:?}");
        }
    }
}
