//! Tearing down and building up: a part of the cuts is taken out and the parts are put in again
//! another way, many thousand times; a worse breakdown is gone on from as long as it is no worse than
//! some rounds ago.
//!
//! Ruin and recreate (Schrimpf and others 2000), accepting late (Burke and Bykov), with the goal
//! moved as it is reached: as soon as every part is cut from so much stock, less is allowed.

use super::draws::Draws;
use super::tree::{Id, NONE, Tree, What};
use super::{Axis, Problem, Size};

/// Rounds after which a breakdown must be no worse than it was: longer forgets more slowly. Tried on
/// the published instances: 100 to 1000 hardly differ, 20 is caught early.
const MEMORY: usize = 300;

/// Share of good places passed over when a part is put in, so that not the same is done again.
const PASSED_OVER: f64 = 0.04;

/// Rounds without anything better after which the search starts afresh from the best.
const PATIENCE: u64 = 40_000;

/// A way a part may lie on a kind of stock, grossed up.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub turned: bool,
    pub size: [Size; 2],
}

/// What the search goes by; sizes grossed up.
pub(super) struct Ground<'p> {
    pub problem: &'p Problem,
    /// For each kind of stock and part.
    pub ways: Vec<Vec<Vec<Way>>>,
    /// Sides of each kind of stock.
    pub rooms: Vec<[Size; 2]>,
    /// What a part left over counts.
    pub worth: Vec<f64>,
    /// Area of a part, for the order.
    area: Vec<f64>,
    /// Scale of areas, that of the largest sheet.
    scale: f64,
}

/// One sheet of the state.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    pub stock: usize,
    pub tree: Tree,
    pub open: bool,
}

/// A breakdown being worked on.
#[derive(Clone, Debug)]
pub(super) struct State {
    pub slots: Vec<Slot>,
    pub left: Vec<u32>,
    used: Vec<u32>,
    pub stock_area: f64,
}

/// What is aimed at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Aim {
    /// As much worth as can be cut from no more than so much stock.
    Cut { most_stock: f64 },
    /// All parts from that much stock, and what is left over in few large pieces.
    Offcuts { most_stock: f64 },
}

impl Aim {
    fn most_stock(self) -> f64 {
        match self {
            Aim::Cut { most_stock } | Aim::Offcuts { most_stock } => most_stock,
        }
    }
}

