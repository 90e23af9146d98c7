//! Whether pins and bits are long enough for what they go through, what bars need under their free
//! ends, and that no two bars want the same place; for a plan that has been put together.
//!
//! A template that overlaps one listed before it lies on that. A dimension that the kit does not
//! state leaves its check out, and [`left_out`] says so once.

use super::ground::{Footprint, bar_named};
use crate::fault::Fault;
use crate::job::Job;
use crate::kit::reach::{CHUCK_HOLDS, PIN_IN_BAR, PIN_IN_BLOCK, PIN_IN_SHEET, POINT, PROP_BEYOND, TOUCHES};
use crate::kit::{Gauge, Kit};
use crate::measure::format;
use crate::plan::{Beneath, Bit, PinUse, Place, Plan, Setup, Template, TemplateKind, Under, With};
use crate::top::Point;

/// A template as it lies in a set-up.
struct Lying<'a> {
    template: &'a Template,
    footprint: Footprint,
    thickness: Option<f64>,
    /// Of its underside above the sheet, mm; `None` where a thickness below it is not known.
    height: Option<f64>,
    /// How many templates it lies on.
    on: usize,
}

/// Templates of a set-up from the sheet upwards; pairs that overlap though no pin joins them.
fn stack<'a>(kit: &Kit, plan: &'a Plan, setup: &Setup) -> (Vec<Lying<'a>>, Vec<(usize, usize, f64)>) {
    let mut lying: Vec<Lying<'a>> = Vec::new();
    let mut collisions = Vec::new();
    for placed in &setup.templates {
        let Some(template) = plan.template(&placed.id) else { continue };
        let footprint = Footprint::of_placed(kit, template, placed);
        let mut height = Some(0.0);
        let mut on = 0;
        for (j, below) in lying.iter().enumerate() {
            // Bars that cross lie no deeper in each other than the narrower is wide.
            let narrower = 2.0 * footprint.half()[1].min(below.footprint.half()[1]);
            let into = footprint.overlap(&below.footprint).min(narrower);
            let joined = joined(setup, &template.id, &below.template.id);
            if into <= TOUCHES && !joined {
                continue;
            }
            if !joined {
                collisions.push((j, lying.len(), into));
            }
            on += 1;
            let top = below.height.zip(below.thickness).map(|(h, t)| h + t);
            height = height.zip(top).map(|(a, b): (f64, f64)| a.max(b));
        }
        let thickness = match template.kind {
            TemplateKind::Bar => bar_named(kit, &template.id).and_then(|bar| bar.thickness),
            TemplateKind::Block => kit.block.size.map(|size| size[2]),
        };
        lying.push(Lying { template, footprint, thickness, height, on });
    }
    (lying, collisions)
}

fn joined(setup: &Setup, a: &str, b: &str) -> bool {
    setup.pins.iter().any(|pin| match (on(&pin.a), on(&pin.b)) {
        (Some(one), Some(other)) => (one, other) == (a, b) || (one, other) == (b, a),
        _ => false,
    })
}

fn on(place: &Place) -> Option<&str> {
    match place {
        Place::Feature { template, .. } => Some(template),
        Place::Hole(_) => None,
    }
}

