//! What a prediction comes to, in sentences: how square, out of what, and what would lessen it.
//!
//! Figures come ready from [`crate::predict`]; only their rounding for print is done here, and the
//! step from the two ends of 95 boards in 100 to another confidence.

use super::figures::trimmed;
use super::numbers::CardNumbers;
use super::{fine, per_metre, share, shares_of_hundred};
use crate::job::Units;
use crate::kit::Limits;
use crate::math::erf;
use crate::plan::Plan;
use crate::predict::{CheckWorth, Group, Improvement, Lessening, Prediction};
use crate::top::MovementUnknown;

/// What none of the figures counts; said wherever one of them is shown.
pub const NOT_COUNTED: [&str; 4] =
    ["swarf under a bar", "a bar bent by its clamps", "a slip", "a bar warmer than the others"];

/// Half-width about nil, mm per m, that square keeps within `confidence` of the times.
///
/// At 0.95 it is the farther of the two ends between which 95 of 100 passing boards lie; for
/// another confidence that is scaled as a normal distribution scales, a usual approximation (the
/// spread is a sum of many small parts). Without boards it is the first-order figure, scaled alike.
/// `None` where square is not defined.
pub fn square_within(prediction: &Prediction, confidence: f64) -> Option<f64> {
    let at_95 = match &prediction.square.sample {
        Some(sample) => sample.q025.abs().max(sample.q975.abs()),
        None => normal_factor(0.95) * prediction.square.first_order_sd?,
    };
    Some(at_95 * normal_factor(confidence) / normal_factor(0.95))
}

/// What none of the figures counts on this top, with what pressing bars home would make of it.
pub fn not_counted(prediction: &Prediction, confidence: f64) -> Vec<String> {
    let home = pressed_home_within(prediction, confidence)
        .map(|within| format!("bars pressed home at one end in the fill (then within {})", per_metre(within)));
    NOT_COUNTED.map(str::to_owned).into_iter().chain(home).collect()
}

/// As [`square_within`], were every bar of the fill pressed home at one end: scaled as the first
/// order scales. `None` where that makes no difference that shows.
fn pressed_home_within(prediction: &Prediction, confidence: f64) -> Option<f64> {
    let scale = prediction.square_sd_pressed_home? / prediction.square.first_order_sd?;
    let within = square_within(prediction, confidence)?;
    (scale > 1.0 + PRESSED_SHOWS).then_some(scale * within)
}

