//! How templates are held, where a plan says so: each pad stands on its template, clear of bits and
//! pins, and what presses it can stand where it must.
//!
//! A plan that says nothing of holding is not asked for it: pins are what the data must have.

use std::collections::BTreeMap;

use kurbo::{Line, ParamCurveNearest, Point, Vec2};

use super::place::{Lying, bar_of, depth, footprint, overlap, polygons_overlap};
use super::reach::Level;
use super::{Bench, State, high};
use crate::fault::Fault;
use crate::kit::reach::{ASSUMED_HOLD_DOWN, BESIDE_A_BIT, BESIDE_A_PIN, JAW, LONGEST_BATTEN, PAD};
use crate::plan::{Bit, Hold, HoldBy, Place, Plan, Setup, With};
use crate::top::Side;

/// A pad that misses its limit by no more than this keeps it, mm: data states pads to a tenth, and
/// nobody sets a clamp finer.
pub(super) const SET_WITHIN: f64 = 0.2;

/// True if the plan says of any set-up how it is held: then it must of all.
pub(super) fn is_stated(plan: &Plan) -> bool {
    plan.setups.iter().any(|setup| !setup.hold.is_empty())
}

/// Every hold of a set-up can be, and every template has what it needs.
pub(super) fn all(
    bench: &Bench,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
    levels: &BTreeMap<String, Level>,
) -> Result<(), Fault> {
    for hold in &setup.hold {
        one(bench, setup, lying, hold)?;
        high::enough(bench, setup, lying, levels, hold)?;
    }
    if !is_stated(bench.plan) {
        return Ok(());
    }
    for (id, lies) in lying {
        let mine: Vec<&Hold> = setup.hold.iter().filter(|hold| hold.template == *id).collect();
        if mine.is_empty() {
            let why = if bar_of(bench.kit, id).is_none() { ": a big bit's torque wrecks its pilots" } else { "" };
            return Err(Fault::impossible(format!("{id} is not held down by anything{why}"))
                .hint("an edge clamp, a hold-down in a finished hole, a batten across, or tape"));
        }
        if bar_of(bench.kit, id).is_none() {
            continue;
        }
        // A bar is held on both sides of the middle of what is used of it.
        let along = |at: Point| lies.own(at).x;
        let used: Vec<f64> = in_use(bench, setup, lying, id).iter().map(|u| along(u.at)).collect();
        let (Some(least), Some(most)) = (used.iter().copied().reduce(f64::min), used.iter().copied().reduce(f64::max))
        else {
            continue;
        };
        let middle = 0.5 * (least + most);
        let sides = [-1.0, 1.0].map(|side| {
            mine.iter().any(|hold| side * (along(Point::new(hold.x_mm, hold.y_mm)) - middle) > -SET_WITHIN)
        });
        if sides != [true, true] {
            return Err(Fault::impossible(format!("{id} is held on one side of what is bored through it only"))
                .hint("hold it towards both ends"));
        }
    }
    Ok(())
}

/// A locator or bit in a template.
struct Use {
    at: Point,
    /// From its middle to a pad's middle, mm.
    room: f64,
    bored: bool,
}

fn in_use(bench: &Bench, setup: &Setup, lying: &BTreeMap<&str, Lying>, id: &str) -> Vec<Use> {
    let at = |place: &Place| match place {
        Place::Feature { template, feature } if template == id => {
            let lies = lying.get(id)?;
            lies.template.features.iter().find(|f| f.name == *feature).map(|f| lies.place(f))
        }
        _ => None,
    };
    let kit = bench.kit;
    let pins = setup.pins.iter().flat_map(|pin| {
        let diameter = match pin.with {
            With::Dog => kit.dog.diameter.max,
            With::Gauge(limits) => limits.max,
            With::Pin | With::Point => kit.pin.diameter.max,
        };
        [&pin.a, &pin.b].map(|end| (end, BESIDE_A_PIN + 0.5 * diameter, false))
    });
    let bores = setup.bores.iter().map(|bore| {
        let diameter = match bore.bit {
            Bit::Pilot => kit.pilot_bit.diameter.max,
            Bit::Opening => kit.opening_bit.diameter.max,
        };
        (&bore.feature, BESIDE_A_BIT + 0.5 * diameter, true)
    });
    pins.chain(bores).filter_map(|(end, room, bored)| Some(Use { at: at(end)?, room, bored })).collect()
}

