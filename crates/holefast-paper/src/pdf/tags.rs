//! What the passages of a PDF are to those who hear it: headings, paragraphs, lists, tables, drawings with
//! what they show, in order of reading.

use std::num::{NonZeroU16, NonZeroU32};

use holefast::drawing::Shape;
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder, PdfVersion};
use krilla::tagging::{Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagTree};

use super::Check;
use crate::page::{Kind, Page, Passage};

/// Version of the format, and the standard that a PDF is held against while it is written.
pub fn configuration(check: Check) -> Result<Configuration, String> {
    let builder = match check {
        // 1.5 has all that a book needs; from 1.6 on `krilla` adds an entry ("Suspects") on which poppler 22
        // prints a complaint at every opening
        Check::None => ConfigurationBuilder::new().with_version(PdfVersion::Pdf15),
        Check::Access => ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1),
    };
    builder.finish().map_err(|error| format!("{error:?}"))
}

/// The tree, while it grows. Entries that follow one another make a list, cells of one table a table.
#[derive(Default)]
pub struct Tree {
    tree: Vec<Node>,
    open: Option<Open>,
}

enum Open {
    List(TagGroup),
    Table { number: u32, table: TagGroup, row: Option<u32>, cells: TagGroup },
}

impl Tree {
    /// Adds a passage, what was drawn of it and its link.
    pub fn add(&mut self, page: &Page, passage: &Passage, leaves: Vec<Identifier>, link: Option<Identifier>) {
        let mut nodes: Vec<Node> = leaves.into_iter().map(Node::from).collect();
        if let Some(link) = link {
            nodes.push(link.into());
            nodes = vec![TagGroup::with_children(Tag::Link, nodes).into()];
        }
        // an empty cell is a cell: the others of its row keep their columns
        if nodes.is_empty() && !matches!(passage.kind, Kind::Cell { .. }) {
            return;
        }
        match passage.kind {
            Kind::Entry => {
                if !matches!(self.open, Some(Open::List(_))) {
                    self.close();
                    self.open = Some(Open::List(TagGroup::new(Tag::L(ListNumbering::None))));
                }
                let entry = TagGroup::with_children(Tag::LBody, nodes);
                if let Some(Open::List(list)) = &mut self.open {
                    list.push(TagGroup::with_children(Tag::LI, vec![entry.into()]));
                }
            }
            Kind::Cell { table, row, span } => self.cell(table, row, span, nodes),
            kind => {
                self.close();
                let group = match kind {
                    Kind::Title => heading(NonZeroU16::MIN, words(page, passage), nodes),
                    Kind::Heading => heading(NonZeroU16::MIN.saturating_add(1), words(page, passage), nodes),
                    Kind::Drawing => TagGroup::with_children(Tag::Figure(Some(about(page, passage))), nodes),
                    _ => TagGroup::with_children(Tag::P, nodes),
                };
                self.tree.push(group.into());
            }
        }
    }

    fn cell(&mut self, number: u32, row: Option<u32>, span: u32, nodes: Vec<Node>) {
        if !matches!(self.open, Some(Open::Table { number: open, .. }) if open == number) {
            self.close();
            let (table, cells) = (TagGroup::new(Tag::Table), TagGroup::new(Tag::TR));
            self.open = Some(Open::Table { number, table, row, cells });
        }
        let Some(Open::Table { table, row: open, cells, .. }) = &mut self.open else { return };
        if *open != row {
            table.push(std::mem::replace(cells, TagGroup::new(Tag::TR)));
            *open = row;
        }
        cells.push(match row {
            None => TagGroup::with_children(Tag::TH(TableHeaderScope::Column), nodes),
            Some(_) => {
                let over_several = NonZeroU32::new(span).filter(|span| span.get() > 1);
                TagGroup::with_children(Tag::TD.with_col_span(over_several), nodes)
            }
        });
    }

    fn close(&mut self) {
        match self.open.take() {
            None => {}
            Some(Open::List(list)) => self.tree.push(list.into()),
            Some(Open::Table { mut table, cells, .. }) => {
                table.push(cells);
                self.tree.push(table.into());
            }
        }
    }

    /// The whole.
    pub fn finish(mut self) -> TagTree {
        self.close();
        self.tree.into()
    }
}

fn heading(level: NonZeroU16, title: String, nodes: Vec<Node>) -> TagGroup {
    TagGroup::with_children(Tag::Hn(level, Some(title)), nodes)
}

/// The words of a passage.
fn words(page: &Page, passage: &Passage) -> String {
    let texts = page.scene.items[passage.items.clone()].iter().filter_map(|item| match &item.shape {
        Shape::Measured { text, .. } => Some(text.trim_end()),
        _ => None,
    });
    texts.collect::<Vec<_>>().join(" ")
}

/// What a drawing shows.
fn about(page: &Page, passage: &Passage) -> String {
    page.scene.items[passage.items.clone()]
        .iter()
        .find_map(|item| match &item.shape {
            Shape::Inset { scene, .. } => Some(scene.about.clone()),
            _ => None,
        })
        .unwrap_or_default()
}
