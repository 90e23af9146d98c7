//! Tries the ways of setting out and takes the one that comes out squarest.
//!
//! Every way is planned whole and predicted to first order. Of those within
//! [`AS_GOOD_WITHIN`] of the least spread of square, those are kept whose pins go in most often
//! (docs/design/plan.md 4), the block's seats mended first; of these the quickest, of these the
//! squarest. What there is to try is `shapes`' matter, how one way is weighed `weigh`'s, how the
//! choice is told `explain`'s.

use std::cell::RefCell;
use std::collections::BTreeSet;

use super::PlanOptions;
use super::assemble::Kitted;
use super::checks::set_limits;
use super::dimensions;
use super::explain::{Told, notes, reasons};
use super::holding;
use super::kit_bars::BarSet;
use super::lattice::{Lattice, RowColumn};
use super::opening::{BlockUse, block_steps, helpers};
use super::part::Part;
use super::pilots::Way;
use super::refuse;
use super::shapes::{LAST_RESORT, frames, shapes, variations};
use super::weigh::{Round, Weighed};
use crate::fault::Fault;
use crate::job::Job;
use crate::plan::{Plan, templates};
use crate::top::Layout;
use crate::words::holding::oversize_in_use;

/// Ways whose spread of square is within this share of the least count as equally good.
const AS_GOOD_WITHIN: f64 = 0.05;

/// Set-ups per board that do not seat: a difference of one in twenty boards is not felt, and the
/// first-order share is no surer than that.
pub(super) const SEATS_AS_OFTEN_WITHIN: f64 = 0.05;

/// On big tops many do not seat; then a twentieth of them is not felt either.
const SEATS_AS_OFTEN_WITHIN_SHARE: f64 = 0.05;

/// Minutes of work that nobody plans by: of ways nearer than this the squarer is taken.
const AS_QUICK_WITHIN: f64 = 1.0;

/// Holes times shapes that are planned and predicted in the first round: a budget of time, about a
/// quarter of a second. A full 7 x 14 grid has some dozens of shapes, a ragged pattern thousands
/// that differ little.
const SHAPE_BUDGET: usize = 12_000;

/// At least so many shapes are weighed, however big the top.
const LEAST_SHAPES: usize = 6;

/// The best so many shapes go on to the second round, where what costs nothing is varied: faces,
/// turns, which colour is opened first.
const SECOND_ROUND: usize = 6;

/// Of the ways nearly as square as the squarest, at most so many have their seats mended, the
/// likeliest first: those after them seat far less often or are far slower.
const MENDED: usize = 6;

/// Plans that mending one way's seats takes, about.
const MEND_COSTS: usize = 8;

/// What the second round varies: the column bar's face, turns, bars beyond, the gauge's place, the
/// colour opened first, after how many rows the triangle is set again.
const VARIED: usize = 6;

/// Which of these the bars beyond are.
const BEYOND: usize = 2;

/// On a big top at least the best so many shapes have each of these varied by itself.
const LEAST_VARIED: usize = 2;

/// At most so many shapes are tried for mere feasibility before the job is refused.
const MOST_TRIED: usize = 4000;

