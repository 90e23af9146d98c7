//! Many virtual boards: worked out in blocks, by whoever the caller has to work them out, and
//! merged in the order of the blocks, so that the answer is bit for bit the same however many
//! worked on it.
//!
//! Square and pitch deviation in mm per m, positions in mm, lines in mm per m. What the boards say
//! about a plan is `result`'s and `checks`' matter.

use pulp::{Arch, Simd, WithSimd};

use super::board::{Boards, of_lane};
use super::draws::Draws;
use super::lanes::{Lanes, small_angle};
use super::lines::Line;
use super::model::{Hold, Model};
use super::square::{Lattice, RigidFit, turn_of};
use super::stream::Streams;

/// Boards of one block: long enough that handing it out costs nothing, short enough that progress
/// moves (a hundredth of a second).
pub const BLOCK: u64 = 1024;

/// Boards side by side: two registers' worth where they are widest, so that one waits while the
/// other works.
pub(super) const WIDTH: usize = 16;

/// Boards whose misfits are kept to find what a check of one bar stops.
pub(super) const MOST_MISFITS: u64 = 100_000;

/// Boards kept whole to find what a check of linked bars stops: each try on one is a little
/// optimisation of its own.
pub(super) const MOST_LINKED: u64 = 256;

/// Rad, or a ratio, to mm per m.
pub(super) const PER_METRE: f64 = 1000.0;

/// A model with what is asked of its boards.
#[derive(Clone, Debug)]
pub(super) struct Program<'m> {
    pub(super) model: &'m Model,
    pub(super) lattice: Option<Lattice>,
    pub(super) fit: Option<RigidFit>,
    pub(super) lines: Vec<Line>,
    draws: Draws,
    seed: u64,
    checks: bool,
}

/// What one block of boards came out as; opaque to those who run them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Block {
    pub(super) square: Vec<f64>,
    pub(super) pitch: [Vec<f64>; 2],
    pub(super) position_rms: Vec<f64>,
    pub(super) position_max: Vec<f64>,
    pub(super) lines: Vec<Vec<f64>>,
    /// Of each board, the number of boring set-ups that did not seat.
    pub(super) unseated: Vec<f64>,
    /// Of each set-up, the number of boards that did not seat in it.
    pub(super) unseated_in: Vec<u64>,
    /// Of each check step, board by board.
    pub(super) checks: Vec<CheckBoards>,
}

/// What one check step met on the boards of a block.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct CheckBoards {
    pub(super) step: usize,
    pub(super) goes: Vec<bool>,
    /// One bar on two locators: misfit and limit, mm, of the first boards.
    pub(super) misfits: Vec<[f64; 2]>,
    /// Linked bars: misfits and clearances of the first boards.
    pub(super) linked: Vec<(Vec<f64>, Vec<f64>)>,
}

