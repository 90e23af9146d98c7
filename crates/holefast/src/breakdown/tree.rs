//! One sheet as a tree of through cuts that parts are put into and taken out of.
//!
//! Sizes are grossed up by the kerf (see `super`), so pieces fill what they are cut from without
//! gaps. A split's pieces follow one another along its axis; splits along the two axes alternate on
//! the way down; a split has two pieces or more and at most one rest. Pieces of a split may change
//! places freely, so all that is left of it is one rest.

use super::{Axis, Size};

/// A node's number; [`NONE`] for no node.
pub(super) type Id = u32;

/// No node.
pub(super) const NONE: Id = u32::MAX;

/// What a node is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum What {
    /// Left over.
    Rest,
    /// A part, and whether it is turned.
    Part(u32, bool),
    /// Cut into pieces along an axis.
    Split(Axis),
    /// Not in use.
    Free,
}

/// A rectangle of the sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Node {
    pub what: What,
    pub size: [Size; 2],
    pub parent: Id,
    /// First piece of a split.
    pub first: Id,
    pub next: Id,
    pub before: Id,
}

/// A block of parts that a tree is made from.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Plan {
    pub size: [Size; 2],
    pub what: Planned,
}

/// What a block is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Planned {
    /// One part, by the tag the maker of the plan gave it.
    Part(u32),
    /// Two blocks beside one another along an axis.
    Beside(Axis, Box<[Plan; 2]>),
}

impl Plan {
    /// Two blocks beside one another.
    pub fn beside(axis: Axis, one: Plan, other: Plan) -> Plan {
        let (a, b) = (axis.index(), axis.other().index());
        let mut size = [0; 2];
        size[a] = one.size[a] + other.size[a];
        size[b] = one.size[b].max(other.size[b]);
        Plan { size, what: Planned::Beside(axis, Box::new([one, other])) }
    }
}

/// A sheet's cuts.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    nodes: Vec<Node>,
    free: Vec<Id>,
    pub root: Id,
    /// A cut may be put before all others; not where the stages are counted.
    deepens: bool,
}

impl Tree {
    /// A sheet that is all left over.
    pub fn new(size: [Size; 2], deepens: bool) -> Tree {
        let whole = Node { what: What::Rest, size, parent: NONE, first: NONE, next: NONE, before: NONE };
        Tree { nodes: vec![whole], free: Vec::new(), root: 0, deepens }
    }

    pub fn node(&self, id: Id) -> &Node {
        &self.nodes[id as usize]
    }

    fn at(&mut self, id: Id) -> &mut Node {
        &mut self.nodes[id as usize]
    }

    /// All nodes in use.
    pub fn nodes(&self) -> impl Iterator<Item = (Id, &Node)> {
        self.nodes.iter().enumerate().filter(|(_, n)| n.what != What::Free).map(|(i, n)| (i as Id, n))
    }

    /// What is left over.
    pub fn rests(&self) -> impl Iterator<Item = (Id, [Size; 2])> {
        self.nodes.iter().enumerate().filter(|(_, n)| n.what == What::Rest).map(|(i, n)| (i as Id, n.size))
    }

    /// The pieces of a split, in order.
    pub fn pieces(&self, id: Id) -> impl Iterator<Item = Id> {
        let mut next = self.node(id).first;
        std::iter::from_fn(move || {
            let id = next;
            (id != NONE).then(|| next = self.node(id).next)?;
            Some(id)
        })
    }

    /// True if nothing is cut from the sheet.
    pub fn is_bare(&self) -> bool {
        self.node(self.root).what == What::Rest
    }

    /// How many splits lie above a node, itself not counted.
    pub fn depth(&self, id: Id) -> u32 {
        let mut depth = 0;
        let mut at = self.node(id).parent;
        while at != NONE {
            depth += 1;
            at = self.node(at).parent;
        }
        depth
    }

    /// Stages needed above a piece cut from a rest: one for each direction that must be cut, in the
    /// order `first`, other; a split of the same direction above is used again.
    pub fn stages_for(&self, rest: Id, size: [Size; 2], first: Axis) -> u32 {
        let node = self.node(rest);
        let needs = |axis: Axis| size[axis.index()] < node.size[axis.index()];
        let depth = self.depth(rest);
        let above = match node.parent {
            NONE => None,
            parent => match self.node(parent).what {
                What::Split(axis) => Some(axis),
                _ => None,
            },
        };
        let mut count = depth;
        let mut last = above;
        for axis in [first, first.other()] {
            if needs(axis) && last != Some(axis) {
                count += 1;
                last = Some(axis);
            }
        }
        count
    }

