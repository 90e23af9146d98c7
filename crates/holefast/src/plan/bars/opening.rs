//! Opening: in which order the holes are opened and what the block seats on.
//!
//! A pin cannot stand in an opened hole nor a dog in a pilot, so the holes are coloured like a
//! chessboard and each colour is one pass: whatever a hole of one colour has beside it is of the
//! other, still a pilot in the first pass, already a dog hole in the second. A hole with an
//! opposite pair of neighbours gets two like locators; one with a neighbour on one side only seats
//! on that and on its own pilot (docs/design/plan.md 5).

use std::collections::{BTreeMap, BTreeSet};

use super::ground::Footprint;
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

/// How the block is used: its reach and where it may lie.
pub(super) struct BlockUse<'a> {
    pub(super) kit: &'a Kit,
    /// Reach in steps of the grid: along rows, along columns.
    pub(super) steps: [i32; 2],
}

impl BlockUse<'_> {
    /// The ways the block can lie over a hole, along the row first.
    fn ways(&self, lattice: &Lattice, hole: RowColumn) -> Vec<bool> {
        let centre = lattice.centre(hole);
        let clear = |along_row| Footprint::of_block(self.kit, centre, along_row).is_clear(&lattice.keep_outs);
        [true, false].into_iter().filter(|&along_row| clear(along_row)).collect()
    }

    /// True if dogs in two holes that exist can carry the block over a hole.
    pub(super) fn stands_on_dogs(&self, lattice: &Lattice, hole: RowColumn) -> bool {
        let dogs = &lattice.part.dogs;
        self.kit.dog.count >= 2
            && self
                .ways(lattice, hole)
                .into_iter()
                .any(|way| neighbours(hole, way, self.steps).iter().all(|n| dogs.contains(n)))
    }
}

