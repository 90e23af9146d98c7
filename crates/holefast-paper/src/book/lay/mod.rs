//! From what the book says to its pages: page frames, halves of pages, and what flows through them.
//!
//! Distances are those of a sheet read at arm's length and of a card read over a bench; mm.

mod halves;
mod sheets;

use holefast::drawing::Scene;

use super::text;
use crate::page::block::{Block, Key, Opening, ScaleBar};
use crate::page::looks::{Head, one_line};
use crate::page::{Base, Faces, Looks, Page, Remark};

pub use halves::{CARD_SIDE, Card};
pub use sheets::{CARD_PAGE, Column, PAGE, Sheet};

/// Lays pages out, one after the other.
pub struct Lay {
    /// The faces that texts are measured in.
    pub faces: Faces,
    /// Size of the paper, mm.
    pub size: [f64; 2],
    /// The bar under each drawing.
    pub bar: ScaleBar,
    /// The pages so far.
    pub pages: Vec<Page>,
    /// What there is to say of them.
    pub remarks: Vec<Remark>,
}

/// Lines that a title may take, measured on one: a third line would take a twelfth of a card's height from its
/// text. One of more is shortened, and stands whole under the head. Not quite three, for lines are seldom full.
const TITLE_LINES: f64 = 2.6;

impl Lay {
    /// No pages yet.
    pub fn new(size: [f64; 2], bar: ScaleBar) -> Lay {
        Lay { faces: Faces::new(), size, bar, pages: Vec::new(), remarks: Vec::new() }
    }

    fn looks(&mut self, base: Base) -> Looks<'_> {
        Looks::new(&mut self.faces, base)
    }

    /// A title that has room in a head, and a block with the whole of one that has not.
    fn fitted_title(&mut self, title: &str, size: f64, width: f64) -> (String, Option<Block>) {
        let title = &one_line(title);
        match self.looks(Base::CARD).shortened(title, size, TITLE_LINES * width) {
            None => (title.to_owned(), None),
            Some(short) => {
                self.remarks.push(Remark::Shortened(title.to_owned()));
                (short, Some(Block::Para(crate::page::block::strong(title))))
            }
        }
    }

    fn foot(&mut self, parts: &[String], width: f64) -> crate::page::Laid {
        let (laid, cut) = self.looks(Base::CARD).foot(parts, width);
        self.remarks.extend(cut.map(Remark::Shortened));
        laid
    }
}

/// The list of openings that stands under a card's drawing.
#[derive(Clone, Debug)]
pub struct List {
    /// Over it.
    pub head: String,
    /// The openings.
    pub items: Vec<Opening>,
    /// Columns.
    pub columns: usize,
}

/// A drawing with its signs.
#[derive(Clone, Debug, Default)]
pub struct Drawn {
    /// The drawing.
    pub scene: Option<Scene>,
    /// Its signs.
    pub keys: Vec<Key>,
}

fn more(continued: bool) -> Option<&'static str> {
    continued.then_some(text::CONTINUED)
}

fn head<'a>(number: Option<&'a str>, title: &'a str, size: f64, continued: bool, aside: &'a [String]) -> Head<'a> {
    Head { number, title, size, more: more(continued), aside }
}
