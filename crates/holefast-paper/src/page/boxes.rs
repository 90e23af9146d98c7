//! Boxes within boxes: rows, columns and grids of texts and drawings, measured and placed.
//!
//! Sizes and places are worked out by `taffy`, texts measured by `text`; what a block is made of is `looks`'
//! matter. mm, y downwards.

use holefast::drawing::{Role, Scene};
use taffy::compute_leaf_layout;
use taffy::prelude::*;

use super::block::Runs;
use super::faces::Faces;
use super::text::{LineEnd, Paragraph, Setting};
use super::{Kind, Link, Page, Passage};

/// How a text stands in its box.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Size and pitch.
    pub setting: Setting,
    /// In the second ink.
    pub soft: bool,
    /// Share of what a line leaves free that stands before it.
    pub before: f64,
}

impl Look {
    /// Left, in the first ink.
    pub fn new(size: f64, leading: f64) -> Look {
        Look { setting: Setting::new(size, leading), soft: false, before: 0.0 }
    }

    /// In the second ink.
    pub fn soft(self) -> Look {
        Look { soft: true, ..self }
    }

    /// At the right.
    pub fn right(self) -> Look {
        Look { before: 1.0, ..self }
    }

    /// In the middle.
    pub fn middle(self) -> Look {
        Look { before: 0.5, ..self }
    }
}

/// What is drawn at a box, under what stands in it.
#[derive(Clone, Copy, Debug)]
pub enum Trim {
    /// A line along its upper edge.
    Above(Role),
    /// A line along its lower edge.
    Below(Role),
    /// A frame.
    Frame(Role),
    /// A bar of this width at its left.
    Bar(Role, f64),
    /// A part of it, from the left, filled: 0 to 1.
    Part(Role, f64),
}

/// The width of a column of a row.
#[derive(Clone, Copy, Debug)]
pub enum Track {
    /// This wide, mm.
    Mm(f64),
    /// As wide as what stands in it.
    Own,
    /// The same, but no wider than this, mm.
    Most(f64),
    /// A share of what is left.
    Share(f64),
    /// A share of what is left, but no narrower than the first, mm.
    Least(f64, f64),
}

enum Leaf {
    None,
    Text { paragraph: Box<Paragraph>, look: Look, index: Option<usize> },
    Drawing(Box<Scene>),
}

struct Content {
    leaf: Leaf,
    trims: Vec<Trim>,
    passage: Option<(Kind, Option<Link>)>,
}

/// A box.
pub type Id = NodeId;

/// Boxes that are being put together.
pub struct Boxes<'a> {
    faces: &'a mut Faces,
    tree: TaffyTree<Content>,
    /// Texts that a block may be parted in, so far.
    texts: usize,
}

/// A box with all that is in it, measured.
pub struct Laid {
    tree: TaffyTree<Content>,
    root: NodeId,
    /// Width and height, mm.
    pub size: [f64; 2],
}

/// `taffy` fails only for a box of another tree, and there is no other: boxes are made here alone.
const OWN: &str = "boxes are of their own tree";

fn mm<T: FromLength>(value: f64) -> T {
    length(value)
}

/// A box that may be narrower than its longest word: that word is broken.
fn yielding() -> Style {
    Style { min_size: Size { width: mm(0.0), height: auto() }, ..Style::default() }
}