/// The plan of what is left to bore when this much exists, and its spread of square, rad.
pub(super) fn plan_from(
    job: &Job,
    layout: &Layout,
    options: &PlanOptions,
    part: &Part,
) -> Result<(Plan, f64), Vec<Fault>> {
    let kit = refuse::kit_that_can(job)?;
    let lattice = Lattice::new(job, layout, part);
    if lattice.wanted().is_empty() {
        return Err(vec![refuse::no_hole(job)]);
    }
    let bars = BarSet::new(kit);
    let block = BlockUse { kit, steps: block_steps(kit, layout.pitch) };
    let mut needed: BTreeSet<RowColumn> = lattice.wanted().clone();
    needed.extend(helpers(&lattice, &block)?);
    needed.retain(|p| !part.pilots.contains(p) && !part.dogs.contains(p));

    let template_list = templates(kit);
    let round = Round {
        job,
        layout,
        lattice: &lattice,
        kitted: Kitted { kit, bars: &bars, templates: &template_list },
        too_short: RefCell::default(),
        needed: &needed,
        block: &block,
    };
    let mut shapes_tried = Vec::new();
    let mut weighed = Vec::new();
    let mut unreached: Option<BTreeSet<RowColumn>> = None;
    for (lot, frames) in frames(&lattice).into_iter().enumerate() {
        let shapes = shapes(&lattice, &bars, kit, options, &frames, lot == LAST_RESORT);
        let (found, left) = weigh_shapes(&round, &shapes)?;
        if !shapes.is_empty() && unreached.as_ref().is_none_or(|u| left.len() < u.len()) {
            unreached = Some(left);
        }
        shapes_tried.extend(shapes);
        weighed = found;
        if !weighed.is_empty() {
            break;
        }
    }
    if shapes_tried.is_empty() {
        return Err(vec![refuse::no_triangle(job, &lattice, &bars)]);
    }
    if weighed.is_empty() {
        let short = round.too_short.take();
        if !short.is_empty() {
            return Err(short);
        }
        let ((row_lo, row_hi), (column_lo, column_hi)) = lattice.extent();
        let pitches = (row_hi - row_lo).max(column_hi - column_lo);
        let finer = bars.kinds.iter().any(|b| b.pitch < lattice.pitch[0].max(lattice.pitch[1]));
        if part.is_bare() && !finer && pitches < refuse::LEAST_TRIANGLE[0] as i32 {
            // Leaving holes out would help, but room for helpers is what the maker wants to hear of.
            return Err(vec![refuse::no_triangle(job, &lattice, &bars)]);
        }
        let unreached = unreached.unwrap_or_default();
        return Err(vec![refuse::unreached(job, layout, &lattice, options, &unreached)]);
    }
    weighed.sort_by(|a, b| a.spread.total_cmp(&b.spread));
    vary(&round, options, &mut weighed)?;
    let tried = weighed.len();
    let least_spread = weighed.iter().map(|w| w.spread).fold(f64::INFINITY, f64::min);
    let (best, minutes_saved) = best(&round, weighed, least_spread)?;
    let plainest = match options {
        _ if !part.is_bare() => None,
        PlanOptions {
            common_foot: None,
            turn_column_bar: None,
            take_turns: None,
            columns_beyond: None,
            square_again: None,
            ..
        } => plain(&round, &shapes_tried, &best.way)?,
        _ => None,
    };
    let (mut plan, quick) = round.draw(&best)?;
    set_limits(job, kit, &mut plan, &quick);
    // Gauges are chosen only now.
    let short = dimensions::faults(job, kit, &plan);
    if !short.is_empty() {
        return Err(short);
    }
    let told = Told { tried, least_spread, plainest, minutes_saved };
    plan.reasons = reasons(&best, &told, &bars, layout.pitch);
    finish(job, &mut plan);
    plan.reasons.extend(notes(layout, kit, &best.way));
    plan.reasons.extend(holding::assumed(job, kit, &plan));
    plan.reasons.extend(dimensions::left_out(kit));
    plan.reasons.extend(oversize_in_use(job));
    Ok((plan, best.spread))
}

/// Writes into a plan whose set-ups stand in order what lies under the bars and how all is held.
pub(super) fn finish(job: &Job, plan: &mut Plan) {
    if let Some(kit) = &job.kit {
        dimensions::complete(job, kit, plan);
        holding::arrange(job, kit, plan);
    }
}

/// How many of something that each cost a plan and its prediction the budget allows.
fn within_budget(round: &Round<'_>, plans_each: usize, least: usize, most: usize) -> usize {
    (SHAPE_BUDGET / (plans_each * round.needed.len().max(1))).clamp(least, most)
}

