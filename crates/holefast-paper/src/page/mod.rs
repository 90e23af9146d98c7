//! Pages: blocks of text, tables and drawings laid out on paper, each page a scene as the drawings are.
//!
//! A paper composes [`Block`]s (`book` does); this module measures them, breaks them over pages and places
//! them. What a page is made into is the writers' matter (`pdf`, `svg`). mm, from the page's upper left
//! corner, y downwards; in the scene itself y goes up, as everywhere.

pub mod block;
mod boxes;
mod faces;
mod flow;
pub(crate) mod looks;
mod text;

use std::ops::Range;

use holefast::drawing::{At, Margin, Role, Scene, Shape, View};
use holefast::top::Point;
use kurbo::Rect;

pub use block::Block;
pub(crate) use boxes::Laid;
pub use faces::{DESCENT, FACES, FAMILY, Faces, Glyph};
pub(crate) use flow::{Filled, Stream};
pub(crate) use looks::{Base, Looks};
pub use text::BROKEN;

/// A page, ready to be written.
#[derive(Clone, Debug)]
pub struct Page {
    /// What stands on it, in order of reading.
    pub scene: Scene,
    /// Which of its items make up what; items in none of them are ornament or stand in head or foot.
    pub reading: Vec<Passage>,
    /// Places on it that can be gone to.
    pub places: Vec<Place>,
}

/// What a passage is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The title of a page or card.
    Title,
    /// A heading.
    Heading,
    /// A paragraph.
    Paragraph,
    /// What stands at a drawing: its signs, the bar to hold a rule to.
    Caption,
    /// What stands beside a title.
    Aside,
    /// An entry of a list.
    Entry,
    /// A drawing.
    Drawing,
    /// A table's cell.
    Cell {
        /// The table's number in the paper.
        table: u32,
        /// Its row, counted on; the head's is none.
        row: Option<u32>,
        /// How many columns it stands over.
        span: u32,
    },
}

/// Items of a page that are read as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// What it is.
    pub kind: Kind,
    /// Which items of the page's scene.
    pub items: Range<usize>,
    /// Where it leads.
    pub link: Option<Link>,
}

/// Where a passage leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Link {
    /// To a card of the paper, by its number.
    Card(String),
    /// To an address.
    Address(String),
}

/// A place that can be gone to: a page's title or a card's.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// What it is called in the list of places.
    pub title: String,
    /// The card's number, for links.
    pub card: Option<String>,
    /// How far down the page, mm.
    pub y: f64,
}

/// What there is to say of pages beside what stands on them.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Remark {
    /// A text had no room on its line and was shortened; the whole stands elsewhere in the paper.
    Shortened(String),
    /// Something taller than a page that cannot be parted: it runs over the page's end.
    TooTall(&'static str),
}

impl Page {
    /// An empty page of this size, mm.
    pub fn new([width, height]: [f64; 2]) -> Page {
        let clip = Rect::new(0.0, 0.0, width, height);
        Page {
            scene: Scene::new(View { clip, ratio: 1.0, margin: Margin::default() }),
            reading: Vec::new(),
            places: Vec::new(),
        }
    }

    fn at(&self, x: f64, y: f64) -> At {
        At::on(Point::new(x, self.scene.view.clip.y1 - y))
    }

    pub(crate) fn line(&mut self, role: Role, from: [f64; 2], to: [f64; 2]) {
        let points = [from, to].map(|[x, y]| self.at(x, y)).to_vec();
        self.scene.put_free(role, Shape::Path { points, closed: false });
    }

    pub(crate) fn rect(&mut self, role: Role, [x, y]: [f64; 2], [width, height]: [f64; 2]) {
        let corners = [[x, y], [x + width, y], [x + width, y + height], [x, y + height]];
        let points = corners.map(|[x, y]| self.at(x, y)).to_vec();
        self.scene.put_free(role, Shape::Path { points, closed: true });
    }

    pub(crate) fn words(&mut self, role: Role, [x, y]: [f64; 2], text: String, size: f64, width: f64) {
        let shape = Shape::Measured { at: self.at(x, y), text, size_paper_mm: size, width_paper_mm: width };
        self.scene.put_free(role, shape);
    }

    pub(crate) fn inset(&mut self, role: Role, [x, y]: [f64; 2], scene: Scene) {
        let shape = Shape::Inset { at: self.at(x, y), scene: Box::new(scene) };
        self.scene.put_free(role, shape);
    }
}