impl<'p> Ground<'p> {
    /// `by_value`: parts count by their value, else by their area.
    pub fn new(problem: &'p Problem, by_value: bool) -> Ground<'p> {
        let ways = |stock: &super::Stock| {
            let gross = |(turned, size): (bool, [Size; 2])| Way { turned, size: size.map(|s| s + stock.kerf) };
            problem.parts.iter().map(|part| part.ways(stock).map(gross).collect()).collect()
        };
        let area: Vec<f64> = problem.parts.iter().map(|p| p.size[0] as f64 * p.size[1] as f64).collect();
        let worth = if by_value { problem.parts.iter().map(|p| p.worth() as f64).collect() } else { area.clone() };
        Ground {
            problem,
            ways: problem.stock.iter().map(ways).collect(),
            rooms: problem.stock.iter().map(|s| s.room().map(|side| side + s.kerf)).collect(),
            worth,
            area,
            scale: problem.stock.iter().map(super::Stock::area).fold(1.0, f64::max),
        }
    }

    /// What a rest is worth to later parts: large ones more than several small ones.
    fn promise(&self, size: [Size; 2]) -> f64 {
        let share = size[0] as f64 * size[1] as f64 / self.scale;
        // share^1.25; square roots are the same on every machine
        share * share.sqrt().sqrt()
    }

    /// Merit of what is left over: the squares of useful areas, so that one large one is better than
    /// several small ones.
    fn merit(&self, state: &State) -> f64 {
        let useful = self.problem.useful;
        let mut merit = 0.0;
        for slot in state.slots.iter().filter(|s| s.open) {
            let kerf = self.problem.stock[slot.stock].kerf;
            for (_, size) in slot.tree.rests() {
                let [a, b] = size.map(|s| s - kerf);
                if a.max(b) >= useful[0] && a.min(b) >= useful[1] && b > 0 && a > 0 {
                    let share = a as f64 * b as f64 / self.scale;
                    merit += share * share;
                }
            }
        }
        merit
    }

    /// Nothing cut yet.
    pub fn nothing(&self) -> State {
        State {
            slots: Vec::new(),
            left: self.problem.parts.iter().map(|p| p.quantity).collect(),
            used: vec![0; self.problem.stock.len()],
            stock_area: 0.0,
        }
    }

    /// One sheet, cut as a tree says.
    pub fn one_sheet(&self, stock: usize, tree: Tree) -> State {
        let mut state = self.nothing();
        for (_, node) in tree.nodes() {
            if let What::Part(part, _) = node.what {
                state.left[part as usize] -= 1;
            }
        }
        state.used[stock] = 1;
        state.stock_area = self.problem.stock[stock].area();
        state.slots.push(Slot { stock, tree, open: true });
        state
    }

    /// What is not cut, by worth.
    pub fn missing(&self, state: &State) -> f64 {
        state.left.iter().zip(&self.worth).map(|(&n, w)| f64::from(n) * w).sum()
    }

    fn cost(&self, state: &State, aim: Aim) -> f64 {
        match aim {
            Aim::Cut { .. } => self.missing(state),
            // what is missing weighs more than any merit can
            Aim::Offcuts { .. } => self.missing(state) / self.scale * 1e6 - self.merit(state),
        }
    }
}

/// The search from round to round.
pub(super) struct Search<'g, 'p> {
    ground: &'g Ground<'p>,
    draws: Draws,
    aim: Aim,
    now: State,
    cost: f64,
    /// Costs of the last rounds, as a ring.
    memory: Vec<f64>,
    at: usize,
    /// The best of this aim.
    pub best: State,
    pub best_cost: f64,
    since: u64,
    /// Slots as they were before this round.
    undo: Vec<(usize, Option<Slot>)>,
    order: Vec<(f64, usize)>,
}

impl<'g, 'p> Search<'g, 'p> {
    pub fn new(ground: &'g Ground<'p>, seed: u64, aim: Aim, from: State) -> Search<'g, 'p> {
        let mut search = Search {
            ground,
            draws: Draws::new(seed),
            aim,
            cost: 0.0,
            memory: Vec::new(),
            at: 0,
            best: from.clone(),
            best_cost: 0.0,
            now: from,
            since: 0,
            undo: Vec::new(),
            order: Vec::new(),
        };
        search.build_up();
        search.undo.clear();
        search.start();
        search.best = search.now.clone();
        search.best_cost = search.cost;
        search
    }

    fn start(&mut self) {
        self.cost = self.ground.cost(&self.now, self.aim);
        self.memory = vec![self.cost; MEMORY];
        self.since = 0;
    }

    /// Aims elsewhere; sheets are given up, the emptiest first, until the stock allowed will do.
    pub fn aim_at(&mut self, aim: Aim) {
        self.aim = aim;
        while self.now.stock_area > aim.most_stock() {
            let filled = |slot: &Slot| -> f64 {
                let parts = slot.tree.nodes().filter_map(|(_, n)| match n.what {
                    What::Part(part, _) => Some(self.ground.area[part as usize]),
                    _ => None,
                });
                parts.sum::<f64>()
            };
            let open = self.now.slots.iter().enumerate().filter(|(_, s)| s.open);
            let Some((emptiest, _)) = open.map(|(i, s)| (i, filled(s))).min_by(|a, b| a.1.total_cmp(&b.1)) else {
                break;
            };
            self.empty(emptiest);
        }
        self.build_up();
        self.undo.clear();
        self.start();
        self.best = self.now.clone();
        self.best_cost = self.cost;
    }