impl<'a> Boxes<'a> {
    /// No boxes yet.
    pub fn new(faces: &'a mut Faces) -> Boxes<'a> {
        let mut tree = TaffyTree::new();
        // paper has no pixels
        tree.disable_rounding();
        Boxes { faces, tree, texts: 0 }
    }

    fn leaf(&mut self, style: Style, leaf: Leaf) -> Id {
        let content = Content { leaf, trims: Vec::new(), passage: None };
        self.tree.new_leaf_with_context(style, content).expect(OWN)
    }

    /// A text.
    pub fn text(&mut self, runs: &Runs, look: Look) -> Id {
        let paragraph = Box::new(Paragraph::new(self.faces, runs, look.setting));
        self.leaf(yielding(), Leaf::Text { paragraph, look, index: None })
    }

    /// A text that its block may be parted in; in the order of the block's texts.
    pub fn body(&mut self, runs: &Runs, look: Look) -> Id {
        let paragraph = Box::new(Paragraph::new(self.faces, runs, look.setting));
        let index = Some(self.texts);
        self.texts += 1;
        self.leaf(yielding(), Leaf::Text { paragraph, look, index })
    }

    /// A drawing.
    pub fn drawing(&mut self, scene: Scene) -> Id {
        let style = Style {
            size: Size { width: mm(scene.view.width()), height: mm(scene.view.height()) },
            flex_shrink: 0.0,
            ..Style::default()
        };
        self.leaf(style, Leaf::Drawing(Box::new(scene)))
    }

    /// An empty box of a size, mm.
    pub fn room(&mut self, width: f64, height: f64) -> Id {
        let style = Style { size: Size { width: mm(width), height: mm(height) }, flex_shrink: 0.0, ..Style::default() };
        self.leaf(style, Leaf::None)
    }

    /// Boxes beside one another.
    pub fn row(&mut self, tracks: &[Track], gap: f64, align: AlignItems, children: &[Id]) -> Id {
        let style = Style {
            display: Display::Grid,
            grid_template_columns: tracks.iter().map(|track| tracks_of(*track)).collect(),
            gap: Size { width: mm(gap), height: zero() },
            align_items: align,
            ..Style::default()
        };
        self.with(style, children)
    }

    /// Boxes below one another.
    pub fn column(&mut self, gap: f64, children: &[Id]) -> Id {
        let style = Style {
            display: Display::Flex,
            flex_direction: FlexDirection::Column,
            gap: Size { width: zero(), height: mm(gap) },
            ..Style::default()
        };
        self.with(style, children)
    }

    /// Boxes beside one another on as many lines as it takes; gaps across and between lines, mm.
    pub fn wrapped(&mut self, gaps: [f64; 2], align: AlignItems, children: &[Id]) -> Id {
        let style = Style {
            display: Display::Flex,
            flex_wrap: FlexWrap::Wrap,
            align_items: align,
            gap: Size { width: mm(gaps[0]), height: mm(gaps[1]) },
            ..Style::default()
        };
        self.with(style, children)
    }

    /// A box with room inside its edges, mm: left, right, above, below.
    pub fn padded(&mut self, [left, right, above, below]: [f64; 4], child: Id) -> Id {
        let style = Style {
            display: Display::Flex,
            flex_direction: FlexDirection::Column,
            padding: Rect { left: mm(left), right: mm(right), top: mm(above), bottom: mm(below) },
            ..Style::default()
        };
        self.with(style, &[child])
    }

    fn with(&mut self, style: Style, children: &[Id]) -> Id {
        let style = Style { min_size: yielding().min_size, ..style };
        let id = self.tree.new_with_children(style, children).expect(OWN);
        self.tree
            .set_node_context(id, Some(Content { leaf: Leaf::None, trims: Vec::new(), passage: None }))
            .expect(OWN);
        id
    }

    /// Draws something at a box.
    pub fn trim(&mut self, id: Id, trim: Trim) -> Id {
        if let Some(content) = self.tree.get_node_context_mut(id) {
            content.trims.push(trim);
        }
        id
    }

    /// Says what a box is to those who read it.
    pub fn passage(&mut self, id: Id, kind: Kind, link: Option<Link>) -> Id {
        if let Some(content) = self.tree.get_node_context_mut(id) {
            content.passage = Some((kind, link));
        }
        id
    }

    /// Measures a box of this width, mm, with all that is in it.
    pub fn laid(mut self, root: Id, width: f64) -> Laid {
        let mut style = self.tree.style(root).expect(OWN).clone();
        style.size.width = mm(width);
        self.tree.set_style(root, style).expect(OWN);
        let faces = self.faces;
        self.tree
            .compute_layout_with_measure(root, Size::MAX_CONTENT, |inputs, _, content, style| {
                compute_leaf_layout(
                    inputs,
                    style,
                    |_, _| 0.0,
                    |known, available| measured(faces, content, known, available),
                )
            })
            .expect(OWN);
        let size = self.tree.layout(root).expect(OWN).size;
        let mut laid = Laid { tree: self.tree, root, size: [f64::from(size.width), f64::from(size.height)] };
        // lines are left as the last measure broke them, which need not be that of the place
        laid.settle(faces, root);
        laid
    }
}

fn tracks_of(track: Track) -> GridTemplateComponent<String> {
    match track {
        Track::Mm(value) => length(value),
        Track::Own => minmax(min_content(), max_content()),
        Track::Most(value) => fit_content(length(value)),
        Track::Share(share) => minmax(length(0.0), fr(share)),
        Track::Least(least, share) => minmax(length(least), fr(share)),
    }
}

fn measured(
    faces: &mut Faces,
    content: Option<&mut Content>,
    known: Size<Option<f32>>,
    available: Size<AvailableSpace>,
) -> Size<f32> {
    let Some(Content { leaf: Leaf::Text { paragraph, .. }, .. }) = content else {
        return Size { width: known.width.unwrap_or(0.0), height: known.height.unwrap_or(0.0) };
    };
    let [least, most] = paragraph.widths();
    let width = known.width.unwrap_or_else(|| match available.width {
        AvailableSpace::MinContent => least,
        AvailableSpace::MaxContent => most,
        AvailableSpace::Definite(width) => most.min(width),
    });
    let height = known.height.unwrap_or_else(|| paragraph.broken(faces, width));
    Size { width, height }
}

impl Laid {
    /// Height, mm.
    pub fn height(&self) -> f64 {
        self.size[1]
    }

