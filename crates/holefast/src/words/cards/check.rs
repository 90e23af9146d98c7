//! What a check's card says: its gauges, its limit, and what to do, in order, if it does not go.

use super::{CardLine, CheckWords};
use crate::job::{Job, Units};
use crate::math;
use crate::plan::{Place, Plan, Setup, With};
use crate::words::figures::{fine, limits, per_metre};
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
        "{with}{} must stand at once, each put in under a finger, none forced. Nothing is bored here.",
        if setup.pins.len() == 2 { "Both".to_owned() } else { format!("All {}", setup.pins.len()) }
    ))));
}

pub fn check_words(job: &Job, plan: &Plan, setup: &Setup) -> CheckWords {
    let u = job.units;
    let mut limit = String::new();
    if let Some(l) = setup.limit {
        limit = format!("{} It goes up to {} of misfit", bold("Limit."), bold(&fine(u, l.misfit_mm)));
        if l.tests_square.is_finite() && l.tests_square > 0.0 {
            limit += &format!(", so it really tests square to {}", bold(&per_metre(l.tests_square)));
        }
        limit += ".";
        if let Some(stopped) = l.good_stopped {
            limit += &format!(" It stops {} of good tops.", few(stopped));
        }
    }
    let mut if_not = vec![
        Rich::new("Clear the chips from every hole and from under the bar; try again."),
        Rich::new("Swap the gauges, then turn the bar over. Goes now: go on, and note it."),
    ];
    let ends: Vec<_> = setup
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
        if_not.push(Rich::new(format!(
            "Measure over the outsides of two pins in {} and {}: {} is right.",
            bold(&a.name),
            bold(&b.name),
            bold(&fine_length(u, apart + pin)),
        )));
    } else {
        if_not.push(Rich::new("Measure the holes over pins, against the bar: find the one that is out."));
    }
    if_not.push(Rich::new(
        "Plug the hole that is out with a glued dowel, let it dry, seat the bar of its own set-up again and rebore; \
         then check again. Open nothing before it goes.",
    ));
    CheckWords {
        limit: Rich::new(limit),
        entries: vec!["it went".into(), "it did not".into(), "over pins".into()],
        if_not,
    }
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