/// The factor k with P(|z| ≤ k) = `share` for a standard normal z, by halving; `share` from 0 to
/// 1, the ends taken as the nearest value that has a factor. Accuracy: better than 1e-9.
fn normal_factor(share: f64) -> f64 {
    let (mut low, mut high) = (0.0, 8.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if erf(middle * std::f64::consts::FRAC_1_SQRT_2) < share { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// The first thing a maker asks, in one sentence; then what is not counted.
pub fn expectation(prediction: &Prediction, confidence: f64) -> String {
    match square_within(prediction, confidence) {
        Some(within) => format!(
            "Expect this top to come out square within {}, {}. Not counted: {}.",
            per_metre(within),
            shares_of_hundred(confidence),
            not_counted(prediction, confidence).join(", ")
        ),
        None => {
            let why = prediction.square.reason.unwrap_or("the plan gives no figure");
            format!("How square it comes out is not foretold: {why}.")
        }
    }
}

/// Returns the lines that `holefast predict` prints: the expectation, what is wanted, what will
/// hold the work up, the budget with what would lessen it, and what the checks are worth.
///
/// `plan` is the one that was predicted: its set-ups are told by their cards.
pub fn lines(
    prediction: &Prediction,
    plan: &Plan,
    lessenings: &[Lessening],
    confidence: f64,
    units: Units,
) -> Vec<String> {
    let mut lines = vec![expectation(prediction, confidence)];
    lines.extend(beside(prediction, plan));
    if !prediction.budget.is_empty() {
        lines.push(format!("{MADE_OF}:"));
    }
    for part in budget(prediction, lessenings, units) {
        lines.push(format!("{:>7}  {}", part.share, part.name));
        lines.extend(part.lessened_by.map(|by| format!("         {by}")));
    }
    lines.extend(checks(prediction, plan, units));
    lines
}

/// Over the budget.
pub const MADE_OF: &str = "What the spread of square is made of, and what would lessen it";

/// What stands beside the expectation: how often what is wanted is kept, what will hold the work up,
/// and what the air does.
pub fn beside(prediction: &Prediction, plan: &Plan) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some((limit, Some(within))) = prediction.within {
        lines.push(format!("Wanted is {}: {}.", per_metre(limit), of_boards(within)));
    }
    if let Some(passed) = prediction.passed.filter(|_| !prediction.checks.is_empty()) {
        lines.push(format!("All checks go at the first try on {} of boards.", share(passed)));
    }
    if let Some(unseated) = prediction.does_not_seat.as_ref().filter(|d| d.boards > 0.0) {
        let most = unseated.worst.first().map_or(String::new(), |(setup, on)| {
            format!(", most often on {} ({})", CardNumbers::of(plan).name(plan, *setup), share(*on))
        });
        lines.push(format!(
            "On {} of boards some bar or block does not seat at once{most}: clear chips, swap pins, turn it.",
            share(unseated.boards)
        ));
    }
    lines.push(climate(prediction));
    lines
}

/// A part of the spread of square.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BudgetLine {
    /// Its share of the variance: "52 %".
    pub share: String,
    /// Where it comes from.
    pub name: &'static str,
    /// What would lessen it most, and by how much, where that shows.
    pub lessened_by: Option<String>,
}

/// The parts of the spread of square, largest first.
pub fn budget(prediction: &Prediction, lessenings: &[Lessening], units: Units) -> Vec<BudgetLine> {
    let part = |(group, part): &(Group, f64)| BudgetLine {
        share: share(*part),
        name: group_name(*group),
        lessened_by: worth_saying(lessenings, *group).map(|best| lessening(best, units)),
    };
    prediction.budget.iter().map(part).collect()
}

/// What each check is worth, a line each; without boards nothing is known of it.
pub fn checks(prediction: &Prediction, plan: &Plan, units: Units) -> Vec<String> {
    let cards = CardNumbers::of(plan);
    let line = |check: &CheckWorth| {
        let stops: Vec<String> = [
            check.stops_hole_mm.map(|mm| format!("a hole {} out", fine(units, mm))),
            check.stops_lean_mm_per_m.map(|lean| format!("a column {} out of square", per_metre(lean))),
        ]
        .into_iter()
        .flatten()
        .collect();
        let stops = if stops.is_empty() { String::new() } else { format!("; it stops {}", stops.join(" or ")) };
        format!("Check, {}: goes on {} of boards{stops}.", cards.name(plan, check.setup), share(check.goes))
    };
    prediction.checks.iter().map(line).collect()
}

/// "95 in 100 lie between".
pub fn shares_within(confidence: f64) -> String {
    format!("{} between the heavy lines", shares_of_hundred(confidence))
}

/// At the lines of the accuracy that is wanted.
pub const WANTED: &str = "thin lines: wanted";

/// What the picture of the spread shows, in a sentence.
pub fn about_spread(prediction: &Prediction, confidence: f64) -> String {
    let within = square_within(prediction, confidence).map_or_else(String::new, per_metre);
    let wanted = match prediction.within {
        Some((limit, _)) => format!(" Wanted is within {}.", per_metre(limit)),
        None => String::new(),
    };
    format!(
        "How square is spread about nil, from {}: within {within} {}.{wanted}",
        basis(prediction.boards, prediction.seed),
        shares_of_hundred(confidence)
    )
}

/// What the air between boring and use makes of the holes' distances, and what of it is not known.
pub fn climate(prediction: &Prediction) -> String {
    let Some(shift) = &prediction.climate else {
        return "No climate is stated: distances between holes are those of the day of boring, by bars at 20\u{a0}°C."
            .to_owned();
    };
    let [boring, used] = shift
        .airs()
        .map(|air| format!("{}\u{a0}°C and {}\u{a0}%", trimmed(air.temperature, 1), trimmed(air.humidity, 1)));
    let along = [0, 1].map(|axis| {
        let (known, off) = (shift.known[axis], normal_factor(0.95) * shift.uncertainty()[axis]);
        let way = if known < 0.0 { "closer together" } else { "farther apart" };
        format!("{} {way} (give or take {})", per_metre(known.abs()), per_metre(off))
    });
    let mut text = if along[0] == along[1] {
        format!("Bored at {boring}, used at {used}: holes come to lie {}. Square stays.", along[0])
    } else {
        format!(
            "Bored at {boring}, used at {used}: holes come to lie {} along the reference edge, {} away from it. Square \
             stays; a line at 45° to the edges turns by {}.",
            along[0],
            along[1],
            per_metre(shift.greatest_turn())
        )
    };
    text += match shift.without_sheet {
        None => "",
        Some(MovementUnknown::TooWet) => {
            " That is the bars' heat alone: how the sheet moves in air so wet is not known."
        }
        Some(_) => " That is the bars' heat alone: how the sheet moves is not stated.",
    };
    text
}

/// What the figures of a prediction come from.
pub fn basis(boards: u64, seed: u64) -> String {
    match boards {
        0 => "first order, no virtual boards".to_owned(),
        n => format!("{n} virtual boards, seed {seed}"),
    }
}

/// A group of sources, in the words of the shop.
pub fn group_name(group: Group) -> &'static str {
    match group {
        Group::BarSpacing => "spacing of the bars' holes",
        Group::BitPlay => "pilot bit's play in the bar",
        Group::Wander => "pilot bit's wander",
        Group::Seat => "seat of bars and block on their pins",
        Group::BlockSpacing => "spacing of the block's places",
        Group::BushPlay => "big bit's play in the bush",
        Group::OpeningWander => "big bit's wander",
        Group::BitLean => "lean of the big bit",
        Group::ByHand => "laying by hand",
        Group::Climate => "climate",
        Group::Existing => "holes that were there before",
    }
}

