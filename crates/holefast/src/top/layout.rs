//! Where the holes go: rows, columns and origin by number or by fit, and what stands in the way.
//!
//! Decides which holes are wanted and which of them are possible. Rows, columns and origin are
//! `ground`'s, the geometry is `outline`'s and `clear`'s, what is said about a conflict
//! `conflict`'s, the figures people are shown `figures`'. Millimetres in the top's frame.

use super::clear::{self, Clearance, LEAST_WOOD, ON_THE_LIMIT};
use super::conflict::{Conflict, in_words};
use super::figures::{self, LeastWood, Margins, Weight};
use super::ground::{ground, idle_skips, offset, sound};
use super::outline::{depth_in_outline, distance_to_keep_out};
use super::{Cell, Point};
use crate::fault::Fault;
use crate::job::Job;

/// No top has more holes than this; beyond it a slip in pitch or unit is likelier than a wish, and
/// every later step takes longer than a person waits.
pub const MOST_HOLES: usize = 10_000;

/// One hole of the layout.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidHole {
    /// `A1` style, or the extra hole's own name.
    pub name: String,
    /// Its place in the grid; `None` for an extra hole.
    pub cell: Option<Cell>,
    /// Centre, mm.
    pub centre: Point,
    /// Diameter, mm.
    pub diameter: f64,
}

/// What a hole comes too near to.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// The edge of the top.
    Edge,
    /// A keep-out, by its index in the job.
    KeepOut(usize),
    /// Another hole, by name.
    Hole(String),
}

/// The holes of a top.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Rows of the grid.
    pub rows: u32,
    /// Columns of the grid.
    pub columns: u32,
    /// Centre of `A1`, mm.
    pub origin: Point,
    /// Along x and y, mm.
    pub pitch: [f64; 2],
    /// Number of holes wanted, extras included.
    pub wanted: usize,
    /// Holes that are wanted and possible, rows then columns, extras last.
    pub holes: Vec<LaidHole>,
    /// Why the other wanted holes are not possible; one for each thing a hole comes too near to.
    pub conflicts: Vec<Conflict>,
    /// From the outermost holes' centres to the sheet's four sides.
    pub margins: Margins,
    /// Least wood between holes and beside them.
    pub least_wood: LeastWood,
    /// Weight, where the material's density is known.
    pub weight: Option<Weight>,
    /// Slips that do no harm: a `skip` that skips nothing.
    pub remarks: Vec<Fault>,
}

impl Layout {
    /// Nominal centre of a place of the grid, also beside it (negative rows and columns), mm.
    pub fn place(&self, row: i32, column: i32) -> Point {
        Point::new(self.origin.x + f64::from(column) * self.pitch[0], self.origin.y + f64::from(row) * self.pitch[1])
    }

    /// True if a pilot of the job's grid may be bored here: on the sheet with a pilot's own
    /// diameter of wood left around it, not into any keep-out, whichever face that is on, and not
    /// into a hole of the layout that it is not itself the pilot of.
    pub fn allows_pilot(&self, job: &Job, centre: Point) -> bool {
        let pilot = job.grid.pilot;
        depth_in_outline(&job.top.outline, centre) >= 1.5 * pilot - ON_THE_LIMIT
            && job.keep_outs.iter().all(|k| distance_to_keep_out(k, centre) >= 0.5 * pilot - ON_THE_LIMIT)
            && self.holes.iter().all(|hole| {
                let apart = (hole.centre - centre).hypot2();
                let wanted = 0.5 * (hole.diameter + pilot) + LEAST_WOOD - ON_THE_LIMIT;
                apart <= ON_THE_LIMIT * ON_THE_LIMIT || apart >= wanted * wanted
            })
    }
}

/// Lays the holes out.
///
/// Errors: faults where no layout exists at all (no row fits, an origin outside the sheet); holes
/// that merely stand in the way of something are conflicts in the result.
pub fn lay_out(job: &Job) -> Result<Layout, Vec<Fault>> {
    let sheet = sound(job)?;
    let ground = ground(job, sheet)?;
    let cells = wanted(job, ground.rows, ground.columns);
    let spoiled_off = super::ground::spoiled_off_the_grid(job, ground);
    if !spoiled_off.is_empty() {
        return Err(spoiled_off);
    }
    let all = laid(job, &cells, ground.origin);
    if all.is_empty() {
        return Err(vec![
            Fault::input("no hole is wanted: skip and only leave none of the grid")
                .at(job.span("grid.only").or_else(|| job.span("grid.skip")))
                .hint("shorten skip, or name at least one place in only"),
        ]);
    }
    let wanted = all.len();
    let (holes, troubles) = standing(job, all);
    let conflicts = in_words(job, sheet, ground, &cells, &holes, troubles);
    if holes.is_empty() {
        let mut faults = vec![
            Fault::impossible(format!("none of the {wanted} wanted holes is possible"))
                .at(job.span("grid"))
                .hint("what stands in the way of the first one follows"),
        ];
        faults.extend(conflicts.into_iter().take(1).map(|conflict| conflict.fault));
        return Err(faults);
    }
    Ok(Layout {
        rows: ground.rows,
        columns: ground.columns,
        origin: ground.origin,
        pitch: job.grid.pitch,
        wanted,
        margins: figures::margins(sheet, &holes),
        least_wood: figures::least_wood(&job.top.outline, &holes),
        weight: figures::weight(&job.top, &holes),
        remarks: idle_skips(job, ground),
        holes,
        conflicts,
    })
}

