//! Blocks over pages: as many as a column has room for, the rest for the next one.
//!
//! What cannot be parted moves on whole; what is longer than a good part of a column is parted between two
//! lines; tables are parted between rows and their heads stand again. A block that must not be the last of
//! its column (a heading, a warning before its step) goes with what follows it. Blocks are measured when
//! their turn comes and forgotten once they stand, so that a long table takes no more memory than a page.

use std::collections::VecDeque;
use std::rc::Rc;

use super::block::{Block, Opening, Table};
use super::boxes::Laid;
use super::looks::{Looks, distances};
use super::{Page, Remark};

/// A block that has no room and is taller than this share of a column is parted rather than moved: moving it
/// would leave as much of the column empty.
const WORTH_PARTING: f64 = 0.4;

/// A tenth of the thinnest line, mm: so much over the room is a rounding, not a want.
const SLACK: f64 = 0.02;

/// Blocks that wait for their column.
#[derive(Debug, Default)]
pub struct Stream {
    waiting: VecDeque<Waiting>,
}

#[derive(Debug)]
enum Waiting {
    Block(Block),
    /// The rest of a table whose columns are measured.
    Rows {
        table: Rc<Table>,
        widths: Rc<Vec<f64>>,
        next: usize,
        headed: bool,
    },
}

/// A block measured, and how far down its column it stands, mm.
struct Slab {
    y: f64,
    laid: Laid,
    block: Block,
}

/// A column's blocks.
#[derive(Default)]
pub struct Filled {
    slabs: Vec<Slab>,
    /// How much of the column they take, mm.
    pub height: f64,
}

impl Filled {
    /// Puts all of them on a page, the column's upper left corner there, mm.
    pub fn place(self, page: &mut Page, [x, y]: [f64; 2]) {
        for slab in self.slabs {
            slab.laid.place(page, [x, y + slab.y]);
        }
    }

    /// The same with one more block under it.
    pub fn with(mut self, looks: &mut Looks<'_>, block: Block, width: f64) -> Filled {
        let y = self.height + distances(&block)[0];
        let laid = looks.laid(&block, width);
        self.height = y + laid.height();
        self.slabs.push(Slab { y, laid, block });
        self
    }

    /// True if nothing stands in it.
    pub fn is_empty(&self) -> bool {
        self.slabs.is_empty()
    }
}

impl Stream {
    /// These blocks.
    pub fn new(blocks: impl IntoIterator<Item = Block>) -> Stream {
        Stream { waiting: blocks.into_iter().map(Waiting::Block).collect() }
    }

    /// True if nothing waits.
    pub fn is_empty(&self) -> bool {
        self.waiting.is_empty()
    }

    /// Fills a column of this size, mm. In a `whole` one, which no other column is taller than, stands at least
    /// one block or a part of one, unless none waited.
    pub fn fill(
        &mut self,
        looks: &mut Looks<'_>,
        [width, height]: [f64; 2],
        whole: bool,
        remarks: &mut Vec<Remark>,
    ) -> Filled {
        let mut filled = Filled::default();
        let mut below = 0.0_f64;
        while let Some(block) = self.next(looks, width) {
            let [above, under] = distances(&block);
            let distance = if filled.slabs.is_empty() { 0.0 } else { below.max(above) };
            let y = filled.height + distance;
            let (block, laid) = measured(looks, block, width, height - y);
            let tall = laid.height();
            if y + tall <= height + SLACK {
                filled.height = y + tall;
                filled.slabs.push(Slab { y, laid, block });
                below = under;
                continue;
            }
            let fresh = whole && filled.slabs.iter().all(|slab| slab.block.bound());
            if (fresh || tall > WORTH_PARTING * height)
                && let Some([first, rest]) = parted(looks, &block, &laid, width, height - y)
            {
                let laid = looks.laid(&first, width);
                filled.height = y + laid.height();
                filled.slabs.push(Slab { y, laid, block: first });
                self.give_back(rest);
                return filled;
            }
            if !fresh {
                let alone = ends_its_table(&block);
                self.give_back(block);
                if alone {
                    self.take_back_row(&mut filled);
                }
                self.take_back_bound(&mut filled, whole);
                return filled;
            }
            // nothing but itself and what is bound to it, and still no room: what it follows stands alone. A
            // table's head is set again with its row, and would be for ever: under it, or under nothing, the
            // block runs over the end, which is said
            if !filled.slabs.iter().all(|slab| is_head(&slab.block)) {
                self.give_back(block);
                // it stands over its rows overleaf
                while let Some(head) = filled.slabs.pop_if(|slab| is_head(&slab.block)) {
                    filled.height = head.y;
                }
                return filled;
            }
            remarks.push(Remark::TooTall(name(&block)));
            filled.height = y + tall;
            filled.slabs.push(Slab { y, laid, block });
            self.forget_a_table_at_its_end();
            return filled;
        }
        filled
    }

