//! What locates each template of a set-up: pins, dogs, gauges, the block's point, or eye and rule.
//!
//! A gauge is made for checks, but a drill's shank stands in a pilot as well as a pin does, only
//! with more play: where pins run short it may locate too, and the prediction says what that costs.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::Point;

use super::listed::same_limits;
use super::place::Lying;
use super::{Bench, State};
use crate::fault::Fault;
use crate::kit::{Kit, Limits};
use crate::plan::{Bit, Feature, HoleKind, PinUse, Place, Setup, TemplateKind, With};

/// The two ends of a locator, and a feature and the hole bored through it, coincide at nominal
/// places to this, mm: plans state places to a thousandth and turns to a millionth of a degree
/// (0.02 mm over a kilometre), and an offset of 0.01 mm is below every close fit's clearance, so
/// what lies farther off was placed wrongly.
pub(super) const COINCIDE: f64 = 0.01;

/// A movement counts as held if it moves a locator by more than this part of itself: two pins a
/// millimetre apart on a bar of a metre still pass, rounding (1e-12) does not.
const HELD: f64 = 1e-4;

/// A turn is weighed as the movement it gives at this distance, mm: a bar's length or so.
const ARM: f64 = 1000.0;

/// A locator in words: `pin`, `dog`, `gauge`, `point`.
fn word(with: With) -> &'static str {
    match with {
        With::Pin => "pin",
        With::Dog => "dog",
        With::Gauge(_) => "gauge",
        With::Point => "point",
    }
}

/// The feature of a lying template.
pub(super) fn feature<'a>(
    lying: &'a BTreeMap<&str, Lying<'a>>,
    place: &Place,
) -> Result<(&'a Lying<'a>, &'a Feature), Fault> {
    let Place::Feature { template, feature } = place else {
        return Err(
            Fault::input(format!("{place} stands where a template's feature belongs")).hint("written TEMPLATE:FEATURE")
        );
    };
    let Some(lies) = lying.get(template.as_str()) else {
        return Err(Fault::impossible(format!("{place} is used, but {template} is not placed")));
    };
    match lies.template.features.iter().find(|known| known.name == *feature) {
        Some(feature) => Ok((lies, feature)),
        None => Err(Fault::impossible(format!("{template} has no feature {feature}"))),
    }
}

/// Every locator stands in what it needs, and both ends lie on one point.
pub(super) fn pins(bench: &Bench, setup: &Setup, lying: &BTreeMap<&str, Lying>) -> Result<(), Fault> {
    let mut used = BTreeSet::new();
    for pin in &setup.pins {
        let (lies, a) = feature(lying, &pin.a)?;
        for end in [&pin.a, &pin.b] {
            if !used.insert(end) {
                return Err(Fault::impossible(format!("{end} is used by two locators, and has room for one")));
            }
        }
        let from = lies.place(a);
        let to = match &pin.b {
            Place::Feature { template, .. } => {
                let (other, b) = feature(lying, &pin.b)?;
                if *template == lies.template.id {
                    return Err(Fault::impossible(format!("{} and {} are on the same template", pin.a, pin.b)));
                }
                if matches!(pin.with, With::Dog | With::Point) {
                    return Err(Fault::impossible(format!("a {} joins {} to {}", word(pin.with), pin.a, pin.b))
                        .hint("templates are joined with pins"));
                }
                enters(bench, pin, b.bore_mm, &pin.b)?;
                other.place(b)
            }
            Place::Hole(name) => hole(bench, setup, pin, name, lies, a)?,
        };
        match pin.with {
            With::Pin | With::Gauge(_) => enters(bench, pin, a.bore_mm, &pin.a)?,
            With::Dog => enters(bench, pin, a.bore_dog_mm, &pin.a)?,
            With::Point => {}
        }
        let off = (to - from).hypot2().sqrt();
        if off > COINCIDE {
            return Err(Fault::impossible(format!(
                "the {} through {} misses {} by {off:.2} mm",
                word(pin.with),
                pin.a,
                pin.b
            ))
            .hint(format!(
                "{} lies at [{:.2}, {:.2}], {} at [{:.2}, {:.2}] mm",
                pin.a, from.x, from.y, pin.b, to.x, to.y
            )));
        }
    }
    Ok(())
}

