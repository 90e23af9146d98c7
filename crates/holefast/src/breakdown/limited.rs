//! Exact: the most value that can be cut from one sheet when there are only so many of each part.
//!
//! Blocks are put beside one another two by two (Wang 1983) until nothing new comes of it. A block is
//! dropped where another of the same parts is no larger, and where even with the best that could
//! surround it (Viswanathan and Bagchi 1993, by the table without limits) nothing better comes than
//! what is known. If the blocks do not become too many, what is found then is proved the best.

use super::patterns::{reaching, sums};
use super::tree::{Plan, Planned};
use super::unlimited::{Table, Valued};
use super::{Axis, Size};

/// Blocks at most; more would take more than 100 MB.
const MOST_BLOCKS: usize = 400_000;

/// Pairs of blocks looked at, at most: about a second.
const MOST_PAIRS: u64 = 100_000_000;

/// Patterns per side up to which the surroundings are bounded by the table.
const MOST_PATTERNS: usize = 500;

/// Parts in their ways, and how many of each.
pub(super) struct Limited<'a> {
    /// Ways, grossed up; the tag is the place in this list.
    pub ways: &'a [Valued],
    /// Which part each way is of.
    pub part_of: &'a [u32],
    /// How many of each part.
    pub quantity: &'a [u32],
    /// Sides of the sheet, grossed up.
    pub room: [Size; 2],
}

/// What came out.
#[derive(Debug, PartialEq)]
pub(super) struct Found {
    /// Something better than what was known.
    pub better: Option<(u64, Plan)>,
    /// There is nothing better than that, or than what was known.
    pub proved: bool,
}

#[derive(Clone, Copy)]
struct Block {
    size: [u32; 2],
    value: u32,
    /// How many of each part, packed.
    parts: u128,
    made: Put,
    /// Next block of the same parts.
    next: u32,
}

#[derive(Clone, Copy)]
enum Put {
    Way(u32),
    Beside(Axis, u32, u32),
}

const NONE: u32 = u32::MAX;

/// Looks for more than `known`; `pulse` is asked now and then whether to go on.
pub(super) fn look(limited: &Limited<'_>, known: u64, pulse: &mut dyn FnMut() -> bool) -> Option<Found> {
    let counts = Counts::new(limited)?;
    let around = Around::new(limited)?;
    let mut known = known;
    let mut blocks: Vec<Block> = Vec::new();
    let mut heads = Heads::new();
    let mut best = NONE;
    // blocks by area, so that both halves of a block stand before it: a heap of areas with places
    let mut waiting = std::collections::BinaryHeap::new();
    let mut done: Vec<u32> = Vec::new();
    let mut add = |blocks: &mut Vec<Block>, block: Block, known: &mut u64| -> Option<u32> {
        if u64::from(block.value) + around.most(block.size) <= *known {
            return None;
        }
        let head = heads.head(block.parts);
        let mut at = *head;
        while at != NONE {
            let other = &blocks[at as usize];
            if other.size[0] <= block.size[0] && other.size[1] <= block.size[1] {
                return None;
            }
            at = other.next;
        }
        let id = blocks.len() as u32;
        blocks.push(Block { next: *head, ..block });
        *head = id;
        *known = (*known).max(u64::from(block.value));
        Some(id)
    };
    let area = |block: &Block| u64::from(block.size[0]) * u64::from(block.size[1]);
    for (tag, way) in limited.ways.iter().enumerate() {
        let size = [u32::try_from(way.size[0]).ok()?, u32::try_from(way.size[1]).ok()?];
        let parts = counts.one(limited.part_of[tag]);
        let block = Block { size, value: way.value, parts, made: Put::Way(tag as u32), next: NONE };
        let before = known;
        if let Some(id) = add(&mut blocks, block, &mut known) {
            if known > before {
                best = id;
            }
            waiting.push((std::cmp::Reverse(area(&block)), std::cmp::Reverse(id)));
        }
    }
    let room = [u32::try_from(limited.room[0]).ok()?, u32::try_from(limited.room[1]).ok()?];
    let mut pairs = 0u64;
    while let Some((_, std::cmp::Reverse(id))) = waiting.pop() {
        let block = blocks[id as usize];
        // what is better now may have made it useless
        if u64::from(block.value) + around.most(block.size) <= known {
            continue;
        }
        done.push(id);
        pairs += done.len() as u64;
        if pairs > MOST_PAIRS || blocks.len() > MOST_BLOCKS || (done.len().is_multiple_of(256) && !pulse()) {
            let better = (best != NONE).then(|| (known, plan(limited, &blocks, best)));
            return Some(Found { better, proved: false });
        }
        for &other_id in &done {
            let other = blocks[other_id as usize];
            for axis in [Axis::X, Axis::Y] {
                let (a, b) = (axis.index(), axis.other().index());
                let along = block.size[a] + other.size[a];
                if along > room[a] {
                    continue;
                }
                let Some(parts) = counts.together(block.parts, other.parts) else { break };
                let mut size = [0; 2];
                size[a] = along;
                size[b] = block.size[b].max(other.size[b]);
                let made = Put::Beside(axis, id, other_id);
                let new = Block { size, value: block.value + other.value, parts, made, next: NONE };
                let before = known;
                if let Some(new_id) = add(&mut blocks, new, &mut known) {
                    if known > before {
                        best = new_id;
                    }
                    waiting.push((std::cmp::Reverse(area(&new)), std::cmp::Reverse(new_id)));
                }
            }
        }
    }
    let better = (best != NONE).then(|| (known, plan(limited, &blocks, best)));
    Some(Found { better, proved: true })
}

