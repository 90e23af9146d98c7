//! How each block looks: its type, rules and room, read at arm's length over a bench.
//!
//! Sizes in mm on the paper. Nothing here knows of pages: a block is measured at a width, and what stands
//! above and below it keeps the larger of their two distances.

use std::rc::Rc;

use holefast::drawing::{Role, Scene};
use taffy::AlignItems;

use super::block::{BlankTable, Block, Entry, Figure, Key, Opening, Row, Runs, ScaleBar, Share, Table, plain, strong};
use super::boxes::{Boxes, Id, Laid, Look, Track, Trim};
use super::faces::{CAP, Faces};
use super::text::{Paragraph, Setting};
use super::{Kind, Link};

/// Side of a box to tick.
const TICK: f64 = 4.2;
/// Height of the bar to hold a rule to.
const SCALE_BAR: f64 = 1.4;
/// Type of labels: keys, heads of tables, captions.
const LABEL: f64 = 3.0;
/// Type of a page's foot, the least there is beside numbers in drawings.
const FOOT: f64 = 2.8;
/// Rows of a table that its columns are measured by; a word in a later one that is wider is broken.
const MEASURED_ROWS: usize = 200;

/// Type of running text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Base {
    /// Size of running text.
    pub size: f64,
    /// Room between a line's baseline and the next one's capitals.
    pub leading: f64,
    /// Room above and below a step.
    pub step: f64,
}

impl Base {
    /// A page's, its text of this size.
    pub const fn page(size: f64) -> Base {
        Base { size, leading: 0.56 * size, step: 1.75 }
    }

    /// A card's: 3.7 mm is read over a bench.
    pub const CARD: Base = Base { size: 3.7, leading: 2.1, step: 1.75 };

    /// A card's whose text would else not go on it.
    pub const CLOSE_CARD: Base = Base { step: 1.1, ..Base::CARD };

    fn look(self) -> Look {
        Look::new(self.size, self.leading)
    }
}

/// Measures blocks in one type.
pub struct Looks<'a> {
    pub(super) faces: &'a mut Faces,
    pub(super) base: Base,
}

/// Room above and below a block.
pub fn distances(block: &Block) -> [f64; 2] {
    match block {
        Block::Lead(_) => [4.5, 3.0],
        Block::Para(_) => [2.6, 2.6],
        Block::Small(_) => [2.4, 2.4],
        Block::Soft(_) => [2.6, 2.0],
        Block::Head(_) => [6.0, 2.4],
        Block::CardHead(_) => [2.4, 1.5],
        Block::Caution { .. } | Block::OwnNote(_) | Block::Entries(_) => [1.8, 1.8],
        Block::Step { .. } | Block::Share(_) => [0.0, 0.0],
        Block::Bullet { .. } => [1.9, 1.9],
        Block::Figures(_) => [3.0, 3.0],
        Block::Picture { .. } | Block::Plot(_) => [3.0, 2.0],
        Block::Table(_) | Block::Blank(_) => [2.0, 2.0],
        Block::Row { row, .. } => [if row.is_none() { 2.0 } else { 0.0 }, 0.0],
        Block::Openings { .. } => [2.0, 1.0],
        Block::Beside { .. } => [1.0, 1.0],
    }
}

