//! Whether what presses a template is high and wide enough: how far clamps open, what they take below
//! the sheet, how high a hold-down stands, and dogs that stand out above the block.
//!
//! What kit or top do not state is not looked at.

use std::collections::BTreeMap;

use kurbo::Point;

use super::Bench;
use super::hold::{SET_WITHIN, blocked, feet, outside, strip};
use super::place::Lying;
use super::reach::{Level, SHORT_BY};
use crate::fault::Fault;
use crate::kit::reach::BATTEN_HIGH;
use crate::plan::{Hold, HoldBy, Place, Setup, With};
use crate::top::Side;

/// What presses opens wide enough or stands high enough, and has room below the sheet.
pub(super) fn enough(
    bench: &Bench,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
    levels: &BTreeMap<String, Level>,
    hold: &Hold,
) -> Result<(), Fault> {
    let kit = bench.kit;
    let id = &hold.template;
    let what = hold.by.name();
    let high = levels.get(id).and_then(Level::top);
    let clamped = match hold.by {
        HoldBy::EdgeClamp => Some(0.0),
        HoldBy::Batten => Some(BATTEN_HIGH),
        HoldBy::HoldDown(_) | HoldBy::Tape => None,
    };
    if let Some(more) = clamped {
        if let (Some(opens), Some(high)) = (kit.clamp_opens, high) {
            let wide = bench.job.top.thickness + high + more;
            if wide > opens + SHORT_BY {
                return Err(Fault::impossible(format!(
                    "the clamp of the {what} on {id} opens {opens:.1} mm, {wide:.1} mm needed"
                ))
                .hint("a clamp that opens wider, or another hold"));
            }
        }
        if let (Some(below), Some(free)) = (kit.clamp_below, bench.job.top.free_below)
            && below > free + SHORT_BY
        {
            return Err(Fault::impossible(format!(
                "the clamp of the {what} on {id} takes {below:.1} mm below the sheet, {free:.1} mm is free"
            ))
            .hint("raise the sheet on blocks, or hold it another way"));
        }
    }
    if let (HoldBy::HoldDown(hole), Some(most), Some(high)) = (&hold.by, kit.hold_down_high, high)
        && high > most + SHORT_BY
    {
        return Err(Fault::impossible(format!(
            "the hold-down in {hole} presses {most:.1} mm above the sheet at most, {id} is {high:.1} mm high"
        ))
        .hint("a longer hold-down, or another hold"));
    }
    over_dogs(bench, setup, lying, hold, high)
}

/// No jaw or arm lies over a dog that stands out above the template.
fn over_dogs(
    bench: &Bench,
    setup: &Setup,
    lying: &BTreeMap<&str, Lying>,
    hold: &Hold,
    high: Option<f64>,
) -> Result<(), Fault> {
    let (Some(dog), Some(high)) = (bench.kit.dog.height, high) else { return Ok(()) };
    let pad = Point::new(hold.x_mm, hold.y_mm);
    let Some(lies) = lying.get(hold.template.as_str()) else { return Ok(()) };
    if dog <= high {
        return Ok(());
    }
    let radius = 0.5 * bench.kit.dog.diameter.max;
    let dogs: Vec<Point> = setup
        .pins
        .iter()
        .filter(|pin| pin.with == With::Dog)
        .filter_map(|pin| match &pin.a {
            Place::Feature { template, feature } if *template == hold.template => {
                lies.template.features.iter().find(|f| f.name == *feature).map(|f| lies.place(f))
            }
            _ => None,
        })
        .collect();
    let clear = |to: Point| dogs.iter().all(|&at| outside(&strip(pad, to), at) >= radius - SET_WITHIN);
    let free = match &hold.by {
        HoldBy::HoldDown(hole) => bench.plan.hole(hole).is_none_or(|hole| clear(Point::new(hole.x_mm, hole.y_mm))),
        HoldBy::EdgeClamp => {
            let reach = bench.kit.clamp_reach.unwrap_or(0.0) + SET_WITHIN;
            feet(&bench.job.top.outline, pad).into_iter().any(|(far, foot)| {
                far <= reach
                    && clear(foot)
                    && blocked(bench, pad, foot, &[Side::Above, Side::Below, Side::Both]).is_none()
            })
        }
        HoldBy::Batten | HoldBy::Tape => true,
    };
    if free {
        return Ok(());
    }
    Err(Fault::impossible(format!(
        "the {} on {} would lie over a dog, which stands {:.1} mm out above it",
        hold.by.name(),
        hold.template,
        dog - high
    ))
    .hint("from another side, or with dogs no higher than the block"))
}
