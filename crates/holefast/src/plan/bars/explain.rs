//! Why this way and not another, in sentences for people, and what the maker must know beside it.

use super::assemble::fits_bit;
use super::kit_bars::BarSet;
use super::lattice::grid_name;
use super::part::{Part, SCATTER};
use super::pilots::Way;
use super::weigh::Weighed;
use crate::job::Units;
use crate::kit::Kit;
use crate::plan::{Bit, PLUGGING, Plan, Setup};
use crate::top::Layout;
use crate::words::fine;

/// What the choice is told with.
pub(super) struct Told {
    pub(super) tried: usize,
    /// rad; of all ways tried.
    pub(super) least_spread: f64,
    /// rad; of the plain way, where there is one.
    pub(super) plainest: Option<f64>,
    /// By how much the chosen one is quicker than the squarest that seat as often, minutes.
    pub(super) minutes_saved: f64,
}

/// That the job's own plan goes on: how many set-ups are done and left, minutes left.
pub(super) fn goes_on((done, left): (usize, usize), minutes: f64) -> String {
    let (is, are) = (if done == 1 { "is" } else { "are" }, if left == 1 { "is" } else { "are" });
    format!(
        "What exists is what this job's own plan bores first: {done} of its {} set-ups {is} done (checks among them taken as made), {left} {are} left, {minutes:.0} minutes.",
        done + left
    )
}

/// What exists, and what is taken for granted of it.
pub(super) fn found(units: Units, part: &Part, plan: &Plan) -> String {
    let (pilots, dogs) = (part.pilots.len(), part.dogs.len());
    let left = format!("{:.0} minutes are left", plan.minutes());
    if part.is_bare() {
        return format!("Nothing that exists is sound: the work begins anew, {left}.");
    }
    if part.history.is_empty() {
        let scatter = fine(units, SCATTER);
        let off = format!("off their places by {scatter} each way (standard deviation, each hole by itself)");
        let taken = match part.assumed() {
            0 => "They lie as the job states (scatter).".to_owned(),
            n if n == pilots + dogs => {
                format!("Assumed of them: {off}, as nobody knows how they were bored; state it in [[done]], scatter.")
            }
            n => format!("Assumed of the {n} whose scatter the job does not state: {off}."),
        };
        format!("Planned on from {pilots} pilots and {dogs} dog holes that exist, {left}. {taken}")
    } else {
        format!(
            "Planned on from {pilots} pilots and {dogs} dog holes, bored in {} set-ups of this job's own plan; {left}.",
            part.history.len()
        )
    }
}

/// What spoiled holes were needed for, and plugging them against going round them, each with the
/// spread of square, rad, and minutes left.
pub(super) fn spoiled(
    needed: &[(String, Vec<&Setup>)],
    by_own_plan: bool,
    plugged: (f64, f64),
    around: &Result<(f64, f64), String>,
) -> Vec<String> {
    let mut all: Vec<String> = needed
        .iter()
        .map(|(hole, setups)| {
            let told = bored_in(setups);
            match (told.is_empty(), by_own_plan) {
                (true, _) => format!("{hole} is spoiled; nothing that was left to do stood on it."),
                (_, true) => format!("{hole} is spoiled. On it were to stand {told}."),
                (_, false) => format!("{hole} is spoiled. Bored again it carries {told}."),
            }
        })
        .collect();
    let names: Vec<String> = needed.iter().map(|(hole, _)| format!("\"{hole}\"")).collect();
    let figures = |(spread, minutes): (f64, f64)| {
        let square = if spread > 0.0 { format!("square {}, ", expected(spread)) } else { String::new() };
        format!("{square}{minutes:.0} minutes left")
    };
    let here = format!(
        "Planned here: plugged and bored again: {} ({PLUGGING:.0} for each plug counted in, the glue's night not).",
        figures(plugged)
    );
    all.push(match around {
        &Ok(around) => {
            let advice = if around.0 <= plugged.0 && around.1 <= plugged.1 {
                " Going round is better on both counts; but it gives up a hole that you wanted, and that is yours to say."
            } else {
                ""
            };
            format!(
                "{here} Going round instead, with skip = [{}]: {}.{advice}",
                names.join(", "),
                figures(around)
            )
        }
        Err(why) => format!("{here} Going round it cannot be planned: {why}."),
    });
    all
}