/// What is too short, by how much and what would do: of each thing the worst place.
pub(super) fn faults(job: &Job, kit: &Kit, plan: &Plan) -> Vec<Fault> {
    let mm = |value: f64| format::length(value, job.units);
    let mut faults = Vec::new();
    let things = things(kit);
    let mut worst: Vec<Option<Need>> = things.iter().map(|_| None).collect();
    // Words are made for the worst place alone: this runs for every way that is tried.
    let mut needs = |what: usize, length: f64, made_of: &dyn Fn() -> String, or: &'static str| {
        if worst[what].as_ref().is_none_or(|w| length > w.length) {
            worst[what] = Some(Need { length, made_of: made_of(), or });
        }
    };
    for setup in &plan.setups {
        let (lying, collisions) = stack(kit, plan, setup);
        if let Some(&(a, b, into)) = collisions.first() {
            let [a, b] = [a, b].map(|n| &lying[n].template.id);
            faults.push(
                Fault::impossible(format!("{a} and {b} would lie {} into each other, and no pin joins them", mm(into)))
                    .at(job.span("kit.bar[0].width"))
                    .hint("narrower bars pass each other; a pin where they cross would stack them"),
            );
        }
        let of = |id: &str| lying.iter().position(|l| l.template.id == id);
        for pin in &setup.pins {
            let Some(what) = locator(kit, pin.with) else { continue };
            if let Some((length, made_of, or)) = pin_needs(job, kit, &lying, pin) {
                needs(what, length, &made_of, or);
            }
        }
        for bore in &setup.bores {
            let Some(l) = on(&bore.feature).and_then(of).map(|n| &lying[n]) else { continue };
            let Some((height, thickness)) = l.height.zip(l.thickness) else { continue };
            let (what, d, or) = match bore.bit {
                Bit::Pilot => (PILOT_BIT, kit.pilot_bit.diameter.mean(), THINNER),
                Bit::Opening => (OPENING_BIT, kit.opening_bit.diameter.mean(), "or take a lower block"),
            };
            let need = height + thickness + job.top.thickness + POINT * d + CHUCK_HOLDS;
            let made_of = || {
                format!(
                    "at {}: {} of {}, {} of sheet, {} of its point and {} in the chuck",
                    bore.hole,
                    mm(height + thickness),
                    l.template.id,
                    mm(job.top.thickness),
                    format::length((10.0 * POINT * d).round() / 10.0, job.units),
                    mm(CHUCK_HOLDS)
                )
            };
            needs(what, need, &made_of, or);
        }
    }
    for (thing, worst) in things.into_iter().zip(worst) {
        if let (Some(length), Some(worst)) = (thing.length, worst)
            && length < worst.length
        {
            let need_said = format::length((10.0 * worst.length).ceil() / 10.0, job.units);
            let message = format!("the {} is {} long and takes {need_said} {}", thing.name, mm(length), worst.made_of);
            faults.push(
                Fault::impossible(message)
                    .at(job.span(&thing.path))
                    .hint(format!("take one of at least {need_said}, {}", worst.or)),
            );
        }
    }
    faults
}

/// What a pin needs: length, what it is made of, what else would do.
type PinNeed<'a> = (f64, Box<dyn Fn() -> String + 'a>, &'static str);

/// Of what stands or turns in a template, the length that the kit states.
struct Thing {
    name: &'static str,
    length: Option<f64>,
    path: String,
}

/// The longest that a thing must be, what that is made of, and what else would do.
struct Need {
    length: f64,
    made_of: String,
    or: &'static str,
}

const PIN: usize = 0;
const PILOT_BIT: usize = 1;
const OPENING_BIT: usize = 2;
/// The kit's gauges come after these, in their order.
const GAUGES: usize = 3;

const THINNER: &str = "or take thinner bars";

fn things(kit: &Kit) -> Vec<Thing> {
    let thing = |name, length, path: &str| Thing { name, length, path: path.to_owned() };
    let mut all = vec![
        thing("pin", kit.pin.length, "kit.pin.length"),
        thing("pilot bit", kit.pilot_bit.length, "kit.pilot_bit.length"),
        thing("opening bit", kit.opening_bit.length, "kit.opening_bit.length"),
    ];
    let gauge = |(n, gauge): (usize, &Gauge)| thing("gauge", gauge.length, &format!("kit.gauge[{n}].length"));
    all.extend(kit.gauges.iter().enumerate().map(gauge));
    all
}

/// Which of the [`things`] a locator is.
fn locator(kit: &Kit, with: With) -> Option<usize> {
    match with {
        With::Pin => Some(PIN),
        With::Gauge(limits) => kit.gauges.iter().position(|g| g.diameter == limits).map(|n| GAUGES + n),
        With::Dog | With::Point => None,
    }
}

