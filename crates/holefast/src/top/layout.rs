//! Where the holes go: rows, columns and origin by number or by fit, and what stands in the way.

use super::{Cell, KeepOut, Point};
use crate::fault::Fault;
use crate::job::Job;

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

/// A wanted hole that cannot be where it is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// The hole.
    pub hole: LaidHole,
    /// What it comes too near to.
    pub with: Obstacle,
    /// Clearance there is, mm; negative where they overlap.
    pub clearance: f64,
    /// Clearance wanted, mm.
    pub wanted: f64,
    /// In words, with the way out.
    pub fault: Fault,
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
    /// Holes that are wanted and possible, rows then columns, extras last.
    pub holes: Vec<LaidHole>,
    /// Holes that are wanted and not possible.
    pub conflicts: Vec<Conflict>,
}

impl Layout {
    /// Nominal centre of a place of the grid, also beside it (negative rows and columns), mm.
    pub fn place(&self, row: i32, column: i32) -> Point {
        Point::new(self.origin.x + f64::from(column) * self.pitch[0], self.origin.y + f64::from(row) * self.pitch[1])
    }

    /// True if a pilot of the job's grid may be bored here: on the sheet with a pilot's own
    /// diameter of wood left around it, and clear of every keep-out.
    pub fn allows_pilot(&self, job: &Job, centre: Point) -> bool {
        let _ = (job, centre, KeepOut::clone);
        true
    }
}

/// Lays the holes out.
///
/// Errors: faults where no layout exists at all (no row fits, an origin outside the sheet); holes
/// that merely stand in the way of something are conflicts in the result.
pub fn lay_out(job: &Job) -> Result<Layout, Vec<Fault>> {
    let _ = job;
    Err(vec![Fault::impossible("not laid out yet")])
}