/// The hole end of a locator: its place, if it can take it now.
fn hole(bench: &Bench, setup: &Setup, pin: &PinUse, name: &str, lies: &Lying, a: &Feature) -> Result<Point, Fault> {
    let Some(hole) = bench.plan.hole(name) else {
        return Err(Fault::input(format!("the hole {name} is not in the plan's list")));
    };
    let what = word(pin.with);
    let state = bench.state(name);
    if state == State::Wood {
        return Err(Fault::impossible(format!("a {what} is asked for in {name}, which does not exist yet"))
            .hint("bore it in an earlier set-up"));
    }
    let pilot = bore_of(bench.kit.pilot_bit.diameter, bench.kit.pilot_bit.oversize);
    let dog_hole = bore_of(bench.kit.opening_bit.diameter, bench.kit.opening_bit.oversize);
    match (pin.with, state) {
        (With::Dog, State::Pilot) => {
            return Err(Fault::impossible(format!("a dog is asked for in {name}, which is still a pilot"))
                .hint("use a pin, or open it first"));
        }
        (With::Pin | With::Gauge(_) | With::Point, State::Open) => {
            return Err(Fault::impossible(format!("a {what} is asked for in {name}, which is already opened"))
                .hint("use a dog, or do this before the opening"));
        }
        (With::Dog, _) => enters(bench, pin, Some(dog_hole), &pin.b)?,
        (With::Pin | With::Gauge(_), _) => enters(bench, pin, Some(pilot), &pin.b)?,
        (With::Point, _) => {
            let bush = lies.template.kind == TemplateKind::Block && a.bore_mm.is_none() && a.bore_dog_mm.is_none();
            if !bush {
                return Err(Fault::impossible(format!("the point stands in {}, which is not the block's bush", pin.a)));
            }
            let opens =
                setup.bores.iter().any(|bore| bore.bit == Bit::Opening && bore.hole == name && bore.feature == pin.a);
            if !opens {
                return Err(Fault::impossible(format!(
                    "the point stands in {name}, which is not opened in this set-up"
                ))
                .hint("the point locates on the pilot of the hole being opened"));
            }
        }
    }
    Ok(Point::new(hole.x_mm, hole.y_mm))
}

fn bore_of(bit: Limits, oversize: Limits) -> Limits {
    Limits::new(bit.min + oversize.min, bit.max + oversize.max)
}

/// The locator goes into the bore, at least the thinnest into the widest.
fn enters(bench: &Bench, pin: &PinUse, bore: Option<Limits>, end: &Place) -> Result<(), Fault> {
    let diameter = match pin.with {
        With::Pin => bench.kit.pin.diameter,
        With::Dog => bench.kit.dog.diameter,
        With::Gauge(limits) => limits,
        With::Point => return Ok(()),
    };
    let what = word(pin.with);
    match bore {
        None => Err(Fault::impossible(format!("a {what} is asked for in {end}, which has no bore for it"))),
        Some(bore) if diameter.min > bore.max => Err(Fault::impossible(format!(
            "the {what} is at least {:.3} mm thick and does not enter {end}, which is at most {:.3} mm wide",
            diameter.min, bore.max
        ))),
        Some(_) => Ok(()),
    }
}

/// No more pins, dogs and gauges at once than the kit has.
pub(super) fn counts(kit: &Kit, setup: &Setup) -> Result<(), Fault> {
    let count = |is: &dyn Fn(With) -> bool| setup.pins.iter().filter(|pin| is(pin.with)).count() as u32;
    for (what, used, has) in [
        ("pins", count(&|with| with == With::Pin), kit.pin.count),
        ("dogs", count(&|with| with == With::Dog), kit.dog.count),
        ("points", count(&|with| with == With::Point), 1),
    ] {
        if used > has {
            return Err(Fault::impossible(format!("{used} {what} are used at once, the kit has {has}")));
        }
    }
    for pin in &setup.pins {
        if let With::Gauge(limits) = pin.with {
            let same = |with: With| matches!(with, With::Gauge(other) if same_limits(other, limits));
            let ours = kit.gauges.iter().filter(|gauge| same_limits(gauge.diameter, limits));
            let has: u32 = ours.map(|gauge| gauge.count).sum();
            let used = count(&same);
            let size = format!("{:.3} to {:.3} mm", limits.min, limits.max);
            if has == 0 {
                return Err(Fault::impossible(format!("the kit has no gauge of {size}")));
            }
            if used > has {
                return Err(Fault::impossible(format!("{used} gauges of {size} are used at once, the kit has {has}")));
            }
        }
    }
    Ok(())
}