/// Pressing bars home is worth a word where it widens the spread by more than this share: less lies
/// within what first order and virtual boards differ by.
const PRESSED_SHOWS: f64 = 0.1;

/// An improvement that lessens the spread by less than this share is not worth a line.
const WORTH_SAYING: f64 = 0.005;

/// The best improvement of a group, where it gains anything that shows.
pub fn worth_saying(lessenings: &[Lessening], group: Group) -> Option<&Lessening> {
    lessenings.iter().find(|l| l.group == group && l.sd_before - l.sd_after >= WORTH_SAYING * l.sd_before)
}

/// What an improvement would do, found by predicting again with it.
pub fn lessening(lessening: &Lessening, units: Units) -> String {
    let what = match lessening.improvement {
        Improvement::BarsPlacedCloser => "bars with holes placed twice as closely",
        Improvement::PilotBitPlay => "half the play of the pilot bit in the bars",
        Improvement::PilotBitWander => "a pilot bit that wanders half as much",
        Improvement::ThickerPins => "pins with half the clearance",
        Improvement::CloserPilots => "pilots bored half as much over size",
        Improvement::ThickerDogs => "dogs with half the clearance in the block",
        Improvement::CloserDogHoles => "dog holes bored half as much over size",
        Improvement::BlockPlacedCloser => "a block with places twice as close",
        Improvement::BushPlay => "half the play of the big bit in its bush",
        Improvement::OpeningWander => "a big bit that wanders half as much",
    };
    let gain = 100.0 * (1.0 - lessening.sd_after / lessening.sd_before);
    format!(
        "{what} ({} instead of {}): {gain:.0}\u{a0}%\u{a0}less",
        tolerance(units, lessening.to),
        tolerance(units, lessening.from)
    )
}

/// A wander, play or tolerance as limits, to a ten-thousandth of a mm (a hundred-thousandth of an
/// inch): half of 0.015 mm must not read like 0.015.
fn tolerance(units: Units, limits: Limits) -> String {
    let (scale, places, unit) = match units {
        Units::Mm => (1.0, 4, "mm"),
        Units::Inch => (crate::measure::MM_PER_INCH, 5, "in"),
    };
    let figure = |mm: f64| trimmed(mm / scale, places);
    let (min, max) = (figure(limits.min), figure(limits.max));
    if min == max { format!("{min}\u{a0}{unit}") } else { format!("{min} to {max}\u{a0}{unit}") }
}

/// Whose share a figure is, in words that never say all where it is not all.
fn of_boards(part: f64) -> String {
    if part >= 1.0 {
        "all passing boards keep it".to_owned()
    } else {
        format!("{} of passing boards keep it", share(part))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: tables of the normal distribution (two-sided), from memory; recomputed by erf.
    #[test]
    fn half_of_a_small_tolerance_reads_as_half() {
        assert_eq!(tolerance(Units::Mm, Limits::exact(0.015)), "0.015\u{a0}mm");
        assert_eq!(tolerance(Units::Mm, Limits::exact(0.0075)), "0.0075\u{a0}mm");
        assert_eq!(tolerance(Units::Mm, Limits::new(0.0025, 0.01)), "0.0025 to 0.01\u{a0}mm");
    }

    #[test]
    fn factors_of_the_normal_distribution() {
        for (share, factor) in [(0.95, 1.959_963_985), (0.6826894921, 1.0), (0.9973002039, 3.0), (0.99, 2.575_829_304)]
        {
            assert!((normal_factor(share) - factor).abs() < 1e-8, "{share}");
        }
    }
}