/// The places of the grid that are wanted, rows then columns. `only` may name places beyond a
/// number of rows or columns found by fit: these are wanted too, and come out as conflicts.
pub(crate) fn wanted(job: &Job, rows: u32, columns: u32) -> Vec<Cell> {
    let grid = &job.grid;
    let skipped = |cell: Cell| grid.skip.iter().any(|range| range.contains(cell));
    let mut cells: Vec<Cell> = match &grid.only {
        None => (0..rows).flat_map(|row| (0..columns).map(move |column| Cell::new(row, column))).collect(),
        Some(only) => only.iter().flat_map(|range| range.cells()).collect(),
    };
    cells.retain(|&cell| !skipped(cell));
    cells.sort_unstable();
    cells.dedup();
    cells
}

/// The wanted holes at their places, extras last.
fn laid(job: &Job, cells: &[Cell], origin: Point) -> Vec<LaidHole> {
    let on_grid = cells.iter().map(|&cell| LaidHole {
        name: cell.to_string(),
        cell: Some(cell),
        centre: origin + offset(job, cell),
        diameter: job.grid.hole,
    });
    let extras = job.grid.extra.iter().map(|extra| LaidHole {
        name: extra.name.clone(),
        cell: None,
        centre: extra.centre,
        diameter: extra.diameter,
    });
    on_grid.chain(extras).collect()
}

/// Parts the wanted holes into those that are possible and what stands in the others' way. The
/// grid goes first: where an extra hole and a grid hole are too near, the extra one gives way.
fn standing(job: &Job, all: Vec<LaidHole>) -> (Vec<LaidHole>, Vec<(LaidHole, Clearance)>) {
    let mut holes: Vec<LaidHole> = Vec::with_capacity(all.len());
    let mut troubles = Vec::new();
    for hole in all {
        let near: Vec<Clearance> =
            clearances(job, &holes, &hole, hole.centre).filter(|clearance| !clearance.is_kept()).collect();
        if near.is_empty() {
            holes.push(hole);
        } else {
            troubles.extend(near.into_iter().map(|clearance| (hole.clone(), clearance)));
        }
    }
    (holes, troubles)
}

/// All clearances of a hole put at `centre`. Grid holes keep clear of each other by their pitch.
pub(super) fn clearances<'a>(
    job: &'a Job,
    others: &'a [LaidHole],
    hole: &LaidHole,
    centre: Point,
) -> impl Iterator<Item = Clearance> + 'a {
    let (diameter, name) = (hole.diameter, hole.name.clone());
    let beside = if hole.cell.is_some() { &[][..] } else { others };
    let others = beside
        .iter()
        .filter(move |other| other.name != name)
        .map(move |other| clear::from_hole(other, centre, diameter));
    clear::from_sheet(job, centre, diameter).chain(others)
}

/// Number of possible holes with `A1` at `origin`; `None` as soon as fewer than `needed` are left.
pub(crate) fn count_possible(job: &Job, cells: &[Cell], origin: Point, needed: usize) -> Option<usize> {
    let mut left = cells.len() + job.grid.extra.len();
    let mut holes: Vec<LaidHole> = Vec::new();
    let by_extras = !job.grid.extra.is_empty();
    for &cell in cells {
        let centre = origin + offset(job, cell);
        if !clear::from_sheet(job, centre, job.grid.hole).all(|clearance| clearance.is_kept()) {
            left -= 1;
            if left < needed {
                return None;
            }
        } else if by_extras {
            holes.push(LaidHole { name: String::new(), cell: Some(cell), centre, diameter: job.grid.hole });
        }
    }
    for extra in laid(job, &[], origin) {
        if clearances(job, &holes, &extra, extra.centre).all(|clearance| clearance.is_kept()) {
            holes.push(extra);
        } else {
            left -= 1;
        }
    }
    (left >= needed).then_some(left)
}
