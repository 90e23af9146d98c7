//! Whether the parts of a kit fit each other and the grid: pins in bores, bits in bars, the block
//! and the bars on the grid's pitch.
//!
//! Diameters are compared by their limits. What can never go together is refused; what may be
//! tight for some pairs within their limits is a remark.

use std::collections::BTreeSet;

use super::read::Reader;
use super::read_kit::bar_places;
use crate::fault::{Fault, Span};
use crate::kit::{Kit, Limits};
use crate::measure::format;
use crate::top::{Grid, Top};

/// Pitches agree if they differ by less than this, mm: the rounding of inches typed as decimals.
const SAME_PITCH: f64 = 1e-3;

/// A pilot or dog hole and its bit may differ by so much in their nominal sizes, mm: a step of
/// the drills on sale; more is a slip.
const SAME_SIZE: [f64; 2] = [0.1, 0.5];

/// Notes what does not fit.
pub(super) fn check(reader: &mut Reader, kit: &Kit, top: Option<&Top>, grid: Option<&Grid>) {
    bar_names(reader, kit);
    bars_and_pins(reader, kit);
    pins_and_pilots(reader, kit);
    block_bores(reader, kit);
    block_step(reader, kit);
    dogs(reader, kit);
    if let Some(top) = top {
        clamps(reader, kit, top);
    }
    if let Some(grid) = grid {
        bar_pitches(reader, kit, grid);
        block_reach(reader, kit, grid);
        bit_sizes(reader, kit, grid);
    }
}

fn bar_names(reader: &mut Reader, kit: &Kit) {
    let mut ids = BTreeSet::new();
    let names = bar_places(reader, kit.bars.len(), "name");
    for (bar, &span) in kit.bars.iter().zip(&names) {
        for n in 1..=bar.count {
            let id = format!("{}{n}", bar.name);
            if id == "K1" {
                let fault = Fault::input("a bar called K1 would be mistaken for the block, which is K1")
                    .hint("give the bar another letter");
                reader.fault(span, fault);
            } else if !ids.insert(id.clone()) {
                let fault = Fault::input(format!("two bars would be called {id}"))
                    .hint("give each [[kit.bar]] its own letter, or raise `count` for bars alike");
                reader.fault(span, fault);
                break;
            }
        }
    }
}

/// Refuses what can never go in, remarks on what may be tight.
fn goes_in(reader: &mut Reader, shaft: (&str, Limits), bore: (&str, Limits), span: Span) {
    let message = |reader: &Reader, a: f64, b: f64, over: f64| {
        format!("{} is {}, {} {}: {} too thick", shaft.0, reader.say(a), bore.0, reader.say(b), reader.say(over))
    };
    if shaft.1.min > bore.1.max {
        let text = message(reader, shaft.1.min, bore.1.max, shaft.1.min - bore.1.max);
        let hint = format!("take one of at most {}, or a wider bore", reader.say(bore.1.min));
        reader.fault(span, Fault::impossible(text).hint(hint));
    } else if shaft.1.max > bore.1.min {
        let text = format!(
            "{} may be as thick as {}, {} as narrow as {}: some pairs will be tight",
            shaft.0,
            reader.say(shaft.1.max),
            bore.0,
            reader.say(bore.1.min)
        );
        reader.fault(span, Fault::remark(text).hint("try each pin in each bore, and ease or swap what binds"));
    }
}

fn bars_and_pins(reader: &mut Reader, kit: &Kit) {
    let bores = bar_places(reader, kit.bars.len(), "bore");
    for (bar, &span) in kit.bars.iter().zip(&bores) {
        let bore = format!("the bore of bar {}", bar.name);
        goes_in(reader, ("the pin", kit.pin.diameter), (&bore, bar.bore), span);
        let bit = kit.pilot_bit.diameter;
        // The stated clearance holds whatever the bore; only a bit that cannot pass is refused.
        if bit.min > bar.bore.max {
            let message = format!(
                "the pilot bit is {}, {bore} at most {}: it does not pass",
                reader.say(bit.min),
                reader.say(bar.bore.max)
            );
            reader.fault(span, Fault::impossible(message).hint("take a thinner bit, or a bar with wider bores"));
        }
    }
    let gauges: Vec<Span> =
        (0..).map_while(|i| reader.places.get(&format!("kit.gauge[{i}].diameter")).copied()).collect();
    for (gauge, &span) in kit.gauges.iter().zip(&gauges) {
        if !gauge.assumed && gauge.diameter.mean() >= kit.pin.diameter.mean() {
            let message = format!(
                "the gauge is {}, the pin {}: a gauge must be thinner",
                reader.say_limits(gauge.diameter),
                reader.say_limits(kit.pin.diameter)
            );
            reader.fault(span, Fault::input(message).hint("a drill's shank 0.1 mm under the pin will do"));
        }
    }
}