/// How long a pin or gauge must be, what that is made of once somebody asks, and what else would do.
fn pin_needs<'a>(job: &'a Job, kit: &Kit, lying: &[Lying<'a>], pin: &'a PinUse) -> Option<PinNeed<'a>> {
    let mm = |value: f64| format::length(value, job.units);
    let of = |place: &Place| on(place).and_then(|id| lying.iter().position(|l| l.template.id == id));
    let d = kit.pin.diameter.mean();
    let a = of(&pin.a)?;
    let in_sheet = (PIN_IN_SHEET * d).min(job.top.thickness);
    let id = &lying[a].template.id;
    match &pin.b {
        Place::Hole(hole) if lying[a].template.kind == TemplateKind::Block => {
            let step = kit.block.step?;
            let held = lying[a].thickness.map_or(PIN_IN_BLOCK * d, |height| (PIN_IN_BLOCK * d).min(height - step));
            let made_of = Box::new(move || {
                format!(
                    "in {hole}: {} held in the block, {} of its step and {} in the sheet",
                    mm(held),
                    mm(step),
                    mm(in_sheet)
                )
            });
            Some((held + step + in_sheet, made_of, "or bush the block's places so that they hold it lower"))
        }
        Place::Hole(hole) => {
            let (height, thickness) = lying[a].height.zip(lying[a].thickness)?;
            let made_of = Box::new(move || {
                let packing = if height > 0.0 { format!("{} of packing, ", mm(height)) } else { String::new() };
                format!("in {hole}: {packing}{} of {id} and {} in the sheet", mm(thickness), mm(in_sheet))
            });
            Some((height + thickness + in_sheet, made_of, THINNER))
        }
        Place::Feature { .. } => {
            let b = of(&pin.b)?;
            let (upper, lower) = (&lying[a.max(b)], &lying[a.min(b)]);
            let (t, below) = upper.thickness.zip(lower.thickness)?;
            let in_bar = (PIN_IN_BAR * d).min(below);
            let (upper, lower) = (&upper.template.id, &lower.template.id);
            let made_of = Box::new(move || {
                format!("through {upper} into {lower}: {} of the one and {} of the other", mm(t), mm(in_bar))
            });
            Some((t + in_bar, made_of, THINNER))
        }
    }
}

/// True unless what is known of a set-up says that this pin or gauge is too short for a place of its.
pub(super) fn is_long_enough(job: &Job, kit: &Kit, plan: &Plan, setup: &Setup, with: With) -> bool {
    let Some(length) = locator(kit, with).and_then(|what| things(kit)[what].length) else { return true };
    let (lying, _) = stack(kit, plan, setup);
    setup.pins.iter().filter_map(|pin| pin_needs(job, kit, &lying, pin)).all(|(need, _, _)| need <= length)
}

/// How high above the sheet the top faces of a set-up's templates lie, mm, in their order.
pub(super) fn tops(kit: &Kit, plan: &Plan, setup: &Setup) -> Vec<Option<f64>> {
    stack(kit, plan, setup).0.iter().map(|l| Some(l.height? + l.thickness?)).collect()
}

/// True if what pins and bits go through is the same whichever bars a way takes.
pub(super) fn same_for_all_ways(kit: &Kit) -> bool {
    kit.bars.windows(2).all(|pair| pair[0].thickness == pair[1].thickness)
}

/// Which of a triangle's joints (corner, foot, third side on the column bar) a gauge that locates is
/// long enough for; all of them where that is not known, or none would do.
pub(super) fn joints_for_a_gauge(kit: &Kit, sheet: f64) -> Vec<usize> {
    let all = vec![0, 1, 2];
    let Some(length) = kit.gauges.first().and_then(|gauge| gauge.length) else { return all };
    let Some(thick) = kit.bars.iter().map(|bar| bar.thickness).reduce(|a, b| Some(a?.max(b?))).flatten() else {
        return all;
    };
    let d = kit.pin.diameter.mean();
    let in_sheet = (PIN_IN_SHEET * d).min(sheet);
    let needs = [thick + in_sheet, 2.0 * thick + in_sheet, thick + (PIN_IN_BAR * d).min(thick)];
    let reached: Vec<usize> = all.iter().copied().filter(|&joint| needs[joint] <= length).collect();
    if reached.is_empty() { all } else { reached }
}

/// Writes into every set-up what bars need under their free ends.
pub(super) fn complete(job: &Job, kit: &Kit, plan: &mut Plan) {
    let all: Vec<Vec<Under>> = plan.setups.iter().map(|setup| under(job, kit, plan, setup)).collect();
    for (setup, under) in plan.setups.iter_mut().zip(all) {
        setup.under = under;
    }
}

