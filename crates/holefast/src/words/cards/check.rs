//! What a check's card says: its gauges, its limit, and what to do, in order, if it does not go.

use super::phrases::feature_name;
use super::{CardLine, CheckWords};
use crate::job::{Job, Units};
use crate::math;
use crate::plan::{Bit, PLUGGING, Place, Plan, PlanHole, Setup, TemplateKind, With};
use crate::words::figures::{fine, limits, minutes, per_metre};
use crate::words::numbers::CardNumbers;
use crate::words::rich::{Rich, bold};

pub fn check_steps(job: &Job, setup: &Setup, lines: &mut Vec<CardLine>) {
    let gauge = setup.pins.iter().find_map(|p| match p.with {
        With::Gauge(l) => Some(l),
        _ => None,
    });
    let with = match gauge {
        Some(l) => format!("Gauge: a pin or drill shank {} across. ", limits(job.units, l)),
        None => String::new(),
    };
    lines.push(CardLine::Step(Rich::new(format!(
        "{with}{} must stand at once, each put in under a finger, none forced. Nothing is clamped or bored here.",
        if setup.pins.len() == 2 { "Both".to_owned() } else { format!("All {}", setup.pins.len()) }
    ))));
}

/// Longer than this a length is past most calipers, mm.
const CALIPER: f64 = 300.0;

pub fn check_words(job: &Job, plan: &Plan, setup: &Setup) -> CheckWords {
    let u = job.units;
    let mut limit = String::new();
    if let Some(l) = setup.limit {
        limit = format!("{} Up to {} of misfit goes", bold("Limit."), bold(&fine(u, l.misfit_mm)));
        if l.tests_square.is_finite() && l.tests_square > 0.0 {
            limit += &format!(", {} out of square", bold(&per_metre(l.tests_square)));
        }
        limit += ".";
        if job.accuracy.square.is_some_and(|wanted| l.tests_square > wanted) {
            limit += " That is more than is wanted: it catches slips, and proves no more.";
        }
        if let Some(stopped) = l.good_stopped {
            limit += &format!(" It stops {} of good tops for nothing.", few(stopped));
        }
    }
    let mut if_not = vec![
        Rich::new("Clear the chips from the holes and from under the bar; try again."),
        Rich::new("Swap the gauges; turn the bar over. Goes now: go on, and note it."),
    ];
    let ends: Vec<&PlanHole> = setup
        .pins
        .iter()
        .filter_map(|p| match (&p.a, &p.b) {
            (_, Place::Hole(h)) | (Place::Hole(h), _) => plan.hole(h),
            _ => None,
        })
        .collect();
    if let (1, [a, b]) = (setup.templates.len(), ends.as_slice()) {
        let apart = math::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
        let pin = job.kit.as_ref().map_or(job.grid.pilot, |k| k.pin.diameter.mean());
        let more = setup.limit.map_or_else(String::new, |l| format!(" ± {}", fine(u, l.misfit_mm)));
        let long = if apart + pin > CALIPER { " Past your caliper: leave this out." } else { "" };
        if_not.push(Rich::new(format!(
            "Pins in {} and {}, measured over their outsides: {}{more}.{long}",
            bold(&a.name),
            bold(&b.name),
            bold(&fine_length(u, apart + pin)),
        )));
    }
    let (steps, askew) = find_it(plan, &ends);
    if_not.extend(steps);
    if_not.push(Rich::new(format!(
        "Or enter it as [[spoiled]] and print anew: the plan weighs going round it. {}",
        bold("Open nothing before this check goes.")
    )));
    CheckWords {
        limit: Rich::new(limit),
        entries: vec!["it went".into(), "it did not".into(), "over pins".into()],
        if_not,
        askew,
    }
}

/// How a hole's pilot came about: its set-up, and the feature it was bored through.
struct Origin<'a> {
    hole: &'a str,
    setup: &'a Setup,
    template: &'a str,
    feature: &'a str,
}