    /// Puts a part of `size` into a rest that it fits in; `first` is the axis along which the rest is
    /// parted first.
    pub fn insert(&mut self, rest: Id, size: [Size; 2], first: Axis, part: u32, turned: bool) {
        let room = self.node(rest).size;
        let needs = |axis: Axis| size[axis.index()] < room[axis.index()];
        if !needs(Axis::X) && !needs(Axis::Y) {
            self.at(rest).what = What::Part(part, turned);
            return;
        }
        let axis = if needs(first) { first } else { first.other() };
        let (strip, _) = self.cut_off(rest, axis, size[axis.index()]);
        if needs(axis.other()) {
            let (piece, _) = self.cut_off(strip, axis.other(), size[axis.other().index()]);
            self.at(piece).what = What::Part(part, turned);
        } else {
            self.at(strip).what = What::Part(part, turned);
        }
    }

    /// Cuts a block out of a rest that it fits in; `ways` says which part, and whether turned, a tag
    /// stands for.
    pub fn lay(&mut self, rest: Id, plan: &Plan, ways: &[(u32, bool)]) {
        let mut rest = rest;
        for axis in [Axis::X, Axis::Y] {
            if plan.size[axis.index()] < self.node(rest).size[axis.index()] {
                rest = self.cut_off(rest, axis, plan.size[axis.index()]).0;
            }
        }
        match &plan.what {
            Planned::Part(tag) => {
                let (part, turned) = ways[*tag as usize];
                self.at(rest).what = What::Part(part, turned);
            }
            Planned::Beside(axis, both) => {
                let (one, other) = self.cut_off(rest, *axis, both[0].size[axis.index()]);
                self.lay(one, &both[0], ways);
                self.lay(other, &both[1], ways);
            }
        }
    }

    /// Cuts a piece of so much off a rest along an axis; says which the piece is, a rest of its own for
    /// the moment, and which what remains.
    fn cut_off(&mut self, rest: Id, axis: Axis, length: Size) -> (Id, Id) {
        let a = axis.index();
        let mut rest = rest;
        let parent = self.node(rest).parent;
        if parent == NONE || self.node(parent).what != What::Split(axis) {
            let size = self.node(rest).size;
            let split = rest;
            rest = self.add(What::Rest, size);
            self.at(split).what = What::Split(axis);
            self.at(split).first = NONE;
            self.link(rest, split);
        }
        let mut size = self.node(rest).size;
        self.at(rest).size[a] -= length;
        size[a] = length;
        let piece = self.add(What::Rest, size);
        let split = self.node(rest).parent;
        self.link(piece, split);
        (piece, rest)
    }

    /// Takes out a part, or all that a split holds; what that frees is put together with what lies
    /// beside it. The parts that came out are told to `out`.
    pub fn remove(&mut self, id: Id, out: &mut impl FnMut(u32)) {
        if let What::Part(part, _) = self.node(id).what {
            out(part);
        }
        let mut inner = self.node(id).first;
        while inner != NONE {
            let next = self.node(inner).next;
            self.drop_all(inner, out);
            inner = next;
        }
        self.at(id).what = What::Rest;
        self.at(id).first = NONE;
        self.settle(id);
    }

    fn drop_all(&mut self, id: Id, out: &mut impl FnMut(u32)) {
        if let What::Part(part, _) = self.node(id).what {
            out(part);
        }
        let mut inner = self.node(id).first;
        while inner != NONE {
            let next = self.node(inner).next;
            self.drop_all(inner, out);
            inner = next;
        }
        self.release(id);
    }

    /// A rest has grown: it is put together with the rest beside it, an empty split becomes a rest,
    /// and splits that could be narrower give what they do not need to the split above.
    fn settle(&mut self, rest: Id) {
        let split = self.node(rest).parent;
        if split == NONE {
            return;
        }
        self.join_rests(split);
        let first = self.node(split).first;
        if self.node(first).next == NONE && self.node(first).what == What::Rest {
            self.release(first);
            self.at(split).what = What::Rest;
            self.at(split).first = NONE;
            self.settle(split);
        } else {
            self.tighten(split);
        }
    }

    /// Makes the rests of a split one.
    fn join_rests(&mut self, split: Id) {
        let What::Split(axis) = self.node(split).what else { return };
        let mut kept = NONE;
        let mut at = self.node(split).first;
        while at != NONE {
            let next = self.node(at).next;
            if self.node(at).what == What::Rest {
                if kept == NONE {
                    kept = at;
                } else {
                    let length = self.node(at).size[axis.index()];
                    self.at(kept).size[axis.index()] += length;
                    self.unlink(at);
                    self.release(at);
                }
            }
            at = next;
        }
    }

