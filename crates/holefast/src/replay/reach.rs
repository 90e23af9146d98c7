//! Whether templates, pins and bits are large enough for each other as they lie: which bar lies on
//! which and how high, what a pin and a bit go through, what stands under free ends.
//!
//! What the kit does not state is not looked at; [`not_stated`] lists it.

use std::collections::BTreeMap;

use kurbo::Point;

use super::Bench;
use super::listed::same_limits;
use super::place::{Lying, bar_of, depth, footprint, polygons_overlap};
use crate::fault::Fault;
use crate::kit::reach::{CHUCK_HOLDS, PIN_IN_BAR, PIN_IN_BLOCK, PIN_IN_SHEET, POINT, PROP_BEYOND, TOUCHES};
use crate::kit::{Bar, Kit, Limits};
use crate::plan::{Beneath, Bit, PinUse, Place, Setup, TemplateKind, With};

/// Stated packing agrees with what the bars' thicknesses come to within this, mm: thinner than any
/// packing is cut to.
const PACKED_WITHIN: f64 = 0.1;

/// A stated overhang agrees within this, mm; one so near the limit may have a prop or not.
const OUT_WITHIN: f64 = 1.0;

/// Lengths that fall short by less than this fit, mm: no pin or bit is known finer.
pub(super) const SHORT_BY: f64 = 0.05;

impl Level {
    /// Its upper face above the sheet, mm, where thicknesses are known.
    pub(super) fn top(&self) -> Option<f64> {
        Some(self.height? + self.thickness?)
    }
}

/// How a template lies.
pub(super) struct Level {
    /// Of its underside above the sheet, mm, where thicknesses below are known.
    height: Option<f64>,
    thickness: Option<f64>,
    /// The templates it lies on.
    on: Vec<String>,
}

/// Levels of a set-up's templates, by id.
///
/// Errors: two templates want one place and no pin stacks them.
pub(super) fn levels(
    bench: &Bench,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
) -> Result<BTreeMap<String, Level>, Fault> {
    let mut levels: BTreeMap<String, Level> = BTreeMap::new();
    let order: Vec<&str> = setup.templates.iter().map(|t| t.id.as_str()).collect();
    for (n, id) in order.iter().enumerate() {
        let Some(lies) = lying.get(id) else { continue };
        let mine = footprint(bench.kit, lies);
        let thickness = match lies.template.kind {
            TemplateKind::Bar => bar_of(bench.kit, id).and_then(|bar| bar.thickness),
            TemplateKind::Block => bench.kit.block.size.map(|[_, _, height]| height),
        };
        let mut level = Level { height: Some(0.0), thickness, on: Vec::new() };
        for &below in &order[..n] {
            let Some(other) = lying.get(below) else { continue };
            let pinned = setup.pins.iter().any(|pin| {
                let ends = [template(&pin.a), template(&pin.b)];
                ends == [Some(*id), Some(below)] || ends == [Some(below), Some(*id)]
            });
            let theirs = footprint(bench.kit, other);
            // Bars that cross lie no deeper in each other than the narrower is wide.
            let wide = |corners: &[Point; 4]| (corners[3] - corners[0]).hypot2().sqrt();
            let overlap = polygons_overlap(&mine, &theirs).min(wide(&mine)).min(wide(&theirs));
            if overlap > TOUCHES && !pinned {
                return Err(Fault::impossible(format!(
                    "{id} would lie {overlap:.1} mm into {below}, and no pin joins them"
                ))
                .hint("one can only lie on the other where a pin joins them"));
            }
            if overlap > TOUCHES || pinned {
                level.on.push(below.to_owned());
                let under = levels.get(below);
                let top = under.and_then(|u| Some(u.height? + u.thickness?));
                level.height = match (level.height, top) {
                    (Some(a), Some(b)) => Some(a.max(b)),
                    _ => None,
                };
            }
        }
        levels.insert((*id).to_owned(), level);
    }
    Ok(levels)
}

fn template(place: &Place) -> Option<&str> {
    match place {
        Place::Feature { template, .. } => Some(template),
        Place::Hole(_) => None,
    }
}