    fn settle(&mut self, faces: &mut Faces, id: NodeId) {
        let width = self.tree.layout(id).expect(OWN).size.width;
        if let Some(Content { leaf: Leaf::Text { paragraph, .. }, .. }) = self.tree.get_node_context_mut(id) {
            paragraph.broken(faces, width);
        }
        for child in self.tree.children(id).expect(OWN) {
            self.settle(faces, child);
        }
    }

    /// Where the lines of the texts end that the block may be parted in, text by text; heights from the box's
    /// upper edge.
    pub fn line_ends(&self) -> Vec<Vec<LineEnd>> {
        let mut found = Vec::new();
        self.gather_ends(self.root, 0.0, &mut found);
        found.sort_by_key(|(index, _)| *index);
        found.into_iter().map(|(_, ends)| ends).collect()
    }

    fn gather_ends(&self, id: NodeId, above: f64, found: &mut Vec<(usize, Vec<LineEnd>)>) {
        let y = above + f64::from(self.tree.layout(id).expect(OWN).location.y);
        if let Some(Content { leaf: Leaf::Text { paragraph, index: Some(index), .. }, .. }) =
            self.tree.get_node_context(id)
        {
            let ends = paragraph.line_ends().into_iter();
            found.push((*index, ends.map(|end| LineEnd { y: y + end.y, ..end }).collect()));
        }
        for child in self.tree.children(id).expect(OWN) {
            self.gather_ends(child, y, found);
        }
    }

    /// Widths of the boxes that the outermost one holds, mm.
    pub fn widths(&self) -> Vec<f64> {
        let children = self.tree.children(self.root).expect(OWN);
        children.into_iter().map(|id| f64::from(self.tree.layout(id).expect(OWN).size.width)).collect()
    }

    /// Puts it on a page, its upper left corner there, mm.
    pub fn place(self, page: &mut Page, at: [f64; 2]) {
        let mut tree = self.tree;
        place(&mut tree, self.root, page, at);
    }
}

fn place(tree: &mut TaffyTree<Content>, id: NodeId, page: &mut Page, [left, above]: [f64; 2]) {
    let layout = *tree.layout(id).expect(OWN);
    let [x, y] = [left + f64::from(layout.location.x), above + f64::from(layout.location.y)];
    let [width, height] = [f64::from(layout.size.width), f64::from(layout.size.height)];
    let first = page.scene.items.len();
    let mut passage = None;
    if let Some(content) = tree.get_node_context_mut(id) {
        for trim in &content.trims {
            trimmed(page, *trim, [x, y], [width, height]);
        }
        passage = content.passage.take();
        match std::mem::replace(&mut content.leaf, Leaf::None) {
            Leaf::None => {}
            Leaf::Drawing(scene) => page.inset(Role::Work, [x, y], *scene),
            Leaf::Text { paragraph, look, .. } => {
                for piece in paragraph.pieces(width, look.before) {
                    let role = match (look.soft, piece.bold) {
                        (false, false) => Role::PaperText,
                        (false, true) => Role::PaperBold,
                        (true, false) => Role::PaperSoft,
                        (true, true) => Role::PaperSoftBold,
                    };
                    page.words(role, [x + piece.x, y + piece.y], piece.text, look.setting.size, piece.width);
                }
            }
        }
    }
    for child in tree.children(id).expect(OWN) {
        place(tree, child, page, [x, y]);
    }
    if let Some((kind, link)) = passage {
        page.reading.push(Passage { kind, items: first..page.scene.items.len(), link });
    }
}

fn trimmed(page: &mut Page, trim: Trim, [x, y]: [f64; 2], [width, height]: [f64; 2]) {
    match trim {
        Trim::Above(role) => page.line(role, [x, y], [x + width, y]),
        Trim::Below(role) => page.line(role, [x, y + height], [x + width, y + height]),
        Trim::Frame(role) => page.rect(role, [x, y], [width, height]),
        Trim::Bar(role, bar) => page.rect(role, [x, y], [bar, height]),
        Trim::Part(role, part) => page.rect(role, [x, y], [width * part, height]),
    }
}
