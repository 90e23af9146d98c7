//! What the template is given, as data: pages of blocks, and cards. The wire format between Rust
//! and `book.typ`, nothing else.

use holefast::words::Rich;
use serde::Serialize;

/// A run of text.
#[derive(Serialize)]
pub struct Run {
    pub text: String,
    pub bold: bool,
}

/// Runs of text.
pub type Runs = Vec<Run>;

/// The whole book.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Book {
    pub title: String,
    pub lang: &'static str,
    pub page: Page,
    pub room: Room,
    pub bar: ScaleBar,
    pub words: Words,
    pub parts: Vec<Part>,
}

/// Size of the paper, mm.
#[derive(Clone, Copy, Serialize)]
pub struct Page {
    pub width: f64,
    pub height: f64,
}

/// Room on a card: the drawing's width, the text's height (mm), columns of an opening list.
#[derive(Serialize)]
pub struct Room {
    pub width: f64,
    pub body: f64,
    pub columns: u32,
}

/// A bar to hold a rule to.
#[derive(Serialize)]
pub struct ScaleBar {
    /// mm on the paper.
    pub length: f64,
    pub parts: u32,
    pub label: String,
}

/// Fixed words of the template.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Words {
    pub if_not: String,
    pub continued: String,
    pub goes_on: String,
}

#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Part {
    Sheet { sheet: Sheet },
    Halves { cards: Vec<Card> },
    Whole { card: Box<Card> },
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Sheet {
    pub title: String,
    pub title_size: f64,
    pub text_size: f64,
    pub aside: String,
    pub blocks: Vec<Block>,
    pub foot: Vec<String>,
}

#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Block {
    Lead {
        text: String,
    },
    Para {
        text: Runs,
    },
    Small {
        text: Runs,
    },
    Head {
        text: String,
    },
    Picture {
        picture: Picture,
        keys: Vec<Key>,
    },
    /// A picture of figures, which has no scale of the top.
    Plot {
        picture: Picture,
    },
    Figures {
        items: Vec<Figure>,
    },
    Table {
        table: Table,
    },
    /// A table that is broken over pages; a row of one cell stands over those that follow it.
    LongTable {
        table: Table,
    },
    Blank {
        table: BlankTable,
    },
    Caution {
        text: Runs,
    },
    Steps {
        lines: Vec<Line>,
    },
    Bullets {
        items: Vec<Runs>,
    },
    Shares {
        items: Vec<Share>,
    },
    Columns {
        items: Vec<Vec<Block>>,
    },
    /// Blocks at the left, a picture at the right with its caption under it.
    Beside {
        items: Vec<Block>,
        picture: Picture,
        text: Runs,
    },
}

#[derive(Serialize)]
pub struct Picture {
    pub file: String,
    pub width: f64,
    pub height: f64,
    pub about: String,
}

#[derive(Serialize)]
pub struct Key {
    pub file: String,
    pub name: String,
}

#[derive(Serialize)]
pub struct Figure {
    pub value: String,
    pub unit: String,
    pub name: String,
    pub size: f64,
}

#[derive(Serialize)]
pub struct Table {
    pub widths: Vec<f64>,
    pub head: Vec<String>,
    pub rows: Vec<Vec<Runs>>,
}

#[derive(Serialize)]
pub struct BlankTable {
    pub widths: Vec<f64>,
    pub head: Vec<String>,
    pub count: u32,
    pub height: f64,
}

#[derive(Serialize)]
pub struct Share {
    pub name: String,
    pub part: f64,
    pub share: String,
    pub lessen: String,
}

#[derive(Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Line {
    Step { text: Runs },
    Caution { text: Runs },
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Card {
    pub number: String,
    pub title: String,
    pub title_size: f64,
    pub aside: Vec<String>,
    pub picture: Option<Picture>,
    pub keys: Vec<Key>,
    /// The maker's own notes.
    pub notes: Vec<Runs>,
    pub lines: Vec<Line>,
    pub list_head: String,
    /// Columns of the list where it stands under the drawing.
    pub list_columns: u32,
    pub openings: Vec<Opening>,
    pub check: Option<Check>,
    pub stuck: Option<Runs>,
    pub next: Option<Runs>,
    pub foot: Vec<String>,
}

#[derive(Serialize)]
pub struct Opening {
    pub order: u32,
    pub hole: String,
    pub on: String,
    /// Where its hold-down stands, in words; empty without one.
    pub held: String,
}

#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Check {
    pub limit: Runs,
    pub entries: Vec<Entry>,
    pub if_not: Vec<Runs>,
}

#[derive(Serialize)]
pub struct Entry {
    pub name: String,
    pub tick: bool,
}

/// A text of the core, as runs.
pub fn runs(rich: &Rich) -> Runs {
    let runs = rich.runs.iter().map(|r| Run { text: r.text.clone(), bold: r.bold }).collect();
    kept_together(runs)
}

/// No short word alone on a last line: it is tied to the one before it.
fn kept_together(mut runs: Runs) -> Runs {
    if let Some(last) = runs.last_mut()
        && let Some(at) = last.text.trim_end().rfind(' ').filter(|at| last.text.len() - at < 9)
    {
        last.text.replace_range(at..=at, "\u{a0}");
    }
    runs
}

/// A plain text as one run.
pub fn plain(text: impl Into<String>) -> Runs {
    kept_together(vec![Run { text: text.into(), bold: false }])
}