/// Every close pin is long enough for the bars it goes through.
pub(super) fn pins(bench: &Bench, setup: &Setup, levels: &BTreeMap<String, Level>) -> Result<(), Fault> {
    for pin in &setup.pins {
        let (what, length) = match pin.with {
            With::Pin => ("pin", bench.kit.pin.length),
            With::Gauge(limits) => ("gauge", longest_gauge(bench.kit, limits)),
            With::Dog | With::Point => continue,
        };
        let Some(length) = length else { continue };
        let Some((through, deep, in_what)) = pin_goes(bench, setup, levels, pin) else { continue };
        let short = through + deep - length;
        if short > SHORT_BY {
            return Err(Fault::impossible(format!(
                "the {what} through {} is {length:.1} mm long and {short:.1} mm too short: {through:.1} mm to go through, {deep:.1} mm {in_what}",
                pin.a
            ))
            .hint(format!("a longer {what}, or less to go through")));
        }
    }
    Ok(())
}

/// The longest of the kit's gauges of that diameter; `None` where it does not say of one.
fn longest_gauge(kit: &Kit, limits: Limits) -> Option<f64> {
    let mut longest = None;
    for gauge in kit.gauges.iter().filter(|gauge| same_limits(gauge.diameter, limits)) {
        longest = Some(gauge.length?.max(longest.unwrap_or(0.0)));
    }
    longest
}

/// What a pin goes through before it holds, how deep it must then stand, and in what, mm.
fn pin_goes(
    bench: &Bench,
    setup: &Setup,
    levels: &BTreeMap<String, Level>,
    pin: &PinUse,
) -> Option<(f64, f64, &'static str)> {
    let diameter = bench.kit.pin.diameter.mean();
    let a = template(&pin.a)?;
    let block = &bench.kit.block;
    if let (None, None) = (bar_of(bench.kit, a), template(&pin.b)) {
        // Through the dog's part of the place, held above it.
        let step = block.step?;
        let holds = block.size.map_or(f64::INFINITY, |[_, _, height]| height - step);
        let through = step + (PIN_IN_BLOCK * diameter).min(holds);
        return Some((through, (PIN_IN_SHEET * diameter).min(bench.job.top.thickness), "in the sheet"));
    }
    bar_of(bench.kit, a)?;
    match template(&pin.b) {
        None => {
            let level = levels.get(a)?;
            let deep = (PIN_IN_SHEET * diameter).min(bench.job.top.thickness);
            Some((level.height? + level.thickness?, deep, "in the sheet"))
        }
        Some(b) => {
            bar_of(bench.kit, b)?;
            let first = setup.templates.iter().find(|t| t.id == a || t.id == b)?;
            let upper = if first.id == a { b } else { a };
            let deep = (PIN_IN_BAR * diameter).min(levels.get(&first.id)?.thickness?);
            Some((levels.get(upper)?.thickness?, deep, "in the bar below"))
        }
    }
}

/// Every bit is long enough for template and sheet, its point and what the chuck holds.
pub(super) fn bits(bench: &Bench, setup: &Setup, levels: &BTreeMap<String, Level>) -> Result<(), Fault> {
    for bore in &setup.bores {
        let (what, length, diameter) = match bore.bit {
            Bit::Pilot => ("pilot", bench.kit.pilot_bit.length, bench.kit.pilot_bit.diameter.mean()),
            Bit::Opening => ("opening", bench.kit.opening_bit.length, bench.kit.opening_bit.diameter.mean()),
        };
        let Some(level) = template(&bore.feature).and_then(|id| levels.get(id)) else { continue };
        let (Some(length), Some(height), Some(thickness)) = (length, level.height, level.thickness) else { continue };
        let guide = height + thickness;
        let point = POINT * diameter;
        let short = guide + bench.job.top.thickness + point + CHUCK_HOLDS - length;
        if short > SHORT_BY {
            return Err(Fault::impossible(format!(
                "the {what} bit is {length:.1} mm long and {short:.1} mm too short for {}: {guide:.1} mm above the sheet, {:.1} mm of sheet, {point:.1} mm of point, {CHUCK_HOLDS:.1} mm in the chuck",
                bore.hole, bench.job.top.thickness
            ))
            .hint("a longer bit, or a thinner bar or block"));
        }
    }
    Ok(())
}

