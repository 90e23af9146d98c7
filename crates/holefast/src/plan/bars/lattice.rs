//! The lattice of places a hole can have, seen from the corner the work starts at.
//!
//! The grid's places go on beside the wanted holes as far as the sheet does: a place that is not
//! wanted may carry a helper pilot. The planner works in places `(u, v)` of a [`Frame`]: the datum
//! row lies along u at v = 0, the first column along v at u = 0. A frame maps these to rows and
//! columns of the grid, in any of the eight ways a sheet can be turned and turned over, so that
//! the method is written once.

use std::collections::{BTreeMap, BTreeSet};

use super::part::Part;
use crate::job::Job;
use crate::top::{Cell, KeepOut, Layout, Point};

/// A place in a frame: steps along the datum row, steps away from it.
pub(super) type Place = (i32, i32);

/// Row and column of the grid; negative beside it.
pub(super) type RowColumn = (i32, i32);

/// What may be bored at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Status {
    /// A dog hole is wanted.
    Wanted,
    /// A helper pilot could be bored.
    Allowed,
    /// Nothing may be bored.
    Forbidden,
}

/// Which places of the sheet may carry what.
#[derive(Clone, Debug)]
pub(super) struct Lattice {
    status: BTreeMap<RowColumn, Status>,
    wanted: BTreeSet<RowColumn>,
    /// Along x and along y, mm.
    pub(super) pitch: [f64; 2],
    /// Centre of row 0, column 0, mm.
    origin: Point,
    /// How thick the sheet is, mm.
    pub(super) sheet: f64,
    /// What may be in the way of bars and block.
    pub(super) keep_outs: Vec<KeepOut>,
    /// What is bored already.
    pub(super) part: Part,
}

/// Beyond this many places around the grid in each direction no helper is looked for: helpers
/// stand beside the holes they serve, a triangle's foot at most this far out.
pub(super) const HELPER_MARGIN: i32 = 4;

impl Lattice {
    /// The lattice of a layout.
    pub(super) fn new(job: &Job, layout: &Layout, part: &Part) -> Lattice {
        let wanted: BTreeSet<RowColumn> =
            layout.holes.iter().filter_map(|h| h.cell).map(|c| (c.row as i32, c.column as i32)).collect();
        let mut status = BTreeMap::new();
        for row in -HELPER_MARGIN..layout.rows as i32 + HELPER_MARGIN {
            for column in -HELPER_MARGIN..layout.columns as i32 + HELPER_MARGIN {
                if wanted.contains(&(row, column)) {
                    status.insert((row, column), Status::Wanted);
                } else if layout.allows_pilot(job, layout.place(row, column)) {
                    status.insert((row, column), Status::Allowed);
                }
            }
        }
        Lattice {
            status,
            wanted,
            pitch: layout.pitch,
            origin: layout.origin,
            sheet: job.top.thickness,
            keep_outs: job.keep_outs.clone(),
            part: part.clone(),
        }
    }

    /// A lattice at 100 mm drawn in letters, last row of the grid first: `o` wanted, `.` a helper
    /// could stand, anything else forbidden.
    #[cfg(test)]
    pub(super) fn drawn(picture: &str) -> Lattice {
        let mut status = BTreeMap::new();
        for (row, line) in picture.split_whitespace().rev().enumerate() {
            for (column, letter) in line.chars().enumerate() {
                match letter {
                    'o' => status.insert((row as i32, column as i32), Status::Wanted),
                    '.' => status.insert((row as i32, column as i32), Status::Allowed),
                    _ => None,
                };
            }
        }
        let wanted = status.iter().filter(|(_, s)| **s == Status::Wanted).map(|(p, _)| *p).collect();
        Lattice {
            status,
            wanted,
            pitch: [100.0, 100.0],
            origin: Point::new(75.0, 90.0),
            sheet: 21.0,
            keep_outs: Vec::new(),
            part: Part::default(),
        }
    }

    /// What may be bored there.
    pub(super) fn status(&self, place: RowColumn) -> Status {
        self.status.get(&place).copied().unwrap_or(Status::Forbidden)
    }