fn under(job: &Job, kit: &Kit, plan: &Plan, setup: &Setup) -> Vec<Under> {
    let mut all = Vec::new();
    for l in stack(kit, plan, setup).0.iter().filter(|l| l.template.kind == TemplateKind::Bar) {
        let mut add = |what| all.push(Under { template: l.template.id.clone(), what });
        // A bar that lies on two others is level by itself.
        if let (1, Some(height)) = (l.on, l.height) {
            add(Beneath::Packing(height));
        }
        if bar_named(kit, &l.template.id).is_some_and(|bar| bar.beyond.is_some()) {
            let [a, b] = l.footprint.ends();
            let length = 2.0 * l.footprint.half()[0];
            let out = stands_out(&job.top.outline, a, b).max(stands_out(&job.top.outline, b, a));
            if out > PROP_BEYOND * length {
                add(Beneath::Prop(out));
            }
        }
    }
    all
}

/// How much of the way from `end` to `other` lies outside the sheet before it is first reached, mm;
/// nil if `end` lies on it.
fn stands_out(outline: &[Point], end: Point, other: Point) -> f64 {
    let (dx, dy) = (other.x - end.x, other.y - end.y);
    let mut inside = false;
    let mut first = 1.0_f64;
    for (n, p) in outline.iter().enumerate() {
        let q = outline[(n + 1) % outline.len()];
        // Even and odd crossings of a ray to +x tell inside from outside.
        if (p.y > end.y) != (q.y > end.y) && end.x < p.x + (end.y - p.y) / (q.y - p.y) * (q.x - p.x) {
            inside = !inside;
        }
        let (sx, sy) = (q.x - p.x, q.y - p.y);
        let across = dx * sy - dy * sx;
        if across != 0.0 {
            let t = ((p.x - end.x) * sy - (p.y - end.y) * sx) / across;
            let s = ((p.x - end.x) * dy - (p.y - end.y) * dx) / across;
            if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s) {
                first = first.min(t);
            }
        }
    }
    if inside { 0.0 } else { first * crate::math::hypot(dx, dy) }
}

/// One sentence on what could not be looked at because the kit does not say; `None` if it says all.
pub(super) fn left_out(kit: &Kit) -> Option<String> {
    let bars = |of: fn(&crate::kit::Bar) -> Option<f64>| kit.bars.iter().all(|bar| of(bar).is_some());
    let mut missing: Vec<&str> = Vec::new();
    if !bars(|bar| bar.thickness) {
        missing.push("bars' thickness (packing, reach of pins and pilot bit)");
    } else {
        for (known, what) in
            [(kit.pin.length.is_some(), "the pins' length"), (kit.pilot_bit.length.is_some(), "the pilot bit's length")]
        {
            if !known {
                missing.push(what);
            }
        }
    }
    for (known, what) in [
        (bars(|bar| bar.width), "bars' width (what lies in whose way)"),
        (bars(|bar| bar.beyond), "bars' ends (what stands out and needs a prop)"),
        (kit.block.size.is_some(), "the block's size (where it can be held, reach of the opening bit)"),
        (kit.block.size.is_none() || kit.opening_bit.length.is_some(), "the opening bit's length"),
        (kit.pin.length.is_none() || kit.block.step.is_some(), "the block's step (how deep its pins stand)"),
        (kit.gauges.iter().all(|g| g.assumed || g.length.is_some()), "the gauges' length"),
        (kit.clamp_reach.is_some(), "the clamps' reach (how bars and block are held)"),
        (kit.clamp_reach.is_none() || kit.clamp_opens.is_some(), "how far clamps open"),
        (kit.block.size.is_none() || kit.dog.height.is_some(), "dogs' height (whether a clamp passes over one)"),
    ] {
        if !known {
            missing.push(what);
        }
    }
    let (last, rest) = missing.split_last()?;
    let list = if rest.is_empty() { (*last).to_owned() } else { format!("{} and {last}", rest.join(", ")) };
    Some(format!("Not looked at, since the kit does not state it: {list}."))
}

#[cfg(test)]
mod tests {
    use super::super::{PlanOptions, make_plan};
    use super::*;
    use crate::kit::Limits;
    use crate::plan::{Placed, Stage};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    fn planned(job: &Job) -> Result<Plan, Vec<Fault>> {
        make_plan(job, &lay_out(job).unwrap(), &PlanOptions::default())
    }

