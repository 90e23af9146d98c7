//! What stands written before any work: numbers, names, the kit's templates, the layout's holes.

use std::collections::{BTreeMap, BTreeSet};

use super::place::{depth, keep_out_gap};
use crate::fault::Fault;
use crate::job::Job;
use crate::kit::{Kit, Limits};
use crate::plan::{Feature, HoleKind, Plan, PlanHole, TemplateKind};
use crate::top::{Layout, Point};

/// A plan's places agree with the layout's to this, mm: data written to a thousandth is as good as
/// any, and a thousandth is far below what a bit wanders.
const SAME_PLACE: f64 = 1e-3;

/// Numbers copied from the kit agree to this, mm: they are copied, not measured.
const SAME_NUMBER: f64 = 1e-6;

/// Numbers are finite, times not negative, set-ups counted 1, 2, …
pub(super) fn numbers(plan: &Plan) -> Result<(), Fault> {
    let finite = |values: &[f64]| values.iter().all(|value| value.is_finite());
    for hole in &plan.holes {
        if !finite(&[hole.x_mm, hole.y_mm]) {
            return Err(Fault::input(format!("the place of {} is not a number", hole.name)));
        }
    }
    for template in &plan.templates {
        for feature in &template.features {
            if !finite(&[feature.x_mm, feature.y_mm, feature.position_mm]) {
                return Err(Fault::input(format!("{}:{} has a place that is not a number", template.id, feature.name)));
            }
        }
    }
    for (number, setup) in (1u32..).zip(&plan.setups) {
        if setup.number != number {
            return Err(Fault::input(format!("set-up {} stands where number {number} belongs", setup.number))
                .hint("count the set-ups 1, 2, 3, … in the order of work"));
        }
        if !finite(&[setup.minutes]) || setup.minutes < 0.0 {
            return Err(Fault::input(format!("set-up {number}: {} minutes is not a time", setup.minutes)));
        }
        for placed in &setup.templates {
            if !finite(&[placed.x_mm, placed.y_mm, placed.turn_deg]) {
                return Err(Fault::input(format!("set-up {number}: the place of {} is not a number", placed.id)));
            }
        }
    }
    Ok(())
}

/// The plan's templates are the kit's.
pub(super) fn templates(kit: &Kit, plan: &Plan) -> Result<(), Fault> {
    let known: BTreeMap<String, _> =
        crate::plan::templates(kit).into_iter().map(|template| (template.id.clone(), template)).collect();
    let mut seen = BTreeSet::new();
    for template in &plan.templates {
        let id = &template.id;
        if !seen.insert(id) {
            return Err(Fault::input(format!("the template {id} is listed twice")));
        }
        let Some(ours) = known.get(id) else {
            let names: Vec<&str> = known.keys().map(String::as_str).collect();
            return Err(
                Fault::impossible(format!("the kit has no template {id}")).hint(format!("it has {}", names.join(", ")))
            );
        };
        if ours.kind != template.kind {
            let kind = if ours.kind == TemplateKind::Bar { "bar" } else { "block" };
            return Err(Fault::impossible(format!("the kit's {id} is a {kind}")));
        }
        if ours.features.len() != template.features.len() {
            return Err(Fault::impossible(format!(
                "{id} has {} features in the plan, {} in the kit",
                template.features.len(),
                ours.features.len()
            )));
        }
        for (plans, kits) in template.features.iter().zip(&ours.features) {
            if let Some(what) = difference(plans, kits) {
                return Err(Fault::impossible(format!("{id}:{} is not as in the kit: {what}", plans.name)));
            }
        }
    }
    Ok(())
}

/// In what a feature differs from the kit's.
fn difference(plans: &Feature, kits: &Feature) -> Option<String> {
    if plans.name != kits.name {
        return Some(format!("the kit calls it {}", kits.name));
    }
    for (what, plan, kit) in
        [("x", plans.x_mm, kits.x_mm), ("y", plans.y_mm, kits.y_mm), ("position", plans.position_mm, kits.position_mm)]
    {
        if (plan - kit).abs() > SAME_NUMBER {
            return Some(format!("{what} {plan} mm, the kit's is {kit} mm"));
        }
    }
    let same = |a: Option<Limits>, b: Option<Limits>| match (a, b) {
        (Some(a), Some(b)) => same_limits(a, b),
        (None, None) => true,
        _ => false,
    };
    if !same(plans.bore_mm, kits.bore_mm) {
        return Some("another bore for pins".to_owned());
    }
    (!same(plans.bore_dog_mm, kits.bore_dog_mm)).then(|| "another bore for dogs".to_owned())
}

/// True if two limits are the same numbers.
pub(super) fn same_limits(a: Limits, b: Limits) -> bool {
    (a.min - b.min).abs() <= SAME_NUMBER && (a.max - b.max).abs() <= SAME_NUMBER
}