fn one(bench: &Bench, setup: &Setup, lying: &BTreeMap<&str, Lying>, hold: &Hold) -> Result<(), Fault> {
    let id = &hold.template;
    let what = hold.by.name();
    let Some(lies) = lying.get(id.as_str()) else {
        return Err(Fault::input(format!("{id} is held, and is not placed")));
    };
    let pad = Point::new(hold.x_mm, hold.y_mm);
    if !(pad.x.is_finite() && pad.y.is_finite()) {
        return Err(Fault::input(format!("the place where {id} is held is not a number")));
    }
    let beside = outside(&footprint(bench.kit, lies), pad);
    if beside > SET_WITHIN {
        return Err(Fault::impossible(format!("the {what} presses {beside:.1} mm beside {id}")));
    }
    if hold.by == HoldBy::Tape {
        return Ok(());
    }
    let within = depth(&bench.job.top.outline, pad);
    if within < 0.5 * PAD - SET_WITHIN {
        return Err(Fault::impossible(format!(
            "the {what} on {id} stands {within:.1} mm within the sheet's edge, {:.1} mm needed",
            0.5 * PAD
        ))
        .hint("half a pad with no sheet under it tips"));
    }
    let in_use = in_use(bench, setup, lying, id);
    for u in &in_use {
        let gap = (pad - u.at).hypot2().sqrt();
        if gap < u.room - SET_WITHIN {
            let whom = if u.bored { "the bit" } else { "a pin or dog" };
            return Err(Fault::impossible(format!(
                "the {what} on {id} stands {gap:.1} mm from {whom}, {:.1} mm needed",
                u.room
            )));
        }
    }
    for (other, lies) in lying.iter().filter(|(other, _)| *other != id) {
        let gap = outside(&footprint(bench.kit, lies), pad);
        if gap < 0.5 * PAD - SET_WITHIN {
            return Err(Fault::impossible(format!(
                "the {what} on {id} stands {gap:.1} mm from {other}, {:.1} mm needed",
                0.5 * PAD
            )));
        }
    }
    match &hold.by {
        HoldBy::EdgeClamp => edge_clamp(bench, id, pad, &in_use),
        HoldBy::HoldDown(hole) => hold_down(bench, setup, lying, id, pad, hole, &in_use),
        HoldBy::Batten => batten(bench, lies, pad, &in_use),
        HoldBy::Tape => Ok(()),
    }
}

/// From a pad to the nearest place of each side, nearest first.
pub(super) fn feet(outline: &[Point], pad: Point) -> Vec<(f64, Point)> {
    let mut feet: Vec<(f64, Point)> = (0..outline.len())
        .map(|n| Line::new(outline[n], outline[(n + 1) % outline.len()]))
        .map(|side| {
            let near = side.nearest(pad, 1e-9);
            (near.distance_sq.sqrt(), side.p0.lerp(side.p1, near.t))
        })
        .collect();
    feet.sort_by(|a, b| a.0.total_cmp(&b.0));
    feet
}

/// Some edge is within the clamp's reach, nothing stands between above or below, and the clamp lies
/// off the bits. (The planner takes the nearest edge, which is the one that cards name.)
fn edge_clamp(bench: &Bench, id: &str, pad: Point, in_use: &[Use]) -> Result<(), Fault> {
    let outline = &bench.job.top.outline;
    let Some(reach) = bench.kit.clamp_reach else {
        return Err(Fault::impossible(format!("{id} is held by a clamp, and the kit states none"))
            .hint("add [kit.clamp] with its reach"));
    };
    let feet = feet(outline, pad);
    let nearest = feet.first().map_or(f64::INFINITY, |foot| foot.0);
    if nearest > reach + SET_WITHIN {
        return Err(Fault::impossible(format!(
            "the clamp on {id} stands {nearest:.1} mm from the edge, it reaches {reach:.1} mm"
        ))
        .hint("a hold-down in a finished hole, or a batten across"));
    }
    let free = |foot: Point| {
        if let Some(name) = blocked(bench, pad, foot, &[Side::Above, Side::Below, Side::Both]) {
            return Err(Fault::impossible(format!("the clamp on {id} has no way to the edge for {name}")));
        }
        off_the_bits(&format!("the clamp on {id}"), pad, foot, in_use)
    };
    let in_reach = feet.iter().filter(|foot| foot.0 <= reach + SET_WITHIN);
    let mut first = None;
    for (_, foot) in in_reach {
        match free(*foot) {
            Ok(()) => return Ok(()),
            Err(fault) => first = first.or(Some(fault)),
        }
    }
    first.map_or(Ok(()), Err)
}

/// What reaches from a pad to where it stands leaves room for every bit.
fn off_the_bits(what: &str, pad: Point, to: Point, in_use: &[Use]) -> Result<(), Fault> {
    for u in in_use.iter().filter(|u| u.bored) {
        let gap = outside(&strip(pad, to), u.at);
        if gap < u.room - 0.5 * JAW - SET_WITHIN {
            return Err(Fault::impossible(format!(
                "the arm of {what} passes {gap:.1} mm from the bit, {:.1} mm needed",
                u.room - 0.5 * JAW
            )));
        }
    }
    Ok(())
}