    /// One round; true if it found something better than all before.
    pub fn round(&mut self) -> bool {
        let (left, used, area) = (self.now.left.clone(), self.now.used.clone(), self.now.stock_area);
        self.undo.clear();
        self.tear_down();
        self.build_up();
        let cost = self.ground.cost(&self.now, self.aim);
        let slack = 1e-12 * cost.abs();
        let accepted = cost <= self.cost + slack || cost <= self.memory[self.at] + slack;
        if accepted {
            self.cost = cost;
        } else {
            for (i, slot) in self.undo.drain(..).rev() {
                match slot {
                    Some(slot) => self.now.slots[i] = slot,
                    None => self.now.slots.truncate(i),
                }
            }
            (self.now.left, self.now.used, self.now.stock_area) = (left, used, area);
        }
        self.memory[self.at] = self.cost;
        self.at = (self.at + 1) % MEMORY;
        self.since += 1;
        let better = self.cost < self.best_cost - slack;
        if better {
            self.best = self.now.clone();
            self.best_cost = self.cost;
            self.since = 0;
        } else if self.since > PATIENCE {
            self.now = self.best.clone();
            self.start();
            // freed: the first rounds may go anywhere near
            let loose = self.cost.abs() * 0.02;
            self.memory.iter_mut().for_each(|m| *m += loose);
        }
        better
    }

    fn keep(&mut self, slot: usize) {
        if !self.undo.iter().any(|(i, _)| *i == slot) {
            self.undo.push((slot, Some(self.now.slots[slot].clone())));
        }
    }

    fn empty(&mut self, slot: usize) {
        self.keep(slot);
        let state = &mut self.now;
        let root = state.slots[slot].tree.root;
        let left = &mut state.left;
        state.slots[slot].tree.remove(root, &mut |part| left[part as usize] += 1);
        self.close_if_bare(slot);
    }

    fn close_if_bare(&mut self, slot: usize) {
        let state = &mut self.now;
        if state.slots[slot].open && state.slots[slot].tree.is_bare() {
            let stock = state.slots[slot].stock;
            state.slots[slot].open = false;
            state.used[stock] -= 1;
            state.stock_area -= self.ground.problem.stock[stock].area();
        }
    }

    fn tear_down(&mut self) {
        let open: Vec<usize> = (0..self.now.slots.len()).filter(|&i| self.now.slots[i].open).collect();
        if open.is_empty() {
            return;
        }
        if open.len() > 1 && self.draws.chance(0.03) {
            let slot = open[self.draws.below(open.len())];
            self.empty(slot);
        }
        // mostly a few pieces, now and then many
        let reach = if self.draws.chance(0.1) { 12 } else { 5 };
        let times = 1 + self.draws.below(reach);
        let mut slot = open[self.draws.below(open.len())];
        for _ in 0..times {
            if open.len() > 1 && self.draws.chance(0.3) {
                slot = open[self.draws.below(open.len())];
            }
            if !self.now.slots[slot].open {
                continue;
            }
            let tree = &self.now.slots[slot].tree;
            let taken: Vec<Id> = tree.nodes().filter(|(_, n)| matches!(n.what, What::Part(..))).map(|n| n.0).collect();
            if taken.is_empty() {
                continue;
            }
            let mut id = taken[self.draws.below(taken.len())];
            while self.draws.chance(0.25) {
                let parent = self.now.slots[slot].tree.node(id).parent;
                if parent == NONE {
                    break;
                }
                id = parent;
            }
            self.keep(slot);
            let state = &mut self.now;
            let left = &mut state.left;
            state.slots[slot].tree.remove(id, &mut |part| left[part as usize] += 1);
            self.close_if_bare(slot);
        }
    }

    fn build_up(&mut self) {
        let mut order = std::mem::take(&mut self.order);
        order.clear();
        // which comes first: mostly the larger, by area or by the longer side
        let by_side = self.draws.chance(0.3);
        for (part, &n) in self.now.left.iter().enumerate() {
            if n > 0 {
                let size = self.ground.problem.parts[part].size;
                let key = if by_side {
                    let long = size[0].max(size[1]) as f64;
                    long * long
                } else {
                    self.ground.area[part]
                };
                let noise = 1.0 + self.draws.unit() * 0.6;
                order.push((key * noise, part));
            }
        }
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        for &(_, part) in &order {
            while self.now.left[part] > 0 && self.put(part) {}
        }
        self.order = order;
    }