    /// Gives what a split could spare across its axis to the split above, and goes on upwards.
    fn tighten(&mut self, split: Id) {
        let mut split = split;
        loop {
            let What::Split(axis) = self.node(split).what else { return };
            let parent = self.node(split).parent;
            let spare = self.spare(split, axis);
            if spare > 0 && (parent != NONE || self.deepens) && self.worth_giving(split, axis, spare) {
                self.give(split, axis, spare);
            }
            if parent == NONE {
                return;
            }
            split = parent;
        }
    }

    /// What all pieces of a split have to spare across its axis.
    fn spare(&self, split: Id, axis: Axis) -> Size {
        let b = axis.other().index();
        let spares = self.pieces(split).filter_map(|piece| match self.node(piece).what {
            What::Rest => None,
            What::Split(_) => Some(self.rest_of(piece).map_or(0, |rest| self.node(rest).size[b])),
            _ => Some(0),
        });
        spares.min().unwrap_or(0)
    }

    /// The rest among a split's pieces.
    pub fn rest_of(&self, split: Id) -> Option<Id> {
        self.pieces(split).find(|&piece| self.node(piece).what == What::Rest)
    }

    /// Whether giving makes the greatest rest greater: a long rest along the split would be shortened.
    fn worth_giving(&self, split: Id, axis: Axis, spare: Size) -> bool {
        let Some(rest) = self.rest_of(split) else { return true };
        let (a, b) = (axis.index(), axis.other().index());
        let node = self.node(split);
        let own = self.node(rest).size;
        let parent = node.parent;
        let beside = if parent == NONE { 0 } else { self.rest_of(parent).map_or(0, |r| self.node(r).size[b]) };
        let given = (beside + spare) * node.size[a];
        given.max(own[a] * (own[b] - spare)) >= own[a] * own[b]
    }

    /// Makes a split narrower by what it spares.
    fn give(&mut self, split: Id, axis: Axis, spare: Size) {
        let b = axis.other().index();
        self.at(split).size[b] -= spare;
        let mut at = self.node(split).first;
        while at != NONE {
            let next = self.node(at).next;
            self.at(at).size[b] -= spare;
            if let (What::Split(_), Some(rest)) = (self.node(at).what, self.rest_of(at)) {
                self.at(rest).size[b] -= spare;
                if self.node(rest).size[b] == 0 {
                    self.unlink(rest);
                    self.release(rest);
                    self.lift_single(at);
                }
            }
            at = next;
        }
        self.join_rests(split);
        let parent = self.node(split).parent;
        let mut size = self.node(split).size;
        size[b] = spare;
        if parent == NONE {
            let whole = self.node(split).size;
            let mut sheet = whole;
            sheet[b] += spare;
            let root = self.add(What::Split(axis.other()), sheet);
            self.root = root;
            self.link(split, root);
            let rest = self.add(What::Rest, size);
            self.link(rest, root);
        } else {
            let rest = self.add(What::Rest, size);
            self.link(rest, parent);
            self.join_rests(parent);
        }
    }

    /// A split of one piece gives way to that piece; if the piece is cut along the axis of the split
    /// above, its pieces move up there.
    fn lift_single(&mut self, split: Id) {
        let only = self.node(split).first;
        if only == NONE || self.node(only).next != NONE {
            return;
        }
        let parent = self.node(split).parent;
        let only_what = self.node(only).what;
        if let (What::Split(axis), true) = (only_what, parent != NONE)
            && self.node(parent).what == What::Split(axis)
        {
            let mut at = self.node(only).first;
            while at != NONE {
                let next = self.node(at).next;
                self.link(at, parent);
                at = next;
            }
            self.release(only);
            self.unlink(split);
            self.release(split);
            return;
        }
        // the piece moves into the split's place
        let inner = self.node(only).first;
        self.at(split).what = only_what;
        self.at(split).first = inner;
        let mut at = inner;
        while at != NONE {
            self.at(at).parent = split;
            at = self.node(at).next;
        }
        self.release(only);
    }

    fn add(&mut self, what: What, size: [Size; 2]) -> Id {
        let node = Node { what, size, parent: NONE, first: NONE, next: NONE, before: NONE };
        match self.free.pop() {
            Some(id) => {
                *self.at(id) = node;
                id
            }
            None => {
                self.nodes.push(node);
                (self.nodes.len() - 1) as Id
            }
        }
    }