/// The hole is a finished one that nothing stands in or lies over, and its arm reaches.
fn hold_down(
    bench: &Bench,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
    id: &str,
    pad: Point,
    name: &str,
    in_use: &[Use],
) -> Result<(), Fault> {
    let Some(hole) = bench.plan.hole(name) else {
        return Err(Fault::input(format!("the hole {name} is not in the plan's list")));
    };
    if bench.state(name) != State::Open {
        return Err(Fault::impossible(format!("a hold-down is asked for in {name}, which is not opened yet"))
            .hint("open it earlier, or hold this another way"));
    }
    if setup.pins.iter().any(|pin| [&pin.a, &pin.b].contains(&&Place::hole(name))) {
        return Err(Fault::impossible(format!("a hold-down is asked for in {name}, in which a dog stands")));
    }
    let at = Point::new(hole.x_mm, hole.y_mm);
    let radius = 0.5 * bench.kit.opening_bit.diameter.max;
    if let Some((over, _)) =
        lying.iter().find(|(_, lies)| outside(&footprint(bench.kit, lies), at) < radius - SET_WITHIN)
    {
        return Err(Fault::impossible(format!("a hold-down is asked for in {name}, which {over} covers")));
    }
    let reach = bench.kit.hold_down.unwrap_or(ASSUMED_HOLD_DOWN);
    let needed = (at - pad).hypot2().sqrt();
    if needed > reach + SET_WITHIN {
        return Err(Fault::impossible(format!(
            "the hold-down in {name} would have to reach {needed:.1} mm to {id}, it reaches {reach:.1} mm"
        )));
    }
    if let Some(other) = blocked(bench, pad, at, &[Side::Above, Side::Both]) {
        return Err(Fault::impossible(format!("the hold-down in {name} would pass over {other}")));
    }
    off_the_bits(&format!("the hold-down in {name}"), pad, at, in_use)
}

/// The batten lies straight across from edge to edge, over nothing that is used, and is clamped there.
fn batten(bench: &Bench, lies: &Lying, pad: Point, in_use: &[Use]) -> Result<(), Fault> {
    let id = &lies.template.id;
    let outline = &bench.job.top.outline;
    let (along, across) = lies.axes();
    for u in in_use {
        let gap = along.dot(u.at - pad).abs();
        if gap < u.room - SET_WITHIN {
            return Err(Fault::impossible(format!(
                "the batten on {id} lies {gap:.1} mm from what is used of it, {:.1} mm needed",
                u.room
            )));
        }
    }
    let ends = [across, -across].map(|way| pad + way * to_edge(outline, pad, way));
    let long = (ends[1] - ends[0]).hypot2().sqrt();
    if long > LONGEST_BATTEN + SET_WITHIN {
        return Err(Fault::impossible(format!(
            "the batten on {id} would be {long:.0} mm long, {LONGEST_BATTEN:.0} mm at most presses in its middle"
        )));
    }
    for (end, inward) in [(ends[0], -across), (ends[1], across)] {
        if let Some(name) = blocked(bench, end, end + inward * JAW, &[Side::Below, Side::Both]) {
            return Err(Fault::impossible(format!("the batten on {id} cannot be clamped for {name}")));
        }
    }
    match blocked(bench, ends[0], ends[1], &[Side::Above, Side::Both]) {
        Some(name) => Err(Fault::impossible(format!("the batten on {id} would pass over {name}"))),
        None => Ok(()),
    }
}

/// How far the outline is in a direction from within, mm: stepping as far as no edge can be.
fn to_edge(outline: &[Point], from: Point, way: Vec2) -> f64 {
    let mut far = 0.0;
    loop {
        let clear = depth(outline, from + way * far);
        if clear < 0.01 {
            return far + clear.max(0.0);
        }
        far += clear;
    }
}

/// The corners of a straight strip as wide as a jaw.
pub(super) fn strip(from: Point, to: Point) -> [Point; 4] {
    let way = to - from;
    let length = way.hypot2().sqrt();
    let side = if length > 0.0 { Vec2::new(-way.y, way.x) / length } else { Vec2::new(0.0, 1.0) } * (0.5 * JAW);
    [from - side, to - side, to + side, from + side]
}

/// A keep-out on one of these sides that a strip meets, by name.
pub(super) fn blocked(bench: &Bench, from: Point, to: Point, sides: &[Side]) -> Option<String> {
    bench
        .job
        .keep_outs
        .iter()
        .filter(|keep_out| sides.contains(&keep_out.side))
        .find(|keep_out| overlap(keep_out, strip(from, to)) > SET_WITHIN)
        .map(|keep_out| keep_out.name.clone())
}

/// How far a point lies outside four corners, mm; nil within.
pub(super) fn outside(corners: &[Point; 4], point: Point) -> f64 {
    let sides = (0..4).map(|n| Line::new(corners[n], corners[(n + 1) % 4]));
    let nearest = sides.map(|side| side.nearest(point, 1e-9).distance_sq).fold(f64::INFINITY, f64::min).sqrt();
    // A point as four corners: overlapping them by nothing is being within.
    if polygons_overlap(corners, &[point; 4]) >= 0.0 { 0.0 } else { nearest }
}
