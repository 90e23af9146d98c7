//! Tries the ways of setting out and takes the one that comes out squarest.
//!
//! Every way is planned whole and predicted to first order. Of those within
//! [`AS_GOOD_WITHIN`] of the least spread of square, the one with fewer set-ups that do not seat
//! is taken (design section 6.2).

use std::cell::RefCell;
use std::collections::BTreeSet;

use super::PlanOptions;
use super::assemble::{Kitted, assemble, fits_bit};
use super::checks::set_limits;
use super::dimensions;
use super::holding;
use super::kit_bars::BarSet;
use super::lattice::{Frame, HELPER_MARGIN, Lattice, Place, RowColumn};
use super::opening::{BlockUse, block_steps, helpers, openings};
use super::pilots::{Way, pilots};
use super::refuse;
use super::triangle::{Triangle, triangles};
use crate::fault::Fault;
use crate::job::Job;
use crate::kit::Kit;
use crate::plan::{Plan, Stage, templates};
use crate::predict::{Model, Quick};
use crate::top::Layout;
use crate::words::holding::oversize_in_use;

/// Ways whose spread of square is within this share of the least count as equally good.
const AS_GOOD_WITHIN: f64 = 0.05;

/// Set-ups per board that do not seat: a difference of one in twenty boards is not felt, and the
/// first-order share is no surer than that.
const SEATS_AS_OFTEN_WITHIN: f64 = 0.05;

/// Holes times shapes that are planned and predicted in the first round: a budget of time, about a
/// quarter of a second. A full 7 x 14 grid has some dozens of shapes, a ragged pattern thousands
/// that differ little.
const SHAPE_BUDGET: usize = 12_000;

/// At least so many shapes are weighed, however big the top.
const LEAST_SHAPES: usize = 6;

/// The best so many shapes go on to the second round, where what costs nothing is varied: faces,
/// turns, which colour is opened first.
const SECOND_ROUND: usize = 6;

/// At most so many shapes are tried for mere feasibility before the job is refused.
const MOST_TRIED: usize = 4000;

/// A way planned and weighed.
struct Weighed {
    way: Way,
    plan: Plan,
    quick: Quick,
}

impl Weighed {
    /// rad; a pattern that defines no square is weighed as nil: any way will do.
    fn spread(&self) -> f64 {
        self.quick.square_sd.unwrap_or(0.0)
    }
}

/// See [`super::make_plan`].
pub(super) fn choose(job: &Job, layout: &Layout, options: &PlanOptions) -> Result<Plan, Vec<Fault>> {
    let kit = refuse::kit_that_can(job)?;
    let lattice = Lattice::new(job, layout);
    if lattice.wanted().is_empty() {
        return Err(vec![refuse::no_hole(job)]);
    }
    let bars = BarSet::new(kit);
    let block = BlockUse { kit, steps: block_steps(kit, layout.pitch) };
    let mut needed: BTreeSet<RowColumn> = lattice.wanted().clone();
    needed.extend(helpers(&lattice, &block)?);

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
        let (found, left) = round.weigh_shapes(&shapes)?;
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
        let unreached = unreached.unwrap_or_default();
        return Err(vec![refuse::unreached(job, layout, &lattice, options, &unreached)]);
    }
    weighed.sort_by(|a, b| a.spread().total_cmp(&b.spread()));
    let second: Vec<Way> = weighed.iter().take(SECOND_ROUND).map(|w| w.way).collect();
    let reaches_beyond = weighed.iter().any(|w| w.plan.setups.iter().any(|s| s.stage == Stage::Extend));
    for shape in second {
        for way in variations(&bars, kit, options, shape).into_iter().skip(1) {
            // A plan without slides is the same either way beyond.
            if way.columns_beyond || reaches_beyond || options.columns_beyond.is_some() {
                weighed.extend(round.weigh(&way)?);
            }
        }
    }
    let tried = weighed.len();
    let least_spread = weighed.iter().map(Weighed::spread).fold(f64::INFINITY, f64::min);
    let best = best(weighed);
    let plainest = match options {
        PlanOptions { common_foot: None, turn_column_bar: None, take_turns: None, columns_beyond: None, .. } => {
            round.plain(&shapes_tried, &best.way)?
        }
        _ => None,
    };
    let mut plan = best.plan.clone();
    set_limits(kit, &mut plan, &best.quick, job.accuracy.square);
    plan.reasons = reasons(&best, &Told { tried, least_spread, plainest }, &bars, layout.pitch);
    dimensions::complete(job, kit, &mut plan);
    holding::arrange(job, kit, &mut plan);
    plan.reasons.extend(notes(layout, kit, &best.way));
    plan.reasons.extend(holding::assumed(job, kit, &plan));
    plan.reasons.extend(dimensions::left_out(kit));
    plan.reasons.extend(oversize_in_use(job));
    Ok(plan)
}