impl<'a> Looks<'a> {
    /// Looks in this type.
    pub fn new(faces: &'a mut Faces, base: Base) -> Looks<'a> {
        Looks { faces, base }
    }

    /// Measures a block at this width.
    pub fn laid(&mut self, block: &Block, width: f64) -> Laid {
        let base = self.base;
        let mut boxes = Boxes::new(self.faces);
        let root = whole(&mut boxes, block, base);
        boxes.laid(root, width)
    }

    /// Measures the columns of a table at this width.
    pub fn columns(&mut self, table: &Table, width: f64) -> Vec<f64> {
        let gap = gap(table);
        /// A word measured by itself has room in its column, mm.
        const ROUNDING: f64 = 0.1;
        let columns = table.widths.len();
        let body = row_look(table, self.base).setting;
        let mut least = vec![0.0_f32; columns];
        let mut measure = |column: usize, runs: &Runs, setting: Setting| {
            let [widest, _] = Paragraph::new(self.faces, runs, setting).widths();
            if let Some(least) = least.get_mut(column) {
                *least = least.max(widest);
            }
        };
        for (column, head) in table.head.iter().enumerate() {
            measure(column, &plain(head), label().setting);
        }
        for row in table.rows.iter().filter(|row| row.cells.len() > 1).take(MEASURED_ROWS) {
            for (column, cell) in row.cells.iter().enumerate() {
                measure(column, cell, body);
            }
        }
        let room = width - gap * (columns as f64 - 1.0);
        let least: Vec<f64> = least.into_iter().map(|least| f64::from(least) + ROUNDING).collect();
        // no column takes more than half for one word, and less where several have such words: those are broken
        let mut most = 0.5 * room;
        while least.iter().map(|least| least.min(most)).sum::<f64>() > room {
            most *= 0.95;
        }
        let mut boxes = Boxes::new(self.faces);
        let tracks: Vec<Track> = (0..columns).map(|i| Track::Least(least[i].min(most), table.widths[i])).collect();
        let cells: Vec<Id> = (0..columns).map(|_| boxes.column(0.0, &[])).collect();
        let root = boxes.row(&tracks, gap, AlignItems::STRETCH, &cells);
        boxes.laid(root, width).widths()
    }
}

fn whole(boxes: &mut Boxes<'_>, block: &Block, base: Base) -> Id {
    match block {
        Block::Lead(text) => paragraph(boxes, &bold(text), Look::new(5.2, 2.2)),
        Block::Para(text) => paragraph(boxes, text, base.look()),
        Block::Small(text) => paragraph(boxes, text, Look::new(3.2, 1.8).soft()),
        Block::Soft(text) => paragraph(boxes, text, base.look().soft()),
        Block::Head(text) => heading(boxes, text, Look::new(4.4, 2.0)),
        Block::CardHead(text) => heading(boxes, text, base.look()),
        Block::Caution { text, .. } => {
            let text = paragraph(boxes, text, base.look());
            let id = boxes.padded([4.4, 2.0, 2.1, 2.3], text);
            boxes.trim(id, Trim::Bar(Role::CautionBar, 2.0));
            boxes.trim(id, Trim::Frame(Role::CautionFrame))
        }
        Block::OwnNote(text) => {
            let text = paragraph(boxes, text, base.look());
            let id = boxes.padded([3.4, 0.0, 1.0, 1.4], text);
            boxes.trim(id, Trim::Bar(Role::NoteBar, 1.0))
        }
        Block::Step { number, text, tick } => step(boxes, *number, text, *tick, base),
        Block::Bullet { mark, text } => {
            let mark = boxes.text(&plain(mark), base.look());
            let text = boxes.body(text, base.look());
            let id = boxes.row(&[Track::Mm(4.5), Track::Share(1.0)], 0.0, AlignItems::START, &[mark, text]);
            boxes.passage(id, Kind::Entry, None)
        }
        Block::Figures(items) => figures(boxes, items),
        Block::Picture { scene, keys, bar } => {
            let drawing = drawing(boxes, scene);
            let under = keys_and_bar(boxes, keys, bar);
            boxes.column(1.6, &[drawing, under])
        }
        Block::Plot(scene) => {
            let drawing = drawing(boxes, scene);
            boxes.column(0.0, &[drawing])
        }
        // measured row by row
        Block::Table(_) => boxes.room(0.0, 0.0),
        Block::Row { table, widths, row, cells, tick } => row_of(boxes, table, widths, *row, cells, *tick, base),
        Block::Blank(table) => blank(boxes, table),
        Block::Share(share) => share_row(boxes, share, base),
        Block::Entries(entries) => {
            let entries: Vec<Id> = entries.iter().map(|entry| entry_box(boxes, entry, base)).collect();
            boxes.wrapped([4.0, 2.0], AlignItems::CENTER, &entries)
        }
        Block::Openings { items, columns } => openings(boxes, items, *columns),
        Block::Beside { items, scene, caption, address } => {
            let side = scene.view.width();
            let left: Vec<Id> = items.iter().map(|item| whole(boxes, item, base)).collect();
            let left = boxes.column(2.0, &left);
            let link = (!address.is_empty()).then(|| Link::Address(address.clone()));
            let picture = drawing(boxes, scene);
            boxes.passage(picture, Kind::Drawing, link.clone());
            let caption = boxes.text(caption, label().middle());
            boxes.passage(caption, Kind::Paragraph, link);
            let right = boxes.column(1.0, &[picture, caption]);
            boxes.row(&[Track::Share(1.0), Track::Mm(side)], 8.0, AlignItems::START, &[left, right])
        }
    }
}

/// A text that has one line, or should it have more, lines that keep clear of one another.
fn line(size: f64) -> Look {
    Look::new(size, 0.5 * size)
}

fn label() -> Look {
    Look::new(LABEL, 1.5).soft()
}

fn bold(runs: &Runs) -> Runs {
    runs.iter().map(|run| super::block::Run { bold: true, ..run.clone() }).collect()
}

fn paragraph(boxes: &mut Boxes<'_>, text: &Runs, look: Look) -> Id {
    let id = boxes.body(text, look);
    boxes.passage(id, Kind::Paragraph, None)
}

fn heading(boxes: &mut Boxes<'_>, text: &Runs, look: Look) -> Id {
    let id = boxes.body(&bold(text), look);
    boxes.passage(id, Kind::Heading, None)
}

fn drawing(boxes: &mut Boxes<'_>, scene: &Scene) -> Id {
    let id = boxes.drawing(scene.clone());
    boxes.passage(id, Kind::Drawing, None)
}

fn tick(boxes: &mut Boxes<'_>, side: f64) -> Id {
    let id = boxes.room(side, side);
    boxes.trim(id, Trim::Frame(Role::TickBox))
}

fn step(boxes: &mut Boxes<'_>, number: Option<u32>, text: &Runs, ticked: bool, base: Base) -> Id {
    let number = strong(number.map_or_else(String::new, |n| n.to_string()));
    let number = boxes.text(&number, line(4.2));
    // the number's capitals are taller: the text is lowered by that, and both stand on one line
    let lowered = CAP * (4.2 - base.size);
    let text = boxes.body(text, base.look());
    let text = boxes.padded([0.0, 0.0, lowered, 0.0], text);
    let tick = if ticked { tick(boxes, TICK) } else { boxes.room(TICK, 0.0) };
    let tick = boxes.padded([1.2, 0.0, 0.0, 0.0], tick);
    let tracks = [Track::Mm(6.5), Track::Share(1.0), Track::Mm(TICK + 1.2)];
    let row = boxes.row(&tracks, 0.6, AlignItems::START, &[number, text, tick]);
    boxes.passage(row, Kind::Entry, None);
    let id = boxes.padded([0.0, 0.0, base.step, base.step + 0.3], row);
    boxes.trim(id, Trim::Below(Role::RowRule))
}

fn figures(boxes: &mut Boxes<'_>, items: &[Figure]) -> Id {
    let mut cells = Vec::new();
    for figure in items {
        let value = boxes.text(&strong(&figure.value), line(figure.size));
        let unit = boxes.text(&plain(&figure.unit), line(3.4));
        let line = boxes.row(&[Track::Own, Track::Own], 0.8, AlignItems::END, &[value, unit]);
        let name = boxes.text(&plain(&figure.name), label());
        let cell = boxes.column(2.0, &[line, name]);
        cells.push(boxes.passage(cell, Kind::Paragraph, None));
    }
    let tracks = vec![Track::Share(1.0); cells.len()];
    let row = boxes.row(&tracks, 4.0, AlignItems::END, &cells);
    let id = boxes.padded([0.0, 0.0, 2.4, 2.8], row);
    boxes.trim(id, Trim::Above(Role::WriteRule));
    boxes.trim(id, Trim::Below(Role::WriteRule))
}

fn key_line(boxes: &mut Boxes<'_>, keys: &[Key]) -> Id {
    let signs: Vec<Id> = keys
        .iter()
        .map(|key| {
            let sign = boxes.drawing(key.sign.clone());
            let name = boxes.text(&plain(&key.name), label());
            let id = boxes.row(&[Track::Own, Track::Own], 0.8, AlignItems::CENTER, &[sign, name]);
            boxes.passage(id, Kind::Caption, None)
        })
        .collect();
    boxes.wrapped([3.5, 0.6], AlignItems::CENTER, &signs)
}

fn scale_bar(boxes: &mut Boxes<'_>, bar: &ScaleBar) -> Id {
    let part = bar.length / f64::from(bar.parts);
    let parts: Vec<Id> = (0..bar.parts)
        .map(|i| {
            let id = boxes.room(part, SCALE_BAR);
            if i % 2 == 0 { boxes.trim(id, Trim::Part(Role::Measured, 1.0)) } else { id }
        })
        .collect();
    let tracks = vec![Track::Mm(part); parts.len()];
    let measured = boxes.row(&tracks, 0.0, AlignItems::START, &parts);
    boxes.trim(measured, Trim::Frame(Role::TableRule));
    let label = boxes.text(&plain(&bar.label), line(FOOT).soft());
    boxes.passage(label, Kind::Caption, None);
    boxes.row(&[Track::Mm(bar.length), Track::Own], 1.5, AlignItems::CENTER, &[measured, label])
}

fn keys_and_bar(boxes: &mut Boxes<'_>, keys: &[Key], bar: &ScaleBar) -> Id {
    let keys = key_line(boxes, keys);
    let bar = scale_bar(boxes, bar);
    boxes.row(&[Track::Share(1.0), Track::Own], 4.0, AlignItems::CENTER, &[keys, bar])
}

/// Room between a table's columns.
fn gap(table: &Table) -> f64 {
    if table.close { 3.5 } else { 4.0 }
}

fn row_look(table: &Table, base: Base) -> Look {
    if table.close { Look::new(base.size.min(3.4), 1.5) } else { Look::new(base.size.min(3.5), 1.7) }
}

fn row_of(
    boxes: &mut Boxes<'_>,
    table: &Rc<Table>,
    widths: &[f64],
    row: Option<usize>,
    cells: &[Runs],
    ticked: bool,
    base: Base,
) -> Id {
    let room = if table.close { 1.5 } else { 1.9 };
    let known: Option<&Row> = row.map(|row| &table.rows[row]);
    let spanning = known.is_some_and(|row| row.cells.len() == 1);
    let span = if spanning { table.widths.len() as u32 } else { 1 };
    let kind = Kind::Cell { table: table.id, row: row.map(|row| row as u32), span };
    let look = if row.is_none() { label() } else { row_look(table, base) };
    let mut children: Vec<Id> = Vec::new();
    for (i, runs) in cells.iter().enumerate() {
        let id = boxes.body(runs, look);
        let card = known.and_then(|row| row.card.clone()).filter(|_| i == 0);
        children.push(boxes.passage(id, kind, card.map(Link::Card)));
    }
    if known.is_some_and(|row| row.tick) {
        let sides = [boxes.room(0.0, 0.0), boxes.room(0.0, 0.0)];
        let tick = if ticked { tick(boxes, TICK) } else { boxes.room(TICK, 0.0) };
        let tracks = [Track::Share(1.0), Track::Mm(TICK), Track::Share(1.0)];
        let cell = boxes.row(&tracks, 0.0, AlignItems::START, &[sides[0], tick, sides[1]]);
        children.push(boxes.passage(cell, kind, None));
    }
    let tracks: Vec<Track> =
        if spanning { vec![Track::Share(1.0)] } else { widths.iter().map(|w| Track::Mm(*w)).collect() };
    let line = boxes.row(&tracks, gap(table), AlignItems::START, &children);
    let above = if spanning { 3.0 } else { room };
    let id = boxes.padded([0.0, 0.0, above, room], line);
    match row {
        None => {
            boxes.trim(id, Trim::Above(Role::FootRule));
            boxes.trim(id, Trim::Below(Role::TableRule))
        }
        Some(_) if spanning => boxes.trim(id, Trim::Below(Role::TableRule)),
        Some(_) => boxes.trim(id, Trim::Below(Role::RowRule)),
    }
}

fn blank(boxes: &mut Boxes<'_>, table: &BlankTable) -> Id {
    let tracks: Vec<Track> = table.widths.iter().map(|w| Track::Share(*w)).collect();
    let mut lines = Vec::new();
    let heads: Vec<Id> = table
        .head
        .iter()
        .map(|head| {
            let text = boxes.text(&plain(head), label());
            boxes.passage(text, Kind::Paragraph, None);
            let cell = boxes.padded([1.3, 1.3, 1.3, 1.6], text);
            boxes.trim(cell, Trim::Frame(Role::WriteRule))
        })
        .collect();
    lines.push(boxes.row(&tracks, 0.0, AlignItems::STRETCH, &heads));
    for _ in 0..table.least {
        let cells: Vec<Id> = table
            .widths
            .iter()
            .map(|_| {
                let room = boxes.room(0.0, table.height);
                let cell = boxes.padded([0.0; 4], room);
                boxes.trim(cell, Trim::Frame(Role::WriteRule))
            })
            .collect();
        lines.push(boxes.row(&tracks, 0.0, AlignItems::STRETCH, &cells));
    }
    boxes.column(0.0, &lines)
}

fn share_row(boxes: &mut Boxes<'_>, share: &Share, base: Base) -> Id {
    let name = boxes.text(&strong(&share.name), base.look());
    let bar = boxes.room(44.0, 3.4);
    boxes.trim(bar, Trim::Part(Role::Measured, share.part));
    boxes.trim(bar, Trim::Frame(Role::WriteRule));
    let part = boxes.text(&plain(&share.share), base.look().right());
    let lessen = boxes.text(&plain(&share.lessen), base.look());
    let tracks = [Track::Mm(38.0), Track::Mm(44.0), Track::Mm(13.0), Track::Share(1.0)];
    let row = boxes.row(&tracks, 3.0, AlignItems::START, &[name, bar, part, lessen]);
    boxes.passage(row, Kind::Paragraph, None);
    let id = boxes.padded([0.0, 0.0, 1.8, 2.0], row);
    boxes.trim(id, Trim::Below(Role::RowRule))
}

fn entry_box(boxes: &mut Boxes<'_>, entry: &Entry, base: Base) -> Id {
    let name = boxes.text(&plain(&entry.name), base.look());
    let field = if entry.tick {
        tick(boxes, TICK)
    } else {
        let id = boxes.room(15.0, 6.0);
        boxes.trim(id, Trim::Frame(Role::TickBox))
    };
    let id = boxes.row(&[Track::Own, Track::Own], 1.4, AlignItems::CENTER, &[name, field]);
    boxes.passage(id, Kind::Paragraph, None)
}

fn openings(boxes: &mut Boxes<'_>, items: &[Opening], columns: usize) -> Id {
    let rows = items.len().div_ceil(columns.max(1)).max(1);
    let mut stacks = Vec::new();
    for part in items.chunks(rows) {
        let cells: Vec<Id> = part.iter().map(|opening| opening_of(boxes, opening)).collect();
        stacks.push(boxes.column(0.0, &cells));
    }
    while stacks.len() < columns {
        stacks.push(boxes.column(0.0, &[]));
    }
    boxes.row(&vec![Track::Share(1.0); stacks.len()], 3.0, AlignItems::START, &stacks)
}

fn opening_of(boxes: &mut Boxes<'_>, opening: &Opening) -> Id {
    let field = tick(boxes, 3.6);
    let order = boxes.text(&plain(opening.order.to_string()), line(2.7).soft());
    let hole = boxes.text(&strong(&opening.hole), line(3.7));
    let on = boxes.text(&plain(&opening.on), Look::new(3.5, 1.7).soft());
    let tracks = [Track::Mm(4.6), Track::Mm(5.2), Track::Mm(9.4), Track::Share(1.0)];
    let line = boxes.row(&tracks, 0.0, AlignItems::CENTER, &[field, order, hole, on]);
    let id = if opening.held.is_empty() {
        line
    } else {
        let held = boxes.text(&plain(&opening.held), Look::new(3.5, 1.7).soft());
        let held = boxes.padded([9.8, 0.0, 0.0, 0.6], held);
        boxes.column(1.4, &[line, held])
    };
    boxes.passage(id, Kind::Entry, None);
    boxes.padded([0.0, 0.0, 1.2, 1.2], id)
}

/// A name for one line: whoever wrote it over several meant no more by that.
pub fn one_line(text: &str) -> String {
    text.lines().map(str::trim).filter(|line| !line.is_empty()).collect::<Vec<_>>().join(" ")
}

/// The head of a page or card.
pub struct Head<'a> {
    /// A card's number.
    pub number: Option<&'a str>,
    /// Its title.
    pub title: &'a str,
    /// Size of the title.
    pub size: f64,
    /// After the title on the pages that continue it.
    pub more: Option<&'a str>,
    /// At the right, line by line.
    pub aside: &'a [String],
}

