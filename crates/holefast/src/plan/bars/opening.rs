//! Opening: in which order the holes are opened and what the block seats on.
//!
//! A pin cannot stand in an opened hole nor a dog in a pilot, so the holes are coloured like a
//! chessboard and each colour is one pass: whatever a hole of one colour has beside it is of the
//! other, still a pilot in the first pass, already a dog hole in the second. A hole with an
//! opposite pair of neighbours gets two like locators; one with a neighbour on one side only seats
//! on that and on its own pilot (design section 5.4).

use std::collections::BTreeSet;

use super::lattice::{Lattice, RowColumn, grid_name};
use crate::fault::Fault;
use crate::kit::Kit;

/// What stands at one of the block's places.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Held {
    /// A pin in a pilot.
    Pin(RowColumn),
    /// A dog in a dog hole.
    Dog(RowColumn),
    /// Nothing: the bush stands on the hole's own pilot instead.
    Point,
}

/// One hole to open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Opening {
    pub(super) hole: RowColumn,
    /// 1 or 2.
    pub(super) pass: u8,
    /// The block lies along the row, else along the column.
    pub(super) along_row: bool,
    /// At the block's minus place and plus place; at most one is `Point`.
    pub(super) held: [Held; 2],
}

/// The block's reach in steps of the grid: along rows, along columns.
pub(super) fn block_steps(kit: &Kit, pitch: [f64; 2]) -> [i32; 2] {
    [0, 1].map(|i| ((kit.block.reach[i] / pitch[i]).round() as i32).max(1))
}

fn colour((row, column): RowColumn, steps: [i32; 2]) -> i32 {
    (row.div_euclid(steps[1]) + column.div_euclid(steps[0])).rem_euclid(2)
}

fn neighbours((row, column): RowColumn, along_row: bool, steps: [i32; 2]) -> [RowColumn; 2] {
    if along_row {
        [(row, column - steps[0]), (row, column + steps[0])]
    } else {
        [(row - steps[1], column), (row + steps[1], column)]
    }
}

/// Helper pilots that holes without any neighbour need: a pair where the sheet allows one, else
/// one alone.
///
/// Errors: impossible, naming each hole that the block can seat beside nowhere.
pub(super) fn helpers(lattice: &Lattice, steps: [i32; 2]) -> Result<BTreeSet<RowColumn>, Vec<Fault>> {
    let wanted = lattice.wanted();
    let mut helpers = BTreeSet::new();
    let mut faults = Vec::new();
    for &hole in wanted {
        let around = [true, false].map(|along_row| neighbours(hole, along_row, steps));
        if around.iter().flatten().any(|n| wanted.contains(n) || helpers.contains(n)) {
            continue;
        }
        let pair = around.iter().find(|pair| pair.iter().all(|&n| lattice.is_allowed(n)));
        let one = around.iter().flatten().copied().find(|&n| lattice.is_allowed(n));
        match (pair, one) {
            (Some(pair), _) => helpers.extend(pair.iter().copied()),
            (None, Some(one)) => {
                helpers.insert(one);
            }
            (None, None) => {
                let name = grid_name(hole).unwrap_or_default();
                faults.push(
                    Fault::impossible(format!(
                        "{name} has no hole beside it, and no helper pilot can stand there, so the block cannot seat"
                    ))
                    .hint(format!("leave {name} out (skip), or bring back a hole next to it")),
                );
            }
        }
    }
    if faults.is_empty() { Ok(helpers) } else { Err(faults) }
}

/// All openings in order: first pass then second, in each along rows then along columns.
///
/// `pilots`: every place with a pilot, wanted or helper. `first_colour`: opened first, 0 or 1.
/// `dogs`: how many the kit has. Every wanted hole must have a neighbour in `pilots`; one that has
/// none is left out of the result.
pub(super) fn openings(
    lattice: &Lattice,
    pilots: &BTreeSet<RowColumn>,
    steps: [i32; 2],
    first_colour: i32,
    dogs: u32,
) -> Vec<Opening> {
    let wanted = lattice.wanted();
    let mut all: Vec<Opening> = Vec::new();
    for &hole in wanted {
        let pass = if colour(hole, steps) == first_colour { 1 } else { 2 };
        let held_by = |n: RowColumn| {
            if !pilots.contains(&n) {
                Held::Point
            } else if pass == 2 && wanted.contains(&n) {
                Held::Dog(n)
            } else {
                Held::Pin(n)
            }
        };
        let best = [true, false]
            .into_iter()
            .filter_map(|along_row| {
                let mut held = neighbours(hole, along_row, steps).map(held_by);
                if dogs < 2 && held.iter().all(|h| matches!(h, Held::Dog(_))) {
                    held[1] = Held::Point;
                }
                let likes = match held {
                    [Held::Point, Held::Point] => return None,
                    [Held::Pin(_), Held::Pin(_)] | [Held::Dog(_), Held::Dog(_)] => 2,
                    [Held::Pin(_) | Held::Dog(_), Held::Pin(_) | Held::Dog(_)] => 1,
                    _ => 0,
                };
                Some((likes, along_row, held))
            })
            .max_by_key(|&(likes, along_row, _)| (likes, along_row));
        if let Some((_, along_row, held)) = best {
            all.push(Opening { hole, pass, along_row, held });
        }
    }
    all.sort_by_key(|o| {
        let (line, along) = if o.along_row { (o.hole.0, o.hole.1) } else { (o.hole.1, o.hole.0) };
        (o.pass, !o.along_row, line, along)
    });
    all
}