impl<'m> Program<'m> {
    pub(super) fn new(model: &'m Model, lines: Vec<Line>, seed: u64, checks: bool) -> Program<'m> {
        let sloped: Vec<usize> = lines.iter().flat_map(|l| l.holes.iter().flatten().copied()).collect();
        Program {
            model,
            lattice: Lattice::of(model),
            fit: RigidFit::of(model),
            draws: Draws::of(model, &sloped),
            lines,
            seed,
            checks,
        }
    }

    /// Makes the boards `first` to `first` + `count`.
    pub(super) fn block(&self, first: u64, count: u64) -> Block {
        self.block_of_width::<WIDTH>(first, count)
    }

    pub(super) fn block_of_width<const W: usize>(&self, first: u64, count: u64) -> Block {
        struct Work<'a, 'm, const W: usize>(&'a Program<'m>, u64, u64);

        impl<const W: usize> WithSimd for Work<'_, '_, W> {
            type Output = Block;

            #[inline(always)]
            fn with_simd<S: Simd>(self, _: S) -> Block {
                self.0.work::<W>(self.1, self.2)
            }
        }

        // A module for browsers holds code for one kind of register only: each further one is 25 kB to fetch.
        if cfg!(target_family = "wasm") {
            return self.work::<W>(first, count);
        }
        Arch::new().dispatch(Work::<W>(self, first, count))
    }

    /// As `block_of_width`, with the narrowest registers: to see that they make no difference.
    #[cfg(test)]
    pub(super) fn block_plainly<const W: usize>(&self, first: u64, count: u64) -> Block {
        self.work::<W>(first, count)
    }

    #[inline(always)]
    fn work<const W: usize>(&self, first: u64, count: u64) -> Block {
        let setups = self.model.setup_numbers.len();
        let mut block = Block {
            lines: vec![Vec::with_capacity(count as usize); self.lines.len()],
            unseated_in: vec![0; setups],
            ..Block::default()
        };
        let mut boards = Boards::<W>::new(self.model, setups);
        let mut done = 0;
        while done < count {
            let streams = Streams::from_first(self.seed, first + done);
            boards.make(self.model, &self.draws, &streams, self.checks);
            let kept = (count - done).min(W as u64) as usize;
            self.take(&mut block, &boards, first + done, kept);
            done += W as u64;
        }
        block
    }

    /// Reads the first `kept` boards off.
    #[inline(always)]
    fn take<const W: usize>(&self, block: &mut Block, boards: &Boards<W>, first: u64, kept: usize) {
        let keep = |into: &mut Vec<f64>, from: Lanes<W>| into.extend_from_slice(&from.0[..kept]);
        if let Some(lattice) = &self.lattice {
            let nominal = lattice.nominal;
            let mut change = [[Lanes::NIL; 2]; 2];
            for (&hole, w) in lattice.holes.iter().zip(&lattice.weights) {
                let dog = boards.holes[hole].dog;
                for (vector, &weight) in change.iter_mut().zip(w) {
                    for axis in 0..2 {
                        vector[axis] = vector[axis] + dog[axis].scaled(weight);
                    }
                }
            }
            let [a, b] = [0, 1].map(|v| [0, 1].map(|axis| change[v][axis] + Lanes::all(nominal[v][axis])));
            let dot = a[0] * b[0] + a[1] * b[1];
            let cross = a[0] * b[1] - a[1] * b[0];
            // cos(90° + s) = −sin s: the arc tangent of a small number keeps its digits.
            keep(&mut block.square, small_angle(-dot, cross).scaled(PER_METRE));
            for (which, v) in [a, b].into_iter().enumerate() {
                let length = (nominal[which][0] * nominal[which][0] + nominal[which][1] * nominal[which][1]).sqrt();
                let actual = (v[0] * v[0] + v[1] * v[1]).sqrt();
                keep(&mut block.pitch[which], (actual.scaled(1.0 / length) - Lanes::all(1.0)).scaled(PER_METRE));
            }
        }
        if let Some(fit) = &self.fit {
            let per_hole = 1.0 / fit.holes.len() as f64;
            let (mut shift, mut turn) = ([Lanes::NIL; 2], Lanes::NIL);
            for (&hole, c) in fit.holes.iter().zip(&fit.centred) {
                let dog = boards.holes[hole].dog;
                shift = [shift[0] + dog[0], shift[1] + dog[1]];
                turn = turn + dog[1].scaled(c[0]) - dog[0].scaled(c[1]);
            }
            let shift = shift.map(|s| s.scaled(per_hole));
            let turn = turn.scaled(fit.per_inertia);
            let (mut sum, mut most) = (Lanes::NIL, Lanes::NIL);
            for (&hole, c) in fit.holes.iter().zip(&fit.centred) {
                let dog = boards.holes[hole].dog;
                let x = dog[0] - shift[0] + turn.scaled(c[1]);
                let y = dog[1] - shift[1] - turn.scaled(c[0]);
                let squared = x * x + y * y;
                sum = sum + squared;
                most = most.max(squared);
            }
            keep(&mut block.position_rms, sum.scaled(per_hole).sqrt());
            keep(&mut block.position_max, most.sqrt());
        }
        for (line, into) in self.lines.iter().zip(&mut block.lines) {
            let height = self.model.bits.height;
            let [fence, rail] = [0, 1].map(|which| {
                let [from, to] = line.holes[which].map(|hole| {
                    let hole = &boards.holes[hole];
                    [0, 1].map(|axis| hole.dog[axis] + hole.slope[axis].scaled(height))
                });
                let n = line.nominal[which];
                let v = [0, 1].map(|axis| to[axis] - from[axis] + Lanes::all(n[axis]));
                small_angle(v[1].scaled(n[0]) - v[0].scaled(n[1]), v[0].scaled(n[0]) + v[1].scaled(n[1]))
            });
            keep(into, (rail - fence).scaled(PER_METRE));
        }
        keep(&mut block.unseated, boards.unseated);
        for (count, mask) in block.unseated_in.iter_mut().zip(&boards.unseated_in) {
            *count += mask.0[..kept].iter().filter(|&&m| m).count() as u64;
        }
        if block.checks.is_empty() {
            block.checks.extend(boards.checks.iter().map(|c| CheckBoards { step: c.step, ..CheckBoards::default() }));
        }
        for (into, met) in block.checks.iter_mut().zip(&boards.checks) {
            into.goes.extend_from_slice(&met.goes.0[..kept]);
            let paired = matches!(self.model.steps[met.step].hold, Hold::TwoPins(_));
            for lane in 0..kept {
                let board = first + lane as u64;
                if paired && board < MOST_MISFITS {
                    into.misfits.push([met.misfit.0[lane], met.limit.0[lane]]);
                }
                if !met.linked_misfit.is_empty() && board < MOST_LINKED {
                    into.linked.push((of_lane(&met.linked_misfit, lane), of_lane(&met.linked_clearance, lane)));
                }
            }
        }
    }
}

impl Block {
    /// Adds the boards of the next block.
    pub(super) fn append(&mut self, next: Block) {
        self.square.extend(next.square);
        for (into, from) in self.pitch.iter_mut().zip(next.pitch) {
            into.extend(from);
        }
        self.position_rms.extend(next.position_rms);
        self.position_max.extend(next.position_max);
        self.unseated.extend(next.unseated);
        for (into, from) in self.lines.iter_mut().zip(next.lines) {
            into.extend(from);
        }
        for (into, from) in self.unseated_in.iter_mut().zip(next.unseated_in) {
            *into += from;
        }
        for (into, from) in self.checks.iter_mut().zip(next.checks) {
            into.goes.extend(from.goes);
            into.misfits.extend(from.misfits);
            into.linked.extend(from.linked);
        }
    }
}

/// Works blocks out: gets their number and the function that works one out, and returns the blocks
/// in order. It may stop early: a shorter list means fewer boards.
pub type Run<'a> = dyn Fn(usize, &(dyn Fn(usize) -> Block + Sync)) -> Vec<Block> + 'a;

/// Works blocks out one after another.
pub fn one_after_another(blocks: usize, work: &(dyn Fn(usize) -> Block + Sync)) -> Vec<Block> {
    (0..blocks).map(work).collect()
}

/// All boards, in the order of their numbers.
pub(super) fn simulate(program: &Program<'_>, boards: u64, run: &Run<'_>) -> Block {
    let blocks = boards.div_ceil(BLOCK) as usize;
    let work = |index: usize| {
        let first = index as u64 * BLOCK;
        program.block(first, BLOCK.min(boards - first))
    };
    let mut all = run(blocks, &work).into_iter();
    let mut merged = all.next().unwrap_or_default();
    all.for_each(|next| merged.append(next));
    merged
}

/// Factors of a line's four touching points (fence from, to, rail from, to), rad per mm.
pub(super) fn line_factors(line: &Line) -> [(usize, [f64; 2]); 4] {
    let [fence, rail] = line.nominal.map(turn_of);
    [
        (line.holes[0][0], fence),
        (line.holes[0][1], fence.map(|f| -f)),
        (line.holes[1][0], rail.map(|f| -f)),
        (line.holes[1][1], rail),
    ]
}

/// The deviation of each line on every board, mm per m: for tests elsewhere in the core.
#[cfg(test)]
pub(crate) fn lines_of_boards(model: &Model, asked: &[super::LineAsk], boards: u64, seed: u64) -> Vec<Vec<f64>> {
    let lines = super::lines::resolve(model, asked).expect("lines of the plan");
    simulate(&Program::new(model, lines, seed, false), boards, &one_after_another).lines
}

#[cfg(test)]
mod tests {
    use super::super::by_hand::{Arrangement, common_practice_kit, plan};
    use super::*;

    #[test]
    fn boards_are_the_same_however_wide_the_machine() {
        let kit = common_practice_kit();
        let model = Model::new(&kit, &plan(&kit, Arrangement::usual(3, 4, [3, 4, 5]))).unwrap();
        let program = Program::new(&model, super::super::lines::resolve(&model, &[]).unwrap(), 5, true);
        // Far from the start, and over the edge of 32 bits of the board's number.
        let first = 4_294_967_290;
        let block = program.block(first, 21);
        assert_eq!(block.square.len(), 21);
        assert_eq!(block, program.block_plainly::<WIDTH>(first, 21));
        assert_eq!(block, program.block_of_width::<8>(first, 21));
        assert_eq!(block, program.block_plainly::<1>(first, 21));
    }
}