/// Set-ups a board that do not seat, to first order.
fn not_seating(quick: &Quick) -> f64 {
    quick.does_not_seat.iter().map(|s| s.1).sum()
}

/// What every way of one job has in common.
struct Round<'a> {
    job: &'a Job,
    layout: &'a Layout,
    lattice: &'a Lattice,
    kitted: Kitted<'a>,
    /// Pins or bits that were too short for a way, of the last such way.
    too_short: RefCell<Vec<Fault>>,
    needed: &'a BTreeSet<RowColumn>,
    block: &'a BlockUse<'a>,
}

impl Round<'_> {
    /// Plans and predicts a way; `None` (with what it leaves out in `unreached`) if it does not
    /// reach every needed place.
    fn try_way(&self, way: &Way, unreached: &mut BTreeSet<RowColumn>) -> Result<Option<Weighed>, Vec<Fault>> {
        let places: BTreeSet<Place> = self.needed.iter().map(|&p| way.frame.place(p)).collect();
        let made = pilots(self.lattice, self.kitted.bars, way, &places);
        if !made.unreached.is_empty() {
            *unreached = made.unreached.iter().map(|&p| way.frame.row_column(p)).collect();
            return Ok(None);
        }
        let bored: BTreeSet<RowColumn> =
            made.steps.iter().flat_map(|s| &s.bores).map(|b| way.frame.row_column(b.0)).collect();
        let opened = openings(self.lattice, &bored, self.block, way.first_colour);
        let plan = assemble(self.lattice, self.layout, &self.kitted, way, &made.steps, &opened);
        let short = dimensions::faults(self.job, self.kitted.kit, &plan);
        if !short.is_empty() {
            // With bars of one thickness every way takes the same; else another may take thinner ones.
            if dimensions::same_for_all_ways(self.kitted.kit) {
                return Err(short);
            }
            *self.too_short.borrow_mut() = short;
            return Ok(None);
        }
        let quick = Model::new(self.kitted.kit, &plan)?.quick();
        Ok(Some(Weighed { way: *way, plan, quick }))
    }

    fn weigh(&self, way: &Way) -> Result<Option<Weighed>, Vec<Fault>> {
        self.try_way(way, &mut BTreeSet::new())
    }

    /// Weighs the shapes that reach every needed place, and returns what the best of the others
    /// left unreached. Once a second column has served, nearer ones of the same lean are not tried.
    fn weigh_shapes(&self, shapes: &[Way]) -> Result<(Vec<Weighed>, BTreeSet<RowColumn>), Vec<Fault>> {
        let most = (SHAPE_BUDGET / self.needed.len().max(1)).max(LEAST_SHAPES);
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
            match self.try_way(way, &mut unreached)? {
                Some(w) => weighed.push(w),
                None if best_unreached.as_ref().is_none_or(|b| unreached.len() < b.len()) => {
                    best_unreached = Some(unreached);
                }
                None => {}
            }
        }
        Ok((weighed, best_unreached.unwrap_or_default()))
    }

    /// The spread of the plain way with the best way's triangle: the second column as far as the
    /// bar reaches, nothing turned over, one bar for all rows.
    fn plain(&self, shapes: &[Way], best: &Way) -> Result<Option<f64>, Vec<Fault>> {
        for shape in shapes.iter().filter(|w| w.frame == best.frame && w.triangle == best.triangle && !w.common_foot())
        {
            let way = Way {
                turn_column_bar: false,
                take_turns: false,
                columns_beyond: false,
                first_colour: best.first_colour,
                ..*shape
            };
            if let Some(plain) = self.weigh(&way)? {
                return Ok(Some(plain.spread()));
            }
        }
        Ok(None)
    }
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

/// Of the ways nearly as square as the best, those that seat most often; of these the squarest.
/// `weighed` is not empty.
fn best(mut weighed: Vec<Weighed>) -> Weighed {
    let least = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
    let least_spread = least(&mut weighed.iter().map(Weighed::spread));
    weighed.retain(|w| w.spread() <= least_spread * (1.0 + AS_GOOD_WITHIN));
    let fewest = least(&mut weighed.iter().map(|w| not_seating(&w.quick)));
    weighed.retain(|w| not_seating(&w.quick) <= fewest + SEATS_AS_OFTEN_WITHIN);
    let squarest = (0..weighed.len()).min_by(|&a, &b| weighed[a].spread().total_cmp(&weighed[b].spread()));
    weighed.swap_remove(squarest.unwrap_or(0))
}

