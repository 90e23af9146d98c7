//! The pilots: from one way of setting out (a [`Way`]) to the set-ups that bore every needed pilot.
//!
//! Works forwards as if every allowed place in a bar's reach were bored, since any of them might
//! be wanted to hold a pin, then backwards, keeping only what is needed or holds a pin for what is
//! kept. So helper pilots appear exactly where the work needs them.
//!
//! Here the order of the stages and what every stage asks. `line` lays a bar along one line,
//! `square` sets two columns square and closes them, `beyond` fills and goes on past the bars'
//! reach, `bands` goes on by triangles where rows stand further out than the column bar reaches,
//! `around` finds ways to what is left and `again` sets the triangle once more for it,
//! `keep` drops what nothing needs. Which way is best is `choose`'s matter; names and minutes are
//! `assemble`'s.

mod again;
mod around;
mod bands;
mod beyond;
mod keep;
mod line;
mod square;
mod step;
#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

pub(super) use step::{Lay, Locator, Step, Way};

use self::keep::keep_needed;
use self::step::Line;
use super::ground::Footprint;
use super::kit_bars::BarSet;
use super::lattice::{Lattice, Place};
use crate::top::Point;

/// What came of a way.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pilots {
    /// The set-ups, checks among them.
    pub(super) steps: Vec<Step>,
    /// Needed places that no set-up reaches.
    pub(super) unreached: BTreeSet<Place>,
}

/// The set-ups of the pilots.
///
/// `needed`: places that must be bored, in the way's frame.
pub(super) fn pilots(lattice: &Lattice, bars: &BarSet, way: &Way, needed: &BTreeSet<Place>) -> Pilots {
    let pitch = way.frame.pitches(lattice.pitch);
    let bored: BTreeSet<Place> = lattice.part.pilots.iter().map(|&p| way.frame.place(p)).collect();
    let mut work = Work {
        lattice,
        bars,
        way,
        needed,
        needed_by_row: needed.iter().map(|&(u, v)| (v, u)).collect(),
        pitch,
        bored_by_row: bored.iter().map(|&(u, v)| (v, u)).collect(),
        bored,
        begun: !lattice.part.is_bare(),
        steps: Vec::new(),
        turn: 0,
        barred: BTreeSet::new(),
        along: BTreeSet::new(),
    };
    work.datum_row();
    if work.square_columns() {
        let far = work.closing();
        work.fill(far);
        work.further_bands(far);
        if way.columns_beyond {
            work.columns_beyond(far);
        }
        work.extend_all();
        work.go_round();
    }
    let unreached = needed.difference(&work.bored).copied().collect();
    let steps = keep_needed(work.steps, needed);
    Pilots { steps, unreached }
}

struct Work<'a> {
    lattice: &'a Lattice,
    bars: &'a BarSet,
    way: &'a Way,
    needed: &'a BTreeSet<Place>,
    /// The same with their coordinates exchanged, so that a row lies together as a column does.
    needed_by_row: BTreeSet<Place>,
    pitch: [f64; 2],
    bored: BTreeSet<Place>,
    /// As for `needed`.
    bored_by_row: BTreeSet<Place>,
    /// Something is bored already, so nothing more is laid by hand and the frame may be there.
    begun: bool,
    steps: Vec<Step>,
    /// Rows set so far, for taking turns.
    turn: usize,
    /// Rows that a bar on two columns has filled.
    barred: BTreeSet<i32>,
    /// Places bored through a bar along a row.
    along: BTreeSet<Place>,
}

impl Work<'_> {
    pub(super) fn allowed(&self, place: Place) -> bool {
        self.lattice.is_allowed(self.way.frame.row_column(place))
    }

    pub(super) fn line_pitch(&self, line: Line) -> f64 {
        self.pitch[usize::from(!line.along)]
    }

    pub(super) fn column_bar(&self) -> usize {
        self.bars.first_of(self.way.triangle.column_kind, None).unwrap_or(0)
    }

    pub(super) fn third_bar(&self) -> usize {
        let column = self.column_bar();
        self.bars.first_of(self.way.triangle.third_kind, Some(column)).unwrap_or(0)
    }

    pub(super) fn lay(&self, line: Line, start: i32, bar: usize, over: bool) -> Lay {
        let (u, v) = line.place(start);
        Lay {
            bar,
            hole_0: [f64::from(u) * self.pitch[0], f64::from(v) * self.pitch[1]],
            towards: if line.along { [1.0, 0.0] } else { [0.0, 1.0] },
            over,
        }
    }

    /// True if a bar so laid stays off what stands above the top.
    pub(super) fn is_clear(&self, lay: &Lay) -> bool {
        if self.lattice.keep_outs.is_empty() {
            return true;
        }
        let kind = self.bars.kind(lay.bar);
        let corner = self.lattice.centre(self.way.frame.corner);
        let (x, y) = self.way.frame.vector(lay.hole_0[0], lay.hole_0[1]);
        let length = f64::from(kind.holes.saturating_sub(1)) * kind.pitch;
        Footprint::of_bar(
            Point::new(corner.x + x, corner.y + y),
            self.way.frame.vector(lay.towards[0], lay.towards[1]),
            length,
            kind.beyond,
            kind.width,
        )
        .is_clear(&self.lattice.keep_outs)
    }

    pub(super) fn line_is_clear(&self, line: Line, start: i32, bar: usize) -> bool {
        self.is_clear(&self.lay(line, start, bar, false))
    }

    /// Bores what is allowed and not yet bored through a bar whose hole 0 is at `start`.
    pub(super) fn bores(&self, line: Line, start: i32, bar: usize) -> Vec<(Place, usize, u32)> {
        let per_step = self.bars.holes_per_step(bar, self.line_pitch(line));
        let reach = self.bars.reach(bar, self.line_pitch(line));
        (0..=reach)
            .map(|i| (line.place(start + i), 0, i as u32 * per_step))
            .filter(|&(place, ..)| !self.bored.contains(&place) && self.allowed(place))
            .collect()
    }

    pub(super) fn push(&mut self, step: Step) {
        self.bored.extend(step.bores.iter().map(|b| b.0));
        self.bored_by_row.extend(step.bores.iter().map(|b| (b.0.1, b.0.0)));
        let along = |lay: usize| step.lays[lay].towards[1] == 0.0;
        self.along.extend(step.bores.iter().filter(|b| along(b.1)).map(|b| b.0));
        self.steps.push(step);
    }

    /// Positions on a line that are bored, in order.
    pub(super) fn bored_on(&self, line: Line) -> Vec<i32> {
        on_line(if line.along { &self.bored_by_row } else { &self.bored }, line).collect()
    }

    /// Positions on a line that are needed and not yet bored, in order.
    pub(super) fn targets_on(&self, line: Line) -> Vec<i32> {
        let needed = on_line(if line.along { &self.needed_by_row } else { self.needed }, line);
        needed.filter(|&t| !self.bored.contains(&line.place(t))).collect()
    }
}

/// Positions on a line, of places in which its own coordinate stands first.
fn on_line(places: &BTreeSet<Place>, line: Line) -> impl Iterator<Item = i32> {
    places.range((line.at, i32::MIN)..=(line.at, i32::MAX)).map(|&(_, t)| t)
}