fn pins_and_pilots(reader: &mut Reader, kit: &Kit) {
    let bit = &kit.pilot_bit;
    let pilot = Limits::new(bit.diameter.min + bit.oversize.min, bit.diameter.max + bit.oversize.max);
    // What was measured in the trial bore is looked at where it is written.
    let (name, at) = if reader.places.contains_key("trial.pilot") {
        ("a pilot as the trial measured", "trial.pilot")
    } else {
        ("a pilot", "kit.pin.diameter")
    };
    let span = place(reader, at);
    goes_in(reader, ("the pin", kit.pin.diameter), (name, pilot), span);
}

fn block_bores(reader: &mut Reader, kit: &Kit) {
    let span = place(reader, "kit.block.bore_pin");
    goes_in(reader, ("the pin", kit.pin.diameter), ("the block's bore for it", kit.block.bore_pin), span);
    let span = place(reader, "kit.block.bore_dog");
    goes_in(reader, ("the dog", kit.dog.diameter), ("the block's bore for it", kit.block.bore_dog), span);
}

fn block_step(reader: &mut Reader, kit: &Kit) {
    let (Some(step), Some([_, _, height])) = (kit.block.step, kit.block.size) else { return };
    if step >= height {
        let message = format!(
            "the block's bores for pins begin {} above the sheet, and it is {} high: nothing of it holds a pin",
            reader.say(step),
            reader.say(height)
        );
        let hint =
            "step is how deep its places are bored for a dog, from below; 0 where a pin is held from the sheet up";
        reader.fault(place(reader, "kit.block.step"), Fault::input(message).hint(hint));
    }
}

/// Clamps that can hold nothing, or not the block: told, for then another hold is planned.
fn clamps(reader: &mut Reader, kit: &Kit, top: &Top) {
    if let (Some(below), Some(free)) = (kit.clamp_below, top.free_below)
        && below > free
    {
        let message = format!(
            "the clamps take {} below the sheet, and {} is free there: none can be used",
            reader.say(below),
            reader.say(free)
        );
        let hint = format!("raise the sheet on blocks by {} while you bore", reader.say(below - free));
        reader.fault(place(reader, "kit.clamp.below"), Fault::remark(message).hint(hint));
    }
    let thinnest = kit.bars.iter().filter_map(|bar| bar.thickness).reduce(f64::min);
    let high = [("a bar", thinnest), ("the block", kit.block.size.map(|size| size[2]))];
    for (what, height) in high {
        let (Some(opens), Some(height)) = (kit.clamp_opens, height) else { continue };
        if top.thickness + height > opens {
            let message = format!(
                "the clamps open {}, and sheet and {what} are {} together: none holds {what}",
                reader.say(opens),
                reader.say(top.thickness + height)
            );
            let fault =
                Fault::remark(message).hint("without clamps that open wider it is held another way, or by tape");
            reader.fault(place(reader, "kit.clamp.opens"), fault);
        }
    }
}

fn dogs(reader: &mut Reader, kit: &Kit) {
    let bit = &kit.opening_bit;
    let hole = Limits::new(bit.diameter.min + bit.oversize.min, bit.diameter.max + bit.oversize.max);
    let (name, at) = if reader.places.contains_key("trial.dog") {
        ("a dog hole as the trial measured", "trial.dog")
    } else {
        ("a dog hole", "kit.dog.diameter")
    };
    let span = place(reader, at);
    goes_in(reader, ("the dog", kit.dog.diameter), (name, hole), span);
}