/// All shapes worth trying, best guesses first: longest triangles, full use of the bars. Each
/// stands for its variations by the first of them.
///
/// `last_resort`: any one column will do, its triangle's own foot standing for the second.
fn shapes(
    lattice: &Lattice,
    bars: &BarSet,
    kit: &Kit,
    options: &PlanOptions,
    frames: &[Frame],
    last_resort: bool,
) -> Vec<Way> {
    let mut all = Vec::new();
    for &frame in frames {
        let pitch = frame.pitches(lattice.pitch);
        let furthest =
            lattice.wanted().iter().map(|&p| frame.place(p)).filter(|p| p.1 == 0).map(|p| p.0).fold(0, i32::max);
        // A foot may stand a few helper places beyond the pattern, as far as the sheet goes.
        let most_steps = furthest + HELPER_MARGIN;
        for triangle in triangles(bars, pitch[0], most_steps) {
            let sides = (triangle.steps as u32, triangle.column_hole, triangle.third_hole);
            if options.triangle.is_some_and(|t| t != sides) {
                continue;
            }
            let seconds = if last_resort {
                vec![(triangle.steps, 0)]
            } else {
                second_columns(bars, &triangle, pitch, most_steps)
            };
            for (second_column, second_foot) in seconds {
                let shape = Way {
                    frame,
                    triangle,
                    second_column,
                    second_foot,
                    one_column_will_do: last_resort,
                    turn_column_bar: false,
                    take_turns: false,
                    columns_beyond: false,
                    gauge_at: None,
                    first_colour: 0,
                };
                if options.common_foot.is_none_or(|c| c == shape.common_foot()) {
                    all.extend(variations(bars, kit, options, shape).into_iter().next());
                }
            }
        }
    }
    all
}

/// A shape with all that may be varied in it, best guess first.
fn variations(bars: &BarSet, kit: &Kit, options: &PlanOptions, shape: Way) -> Vec<Way> {
    let mut all = Vec::new();
    let gauges: Vec<Option<usize>> = if kit.pin.count >= 3 { vec![None] } else { (0..3).map(Some).collect() };
    for turn_column_bar in choice(options.turn_column_bar) {
        if turn_column_bar && !bars.kinds[shape.triangle.column_kind].turn_over {
            continue;
        }
        for take_turns in choice(options.take_turns) {
            for columns_beyond in choice(options.columns_beyond) {
                for &gauge_at in &gauges {
                    for first_colour in options.first_colour.map_or(vec![0, 1], |c| vec![c]) {
                        all.push(Way { turn_column_bar, take_turns, columns_beyond, gauge_at, first_colour, ..shape });
                    }
                }
            }
        }
    }
    all
}

fn choice(asked: Option<bool>) -> Vec<bool> {
    asked.map_or(vec![true, false], |b| vec![b])
}

/// Where the second column may stand: at the foot of the first triangle, or at the end of a bar's
/// reach with its own triangle leaning inwards or outwards; nearer columns after the far one, for
/// patterns whose far column is not all there.
fn second_columns(bars: &BarSet, triangle: &Triangle, pitch: [f64; 2], furthest: i32) -> Vec<(i32, i32)> {
    let reach = bars.longest(pitch[0]).first().map_or(0, |&b| bars.reach(b, pitch[0]));
    let mut all = vec![(triangle.steps, 0)];
    for column in (1..=reach.min(furthest)).rev() {
        for foot in [column - triangle.steps, column + triangle.steps] {
            if (0..=reach).contains(&foot) && (column, foot) != (triangle.steps, 0) {
                all.push((column, foot));
            }
        }
    }
    all
}

/// The last lot of [`frames`].
const LAST_RESORT: usize = 2;

/// Where work may start, in three lots, each looked at only if those before have no way: along
/// the longer side, along the shorter, from any place at all.
///
/// The datum row lies along the longer side of the pattern. (Along the shorter one a full 7 x 14
/// grid comes out 6 % squarer, 0.040 for 0.043 mm per m, but in more set-ups and away from the
/// reference edge: not worth the surprise.) A full grid starts at its reference corner, since all
/// corners are alike; a ragged one at both ends of its lines, fullest first.
fn frames(lattice: &Lattice) -> [Vec<Frame>; 3] {
    let ((row_lo, row_hi), (column_lo, column_hi)) = lattice.extent();
    let rows_first = column_hi - column_lo >= row_hi - row_lo;
    let [longer, shorter] = [rows_first, !rows_first].map(|rows| {
        if !lattice.is_full() {
            return ragged_frames(lattice, rows);
        }
        let corner = (row_lo, column_lo);
        let (along, away) = if rows { ((0, 1), (1, 0)) } else { ((1, 0), (0, 1)) };
        vec![Frame { corner, along, away }]
    });
    [longer, shorter, all_frames(lattice)]
}