    /// Places of the dog holes.
    pub(super) fn wanted(&self) -> &BTreeSet<RowColumn> {
        &self.wanted
    }

    /// Every place that may be bored.
    pub(super) fn allowed(&self) -> impl Iterator<Item = RowColumn> {
        self.status.iter().filter(|(_, s)| **s != Status::Forbidden).map(|(p, _)| *p)
    }

    /// True if something may be bored there, wanted or not, or is a pilot already.
    pub(super) fn is_allowed(&self, place: RowColumn) -> bool {
        self.status(place) != Status::Forbidden && self.part.is_sound(place)
    }

    /// Centre of a place, mm in the top's frame.
    pub(super) fn centre(&self, (row, column): RowColumn) -> Point {
        Point::new(self.origin.x + f64::from(column) * self.pitch[0], self.origin.y + f64::from(row) * self.pitch[1])
    }

    /// True if the wanted holes fill a rectangle, so that all corners are alike.
    pub(super) fn is_full(&self) -> bool {
        let (rows, columns) = self.extent();
        let n = (rows.1 - rows.0 + 1) * (columns.1 - columns.0 + 1);
        usize::try_from(n) == Ok(self.wanted.len())
    }

    /// Least and greatest row and column of the wanted holes; all nil if there is none.
    pub(super) fn extent(&self) -> ((i32, i32), (i32, i32)) {
        let span = |values: &mut dyn Iterator<Item = i32>| {
            values
                .fold(None, |span: Option<(i32, i32)>, v| Some(span.map_or((v, v), |(lo, hi)| (lo.min(v), hi.max(v)))))
        };
        let rows = span(&mut self.wanted.iter().map(|p| p.0)).unwrap_or((0, 0));
        let columns = span(&mut self.wanted.iter().map(|p| p.1)).unwrap_or((0, 0));
        (rows, columns)
    }
}

/// The name of a place on the grid (`C4`); `None` beside it.
pub(super) fn grid_name((row, column): RowColumn) -> Option<String> {
    Some(Cell::new(u32::try_from(row).ok()?, u32::try_from(column).ok()?).to_string())
}

/// Where work starts and which way it goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Frame {
    /// Place (0, 0): the corner of the first triangle.
    pub(super) corner: RowColumn,
    /// One step along the datum row, in rows and columns.
    pub(super) along: (i32, i32),
    /// One step away from it.
    pub(super) away: (i32, i32),
}

impl Frame {
    /// Row and column of a place.
    pub(super) fn row_column(self, (u, v): Place) -> RowColumn {
        (self.corner.0 + u * self.along.0 + v * self.away.0, self.corner.1 + u * self.along.1 + v * self.away.1)
    }

    /// The place of a row and column.
    pub(super) fn place(self, (row, column): RowColumn) -> Place {
        let (dr, dc) = (row - self.corner.0, column - self.corner.1);
        // `along` and `away` are unit steps at right angles, so the inverse is the transpose.
        (dr * self.along.0 + dc * self.along.1, dr * self.away.0 + dc * self.away.1)
    }

    /// True if the datum row is a row of the grid, not a column.
    pub(super) fn datum_is_row(self) -> bool {
        self.along.0 == 0
    }

    /// Pitch along and away, mm.
    pub(super) fn pitches(self, pitch: [f64; 2]) -> [f64; 2] {
        if self.datum_is_row() { pitch } else { [pitch[1], pitch[0]] }
    }

    /// A vector of the frame (mm along, mm away) in the top's frame, mm.
    pub(super) fn vector(self, along: f64, away: f64) -> (f64, f64) {
        (
            along * f64::from(self.along.1) + away * f64::from(self.away.1),
            along * f64::from(self.along.0) + away * f64::from(self.away.0),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_frame_maps_there_and_back_in_all_eight_ways() {
        for along in [(0, 1), (0, -1), (1, 0), (-1, 0)] {
            for side in [1, -1] {
                let away = (side * along.1, side * along.0);
                let frame = Frame { corner: (2, 5), along, away };
                for place in [(0, 0), (3, 1), (-2, 4)] {
                    assert_eq!(frame.place(frame.row_column(place)), place, "{frame:?}");
                }
            }
        }
    }
}