/// Every template is held: by its locators, alone or linked to others; or placed by hand where
/// there is nothing to locate it on.
pub(super) fn held(bench: &Bench, setup: &Setup, lying: &BTreeMap<&str, Lying>) -> Result<(), Fault> {
    if setup.by_hand {
        if setup.check {
            return Err(Fault::impossible("a check is placed by hand, and checks nothing so"));
        }
        if !setup.pins.is_empty() {
            return Err(Fault::impossible("it is placed by hand and has locators").hint("one or the other"));
        }
        if lying.len() > 1 {
            return Err(Fault::impossible(format!("{} templates are placed by hand at once", lying.len()))
                .hint("nothing holds one to the other"));
        }
        let extra_only = setup.bores.iter().all(|bore| {
            bore.bit == Bit::Opening && bench.plan.hole(&bore.hole).is_some_and(|hole| hole.kind == HoleKind::Extra)
        });
        let known = bench.plan.holes.iter().find(|hole| bench.state(&hole.name) != State::Wood);
        if let (false, Some(known)) = (extra_only, known) {
            return Err(Fault::impossible(format!(
                "it is placed by hand, though {} exists to locate it on",
                known.name
            ))
            .hint("only the first pilots and extra holes are placed by hand"));
        }
        return Ok(());
    }
    // Linked templates are held or not held together.
    let ids: Vec<&str> = lying.keys().copied().collect();
    let mut group: Vec<usize> = (0..ids.len()).collect();
    for pin in &setup.pins {
        if let (Some(a), Some(b)) = (index(&ids, &pin.a), index(&ids, &pin.b)) {
            let (from, to) = (group[a].max(group[b]), group[a].min(group[b]));
            group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
        }
    }
    for first in 0..ids.len() {
        let members: Vec<usize> = (0..ids.len()).filter(|&n| group[n] == first).collect();
        if members.is_empty() {
            continue;
        }
        let mut rows = Vec::new();
        for pin in &setup.pins {
            let ends = [(index(&ids, &pin.a), &pin.a, 1.0), (index(&ids, &pin.b), &pin.b, -1.0)];
            if !ends.iter().any(|(n, ..)| n.is_some_and(|n| members.contains(&n))) {
                continue;
            }
            let mut x = vec![0.0; 3 * members.len()];
            let mut y = x.clone();
            for (n, place, sign) in ends {
                let Some(at) = n.and_then(|n| members.iter().position(|&member| member == n)) else { continue };
                let (lies, feature) = feature(lying, place)?;
                let arm = lies.arm(feature) / ARM;
                x[3 * at] = sign;
                x[3 * at + 2] = -sign * arm.y;
                y[3 * at + 1] = sign;
                y[3 * at + 2] = sign * arm.x;
            }
            rows.push(x);
            rows.push(y);
        }
        let given = rows.len();
        let movements = 3 * members.len();
        let free = movements - rank(rows);
        let names: Vec<&str> = members.iter().map(|&n| ids[n]).collect();
        let names = names.join(" with ");
        if free > 0 {
            return Err(Fault::impossible(format!(
                "{names} is not held: {free} of {movements} movements (along, across, turn of each) are left free"
            ))
            .hint("a bar needs two pins; linked bars need them between them"));
        }
        if setup.check && given <= movements {
            return Err(Fault::impossible(format!("{names} is offered up on no more pins than locate it"))
                .hint("a check needs a pin that could fail to enter"));
        }
    }
    Ok(())
}

/// Which of the templates a place is on.
fn index(ids: &[&str], place: &Place) -> Option<usize> {
    match place {
        Place::Feature { template, .. } => ids.iter().position(|id| id == template),
        Place::Hole(_) => None,
    }
}

/// Rank of a matrix given by rows, by elimination with the greatest pivot first.
fn rank(mut rows: Vec<Vec<f64>>) -> usize {
    let columns = rows.first().map_or(0, Vec::len);
    let mut rank = 0;
    while rank < rows.len().min(columns) {
        let mut best = (rank, 0, 0.0);
        for (r, row) in rows.iter().enumerate().skip(rank) {
            for (c, value) in row.iter().enumerate() {
                if value.abs() > best.2 {
                    best = (r, c, value.abs());
                }
            }
        }
        let (r, c, size) = best;
        if size <= HELD {
            break;
        }
        rows.swap(rank, r);
        let pivot = rows[rank].clone();
        for row in rows.iter_mut().skip(rank + 1) {
            let factor = row[c] / pivot[c];
            for (value, p) in row.iter_mut().zip(&pivot) {
                *value -= factor * p;
            }
            row[c] = 0.0;
        }
        rank += 1;
    }
    rank
}