/// Every allowed place as corner, every way round.
fn all_frames(lattice: &Lattice) -> Vec<Frame> {
    let ways = [((0, 1), (1, 0)), ((0, 1), (-1, 0)), ((0, -1), (1, 0)), ((0, -1), (-1, 0))]
        .into_iter()
        .flat_map(|(along, away)| [(along, away), (away, along)]);
    let places: Vec<RowColumn> = lattice.allowed().collect();
    ways.flat_map(|(along, away)| places.iter().map(move |&corner| Frame { corner, along, away })).collect()
}

/// Both ends of every row (or column) that has holes, the work going both ways from it.
fn ragged_frames(lattice: &Lattice, rows: bool) -> Vec<Frame> {
    let (row_extent, column_extent) = lattice.extent();
    let (lo, hi) = if rows { row_extent } else { column_extent };
    let line = |at: i32| -> Vec<i32> {
        lattice
            .wanted()
            .iter()
            .filter(|p| (if rows { p.0 } else { p.1 }) == at)
            .map(|p| if rows { p.1 } else { p.0 })
            .collect()
    };
    let mut lines: Vec<i32> = (lo..=hi).filter(|&at| !line(at).is_empty()).collect();
    // Fullest first; of equals those at the edges, where columns have most room.
    lines.sort_by_key(|&at| (std::cmp::Reverse(line(at).len()), (at - lo).min(hi - at), at));
    let mut all = Vec::new();
    for at in lines {
        let on = line(at);
        let (Some(&first), Some(&last)) = (on.first(), on.last()) else { continue };
        for (start, step) in [(first, 1), (last, -1)] {
            for away in if at - lo < hi - at { [1, -1] } else { [-1, 1] } {
                all.push(if rows {
                    Frame { corner: (at, start), along: (0, step), away: (away, 0) }
                } else {
                    Frame { corner: (start, at), along: (step, 0), away: (0, away) }
                });
            }
        }
    }
    all
}

/// What the choice is told with.
struct Told {
    tried: usize,
    /// rad; of all ways tried.
    least_spread: f64,
    /// rad; of the plain way, where there is one.
    plainest: Option<f64>,
}

/// Why this way, in sentences.
fn reasons(best: &Weighed, told: &Told, bars: &BarSet, pitch: [f64; 2]) -> Vec<String> {
    let way = &best.way;
    let mut how = vec![format!("a triangle of {}", sides(way, bars, pitch))];
    how.push(if way.common_foot() {
        "both columns on the same two holes of the datum row".to_owned()
    } else {
        format!("the second column {} pitches from the first", way.second_column)
    });
    if way.turn_column_bar {
        how.push("the column bar turned over for the second".to_owned());
    }
    if way.take_turns {
        how.push("bars and faces taking turns in the rows".to_owned());
    }
    if way.columns_beyond && best.plan.setups.iter().any(|s| s.stage == Stage::Extend) {
        how.push("bars along the columns beyond the bars' reach".to_owned());
    }
    let how = how.join(", ");
    let Some(sd) = best.quick.square_sd else {
        return vec![format!("The holes lie on one line, so no square is defined: {how}.")];
    };
    let figure = |sd: f64| format!("{:.3} mm per m", 1000.0 * sd);
    // A difference that shows in the printed figure.
    let shows = |a: f64, b: f64| 1000.0 * (a - b) >= 0.0005;
    let mut text = if shows(sd, told.least_spread) {
        format!(
            "Of {} ways tried this one, {how}, is nearly as square as the squarest ({} for {}, one standard deviation) and its pins go in more often.",
            told.tried,
            figure(sd),
            figure(told.least_spread)
        )
    } else {
        format!("Of {} ways tried this comes out squarest, {} (one standard deviation): {how}.", told.tried, figure(sd))
    };
    if let Some(plain) = told.plainest.filter(|&plain| shows(plain, sd)) {
        text.push_str(&format!(" The plain way with the same kit gives {}.", figure(plain)));
    }
    let mut sentences = vec![text];
    let not_seating = not_seating(&best.quick);
    // Below one set-up in twenty boards nobody will meet it.
    if not_seating >= SEATS_AS_OFTEN_WITHIN {
        sentences.push(format!(
            "Expect about {not_seating:.1} of its set-ups whose pins do not go in at first: clear the chips, swap pins."
        ));
    }
    sentences
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
fn notes(layout: &Layout, kit: &Kit, way: &Way) -> Vec<String> {
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