/// Steps that find the hole that is out, and what putting it right costs; the holes to plug where none is.
fn find_it(plan: &Plan, ends: &[&PlanHole]) -> (Vec<Rich>, Vec<String>) {
    let numbers = CardNumbers::of(plan);
    let origins: Vec<Origin<'_>> = ends.iter().filter_map(|hole| origin(plan, &hole.name)).collect();
    let again = |setup: &Setup| match card_of(plan, &numbers, setup) {
        Some(card) => format!("as on card\u{a0}{card}"),
        None => "as it lay when it was bored".to_owned(),
    };
    let mut steps = Vec::new();
    let tries: Vec<String> = origins
        .iter()
        .map(|o| {
            let (hole, through) = (bold(o.hole), feature_name(o.feature));
            let on = on_others(o).map_or_else(|| again(o.setup), |on| format!("again, pins in {on}"));
            format!("Lay {} {on}: no gauge enters {hole} through its {through}? {hole} is out.", bold(o.template))
        })
        .collect();
    if !tries.is_empty() {
        steps.push(Rich::new(tries.join(" ")));
    }
    if let Some(dearest) = origins.iter().max_by(|a, b| a.setup.minutes.total_cmp(&b.setup.minutes)) {
        steps.push(Rich::new(format!(
            "Plug the one that is out, let it dry overnight, rebore it through its bar, and so whatever was bored from it \
             since; then this check again. About {} and the night.",
            minutes(PLUGGING + dearest.setup.minutes)
        )));
    }
    // The later of two set-ups is made again: less stands on it.
    let mut askew = Vec::new();
    let later = origins.iter().max_by_key(|o| o.setup.number);
    if let (Some(later), true) = (later, origins.iter().any(|o| later.is_some_and(|l| l.setup != o.setup))) {
        let bored: Vec<&str> = later.setup.bores.iter().map(|b| b.hole.as_str()).collect();
        let holes = match bored.as_slice() {
            [first, .., last] => format!("{} to {}", bold(first), bold(last)),
            _ => bold(later.hole),
        };
        askew = bored.iter().map(|&hole| hole.to_owned()).collect();
        steps.push(Rich::new(format!(
            "None is out: the lines lie askew. Plug {holes}, make their set-up again {}: {} and the night.",
            again(later.setup),
            minutes(PLUGGING * bored.len() as f64 + later.setup.minutes)
        )));
    }
    (steps, askew)
}

/// Two holes bored in the same set-up, where that was laid by hand and had no pins: there the bar is
/// pinned to look at the third.
fn on_others(o: &Origin<'_>) -> Option<String> {
    if !o.setup.pins.is_empty() {
        return None;
    }
    let others: Vec<&str> = o.setup.bores.iter().map(|b| b.hole.as_str()).filter(|h| *h != o.hole).collect();
    match others.as_slice() {
        [first, .., last] => Some(format!("{} and {}", bold(first), bold(last))),
        _ => None,
    }
}

/// Where a hole's pilot is bored first.
fn origin<'a>(plan: &'a Plan, hole: &str) -> Option<Origin<'a>> {
    plan.setups.iter().find_map(|setup| {
        let bore = setup.bores.iter().find(|b| b.hole == hole && b.bit == Bit::Pilot)?;
        let Place::Feature { template, feature } = &bore.feature else { return None };
        (plan.template(template)?.kind == TemplateKind::Bar).then_some(Origin {
            hole: &bore.hole,
            setup,
            template,
            feature,
        })
    })
}

fn card_of(plan: &Plan, numbers: &CardNumbers, setup: &Setup) -> Option<usize> {
    numbers.number(plan.setups.iter().position(|s| s == setup)?)
}

/// A length for a caliper: hundredths of a mm, thousandths of an inch.
fn fine_length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{mm:.2}\u{a0}mm"),
        Units::Inch => format!("{:.3}\u{a0}in", mm / 25.4),
    }
}

fn few(share: f64) -> String {
    let per_thousand = 1000.0 * share;
    if per_thousand < 0.5 {
        "fewer than 1 in 1000".to_owned()
    } else if per_thousand < 10.0 {
        format!("{per_thousand:.0} in 1000")
    } else {
        format!("{:.0} in 100", 100.0 * share)
    }
}
