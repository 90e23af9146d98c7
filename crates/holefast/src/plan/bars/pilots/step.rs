//! What the pilots' set-ups are made of: a way of setting out, bars laid on the sheet, the pins
//! that hold them, and lines of places; all in the way's own frame, without names.

use crate::plan::Stage;
use crate::plan::bars::lattice::{Frame, Place};
use crate::plan::bars::triangle::Triangle;

/// One way of setting out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::plan::bars) struct Way {
    /// Where work starts and which way it goes.
    pub(in crate::plan::bars) frame: Frame,
    /// The triangle, used at both columns.
    pub(in crate::plan::bars) triangle: Triangle,
    /// The second column, in steps along the datum row.
    pub(in crate::plan::bars) second_column: i32,
    /// The foot of its triangle on the datum row.
    pub(in crate::plan::bars) second_foot: i32,
    /// The second column may be missing: rows are then reached by going round. For patterns that
    /// leave no better way.
    pub(in crate::plan::bars) one_column_will_do: bool,
    /// The column bar turned over for the second column.
    pub(in crate::plan::bars) turn_column_bar: bool,
    /// Bars and faces taking turns in the rows.
    pub(in crate::plan::bars) take_turns: bool,
    /// Beyond the bars' reach bars lie along the columns, pinned on datum row and far row.
    pub(in crate::plan::bars) columns_beyond: bool,
    /// The triangle is set again after so many rows, on the last of them.
    pub(in crate::plan::bars) square_every: Option<i32>,
    /// With only two pins: which of a triangle's three joints a gauge holds (corner, foot, joint).
    pub(in crate::plan::bars) gauge_at: Option<usize>,
    /// The colour opened first, 0 or 1.
    pub(in crate::plan::bars) first_colour: i32,
}

impl Way {
    /// Both triangles stand on the same two holes of the datum row.
    pub(in crate::plan::bars) fn common_foot(&self) -> bool {
        self.second_column == self.triangle.steps && self.second_foot == 0
    }
}

/// A bar lying on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::plan::bars) struct Lay {
    /// Index of the single bar.
    pub(in crate::plan::bars) bar: usize,
    /// Its hole 0: mm from the frame's corner, along and away.
    pub(in crate::plan::bars) hole_0: [f64; 2],
    /// Towards its last hole: a vector along and away, any length.
    pub(in crate::plan::bars) towards: [f64; 2],
    /// Other face up.
    pub(in crate::plan::bars) over: bool,
}

/// Where a pin stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::plan::bars) enum Locator {
    /// Bar hole on a bored place.
    Hole { lay: usize, hole: u32, place: Place },
    /// Bar hole on bar hole.
    Joint { a: usize, a_hole: u32, b: usize, b_hole: u32 },
}

/// One set-up before it has names.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::plan::bars) struct Step {
    pub(in crate::plan::bars) stage: Stage,
    pub(in crate::plan::bars) by_hand: bool,
    pub(in crate::plan::bars) check: bool,
    pub(in crate::plan::bars) lays: Vec<Lay>,
    pub(in crate::plan::bars) locators: Vec<Locator>,
    /// Index into `locators` of the one a gauge holds though the set-up bores.
    pub(in crate::plan::bars) gauge: Option<usize>,
    /// Place, lay, hole of the bar.
    pub(in crate::plan::bars) bores: Vec<(Place, usize, u32)>,
}

/// A line of places along or away from the datum row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) along: bool,
    pub(super) at: i32,
}

impl Line {
    pub(super) fn place(self, t: i32) -> Place {
        if self.along { (t, self.at) } else { (self.at, t) }
    }
}
