//! What a paper says, as data: blocks in order of reading. How each looks is `looks`' matter, which page it
//! stands on `flow`'s.

use std::rc::Rc;

use holefast::drawing::Scene;
use holefast::words::Rich;
pub use holefast::words::Run;

/// Runs of text.
pub type Runs = Vec<Run>;

/// One block. Blocks that hold text may be parted between two lines of it, tables between rows, and lists
/// between entries; the others stand on one page.
#[derive(Clone, Debug)]
pub enum Block {
    /// The sentence of a page.
    Lead(Runs),
    /// A paragraph.
    Para(Runs),
    /// A paragraph of second weight.
    Small(Runs),
    /// A paragraph in soft ink: what comes next, what to do where a pin binds.
    Soft(Runs),
    /// A heading; stays with what follows.
    Head(Runs),
    /// A smaller heading, of a card.
    CardHead(Runs),
    /// A warning; on a card it stays with the step that follows.
    Caution {
        /// What it warns of.
        text: Runs,
        /// Stays with what follows.
        bound: bool,
    },
    /// A note of the maker's own; stays with what follows.
    OwnNote(Runs),
    /// A step, with a box to tick.
    Step {
        /// Its number; none on a step that continues one.
        number: Option<u32>,
        /// What to do.
        text: Runs,
        /// Has its box to tick: of a step that is parted the last part.
        tick: bool,
    },
    /// An entry of a list.
    Bullet {
        /// A bullet or a number.
        mark: String,
        /// The entry.
        text: Runs,
    },
    /// Figures beside one another.
    Figures(Vec<Figure>),
    /// A drawing, under it its signs and a bar to hold a rule to.
    Picture {
        /// The drawing.
        scene: Box<Scene>,
        /// Its signs.
        keys: Vec<Key>,
        /// The bar.
        bar: ScaleBar,
    },
    /// A picture of figures, which has no scale of the top.
    Plot(Box<Scene>),
    /// A table; its head stands again on every page.
    Table(Rc<Table>),
    /// A row of a table, its columns measured.
    Row {
        /// The table.
        table: Rc<Table>,
        /// Widths of its columns, mm.
        widths: Rc<Vec<f64>>,
        /// Which row; none for the head.
        row: Option<usize>,
        /// Its cells.
        cells: Vec<Runs>,
        /// Has its box to tick, if the table's row has one: of a row that is parted the last part.
        tick: bool,
    },
    /// A table to write into.
    Blank(BlankTable),
    /// A line of a budget.
    Share(Share),
    /// Places to write what was read, and boxes to tick.
    Entries(Vec<Entry>),
    /// Openings in their order, column after column.
    Openings {
        /// The openings.
        items: Vec<Opening>,
        /// Columns.
        columns: usize,
    },
    /// Blocks at the left, a picture at the right with its caption under it.
    Beside {
        /// At the left.
        items: Vec<Block>,
        /// At the right.
        scene: Box<Scene>,
        /// Under it.
        caption: Runs,
        /// An address that picture and caption lead to.
        address: String,
    },
}

/// A sign and its name.
#[derive(Clone, Debug)]
pub struct Key {
    /// The sign.
    pub sign: Scene,
    /// Its name.
    pub name: String,
}

/// A bar to hold a rule to, so that a printer's scaling shows.
#[derive(Clone, Debug)]
pub struct ScaleBar {
    /// mm on the paper.
    pub length: f64,
    /// Dark and light parts in turn.
    pub parts: u32,
    /// Beside it.
    pub label: String,
}

/// A figure with its name.
#[derive(Clone, Debug)]
pub struct Figure {
    /// The figure.
    pub value: String,
    /// Its unit, smaller.
    pub unit: String,
    /// Under it.
    pub name: String,
    /// Size of the figure, mm.
    pub size: f64,
}