    /// Message and hint of a refusal after a change of the kit.
    #[track_caller]
    fn refused(change: impl FnOnce(&mut Kit)) -> (String, String) {
        let mut job = trailer_top();
        change(job.kit.as_mut().unwrap());
        let faults = planned(&job).unwrap_err();
        (faults[0].message.clone(), faults[0].hint.clone().unwrap())
    }

    #[test]
    fn what_is_too_short_is_told_with_what_would_do() {
        // The third side is packed by the column bar's 8 mm; a 4 mm pin wants 8 mm of wood, h6
        // makes it 3.996 on average.
        let (message, hint) = refused(|kit| kit.pin.length = Some(20.0));
        assert_eq!(
            message,
            "the pin is 20 mm long and takes 24 mm in A9: 8 mm of packing, 8 mm of L2 and 7.992 mm in the sheet"
        );
        assert_eq!(hint, "take one of at least 24 mm, or take thinner bars");
        // Bar 8, sheet 21, point 1.2, chuck 20: what is offered works.
        let (message, hint) = refused(|kit| kit.pilot_bit.length = Some(45.0));
        assert_eq!(
            message,
            "the pilot bit is 45 mm long and takes 50.3 mm at A1: 8 mm of L1, 21 mm of sheet, 1.2 mm of its point and 20 mm in the chuck"
        );
        assert!(hint.contains("at least 50.3 mm"), "{hint}");
        let (message, _) = refused(|kit| {
            kit.block.size = Some([270.0, 60.0, 40.0]);
            kit.opening_bit.length = Some(80.0);
        });
        assert_eq!(
            message,
            "the opening bit is 80 mm long and takes 87.1 mm at A1: 40 mm of K1, 21 mm of sheet, 6 mm of its point and 20 mm in the chuck"
        );
        let mut job = trailer_top();
        let kit = job.kit.as_mut().unwrap();
        (kit.pin.length, kit.pilot_bit.length) = (Some(24.0), Some(50.3));
        planned(&job).unwrap();
    }

    #[test]
    fn pins_of_the_block_reach_through_its_step() {
        let (message, hint) = refused(|kit| kit.block.step = Some(30.0));
        assert_eq!(
            message,
            "the pin is 40 mm long and takes 42 mm in A2: 3.996 mm held in the block, 30 mm of its step and 7.992 mm in the sheet"
        );
        assert_eq!(hint, "take one of at least 42 mm, or bush the block's places so that they hold it lower");
        let mut job = trailer_top();
        let kit = job.kit.as_mut().unwrap();
        (kit.block.step, kit.pin.length) = (Some(30.0), Some(42.0));
        crate::replay::replay(&job, &planned(&job).unwrap()).unwrap();
    }

    #[test]
    fn a_gauge_that_is_long_enough_is_taken_and_where_none_is_it_is_told() {
        let (message, hint) = refused(|kit| kit.gauges[0].length = Some(15.0));
        assert!(message.starts_with("the gauge is 15 mm long and takes 16 mm in "), "{message}");
        assert_eq!(hint, "take one of at least 16 mm, or take thinner bars");
        let mut job = trailer_top();
        let gauges = &mut job.kit.as_mut().unwrap().gauges;
        gauges[0].length = Some(15.0);
        // Duller ones, long enough.
        let thinner = Limits::new(3.782, 3.8);
        gauges.push(Gauge { diameter: thinner, length: Some(16.0), ..gauges[0].clone() });
        let plan = planned(&job).unwrap();
        let used: Vec<With> = plan.setups.iter().filter(|s| s.check).flat_map(|s| &s.pins).map(|p| p.with).collect();
        assert!(
            used.contains(&With::Gauge(thinner)) && !used.contains(&With::Gauge(Limits::new(3.882, 3.9))),
            "{used:?}"
        );
        crate::replay::replay(&job, &plan).unwrap();
    }