/// Weighs the shapes that reach every needed place, and returns what the best of the others
/// left unreached. Once a second column has served, nearer ones of the same lean are not tried.
fn weigh_shapes(round: &Round<'_>, shapes: &[Way]) -> Result<(Vec<Weighed>, BTreeSet<RowColumn>), Vec<Fault>> {
    let most = within_budget(round, 1, LEAST_SHAPES, usize::MAX);
    let mut weighed: Vec<Weighed> = Vec::new();
    let mut best_unreached: Option<BTreeSet<RowColumn>> = None;
    for way in shapes.iter().take(MOST_TRIED) {
        if weighed.len() >= most {
            break;
        }
        if weighed.iter().any(|w| same_but_nearer(&w.way, way)) {
            continue;
        }
        let mut unreached = BTreeSet::new();
        match round.weigh(way, &mut unreached)? {
            Some(w) => weighed.push(w),
            None if best_unreached.as_ref().is_none_or(|b| unreached.len() < b.len()) => {
                best_unreached = Some(unreached);
            }
            None => {}
        }
    }
    Ok((weighed, best_unreached.unwrap_or_default()))
}

/// The second round: adds to the shapes weighed (squarest first) what costs nothing to vary in the
/// best of them. All combinations where the budget allows; on bigger tops one thing after the
/// other, each kept if it helps.
fn vary(round: &Round<'_>, options: &PlanOptions, weighed: &mut Vec<Weighed>) -> Result<(), Vec<Fault>> {
    let extends = weighed.iter().any(|w| w.extends);
    // A plan without slides is the same either way beyond.
    let differs = |way: &Way| way.columns_beyond || extends || options.columns_beyond.is_some();
    let all = |shape: Way| variations(round.lattice, round.kitted.bars, round.kitted.kit, options, shape);
    let combinations = weighed.first().map_or(0, |w| all(w.way).len());
    if SECOND_ROUND * combinations * round.needed.len() <= SHAPE_BUDGET {
        let shapes: Vec<Way> = weighed.iter().take(SECOND_ROUND).map(|w| w.way).collect();
        for way in shapes.into_iter().flat_map(|shape| all(shape).into_iter().skip(1)).filter(differs) {
            weighed.extend(round.weigh(&way, &mut BTreeSet::new())?);
        }
        return Ok(());
    }
    // Bars along the columns beyond suit other shapes than slides do: so every shape both ways first.
    for i in 0..weighed.len().min(SECOND_ROUND) {
        let from = weighed[i].way;
        for way in all(from).into_iter().filter(|way| differs_in_one(&from, way) == Some(BEYOND) && differs(way)) {
            weighed.extend(round.weigh(&way, &mut BTreeSet::new())?);
        }
    }
    weighed.sort_by(|a, b| a.spread.total_cmp(&b.spread));
    let starts = within_budget(round, VARIED, LEAST_VARIED, SECOND_ROUND).min(weighed.len());
    for start in 0..starts {
        let (mut best, mut spread) = (weighed[start].way, weighed[start].spread);
        for which in (0..VARIED).filter(|&which| which != BEYOND) {
            let from = best;
            for way in all(from).into_iter().filter(|way| differs_in_one(&from, way) == Some(which) && differs(way)) {
                let Some(w) = round.weigh(&way, &mut BTreeSet::new())? else { continue };
                if w.spread < spread {
                    (best, spread) = (way, w.spread);
                }
                weighed.push(w);
            }
        }
    }
    Ok(())
}

/// Which one thing two variations of a shape differ in, of [`VARIED`]; `None` if in none or more.
fn differs_in_one(a: &Way, b: &Way) -> Option<usize> {
    let differ: [bool; VARIED] = [
        a.turn_column_bar != b.turn_column_bar,
        a.take_turns != b.take_turns,
        a.columns_beyond != b.columns_beyond,
        a.gauge_at != b.gauge_at,
        a.first_colour != b.first_colour,
        a.square_every != b.square_every,
    ];
    let first = differ.iter().position(|&d| d)?;
    (differ.iter().filter(|&&d| d).count() == 1).then_some(first)
}

/// The spread of the plain way with the best way's triangle: the second column as far as the
/// bar reaches, nothing turned over, one bar for all rows.
fn plain(round: &Round<'_>, shapes: &[Way], best: &Way) -> Result<Option<f64>, Vec<Fault>> {
    for shape in shapes.iter().filter(|w| w.frame == best.frame && w.triangle == best.triangle && !w.common_foot()) {
        let way = Way {
            turn_column_bar: false,
            take_turns: false,
            columns_beyond: false,
            square_every: None,
            first_colour: best.first_colour,
            ..*shape
        };
        if let Some(plain) = round.weigh(&way, &mut BTreeSet::new())? {
            return Ok(Some(plain.spread));
        }
    }
    Ok(None)
}