impl Looks<'_> {
    /// A title shortened to so many mm on one line; none if it has room.
    pub fn shortened(&mut self, title: &str, size: f64, room: f64) -> Option<String> {
        let paragraph = Paragraph::new(self.faces, &strong(one_line(title)), Setting::new(size, 0.0));
        let short = paragraph.shortened(self.faces, room)?;
        Some(short.into_iter().map(|run| run.text).collect())
    }

    /// Measures a head.
    pub fn head(&mut self, head: &Head<'_>, width: f64) -> Laid {
        let mut boxes = Boxes::new(self.faces);
        let mut text = boxes.text(&strong(one_line(head.title)), Look::new(head.size, 0.38 * head.size));
        if let Some(more) = head.more {
            let more = boxes.text(&plain(format!(",\u{a0}{more}")), line(3.7));
            text = boxes.wrapped([0.3, 1.5], AlignItems::END, &[text, more]);
        }
        let aside: Vec<Id> = head
            .aside
            .iter()
            .filter(|line| !line.is_empty())
            .map(|line| {
                let look = Look::new(3.4, 1.6).right();
                let look = if head.number.is_some() { look } else { look.soft() };
                let id = boxes.text(&plain(line), look);
                boxes.passage(id, Kind::Aside, None)
            })
            .collect();
        let aside = boxes.column(1.6, &aside);
        let row = match head.number {
            Some(number) => {
                let number = boxes.text(&strong(number), line(10.0));
                let named = boxes.row(&[Track::Own, Track::Share(1.0)], 4.0, AlignItems::END, &[number, text]);
                boxes.passage(named, Kind::Title, None);
                boxes.row(&[Track::Share(1.0), Track::Most(0.4 * width)], 4.0, AlignItems::END, &[named, aside])
            }
            None => {
                boxes.passage(text, Kind::Title, None);
                boxes.row(&[Track::Share(1.0), Track::Most(0.4 * width)], 4.0, AlignItems::END, &[text, aside])
            }
        };
        let id = boxes.padded([0.0, 0.0, 0.0, if head.number.is_some() { 2.2 } else { 2.3 }], row);
        boxes.trim(id, Trim::Below(Role::HeadRule));
        boxes.laid(id, width)
    }

    /// Measures a foot. Its first part has what room the others leave; returns it too where it had to be
    /// shortened.
    pub fn foot(&mut self, parts: &[String], width: f64) -> (Laid, Option<String>) {
        const GAP: f64 = 4.0;
        let parts: Vec<String> = parts.iter().map(|part| one_line(part)).collect();
        let look = Look::new(FOOT, 1.2).soft();
        let others: f64 = parts
            .iter()
            .skip(1)
            .map(|part| f64::from(Paragraph::new(self.faces, &plain(part), look.setting).widths()[1]) + GAP)
            .sum();
        let first = plain(parts.first().map_or("", String::as_str));
        let short = Paragraph::new(self.faces, &first, look.setting).shortened(self.faces, width - others - 0.1);
        let cut = short.is_some().then(|| parts[0].clone());
        let mut boxes = Boxes::new(self.faces);
        let mut cells = vec![boxes.text(&short.unwrap_or(first), look)];
        for (i, part) in parts.iter().enumerate().skip(1) {
            let look = if i + 1 == parts.len() { look.right() } else { look.middle() };
            cells.push(boxes.text(&plain(part), look));
        }
        let tracks: Vec<Track> =
            (0..cells.len()).map(|i| if i == 1 { Track::Share(1.0) } else { Track::Own }).collect();
        let row = boxes.row(&tracks, GAP, AlignItems::START, &cells);
        let id = boxes.padded([0.0, 0.0, 1.5, 0.0], row);
        boxes.trim(id, Trim::Above(Role::FootRule));
        (boxes.laid(id, width), cut)
    }

    /// Measures what stands at the left of a card: its drawing, the drawing's signs and the bar, and a list.
    pub fn beside(
        &mut self,
        scene: Option<&Scene>,
        keys: &[Key],
        bar: &ScaleBar,
        list: Option<(&str, &[Opening], usize)>,
        width: f64,
    ) -> Laid {
        let mut boxes = Boxes::new(self.faces);
        let mut parts = Vec::new();
        if let Some(scene) = scene {
            parts.push(drawing(&mut boxes, scene));
        }
        parts.push(key_line(&mut boxes, keys));
        parts.push(scale_bar(&mut boxes, bar));
        if let Some((head, items, columns)) = list {
            let head = boxes.text(&strong(head), Base::CARD.look());
            boxes.passage(head, Kind::Heading, None);
            let head = boxes.padded([0.0, 0.0, 1.5, 1.0], head);
            let list = openings(&mut boxes, items, columns);
            parts.push(boxes.column(0.0, &[head, list]));
        }
        let id = boxes.column(1.4, &parts);
        boxes.laid(id, width)
    }
}