/// Free ends have the packing and props that they need, and no others, where a plan states any.
pub(super) fn under(
    bench: &Bench,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
    levels: &BTreeMap<String, Level>,
) -> Result<(), Fault> {
    for stated in &setup.under {
        if !lying.contains_key(stated.template.as_str()) {
            let id = &stated.template;
            return Err(Fault::input(format!("something is said to be under {id}, which is not placed")));
        }
    }
    for (id, level) in levels {
        let Some(lies) = lying.get(id.as_str()) else { continue };
        let Some(bar) = bar_of(bench.kit, id) else { continue };
        let mine = || setup.under.iter().filter(|u| u.template == *id);
        let packing = mine().find_map(|u| if let Beneath::Packing(mm) = u.what { Some(mm) } else { None });
        let prop = mine().find_map(|u| if let Beneath::Prop(mm) = u.what { Some(mm) } else { None });
        match (packing, level.height) {
            (None, Some(height)) if level.on.len() == 1 && height > PACKED_WITHIN => {
                return Err(Fault::impossible(format!(
                    "{id} lies on {} and slopes: nothing is under its free end, {height:.1} mm needed",
                    level.on[0]
                ))
                .hint("pack it level, or the columns lean"));
            }
            (Some(packed), Some(height)) if level.on.len() < 2 && (packed - height).abs() > PACKED_WITHIN => {
                return Err(Fault::impossible(format!(
                    "the free end of {id} is packed {packed:.1} mm up, it lies {height:.1} mm up"
                )));
            }
            _ => {}
        }
        if let Some((out, limit)) = stands_out(bench, lies, bar) {
            match prop {
                None if out > limit + OUT_WITHIN => {
                    return Err(Fault::impossible(format!(
                        "{id} stands out {out:.1} mm over the sheet without a prop, at most {limit:.1} mm may"
                    ))
                    .hint("prop its free end level, or lay it the other way"));
                }
                Some(stated) if (stated - out).abs() > OUT_WITHIN => {
                    return Err(Fault::impossible(format!(
                        "{id} is said to stand out {stated:.1} mm over the sheet, it does by {out:.1} mm"
                    )));
                }
                _ => {}
            }
        }
    }
    Ok(())
}

/// How far a bar's worse end stands out along its middle, and how far it may, mm; `None` where the
/// kit does not say how long its ends are.
fn stands_out(bench: &Bench, lies: &Lying, bar: &Bar) -> Option<(f64, f64)> {
    bar.beyond?;
    let [a, b, c, d] = footprint(bench.kit, lies);
    let (one, other) = (a.midpoint(d), b.midpoint(c));
    let length = (other - one).hypot2().sqrt();
    let out = walk_in(bench, one, other, length).max(walk_in(bench, other, one, length));
    Some((out, PROP_BEYOND * length))
}

/// How far it is from a point outside the sheet straight on until the sheet begins, mm.
fn walk_in(bench: &Bench, from: Point, to: Point, length: f64) -> f64 {
    let outline = &bench.job.top.outline;
    let at = |along: f64| from.lerp(to, along / length);
    let mut along = 0.0;
    // As far as the edge is away, no edge is met: at least half a tenth of a millimetre on.
    while along < length {
        let out = -depth(outline, at(along));
        if out <= 0.0 {
            return along;
        }
        along += out.max(0.5 * PACKED_WITHIN);
    }
    length
}

/// What the kit does not state, so that it was not looked at.
pub(super) fn not_stated(kit: &Kit) -> Vec<&'static str> {
    let all = |of: fn(&Bar) -> bool| kit.bars.iter().all(of);
    [
        (all(|bar| bar.thickness.is_some()), "bars' thickness"),
        (all(|bar| bar.width.is_some()), "bars' width"),
        (all(|bar| bar.beyond.is_some()), "bars' ends"),
        (kit.pin.length.is_some(), "pins' length"),
        (kit.pilot_bit.length.is_some(), "pilot bit's length"),
        (kit.opening_bit.length.is_some(), "opening bit's length"),
        (kit.block.size.is_some(), "block's size"),
        (kit.block.step.is_some(), "block's step"),
        (kit.gauges.iter().all(|gauge| gauge.length.is_some()), "gauges' length"),
        (kit.clamp_reach.is_some(), "clamps' reach"),
        (kit.clamp_opens.is_some(), "how far clamps open"),
        (kit.dog.height.is_some(), "dogs' height"),
    ]
    .into_iter()
    .filter(|(stated, _)| !stated)
    .map(|(_, what)| what)
    .collect()
}