/// Helper pilots that holes without any neighbour need: a pair where the sheet allows one, else
/// one alone.
///
/// Errors: impossible, naming each hole that the block can seat beside nowhere.
pub(super) fn helpers(lattice: &Lattice, block: &BlockUse<'_>) -> Result<BTreeSet<RowColumn>, Vec<Fault>> {
    let wanted = lattice.wanted();
    let mut helpers = BTreeSet::new();
    let mut faults = Vec::new();
    for &hole in wanted.difference(&lattice.part.dogs) {
        let around: Vec<[RowColumn; 2]> =
            block.ways(lattice, hole).into_iter().map(|along_row| neighbours(hole, along_row, block.steps)).collect();
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

/// Every way the block can seat over a hole in this pass, best first: on a like pair, on a pair of
/// both sorts, on one neighbour and the hole's own pilot; along the row before along the column.
fn seats(
    lattice: &Lattice,
    pilots: &BTreeSet<RowColumn>,
    block: &BlockUse<'_>,
    (hole, pass): (RowColumn, u8),
) -> Vec<Opening> {
    let held_by = |n: RowColumn| {
        if lattice.part.dogs.contains(&n) {
            Held::Dog(n)
        } else if !pilots.contains(&n) {
            Held::Point
        } else if pass == 2 && lattice.wanted().contains(&n) {
            Held::Dog(n)
        } else {
            Held::Pin(n)
        }
    };
    let mut ranked: Vec<(i32, Opening)> = Vec::new();
    for along_row in block.ways(lattice, hole) {
        let around = neighbours(hole, along_row, block.steps).map(held_by);
        let dogs = around.iter().filter(|h| matches!(h, Held::Dog(_))).count();
        for held in [around, [around[0], Held::Point], [Held::Point, around[1]]] {
            let likes = match held {
                [Held::Point, Held::Point] => continue,
                // Without a pilot only a pair steers the bit.
                [Held::Point, _] | [_, Held::Point] if !pilots.contains(&hole) => continue,
                [Held::Dog(_), Held::Dog(_)] if dogs > block.kit.dog.count as usize => continue,
                [Held::Pin(_), Held::Pin(_)] | [Held::Dog(_), Held::Dog(_)] => 2,
                [Held::Pin(_) | Held::Dog(_), Held::Pin(_) | Held::Dog(_)] => 1,
                _ => 0,
            };
            let opening = Opening { hole, pass, along_row, held };
            if ranked.iter().all(|(_, o)| *o != opening) {
                ranked.push((-likes, opening));
            }
        }
    }
    ranked.sort_by_key(|(unlike, _)| *unlike);
    ranked.into_iter().map(|(_, opening)| opening).collect()
}

/// All openings in order: first pass then second, in each along rows then along columns.
///
/// `pilots`: every place with a pilot, wanted or helper. `first_colour`: opened first, 0 or 1.
/// `other_seats`: holes whose block takes another than its best seat, and which of the others, the
/// next best being 1 (the last, if there are not so many). Every wanted hole must have a neighbour
/// in `pilots`; one that has none is left out of the result.
pub(super) fn openings(
    lattice: &Lattice,
    pilots: &BTreeSet<RowColumn>,
    block: &BlockUse<'_>,
    first_colour: i32,
    other_seats: &BTreeMap<RowColumn, usize>,
) -> Vec<Opening> {
    let mut all: Vec<Opening> = Vec::new();
    for &hole in lattice.wanted().difference(&lattice.part.dogs) {
        let pass = if colour(hole, block.steps) == first_colour { 1 } else { 2 };
        let seats = seats(lattice, pilots, block, (hole, pass));
        let which = other_seats.get(&hole).copied().unwrap_or(0).min(seats.len().saturating_sub(1));
        all.extend(seats.get(which));
    }
    all.sort_by_key(|o| {
        let (line, along) = if o.along_row { (o.hole.0, o.hole.1) } else { (o.hole.1, o.hole.0) };
        (o.pass, !o.along_row, line, along)
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opened(picture: &str, first_colour: i32, dogs: u32) -> (Lattice, Vec<Opening>) {
        let lattice = Lattice::drawn(picture);
        let mut pilots = lattice.wanted().clone();
        let mut kit = crate::testing::kit(2, 12, 100.0);
        kit.dog.count = dogs;
        let block = BlockUse { kit: &kit, steps: [1, 1] };
        pilots.extend(helpers(&lattice, &block).unwrap());
        let all = openings(&lattice, &pilots, &block, first_colour, &BTreeMap::new());
        (lattice, all)
    }

    /// Replays the order: every pin must find a pilot still unopened, every dog an opened hole.
    fn assert_can_be_done(lattice: &Lattice, all: &[Opening]) {
        let mut open = BTreeSet::new();
        for o in all {
            for held in o.held {
                match held {
                    Held::Pin(at) => assert!(!open.contains(&at), "{o:?}"),
                    Held::Dog(at) => assert!(open.contains(&at), "{o:?}"),
                    Held::Point => {}
                }
            }
            assert!(open.insert(o.hole), "{o:?} twice");
        }
        assert_eq!(&open, lattice.wanted());
    }

    #[test]
    fn only_the_four_corners_of_a_full_grid_settle_for_one_neighbour() {
        for first_colour in [0, 1] {
            let (lattice, all) = opened(&"oooooooooooooo ".repeat(7), first_colour, 2);
            assert_can_be_done(&lattice, &all);
            let alone: BTreeSet<RowColumn> =
                all.iter().filter(|o| o.held.contains(&Held::Point)).map(|o| o.hole).collect();
            assert_eq!(alone, BTreeSet::from([(0, 0), (0, 13), (6, 0), (6, 13)]));
            let (first, second): (Vec<&Opening>, Vec<&Opening>) = all.iter().partition(|o| o.pass == 1);
            assert_eq!((first.len(), second.len()), (49, 49));
            assert!(first.iter().all(|o| o.held.iter().all(|h| !matches!(h, Held::Dog(_)))));
            assert!(second.iter().all(|o| o.held.iter().all(|h| !matches!(h, Held::Pin(_)))));
        }
    }

    #[test]
    fn a_lone_hole_gets_a_pair_of_helpers_or_one_or_is_refused_by_name() {
        let (lattice, all) = opened("....... .o...o. ....... ooooooo ooooooo", 0, 2);
        assert_can_be_done(&lattice, &all);
        let lone: Vec<&Opening> = all.iter().filter(|o| o.hole.0 == 3).collect();
        assert_eq!(lone[0].held.len(), 2);
        assert!(lone.iter().all(|o| o.held.iter().all(|h| matches!(h, Held::Pin(_)))), "{lone:?}");
        let (_, all) = opened("xxxxxxx xo.xxxx xxxxxxx ooooooo", 0, 2);
        assert!(all.iter().any(|o| o.hole == (2, 1) && o.held == [Held::Point, Held::Pin((2, 2))]), "{all:?}");
        let kit = crate::testing::kit(2, 12, 100.0);
        let block = BlockUse { kit: &kit, steps: [1, 1] };
        let refused = helpers(&Lattice::drawn("xxxxxxx xoxxxxx xxxxxxx ooooooo"), &block).unwrap_err();
        assert!(refused[0].message.starts_with("C2 has no hole beside it"), "{refused:?}");
    }

    #[test]
    fn one_dog_seats_the_block_on_one_side() {
        let (lattice, all) = opened(&"ooooo ".repeat(4), 0, 1);
        assert_can_be_done(&lattice, &all);
        for o in all.iter().filter(|o| o.pass == 2) {
            assert!(o.held.iter().filter(|h| matches!(h, Held::Dog(_))).count() <= 1, "{o:?}");
        }
    }

    #[test]
    fn a_block_that_reaches_two_pitches_colours_by_pairs() {
        let lattice = Lattice::drawn(&"oooooooo ".repeat(8));
        let kit = crate::testing::kit(2, 12, 100.0);
        let all = openings(&lattice, lattice.wanted(), &BlockUse { kit: &kit, steps: [2, 2] }, 0, &BTreeMap::new());
        assert_can_be_done(&lattice, &all);
        assert!(all.iter().all(|o| o.held != [Held::Point, Held::Point]));
    }
}