    /// A table of which no row waits is no reason for another page.
    fn forget_a_table_at_its_end(&mut self) {
        if let Some(Waiting::Rows { table, next, headed: true, .. }) = self.waiting.front()
            && *next >= table.rows.len()
        {
            self.waiting.pop_front();
        }
    }

    /// The blocks at a column's end that must not be its last wait again; in a whole column one stays, or
    /// nothing would ever stand.
    fn take_back_bound(&mut self, filled: &mut Filled, whole: bool) {
        while filled.slabs.len() > usize::from(whole) && filled.slabs.last().is_some_and(|slab| slab.block.bound()) {
            if let Some(slab) = filled.slabs.pop() {
                filled.height = slab.y;
                self.give_back(slab.block);
            }
        }
    }

    /// A table's last row does not stand alone under its head: the one before it goes with it, where others stay.
    fn take_back_row(&mut self, filled: &mut Filled) {
        let is_row = |block: &Block| matches!(block, Block::Row { row: Some(_), .. }) && !block.bound();
        let rows = filled.slabs.iter().rev().take_while(|slab| is_row(&slab.block));
        if rows.count() > 2
            && let Some(slab) = filled.slabs.pop()
        {
            filled.height = slab.y;
            self.give_back(slab.block);
        }
    }

    fn next(&mut self, looks: &mut Looks<'_>, width: f64) -> Option<Block> {
        match self.waiting.pop_front()? {
            Waiting::Block(Block::Table(table)) => {
                let widths = Rc::new(looks.columns(&table, width));
                self.waiting.push_front(Waiting::Rows { table, widths, next: 0, headed: false });
                self.next(looks, width)
            }
            Waiting::Block(block) => Some(block),
            Waiting::Rows { table, widths, next, headed } => {
                let row = table.rows.get(next);
                if row.is_none() && headed {
                    return self.next(looks, width);
                }
                let block = match row.filter(|_| headed) {
                    Some(row) => Block::Row {
                        table: Rc::clone(&table),
                        widths: Rc::clone(&widths),
                        row: Some(next),
                        cells: row.cells.clone(),
                        tick: true,
                    },
                    None => head_of(&table, &widths),
                };
                let next = if headed { next + 1 } else { next };
                self.waiting.push_front(Waiting::Rows { table, widths, next, headed: true });
                Some(block)
            }
        }
    }

    /// A block that had no room waits again.
    fn give_back(&mut self, block: Block) {
        match block {
            // a table's rows begin again with its head
            Block::Row { table, widths, row: Some(row), cells, tick } => {
                if table.rows.get(row).is_some_and(|known| known.cells == cells) {
                    if matches!(self.waiting.front(), Some(Waiting::Rows { table: waiting, .. }) if Rc::ptr_eq(waiting, &table))
                    {
                        self.waiting.pop_front();
                    }
                    self.waiting.push_front(Waiting::Rows { table, widths, next: row, headed: false });
                    return;
                }
                // the rest of a row that was parted stands under the head too
                let head = head_of(&table, &widths);
                self.waiting.push_front(Waiting::Block(Block::Row { table, widths, row: Some(row), cells, tick }));
                self.waiting.push_front(Waiting::Block(head));
            }
            block @ Block::Row { row: None, .. } => match self.waiting.front_mut() {
                Some(Waiting::Rows { headed, .. }) => *headed = false,
                _ => self.waiting.push_front(Waiting::Block(block)),
            },
            block => self.waiting.push_front(Waiting::Block(block)),
        }
    }
}