    /// Puts one of a part where it spoils least; false if it has no place.
    fn put(&mut self, part: usize) -> bool {
        let ground = self.ground;
        let stages = ground.problem.stages;
        let mut best: Option<(f64, usize, Id, Axis, Way)> = None;
        for (i, slot) in self.now.slots.iter().enumerate() {
            if !slot.open {
                continue;
            }
            let ways = &ground.ways[slot.stock][part];
            if ways.is_empty() {
                continue;
            }
            for (rest, room) in slot.tree.rests() {
                for way in ways {
                    if way.size[0] > room[0] || way.size[1] > room[1] {
                        continue;
                    }
                    for axis in [Axis::X, Axis::Y] {
                        if best.is_some() && self.draws.chance(PASSED_OVER) {
                            continue;
                        }
                        if stages.is_some_and(|most| slot.tree.stages_for(rest, way.size, axis) > most) {
                            continue;
                        }
                        let gain = self.gain(room, way.size, axis);
                        if best.as_ref().is_none_or(|b| gain > b.0) {
                            best = Some((gain, i, rest, axis, *way));
                        }
                    }
                }
            }
        }
        let (slot, rest, axis, way) = match best {
            Some((_, slot, rest, axis, way)) => (slot, rest, axis, way),
            None => {
                let Some((slot, way)) = self.open_for(part) else { return false };
                let tree = &self.now.slots[slot].tree;
                let room = ground.rooms[self.now.slots[slot].stock];
                let may = |axis: Axis| stages.is_none_or(|most| tree.stages_for(tree.root, way.size, axis) <= most);
                let gains = [Axis::X, Axis::Y].map(|axis| (may(axis), self.gain(room, way.size, axis), axis));
                let best = gains.into_iter().filter(|g| g.0).max_by(|a, b| a.1.total_cmp(&b.1));
                let Some((_, _, axis)) = best else {
                    return false;
                };
                (slot, self.now.slots[slot].tree.root, axis, way)
            }
        };
        self.keep(slot);
        let state = &mut self.now;
        if !state.slots[slot].open {
            let stock = state.slots[slot].stock;
            state.slots[slot].open = true;
            state.used[stock] += 1;
            state.stock_area += ground.problem.stock[stock].area();
        }
        state.slots[slot].tree.insert(rest, way.size, axis, part as u32, way.turned);
        state.left[part] -= 1;
        true
    }

    /// What the rests promise afterwards less what the rest promised.
    fn gain(&self, room: [Size; 2], size: [Size; 2], first: Axis) -> f64 {
        let a = first.index();
        let b = 1 - a;
        let mut beside = room;
        beside[a] -= size[a];
        let mut over = size;
        over[b] = room[b] - size[b];
        // a strip as wide as the rest is not parted along it at all
        let first_only = beside[a] == 0 || over[b] == 0;
        let promise = self.ground.promise(beside) + self.ground.promise(over) - self.ground.promise(room);
        if first_only { promise + 1e-3 } else { promise }
    }

    /// A sheet to be opened for a part, its slot made where there is none free.
    fn open_for(&mut self, part: usize) -> Option<(usize, Way)> {
        let ground = self.ground;
        let stock = &ground.problem.stock;
        let may: Vec<usize> = (0..stock.len())
            .filter(|&s| {
                self.now.used[s] < stock[s].quantity
                    && !ground.ways[s][part].is_empty()
                    && self.now.stock_area + stock[s].area() <= self.aim.most_stock() * (1.0 + 1e-12)
            })
            .collect();
        if may.is_empty() {
            return None;
        }
        let s = may[self.draws.below(may.len())];
        let ways = &ground.ways[s][part];
        let way = ways[self.draws.below(ways.len())];
        if let Some(slot) = self.now.slots.iter().position(|slot| !slot.open && slot.stock == s) {
            return Some((slot, way));
        }
        let slot = self.now.slots.len();
        self.now.slots.push(Slot {
            stock: s,
            tree: Tree::new(ground.rooms[s], ground.problem.stages.is_none()),
            open: false,
        });
        self.undo.push((slot, None));
        Some((slot, way))
    }
}