fn plan(limited: &Limited<'_>, blocks: &[Block], id: u32) -> Plan {
    let block = &blocks[id as usize];
    match block.made {
        Put::Way(tag) => Plan { size: limited.ways[tag as usize].size, what: Planned::Part(tag) },
        Put::Beside(axis, one, other) => Plan::beside(axis, plan(limited, blocks, one), plan(limited, blocks, other)),
    }
}

/// How many of each part, packed into one number with a bit of room above each count.
struct Counts {
    shift: Vec<u32>,
    /// Added to a sum it sets the bit above every count that is too great.
    slack: u128,
    above: u128,
}

impl Counts {
    /// None if the counts need more bits than there are.
    fn new(limited: &Limited<'_>) -> Option<Counts> {
        let mut counts = Counts { shift: Vec::new(), slack: 0, above: 0 };
        let mut at = 0;
        for &most in limited.quantity {
            let bits = 33 - most.leading_zeros();
            counts.shift.push(at);
            if at + bits > 128 {
                return None;
            }
            let bit = 1u128 << (at + bits - 1);
            counts.above |= bit;
            counts.slack |= (bit - (1u128 << at)) - (u128::from(most) << at);
            at += bits;
        }
        Some(counts)
    }

    fn one(&self, part: u32) -> u128 {
        1 << self.shift[part as usize]
    }

    /// Both together, if there are so many.
    fn together(&self, a: u128, b: u128) -> Option<u128> {
        ((a + b + self.slack) & self.above == 0).then_some(a + b)
    }
}

/// The most that can stand round a block.
struct Around {
    x: Vec<Size>,
    y: Vec<Size>,
    most: Vec<u32>,
}

impl Around {
    fn new(limited: &Limited<'_>) -> Option<Around> {
        let table = Table::new(limited.ways, limited.room)?;
        let sides = |i: usize| limited.ways.iter().map(|p| p.size[i]).collect::<Vec<_>>();
        let x = sums(&sides(0), limited.room[0], MOST_PATTERNS)?;
        let y = sums(&sides(1), limited.room[1], MOST_PATTERNS)?;
        let (n_x, n_y) = (x.len(), y.len());
        let mut most = vec![0; n_x * n_y];
        for i in (0..n_x).rev() {
            for j in (0..n_y).rev() {
                // at least what the strips at both sides hold by themselves
                let left = [limited.room[0] - x[i], limited.room[1] - y[j]];
                let mut best = table.best([left[0], y[j]]).max(table.best([x[i], left[1]]));
                for k in i + 1..n_x {
                    best = best.max(table.best([x[k] - x[i], y[j]]) + most[k * n_y + j]);
                }
                for k in j + 1..n_y {
                    best = best.max(table.best([x[i], y[k] - y[j]]) + most[i * n_y + k]);
                }
                most[i * n_y + j] = best;
            }
        }
        Some(Around { x, y, most })
    }

    fn most(&self, size: [u32; 2]) -> u64 {
        // sizes of blocks are patterns
        let i = reaching(&self.x, Size::from(size[0])) - 1;
        let j = reaching(&self.y, Size::from(size[1])) - 1;
        u64::from(self.most[i * self.y.len() + j])
    }
}

/// The first block of each set of parts: an open table, since nothing ever walks through it in
/// order.
struct Heads {
    keys: Vec<u128>,
    heads: Vec<u32>,
    used: usize,
}

impl Heads {
    fn new() -> Heads {
        Heads { keys: vec![0; 1024], heads: vec![NONE; 1024], used: 0 }
    }

    fn place(keys: &[u128], key: u128) -> usize {
        let mixed = ((key as u64) ^ ((key >> 64) as u64).rotate_left(29)).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let mut at = (mixed >> 20) as usize & (keys.len() - 1);
        while keys[at] != 0 && keys[at] != key {
            at = (at + 1) & (keys.len() - 1);
        }
        at
    }

    fn head(&mut self, key: u128) -> &mut u32 {
        if self.used * 2 > self.keys.len() {
            let n = self.keys.len() * 2;
            let (keys, heads) = (vec![0; n], vec![NONE; n]);
            let (keys, heads) = (std::mem::replace(&mut self.keys, keys), std::mem::replace(&mut self.heads, heads));
            for (key, head) in keys.into_iter().zip(heads).filter(|(key, _)| *key != 0) {
                let at = Heads::place(&self.keys, key);
                self.keys[at] = key;
                self.heads[at] = head;
            }
        }
        let at = Heads::place(&self.keys, key);
        if self.keys[at] == 0 {
            self.keys[at] = key;
            self.used += 1;
        }
        &mut self.heads[at]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_together_are_allowed_up_to_the_quantities() {
        let limited = Limited { ways: &[], part_of: &[], quantity: &[1, 2, 5, 7, 8], room: [1, 1] };
        let counts = Counts::new(&limited).expect("few bits");
        for (part, &most) in limited.quantity.iter().enumerate() {
            let one = counts.one(part as u32);
            let mut sum = one;
            for n in 2..=most {
                sum = counts.together(sum, one).unwrap_or_else(|| panic!("{n} of part {part}"));
            }
            assert_eq!(counts.together(sum, one), None, "one too many of part {part}");
            let other = counts.one((part as u32 + 1) % 5);
            assert!(counts.together(sum, other).is_some(), "counts do not touch one another");
        }
        let many = vec![255; 20];
        assert!(Counts::new(&Limited { quantity: &many, ..limited }).is_none());
    }

    #[test]
    fn heads_are_kept_apart_through_growing() {
        let mut heads = Heads::new();
        for key in 1..5000u128 {
            *heads.head(key << (key % 90)) = key as u32;
        }
        let mut last = std::collections::BTreeMap::new();
        (1..5000u128).for_each(|key| {
            last.insert(key << (key % 90), key as u32);
        });
        for (key, expected) in last {
            assert_eq!(*heads.head(key), expected);
        }
    }
}