/// Measures a block; a table to write into is given as many rows as have room.
fn measured(looks: &mut Looks<'_>, block: Block, width: f64, room: f64) -> (Block, Laid) {
    let laid = looks.laid(&block, width);
    let Block::Blank(mut table) = block else { return (block, laid) };
    let more = ((room - laid.height()) / table.height).floor().max(0.0) as usize;
    if more == 0 {
        return (Block::Blank(table), laid);
    }
    table.least += more;
    let block = Block::Blank(table);
    let laid = looks.laid(&block, width);
    (block, laid)
}

/// Parts a block so that the first part has room in so many mm; none where not even one line has.
fn parted(looks: &mut Looks<'_>, block: &Block, laid: &Laid, width: f64, room: f64) -> Option<[Block; 2]> {
    if let Block::Openings { items, columns } = block {
        return parted_list(looks, items, *columns, width, room);
    }
    let ends = laid.line_ends();
    let last = ends.iter().filter_map(|ends| ends.last()).map(|end| end.y).fold(0.0, f64::max);
    // what stands under the last line: the block's own room, and as much again for what hangs below a line
    let under = laid.height() - last;
    let (mut first, mut rest) = (block.clone(), block.clone());
    let mut parted = false;
    for ((ends, first), rest) in ends.iter().zip(first.texts_mut()).zip(rest.texts_mut()) {
        let lines = ends.iter().take_while(|end| end.y + under <= room + SLACK).count();
        // a text that goes whole on the first part leaves nothing to the second
        let (at, within_word) = match lines {
            0 => (0, false),
            all if all == ends.len() => (usize::MAX, false),
            some => (ends[some - 1].at, ends[some - 1].within_word),
        };
        [*first, *rest] = super::text::parted(first, at, within_word);
        parted |= at != usize::MAX && at > 0;
    }
    if !parted {
        return None;
    }
    if let Block::Step { number, .. } = &mut rest {
        *number = None;
    }
    // ticked in one place, when all of it is done
    if let Block::Step { tick, .. } | Block::Row { tick, .. } = &mut first {
        *tick = false;
    }
    if let Block::Bullet { mark, .. } = &mut rest {
        mark.clear();
    }
    Some([first, rest])
}

/// As many rows of a list as have room. Its entries stand column by column, so that each number of rows is
/// another arrangement, to be measured.
fn parted_list(looks: &mut Looks<'_>, items: &[Opening], columns: usize, width: f64, room: f64) -> Option<[Block; 2]> {
    let columns = columns.max(1);
    let list = |part: &[Opening]| Block::Openings { items: part.to_vec(), columns };
    let rows = items.len().div_ceil(columns);
    let at = (1..rows)
        .rev()
        .map(|rows| rows * columns)
        .find(|at| looks.laid(&list(&items[..*at]), width).height() <= room + SLACK)?;
    Some([list(&items[..at]), list(&items[at..])])
}

/// True for a table's head.
fn is_head(block: &Block) -> bool {
    matches!(block, Block::Row { row: None, .. })
}

/// True for the last row of a table of several.
fn ends_its_table(block: &Block) -> bool {
    matches!(block, Block::Row { table, row: Some(row), .. } if row + 1 == table.rows.len())
}

fn head_of(table: &Rc<Table>, widths: &Rc<Vec<f64>>) -> Block {
    let cells = table.head.iter().map(super::block::plain).collect();
    Block::Row { table: Rc::clone(table), widths: Rc::clone(widths), row: None, cells, tick: false }
}

fn name(block: &Block) -> &'static str {
    match block {
        Block::Picture { .. } | Block::Plot(_) => "a drawing",
        Block::Figures(_) => "a row of figures",
        Block::Beside { .. } => "a list with its picture",
        Block::Blank(_) => "a table to write into",
        Block::Share(_) => "a line of the budget",
        Block::Entries(_) => "a row of entries",
        _ => "a line of text",
    }
}