fn bar_pitches(reader: &mut Reader, kit: &Kit, grid: &Grid) {
    let pitches = bar_places(reader, kit.bars.len(), "pitch");
    for (bar, &span) in kit.bars.iter().zip(&pitches) {
        if whole_multiple(grid.pitch[0], bar.pitch) && whole_multiple(grid.pitch[1], bar.pitch) {
            continue;
        }
        let grid_pitch = if grid.pitch[0] == grid.pitch[1] {
            reader.say(grid.pitch[0])
        } else {
            format!("{} by {}", format::length_bare(grid.pitch[0], reader.units), reader.say(grid.pitch[1]))
        };
        let message = format!(
            "the pitch of bar {} is {}, the grid's is {grid_pitch}: a bar bores its own pitch",
            bar.name,
            reader.say(bar.pitch)
        );
        let hint = format!("set both the same: grid.pitch = {}", format::length_bare(bar.pitch, reader.units));
        reader.fault(span, Fault::impossible(message).hint(hint));
    }
}

fn block_reach(reader: &mut Reader, kit: &Kit, grid: &Grid) {
    let span = place(reader, "kit.block.reach");
    for (reach, pitch, word) in
        [(kit.block.reach[0], grid.pitch[0], "along rows"), (kit.block.reach[1], grid.pitch[1], "along columns")]
    {
        if whole_multiple(reach, pitch) {
            continue;
        }
        let message = format!(
            "the block reaches {} {word}, the grid's pitch there is {}: its places meet no holes",
            reader.say(reach),
            reader.say(pitch)
        );
        let fits = |mm: f64| format::length_bare(mm, reader.units);
        let nearest = |reach: f64, pitch: f64| (reach / pitch).round().max(1.0) * pitch;
        let [a, b] = [nearest(kit.block.reach[0], grid.pitch[0]), nearest(kit.block.reach[1], grid.pitch[1])];
        let hint = if a == b { format!("reach = {}", fits(a)) } else { format!("reach = [{}, {}]", fits(a), fits(b)) };
        reader.fault(span, Fault::impossible(message).hint(format!("nearest that works: {hint}")));
        if kit.block.reach[0] == kit.block.reach[1] && grid.pitch[0] == grid.pitch[1] {
            return;
        }
    }
}

fn bit_sizes(reader: &mut Reader, kit: &Kit, grid: &Grid) {
    for (hole, bit, path, words, same) in [
        (grid.pilot, kit.pilot_bit.diameter, "kit.pilot_bit.diameter", ["pilot bit", "pilot"], SAME_SIZE[0]),
        (grid.hole, kit.opening_bit.diameter, "kit.opening_bit.diameter", ["opening bit", "dog hole"], SAME_SIZE[1]),
    ] {
        let off = (bit.min - hole).max(hole - bit.max);
        if off >= same {
            let message = format!(
                "the {} is {}, the grid's {} {}: {} apart",
                words[0],
                reader.say_limits(bit),
                words[1],
                reader.say(hole),
                reader.say(off)
            );
            let span = place(reader, path);
            reader.fault(span, Fault::input(message).hint("set both the same"));
        }
    }
}

/// True if `a` is one, two, three … times `b`.
fn whole_multiple(a: f64, b: f64) -> bool {
    let times = (a / b).round();
    times >= 1.0 && (a - times * b).abs() < SAME_PITCH
}

fn place(reader: &Reader, path: &str) -> Span {
    let mut path = path;
    loop {
        if let Some(&span) = reader.places.get(path) {
            return span;
        }
        match path.rfind(['.', '[']) {
            Some(end) => path = &path[..end],
            None => return Span { start: 0, end: 0 },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn multiples_are_whole_and_at_least_one() {
        assert!(whole_multiple(96.0, 96.0) && whole_multiple(96.0, 32.0) && whole_multiple(101.6, 25.4));
        assert!(whole_multiple(100.0 / 3.0 * 6.0, 100.0 / 3.0));
        assert!(!whole_multiple(100.0, 96.0) && !whole_multiple(48.0, 96.0) && !whole_multiple(0.0, 96.0));
        assert!(!whole_multiple(96.01, 96.0));
    }
}