/// That spoiled holes are left as they are.
pub(super) fn given_up(names: &[&str]) -> String {
    let (is, it) = if names.len() == 1 { ("is", "it") } else { ("are", "them") };
    format!("{} {is} spoiled and skipped: the work goes round {it}, and nothing stands there.", names.join(", "))
}

/// "the bar for pilots B1 to G1, and the block for opening A3 C5", of so many each, the rest counted.
fn bored_in(setups: &[&Setup]) -> String {
    // So many of each are named; the rest are counted.
    const NAMED: usize = 5;
    let listed = |what: &str, all: Vec<String>| match all.len() {
        0 => None,
        n if n <= NAMED => Some(format!("{what} {}", all.join(", "))),
        n => Some(format!("{what} {} and {} more", all[..NAMED].join(", "), n - NAMED)),
    };
    let opens = |s: &Setup| s.bores.iter().any(|b| b.bit == Bit::Opening);
    let span = |s: &Setup| match s.bores.as_slice() {
        [] => None,
        [one] => Some(one.hole.clone()),
        [first, .., last] => Some(format!("{} to {}", first.hole, last.hole)),
    };
    let pilots = setups.iter().filter(|s| !opens(s)).filter_map(|s| span(s)).collect();
    let openings = setups.iter().filter(|s| opens(s)).filter_map(|s| span(s)).collect();
    let checks = setups.iter().filter(|s| s.check).count();
    let mut parts: Vec<String> = Vec::new();
    parts.extend(listed("a bar for the pilots", pilots));
    parts.extend(listed("the block for opening", openings));
    parts.extend((checks > 0).then(|| if checks == 1 { "a check".to_owned() } else { format!("{checks} checks") }));
    parts.join("; ")
}

/// A spread of square as people are told it everywhere else: the half-width that 95 tops in 100
/// keep, taken as normal (1.96 standard deviations); `sd` in rad.
fn expected(sd: f64) -> String {
    format!("within {}", per_metre(sd))
}

/// The same half-width alone.
fn per_metre(sd: f64) -> String {
    // The normal distribution's two-sided 95 % factor.
    const FACTOR_95: f64 = 1.959_964;
    format!("{:.3} mm per m", 1000.0 * FACTOR_95 * sd)
}