    fn release(&mut self, id: Id) {
        self.at(id).what = What::Free;
        self.at(id).first = NONE;
        self.free.push(id);
    }

    /// Puts a node among a split's pieces, at the front.
    fn link(&mut self, id: Id, split: Id) {
        let first = self.node(split).first;
        if first != NONE {
            self.at(first).before = id;
        }
        let node = self.at(id);
        node.parent = split;
        node.before = NONE;
        node.next = first;
        self.at(split).first = id;
    }

    fn unlink(&mut self, id: Id) {
        let Node { parent, next, before, .. } = *self.node(id);
        if before == NONE {
            self.at(parent).first = next;
        } else {
            self.at(before).next = next;
        }
        if next != NONE {
            self.at(next).before = before;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::breakdown::draws::Draws;

    /// Everything that must hold of a tree, from its root down.
    fn assert_sound(tree: &Tree, id: Id) -> usize {
        let node = *tree.node(id);
        assert!(node.size[0] > 0 && node.size[1] > 0, "{node:?}");
        let What::Split(axis) = node.what else { return 1 };
        let pieces: Vec<Id> = tree.pieces(id).collect();
        assert!(pieces.len() >= 2, "a split of {} pieces", pieces.len());
        let (a, b) = (axis.index(), axis.other().index());
        assert_eq!(pieces.iter().map(|&p| tree.node(p).size[a]).sum::<Size>(), node.size[a]);
        assert!(pieces.iter().filter(|&&p| tree.node(p).what == What::Rest).count() <= 1);
        let mut count = 1;
        for &piece in &pieces {
            assert_eq!(tree.node(piece).size[b], node.size[b]);
            assert_eq!(tree.node(piece).parent, id);
            assert_ne!(tree.node(piece).what, What::Split(axis), "the same axis twice");
            count += assert_sound(tree, piece);
        }
        count
    }

    #[test]
    fn a_thousand_moves_leave_the_tree_sound() {
        let mut draws = Draws::new(3);
        let whole = [1000, 700];
        let mut tree = Tree::new(whole, true);
        let sizes: Vec<[Size; 2]> =
            (0..12).map(|_| [20 * (2 + draws.below(10) as Size), 20 * (2 + draws.below(10) as Size)]).collect();
        let mut inside = vec![0i32; sizes.len()];
        let (mut put, mut taken) = (0, 0);
        for _ in 0..4000 {
            let part = draws.below(sizes.len());
            let rests: Vec<_> = tree.rests().filter(|(_, r)| (0..2).all(|i| sizes[part][i] <= r[i])).collect();
            if !rests.is_empty() && draws.chance(0.6) {
                let axis = if draws.chance(0.5) { Axis::X } else { Axis::Y };
                tree.insert(rests[draws.below(rests.len())].0, sizes[part], axis, part as u32, false);
                inside[part] += 1;
                put += 1;
            } else {
                let ids: Vec<Id> = tree.nodes().filter(|(_, n)| n.what != What::Rest).map(|(id, _)| id).collect();
                if !ids.is_empty() {
                    let id = ids[draws.below(ids.len())];
                    tree.remove(id, &mut |part| inside[part as usize] -= 1);
                    taken += 1;
                }
            }
            assert_eq!(tree.node(tree.root).size, whole);
            assert_eq!(assert_sound(&tree, tree.root), tree.nodes().count(), "nodes lost");
            let mut found = vec![0; sizes.len()];
            for (_, node) in tree.nodes() {
                if let What::Part(part, _) = node.what {
                    found[part as usize] += 1;
                    assert_eq!(node.size, sizes[part as usize]);
                }
            }
            assert_eq!(found, inside);
        }
        assert!(put > 500 && taken > 500, "{put} put in, {taken} taken out");
    }

    #[test]
    fn taking_everything_out_leaves_a_bare_sheet() {
        let mut tree = Tree::new([100, 60], true);
        for size in [[50, 30], [50, 30], [20, 60], [30, 30]] {
            let rest = tree.rests().find(|(_, r)| size[0] <= r[0] && size[1] <= r[1]).map(|(id, _)| id);
            if let Some(rest) = rest {
                tree.insert(rest, size, Axis::X, 0, false);
            }
        }
        assert!(!tree.is_bare());
        let first = |tree: &Tree| tree.nodes().find(|(_, n)| matches!(n.what, What::Part(..))).map(|(id, _)| id);
        while let Some(id) = first(&tree) {
            tree.remove(id, &mut |_| {});
        }
        assert!(tree.is_bare() && tree.nodes().count() == 1);
    }
}
