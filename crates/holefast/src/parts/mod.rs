//! A job's list of parts, broken down: from `[[part]]` and `[[stock]]` to sheets, offcuts and the
//! order of cuts, with faults at their places where it cannot be done.
//!
//! The solver is [`crate::breakdown`]; here its plain lengths become the job's parts. Parts and stock
//! of one thickness make a batch; batches have nothing to do with one another.

mod fits;
pub mod on_top;
mod order;
pub mod show;

pub use order::{Makes, Step, Why};

use crate::breakdown::{self, Breakdown, Effort, Part, Problem, Progress, Size, Stock, UNITS_PER_MM};
use crate::fault::Fault;
use crate::job::{Job, PartList, StockSheet, WantedPart};

/// What is narrower than this is told, where the job does not say what may be cut: it is held by a
/// clamp, never by hand, mm (common practice, no source).
pub const NARROW: f64 = 50.0;

/// Thicknesses nearer than this are one, mm: sheets of one kind differ more.
const SAME_THICKNESS: f64 = 0.05;

/// Sheets of the largest kind that are tried in addition, to say what would do.
const TRY_MORE: u32 = 3;

/// Parts and stock of one thickness, broken down.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// The thickness, mm, where stated.
    pub thickness: Option<f64>,
    /// Which parts of the list; the breakdown's numbers are places in here.
    pub parts: Vec<usize>,
    /// Which stock of the list.
    pub stock: Vec<usize>,
    /// How they are cut.
    pub breakdown: Breakdown,
    /// The cuts of all sheets, in order.
    pub steps: Vec<Step>,
}

/// A list of parts, broken down.
#[derive(Clone, Debug, PartialEq)]
pub struct CutList {
    /// The batches, in the order of the list.
    pub batches: Vec<Batch>,
    /// Slips that do no harm, and what to take care of.
    pub remarks: Vec<Fault>,
}

/// Rounds of the search for a list that is no longer than this take about a second on a quiet machine;
/// a round of a longer one takes longer, and gets fewer.
const USUAL_ROUNDS: (u64, u64) = (300_000, 100);

/// Fewest rounds for any list.
const FEWEST_ROUNDS: u64 = 1_000;

/// Rounds that suit a list: many for one that a shop has, so few for thousands of parts that nobody
/// waits for minutes.
pub fn usual_rounds(job: &Job) -> u64 {
    let parts: u64 = job.part_list.parts.iter().map(|p| u64::from(p.quantity)).sum();
    let (rounds, most) = USUAL_ROUNDS;
    (rounds * most / parts.max(most)).max(FEWEST_ROUNDS)
}

/// Breaks a job's list down.
///
/// Errors: all parts that cannot be had from the stock, with the reason; and where the stock does not
/// suffice, what is left and what would do.
pub fn break_down(job: &Job, effort: Effort, watch: breakdown::Watch<'_>) -> Result<CutList, Vec<Fault>> {
    let list = &job.part_list;
    let mut faults = fits::look(job);
    if faults.iter().any(|f| f.kind != crate::FaultKind::Remark) {
        return Err(faults);
    }
    let mut batches = Vec::new();
    let mut short = Vec::new();
    let (mut done, mut going) = (0, true);
    for (thickness, parts, stock) in sorted(list) {
        let problem = problem(list, &parts, &stock);
        let mut heed = |p: Progress| {
            going = going && watch(Progress { rounds: done + p.rounds, ..p });
            going
        };
        let found = breakdown::solve(&problem, effort, &mut heed);
        done += found.rounds;
        if found.left.iter().any(|&n| n > 0) {
            short.push(too_little(job, &problem, &parts, &stock, &found, effort));
        }
        let steps = order::steps(&problem, &found);
        batches.push(Batch { thickness, parts, stock, breakdown: found, steps });
    }
    if short.is_empty() {
        return Ok(CutList { batches, remarks: faults });
    }
    faults.extend(short);
    Err(faults)
}

/// The batches: their thickness, their parts, their stock.
fn sorted(list: &PartList) -> Vec<(Option<f64>, Vec<usize>, Vec<usize>)> {
    let mut out: Vec<(Option<f64>, Vec<usize>, Vec<usize>)> = Vec::new();
    for (i, part) in list.parts.iter().enumerate() {
        match out.iter_mut().find(|b| same(b.0, part.thickness)) {
            Some(batch) => batch.1.push(i),
            None => out.push((part.thickness, vec![i], Vec::new())),
        }
    }
    for (thickness, _, stock) in &mut out {
        *stock = (0..list.stock.len()).filter(|&s| same(*thickness, list.stock[s].thickness)).collect();
    }
    out
}

/// Two thicknesses are one; all are stated or none is.
fn same(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < SAME_THICKNESS,
        (a, b) => a.is_none() && b.is_none(),
    }
}

/// A length in the solver's units.
fn units(mm: f64) -> Size {
    (mm * UNITS_PER_MM).round() as Size
}

/// A solver's length in mm.
pub fn in_mm(size: Size) -> f64 {
    size as f64 / UNITS_PER_MM
}

fn part(wanted: &WantedPart) -> Part {
    Part {
        size: [units(wanted.length), units(wanted.width)],
        quantity: wanted.quantity,
        grain: wanted.grain,
        value: None,
    }
}

fn stock(sheet: &StockSheet) -> Stock {
    Stock {
        size: [units(sheet.length), units(sheet.width)],
        quantity: sheet.quantity,
        grain: sheet.grain,
        trim: units(sheet.trim),
        kerf: units(sheet.kerf),
    }
}

/// What the solver is asked for one batch.
pub(crate) fn problem(list: &PartList, parts: &[usize], stocks: &[usize]) -> Problem {
    Problem {
        parts: parts.iter().map(|&i| part(&list.parts[i])).collect(),
        stock: stocks.iter().map(|&i| stock(&list.stock[i])).collect(),
        stages: list.stages,
        useful: list.useful.map(units),
    }
}

/// Says what finds no place, and how many more sheets would do.
fn too_little(
    job: &Job,
    problem: &Problem,
    parts: &[usize],
    stocks: &[usize],
    found: &Breakdown,
    effort: Effort,
) -> Fault {
    let list = &job.part_list;
    let left: Vec<String> = found
        .left
        .iter()
        .zip(parts)
        .filter(|(n, _)| **n > 0)
        .map(|(n, &i)| format!("{n} of {}", list.parts[i].name))
        .collect();
    let all: u32 = problem.parts.iter().map(|p| p.quantity).sum();
    let none: u32 = found.left.iter().sum();
    let message = crate::words::parts::find_no_place(none, all, &left);
    let largest = (0..stocks.len()).max_by(|&a, &b| problem.stock[a].area().total_cmp(&problem.stock[b].area()));
    let mut hint = crate::words::parts::MORE_STOCK.to_owned();
    if let Some(largest) = largest {
        let quick = Effort { rounds: effort.rounds / 4, ..effort };
        for more in 1..=TRY_MORE {
            let mut problem = problem.clone();
            problem.stock[largest].quantity += more;
            if breakdown::solve(&problem, quick, &mut |p| p.stock_area.is_none()).left.iter().all(|&n| n == 0) {
                hint = crate::words::parts::so_many_more(more, &list.stock[stocks[largest]].name);
                break;
            }
        }
    }
    let place = found.left.iter().position(|&n| n > 0).map_or("part", |i| list.parts[parts[i]].place.as_str());
    Fault::impossible(message).at(job.span(place)).hint(hint)
}

#[cfg(test)]
mod tests;