/// The plan's holes: names, kinds, places as laid out, wood around them.
pub(super) fn holes(job: &Job, layout: &Layout, plan: &Plan) -> Result<(), Fault> {
    let mut seen = BTreeSet::new();
    let laid: BTreeMap<&str, _> = layout.holes.iter().map(|hole| (hole.name.as_str(), hole)).collect();
    for hole in &plan.holes {
        let name = &hole.name;
        if name.is_empty() || name.contains(':') {
            return Err(Fault::input(format!("\"{name}\" is not a hole's name"))
                .hint("a colon stands between a template and its feature"));
        }
        if !seen.insert(name) {
            return Err(Fault::input(format!("the hole {name} is listed twice")));
        }
        let at = Point::new(hole.x_mm, hole.y_mm);
        if let Some(expected) = laid.get(name.as_str()) {
            let kind = if expected.cell.is_some() { HoleKind::Dog } else { HoleKind::Extra };
            if hole.kind != kind {
                let what = if kind == HoleKind::Dog { "a dog hole of the grid" } else { "an extra hole" };
                return Err(Fault::impossible(format!("{name} is {what} in the layout, in the plan it is not")));
            }
            let off = (at - expected.centre).hypot2().sqrt();
            if off > SAME_PLACE {
                return Err(Fault::impossible(format!(
                    "{name} is listed {off:.3} mm from its place in the layout, [{:.3}, {:.3}] mm",
                    expected.centre.x, expected.centre.y
                )));
            }
            let cell = expected.cell.map(|cell| (cell.row as i32, cell.column as i32));
            if hole.row.zip(hole.column) != cell {
                return Err(Fault::input(format!("{name} is listed with a row and column that are not its own")));
            }
        } else if matches!(hole.kind, HoleKind::Dog | HoleKind::Extra) {
            let why = layout.conflicts.iter().find(|conflict| conflict.hole.name == *name);
            let fault = Fault::impossible(format!("{name} is not a hole of the layout"));
            return Err(match why {
                Some(conflict) => fault.hint(conflict.fault.message.clone()),
                None => fault.hint("only holes that the layout has are made; a helper is listed as one"),
            });
        } else if let (Some(row), Some(column)) = (hole.row, hole.column) {
            let off = (at - layout.place(row, column)).hypot2().sqrt();
            if off > SAME_PLACE {
                return Err(Fault::impossible(format!(
                    "{name} is listed {off:.3} mm from row {row}, column {column} of the grid"
                )));
            }
        }
        wood_around(job, hole, at)?;
    }
    apart(job, layout, plan)
}

/// A pilot stays on the sheet with its own diameter of wood beside it, and clear of keep-outs.
fn wood_around(job: &Job, hole: &PlanHole, at: Point) -> Result<(), Fault> {
    let name = &hole.name;
    let pilot = job.grid.pilot;
    let wood = depth(&job.top.outline, at) - 0.5 * pilot;
    if wood < pilot - SAME_PLACE {
        return Err(Fault::impossible(format!(
            "the pilot of {name} has {wood:.2} mm of wood to the top's edge, {pilot:.2} wanted"
        ))
        .hint("a helper needs its own diameter of wood beside it"));
    }
    for keep_out in &job.keep_outs {
        let gap = keep_out_gap(keep_out, at) - 0.5 * pilot;
        if gap < -SAME_PLACE {
            return Err(Fault::impossible(format!("the pilot of {name} goes {:.2} mm into {}", -gap, keep_out.name)));
        }
    }
    Ok(())
}

/// No two holes cut into each other.
fn apart(job: &Job, layout: &Layout, plan: &Plan) -> Result<(), Fault> {
    let radius = |hole: &PlanHole| {
        let laid = layout.holes.iter().find(|laid| laid.name == hole.name);
        0.5 * laid.map_or(job.grid.pilot, |laid| laid.diameter)
    };
    let mut order: Vec<(&PlanHole, f64)> = plan.holes.iter().map(|hole| (hole, radius(hole))).collect();
    order.sort_by(|a, b| a.0.x_mm.total_cmp(&b.0.x_mm));
    let greatest = order.iter().map(|(_, radius)| *radius).fold(0.0, f64::max);
    for (n, (a, r)) in order.iter().enumerate() {
        for (b, s) in order[n + 1..].iter().take_while(|(b, _)| b.x_mm - a.x_mm < r + greatest) {
            let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
            let wood = (dx * dx + dy * dy).sqrt() - r - s;
            if wood < -SAME_PLACE {
                return Err(Fault::impossible(format!(
                    "{} and {} cut {:.2} mm into each other",
                    a.name, b.name, -wood
                )));
            }
        }
    }
    Ok(())
}