    #[test]
    fn a_gauge_that_stands_in_for_a_pin_stands_where_it_is_long_enough() {
        // Bar 8 and half as much of the bar below: too short for the sheet.
        let mut job = trailer_top();
        let kit = job.kit.as_mut().unwrap();
        (kit.pin.count, kit.gauges[0].length) = (2, Some(12.0));
        let dull = Gauge { diameter: Limits::new(3.782, 3.8), length: Some(16.0), ..kit.gauges[0].clone() };
        kit.gauges.push(dull);
        let plan = planned(&job).unwrap();
        let stands_in = plan
            .setups
            .iter()
            .filter(|s| !s.check)
            .flat_map(|s| &s.pins)
            .find(|p| p.with != With::Pin && on(&p.a) != Some("K1"));
        assert!(matches!(stands_in, Some(PinUse { b: Place::Feature { .. }, .. })), "{stands_in:?}");
        crate::replay::replay(&job, &plan).unwrap();
        let (message, _) = refused(|kit| (kit.pin.count, kit.gauges[0].length) = (2, Some(11.0)));
        assert!(message.starts_with("the gauge is 11 mm long and takes "), "{message}");
    }

    #[test]
    fn a_thicker_sort_of_bar_is_passed_over_where_pins_do_not_reach_through_it() {
        let mut job = trailer_top();
        let kit = job.kit.as_mut().unwrap();
        let mut thick = kit.bars[0].clone();
        (thick.name, thick.thickness, thick.holes) = ("M".to_owned(), Some(30.0), 16);
        kit.bars.push(thick);
        kit.pin.length = Some(30.0);
        kit.pilot_bit.length = Some(60.0);
        // The longer bars would make the better triangle; they are left in the rack.
        match planned(&job) {
            Ok(plan) => {
                let used = plan.setups.iter().flat_map(|s| &s.templates).any(|t| t.id.starts_with('M'));
                assert!(!used);
                crate::replay::replay(&job, &plan).unwrap();
            }
            Err(faults) => assert!(faults[0].message.contains("of M"), "{faults:?}"),
        }
    }

    #[test]
    fn triangles_are_packed_and_what_stands_out_is_propped() {
        let job = trailer_top();
        let plan = planned(&job).unwrap();
        for setup in plan.setups.iter().filter(|s| s.stage == Stage::SquareColumns) {
            let packed: Vec<&Under> = setup.under.iter().filter(|u| matches!(u.what, Beneath::Packing(_))).collect();
            assert_eq!(packed.len(), 1);
            assert_eq!(
                (packed[0].template.as_str(), packed[0].what),
                (setup.templates[1].id.as_str(), Beneath::Packing(8.0))
            );
            // The column bar goes from y = 70 to 1210 on a sheet 780 wide: 430 of 1140.
            let props: Vec<&Under> = setup.under.iter().filter(|u| u.template == setup.templates[0].id).collect();
            assert!(
                matches!(props[..], [Under { what: Beneath::Prop(out), .. }] if (out - 430.0).abs() < 1e-6),
                "{props:?}"
            );
        }
    }

    #[test]
    fn bars_that_cross_without_a_pin_are_found() {
        let job = trailer_top();
        let kit = job.kit.as_ref().unwrap();
        let mut plan = planned(&job).unwrap();
        assert!(faults(&job, kit, &plan).is_empty());
        let across =
            |id: &str, turn_deg: f64| Placed { id: id.into(), x_mm: 475.0, y_mm: 390.0, turn_deg, turned_over: false };
        let setup = &mut plan.setups[8];
        setup.templates = vec![across("L1", 0.0), across("L2", 90.0)];
        setup.pins.clear();
        let found = faults(&job, kit, &plan);
        assert_eq!(found[0].message, "L1 and L2 would lie 40 mm into each other, and no pin joins them");
        plan.setups[8].pins =
            vec![PinUse { a: Place::feature("L2", "0"), b: Place::feature("L1", "0"), with: With::Pin }];
        assert!(faults(&job, kit, &plan).is_empty());
    }

    #[test]
    fn what_is_not_stated_is_said_in_one_sentence() {
        let mut kit = crate::testing::kit(2, 12, 100.0);
        kit.block.size = Some([270.0, 60.0, 40.0]);
        kit.opening_bit.length = Some(110.0);
        assert_eq!(left_out(&kit), None);
        (kit.pin.length, kit.clamp_reach) = (None, None);
        assert_eq!(
            left_out(&kit).unwrap(),
            "Not looked at, since the kit does not state it: the pins' length and the clamps' reach (how bars and block are held)."
        );
        kit.bars[0].thickness = None;
        assert!(left_out(&kit).unwrap().starts_with("Not looked at, since the kit does not state it: bars' thickness"));
    }
}