/// True if `way` is `done` but for a second column nearer to the first.
fn same_but_nearer(done: &Way, way: &Way) -> bool {
    let lean = |w: &Way| (w.second_foot - w.second_column).signum();
    done.frame == way.frame
        && done.triangle == way.triangle
        && !done.common_foot()
        && !way.common_foot()
        && lean(done) == lean(way)
}

/// Of the ways nearly as square as the squarest, those that seat most often once their seats are
/// mended; of these the quickest; of these the squarest. `weighed` is not empty.
///
/// Returns it and by how many minutes it is quicker than the squarest that seat as often.
fn best(round: &Round<'_>, mut weighed: Vec<Weighed>, least_spread: f64) -> Result<(Weighed, f64), Vec<Fault>> {
    let most_spread = least_spread * (1.0 + AS_GOOD_WITHIN);
    weighed.retain(|w| w.spread <= most_spread);
    // What the block's seats cost can be mended, what the bars' pins cost cannot.
    weighed.sort_by(|a, b| a.bars_not_seating.total_cmp(&b.bars_not_seating));
    weighed.truncate(within_budget(round, MEND_COSTS, 1, MENDED));
    for w in &mut weighed {
        round.mend(w, most_spread)?;
    }
    let figures: Vec<Figures> = weighed.iter().map(Figures::of).collect();
    let (which, saved) = quickest_of_alike(&figures);
    Ok((weighed.swap_remove(which), saved))
}

/// What ways nearly as square are told apart by.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Figures {
    spread: f64,
    not_seating: f64,
    minutes: f64,
}

impl Figures {
    fn of(w: &Weighed) -> Figures {
        Figures { spread: w.spread, not_seating: w.not_seating, minutes: w.minutes }
    }
}

/// Of those that seat most often, the squarest of the quickest: which, and by how many minutes it
/// is quicker than the squarest of those that seat as often. `all` is not empty.
fn quickest_of_alike(all: &[Figures]) -> (usize, f64) {
    let least =
        |of: fn(&Figures) -> f64, among: &[usize]| among.iter().map(|&i| of(&all[i])).fold(f64::INFINITY, f64::min);
    let squarest =
        |among: &[usize]| among.iter().copied().min_by(|&a, &b| all[a].spread.total_cmp(&all[b].spread)).unwrap_or(0);
    let mut left: Vec<usize> = (0..all.len()).collect();
    let fewest = least(|f| f.not_seating, &left);
    let alike = SEATS_AS_OFTEN_WITHIN.max(SEATS_AS_OFTEN_WITHIN_SHARE * fewest);
    left.retain(|&i| all[i].not_seating <= fewest + alike);
    let without_hurry = all[squarest(&left)].minutes;
    let quickest = least(|f| f.minutes, &left);
    left.retain(|&i| all[i].minutes <= quickest + AS_QUICK_WITHIN);
    let which = squarest(&left);
    (which, without_hurry - all[which].minutes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_ways_that_seat_as_often_the_quickest_is_taken_and_of_these_the_squarest() {
        let way = |spread: f64, not_seating: f64, minutes: f64| Figures { spread, not_seating, minutes };
        // Half an hour quicker, and a little less square.
        assert_eq!(quickest_of_alike(&[way(0.040, 0.50, 230.0), way(0.041, 0.52, 200.0)]), (1, 30.0));
        // Quicker, but its pins go in less often: one board in ten is felt.
        assert_eq!(quickest_of_alike(&[way(0.040, 0.50, 230.0), way(0.041, 0.60, 200.0)]), (0, 0.0));
        // Half a minute is nothing to plan by.
        assert_eq!(quickest_of_alike(&[way(0.040, 0.50, 200.5), way(0.041, 0.50, 200.0)]), (0, 0.0));
        // Where twenty do not seat, one more is not felt.
        assert_eq!(quickest_of_alike(&[way(0.040, 20.0, 900.0), way(0.041, 20.9, 880.0)]), (1, 20.0));
    }
}