/// Why this way, in sentences.
pub(super) fn reasons(best: &Weighed, told: &Told, bars: &BarSet, pitch: [f64; 2]) -> Vec<String> {
    let way = &best.way;
    // On a part-bored top the columns may stand already.
    let mut how = if best.squares { vec![format!("a triangle of {}", sides(way, bars, pitch))] } else { Vec::new() };
    how.extend(best.squares.then(|| {
        if way.common_foot() {
            "both columns on the same two holes of the datum row".to_owned()
        } else {
            format!("the second column {} pitches from the first", way.second_column)
        }
    }));
    if best.squares && way.turn_column_bar {
        how.push("the column bar turned over for the second".to_owned());
    }
    if way.take_turns {
        how.push("from row to row another bar or its other face".to_owned());
    }
    if let Some(band) = way.square_every.filter(|_| best.squares) {
        let lines = if way.frame.datum_is_row() { "rows" } else { "columns" };
        how.push(format!(
            "the triangle set again after every {band} {lines}, since no bar reaches from the first to the last"
        ));
    }
    if way.columns_beyond && best.extends {
        how.push("bars along the columns beyond the bars' reach".to_owned());
    }
    if how.is_empty() {
        how.push("from what exists".to_owned());
    }
    let how = how.join(", ");
    if best.spread == 0.0 {
        return vec![format!("The holes lie on one line, so no square is defined: {how}.")];
    }
    let sd = best.spread;
    // A difference that shows in the printed figure.
    let shows = |a: f64, b: f64| 1000.0 * (a - b) >= 0.0005;
    let mut text = if shows(sd, told.least_spread) {
        let saved = told.minutes_saved.round();
        let why = if saved >= 1.0 {
            format!("takes {saved:.0} minutes less than the squarest whose pins go in as often")
        } else {
            "its pins go in more often".to_owned()
        };
        format!(
            "Of {} ways tried this one, {how}, is nearly as square as the squarest (to first order {} for {}, 95 times in 100) and {why}.",
            told.tried,
            expected(sd),
            per_metre(told.least_spread)
        )
    } else {
        format!(
            "Of {} ways tried this comes out squarest, to first order {} 95 times in 100: {how}.",
            told.tried,
            expected(sd)
        )
    };
    if let Some(plain) = told.plainest.filter(|&plain| shows(plain, sd)) {
        let once = if way.square_every.is_some() { "the triangle set once, " } else { "" };
        text.push_str(&format!(
            " With the same bars but {once}none turned over, one bar for all rows and the two columns as far apart as a bar reaches it would be {}.",
            expected(plain)
        ));
    }
    let mut sentences = vec![text];
    if !best.seats.is_empty() {
        sentences.push(mended(best));
    }
    let not_seating = best.not_seating;
    // Below one set-up in twenty boards nobody will meet it.
    // What is less than one a top is the prediction's to tell, which counts it better.
    if not_seating >= 1.0 {
        sentences.push(format!(
            "Expect about {not_seating:.0} of its set-ups whose pins do not go in at first: clear the chips, swap pins."
        ));
    }
    sentences
}

/// Which holes the block is seated over otherwise than on a pair, and why.
fn mended(best: &Weighed) -> String {
    // Named up to so many; the cards name them all.
    const NAMED: usize = 8;
    let names: Vec<String> = best.seats.keys().filter_map(|&hole| grid_name(hole)).collect();
    let more = if names.len() > NAMED { format!(" and {} more", names.len() - NAMED) } else { String::new() };
    let shown = names[..names.len().min(NAMED)].join(" ");
    format!(
        "Over {shown}{more} the block does not stand on the neighbours at both sides, as elsewhere, but as its card says: it spares about {:.1} set-ups a top whose pins would stick.",
        best.mended_by
    )
}

/// The triangle's sides: in the bars' pitches where both bars share one, else in mm.
fn sides(way: &Way, bars: &BarSet, pitch: [f64; 2]) -> String {
    let (column, third) = (&bars.kinds[way.triangle.column_kind], &bars.kinds[way.triangle.third_kind]);
    let base = f64::from(way.triangle.steps) * way.frame.pitches(pitch)[0];
    let (m, l) = (way.triangle.column_hole, way.triangle.third_hole);
    if column.pitch == third.pitch {
        format!("{:.0}, {m} and {l} pitches of the bar", base / column.pitch)
    } else {
        format!("{base:.1}, {:.1} and {:.1} mm", f64::from(m) * column.pitch, f64::from(l) * third.pitch)
    }
}

/// What the maker must know beside the choice.
pub(super) fn notes(layout: &Layout, kit: &Kit, way: &Way) -> Vec<String> {
    let mut notes = Vec::new();
    if way.gauge_at.is_some() {
        notes
            .push("A triangle takes three pins and the kit has two: a drill's shank holds the third joint.".to_owned());
    }
    for gauge in kit.gauges.iter().filter(|g| g.assumed) {
        notes.push(format!(
            "Assumed: checks are made with the shanks of two drills of {:.1} mm; the kit names no gauge.",
            gauge.diameter.max
        ));
    }
    for hole in layout.holes.iter().filter(|h| h.cell.is_none()) {
        notes.push(if fits_bit(hole.diameter, kit) {
            format!("{} lies beside the grid: the block is set to a marked cross by eye.", hole.name)
        } else {
            format!("{} ({} mm) takes another bit than the kit's and is left to you.", hole.name, hole.diameter)
        });
    }
    notes
}
