//! Boring with bars: the plan from a bare sheet to the last dog hole, by pinned template bars.
//!
//! See docs/design/plan.md 2 to 4. A bar laid by hand gives the datum row; a whole-number right triangle of bars
//! sets two columns square to it; bars pinned on both columns fill the rows; slides go on beyond
//! the bars' reach; the block opens the holes in two passes. There are many ways to do that with
//! one kit, and they differ by a factor of two in how square the top comes out, for the same work:
//! `choose` tries them and takes the best. What each file does: `lattice` places, `triangle` which
//! triangles, `shapes` what there is to try, `pilots` the set-ups of a way, `opening` the block,
//! `mend` the block's other seats, `holding` and `dimensions` how all is held and whether it
//! reaches, `assemble` the plan's data, `weigh` a way's figures, `checks` gauges and limits,
//! `choose` the trying, `part` and
//! `resume` what exists already and how it goes on, `explain` why this way, `refuse` why not and what would work.

mod assemble;
mod checks;
mod choose;
mod dimensions;
mod explain;
mod ground;
mod holding;
mod kit_bars;
mod lattice;
mod mend;
mod opening;
mod part;
mod pilots;
mod refuse;
mod resume;
mod shapes;
#[cfg(test)]
mod tests;
mod triangle;
mod weigh;

use crate::fault::Fault;
use crate::job::Job;
use crate::plan::Plan;
use crate::top::Layout;

/// Narrows what the planner may choose; everything open by default.
///
/// For comparing ways with each other: `holefast plan` leaves all to the planner.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PlanOptions {
    /// Only this triangle: steps along the row, holes on the column bar, holes on the third side.
    pub triangle: Option<(u32, u32, u32)>,
    /// Both triangles on the same two holes of the datum row (true), or the second column at the
    /// far end of the bars' reach (false).
    pub common_foot: Option<bool>,
    /// The column bar turned over for the second column.
    pub turn_column_bar: Option<bool>,
    /// Bars and faces taking turns in the rows.
    pub take_turns: Option<bool>,
    /// Beyond the bars' reach: datum row and far row slid on, and bars across them along the columns
    /// (true), or every row slid on (false).
    pub columns_beyond: Option<bool>,
    /// Where the rows stand further out than the column bar reaches, the triangle set again from band to
    /// band (true), or the two columns slid on (false).
    pub square_again: Option<bool>,
    /// Colour of the holes opened first: that of `A1` (0) or its neighbour's (1).
    pub first_colour: Option<i32>,
}

/// Makes the plan of a layout.
///
/// Errors: impossible, with the limit, the amount and the nearest thing that works: no kit, too
/// few bars or pins, no triangle, places no bar reaches, holes the block cannot seat beside.
pub fn make_plan(job: &Job, layout: &Layout, options: &PlanOptions) -> Result<Plan, Vec<Fault>> {
    resume::plan(job, layout, options)
}