/// A table.
#[derive(Clone, Debug)]
pub struct Table {
    /// Which table of the paper it is, for the tags of a PDF.
    pub id: u32,
    /// Widths of its columns to each other. A column is never narrower than its longest word where that can be had.
    pub widths: Vec<f64>,
    /// Names of its columns.
    pub head: Vec<String>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// Set closely: one of many rows.
    pub close: bool,
}

/// A row of a table. One cell alone stands over the rows that follow it, across the whole table.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// Its cells.
    pub cells: Vec<Runs>,
    /// A box to tick after its cells.
    pub tick: bool,
    /// The card that its first cell leads to.
    pub card: Option<String>,
}

impl Row {
    /// A row of these cells.
    pub fn of(cells: impl IntoIterator<Item = Runs>) -> Row {
        Row { cells: cells.into_iter().collect(), ..Row::default() }
    }
}

/// A table to write into.
#[derive(Clone, Debug)]
pub struct BlankTable {
    /// Widths of its columns to each other.
    pub widths: Vec<f64>,
    /// Names of its columns.
    pub head: Vec<String>,
    /// Least number of empty rows; as many as the page has room for are drawn.
    pub least: usize,
    /// Height of an empty row, mm.
    pub height: f64,
}

/// A line of a budget.
#[derive(Clone, Debug)]
pub struct Share {
    /// What it is a share of.
    pub name: String,
    /// How much, 0 to 1.
    pub part: f64,
    /// The same in words.
    pub share: String,
    /// What would make it less.
    pub lessen: String,
}

/// A place to write a reading, or a box to tick.
#[derive(Clone, Debug)]
pub struct Entry {
    /// What it is for.
    pub name: String,
    /// To tick.
    pub tick: bool,
}

/// An opening of a list.
#[derive(Clone, Debug)]
pub struct Opening {
    /// Its place in the order.
    pub order: u32,
    /// The hole.
    pub hole: String,
    /// What the block stands on.
    pub on: String,
    /// Where its hold-down stands; empty without one.
    pub held: String,
}

impl Block {
    /// A step with its number and its box to tick.
    pub fn step(number: u32, text: Runs) -> Block {
        Block::Step { number: Some(number), text, tick: true }
    }

    /// A block that must not be the last of its page.
    pub(crate) fn bound(&self) -> bool {
        match self {
            Block::Head(_) | Block::CardHead(_) | Block::OwnNote(_) => true,
            Block::Caution { bound, .. } => *bound,
            Block::Row { table, row, .. } => row.is_none_or(|row| table.rows[row].cells.len() == 1),
            _ => false,
        }
    }

    /// Its texts, where it may be parted between two lines of them.
    pub(super) fn texts_mut(&mut self) -> Vec<&mut Runs> {
        match self {
            Block::Lead(text)
            | Block::Para(text)
            | Block::Small(text)
            | Block::Soft(text)
            | Block::Head(text)
            | Block::CardHead(text)
            | Block::OwnNote(text)
            | Block::Caution { text, .. }
            | Block::Step { text, .. }
            | Block::Bullet { text, .. } => vec![text],
            Block::Row { cells, .. } => cells.iter_mut().collect(),
            _ => Vec::new(),
        }
    }
}

/// A text of the core, as runs.
pub fn runs(rich: Rich) -> Runs {
    kept_together(rich.runs)
}

/// No short word alone on a last line: it is tied to the one before it.
fn kept_together(mut runs: Runs) -> Runs {
    // shorter than this it looks lost, and ties no more than a line can bear
    const SHORT: usize = 9;
    if let Some(last) = runs.last_mut()
        && let Some(at) = last.text.trim_end().rfind(' ').filter(|at| last.text.len() - at < SHORT)
    {
        last.text.replace_range(at..=at, "\u{a0}");
    }
    runs
}

/// A plain text as one run.
pub fn plain(text: impl Into<String>) -> Runs {
    kept_together(vec![Run { text: text.into(), bold: false }])
}

/// A text all in bold.
pub fn strong(text: impl Into<String>) -> Runs {
    kept_together(vec![Run { text: text.into(), bold: true }])
}
