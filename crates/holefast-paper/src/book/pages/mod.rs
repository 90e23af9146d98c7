//! Which page holds what: blocks gathered from words and drawings of the core, page after page.

mod budget;
mod cards;
mod cover;
mod cuts;
mod finishing;
mod kit;
mod order;
mod parts;
mod proof;
mod readings;
mod safety;
mod summary;
mod test_cuts;

use std::rc::Rc;

use holefast::drawing::{Role, Scene, key_of, key_sign};
use holefast::job::Units;
use holefast::words::{self, CardKind, Rich};
use holefast::{Job, Layout, Plan};

use super::lay::{CARD_SIDE, Card, Lay, PAGE, Sheet};
use super::{BookOptions, Expectation, MorePages, Site, text};
use crate::page::Base;
use crate::page::block::{Block, Key, Row, Runs, ScaleBar, Table, runs};

/// White at the sides of a page of running matter, mm.
const SIDE: f64 = PAGE[0];

/// Parts of the openings up to this many share a page with another card.
const FEW_OPENINGS: usize = 6;

/// What a page of openings needs beside its drawing and the lines of its list, mm: head, key, cautions, foot.
const OPENINGS_FURNITURE: f64 = 132.0;

/// Columns of an opening list on a page of its own.
const OPENING_COLUMNS: usize = 5;

/// Factor of the expanded uncertainty that papers state beside it: 95 in 100 of a normal one.
const FACTOR: &str = "1.96";

/// What every page needs.
struct Ctx<'a> {
    job: &'a Job,
    layout: &'a Layout,
    plan: &'a Plan,
    expected: &'a Expectation,
    digest: &'a str,
    site: Option<&'a Site>,
    size: [f64; 2],
    lay: Lay,
    tables: u32,
}

/// Lays the whole book out.
pub fn gather(
    job: &Job,
    layout: &Layout,
    plan: &Plan,
    expected: &Expectation,
    options: &BookOptions,
    more: &MorePages,
) -> Lay {
    let size = options.paper.size();
    let site = options.site.as_ref();
    let lay = Lay::new(size, scale_bar(job.units));
    let mut ctx = Ctx { job, layout, plan, expected, digest: &options.digest, site, size, lay, tables: 0 };
    for sheet in [Ctx::cover, Ctx::summary, Ctx::kit, Ctx::safety] {
        let sheet = sheet(&mut ctx);
        ctx.lay.sheet(sheet);
    }
    ctx.all_cards();
    let finishing = ctx.finishing();
    ctx.lay.sheet(finishing);
    for card in ctx.cuts(more) {
        ctx.lay.sheet(card);
    }
    for sheet in ctx.parts(more) {
        ctx.lay.sheet(sheet);
    }
    let test_cuts = ctx.test_cuts();
    ctx.lay.sheet(test_cuts);
    let budget = ctx.budget();
    ctx.lay.sheet(budget);
    for sheet in ctx.proof(more.proof.as_ref()) {
        ctx.lay.sheet(sheet);
    }
    let readings = ctx.readings();
    ctx.lay.sheet(readings);
    ctx.lay
}

fn scale_bar(units: Units) -> ScaleBar {
    match units {
        Units::Mm => ScaleBar { length: 50.0, parts: 5, label: "50\u{a0}mm on a rule".to_owned() },
        Units::Inch => ScaleBar { length: 50.8, parts: 4, label: "2\u{a0}in on a rule".to_owned() },
    }
}

fn marked(text: impl AsRef<str>) -> Runs {
    runs(Rich::new(text))
}

/// Columns of an opening list under a drawing: as many as keep each opening's two holes on a line.
fn list_columns(card: &words::Card) -> usize {
    let longest = card.openings.iter().map(|o| o.on.join(" ").chars().count()).max().unwrap_or(0);
    if longest > "A1 A3".len() { 2 } else { 3 }
}

/// Height of a line of an opening list, mm.
fn line_height(card: &words::Card) -> f64 {
    if card.openings.iter().any(|o| o.hold_down.is_some()) { 10.6 } else { 6.1 }
}

impl Ctx<'_> {
    /// The trial bore's card and every set-up's, two to a page; long lists of openings on pages of their own,
    /// the map of the openings before the first of them.
    fn all_cards(&mut self) {
        let cards = words::cards(self.job, self.plan);
        let all: Vec<words::Card> = words::trial_card(self.job).into_iter().chain(cards).collect();
        let mut waiting: Vec<Card> = Vec::new();
        let mut mapped = false;
        for card in &all {
            if card.kind != CardKind::Openings {
                let card = self.card(card);
                waiting.push(card);
                continue;
            }
            if !mapped {
                self.lay.cards(std::mem::take(&mut waiting));
                let order = self.order();
                self.lay.sheet(order);
                mapped = true;
            }
            if card.openings.len() <= FEW_OPENINGS {
                // its list stands under the drawing
                let card = self.few_openings(card);
                waiting.push(card);
            } else {
                self.lay.cards(std::mem::take(&mut waiting));
                // a long list needs the lower half of the page
                let lines = card.openings.len().div_ceil(OPENING_COLUMNS) as f64;
                let height =
                    (self.size[1] - OPENINGS_FURNITURE - line_height(card) * lines).clamp(60.0, 0.5 * self.size[1]);
                let sheet = self.many_openings(card, [self.size[0] - 2.0 * CARD_SIDE, height]);
                self.lay.sheet(sheet);
            }
        }
        self.lay.cards(waiting);
    }

    fn units_name(&self) -> &'static str {
        match self.job.units {
            Units::Mm => "mm",
            Units::Inch => "inches",
        }
    }

    fn length(&self, mm: f64) -> String {
        words::length(self.job.units, mm)
    }

    fn version(&self) -> String {
        format!("holefast {}, job {}", holefast::VERSION, self.digest.replace(' ', "\u{a0}"))
    }

    /// Foot of a page.
    fn foot(&self) -> Vec<String> {
        vec![self.job.name.clone(), format!("{}; {}", text::FRAME, self.units_name()), self.version()]
    }

    /// A page, its text as large as it may be (mm).
    fn sheet(&self, title: &str, aside: String, text_size: f64, blocks: Vec<Block>) -> Sheet {
        Sheet {
            number: None,
            title: title.to_owned(),
            title_size: if title.chars().count() > 30 { 6.5 } else { 8.0 },
            aside: vec![aside],
            base: Base::page(text_size),
            sides: PAGE,
            first: blocks,
            columns: Vec::new(),
            gap: 0.0,
            last: Vec::new(),
            foot: self.foot(),
        }
    }

    /// A table of these columns, their widths to each other, and rows.
    fn table(&mut self, widths: &[f64], head: &[&str], rows: Vec<Row>) -> Block {
        self.table_of(widths, head, rows, false)
    }

    /// The same for many rows.
    fn long_table(&mut self, widths: &[f64], head: &[&str], rows: Vec<Row>) -> Block {
        self.table_of(widths, head, rows, true)
    }

    fn table_of(&mut self, widths: &[f64], head: &[&str], rows: Vec<Row>, close: bool) -> Block {
        self.tables += 1;
        let head = head.iter().map(|name| (*name).to_owned()).collect();
        Block::Table(Rc::new(Table { id: self.tables, widths: widths.to_vec(), head, rows, close }))
    }

    /// A drawing with its signs and the bar to hold a rule to.
    fn picture(&self, scene: Scene, keys: Vec<Key>) -> Block {
        Block::Picture { scene: Box::new(scene), keys, bar: self.lay.bar.clone() }
    }

    fn drawn(&self, scene: &Scene) -> String {
        format!("{}, drawn 1\u{a0}:\u{a0}{}", self.units_name(), scene.view.ratio)
    }
}

/// The signs in use, each with its word; `rename` gives some of them another.
fn keys(scene: &Scene, rename: &[(Role, &str)]) -> Vec<Key> {
    key_of(scene)
        .into_iter()
        .map(|role| {
            let name = rename.iter().find(|(r, _)| *r == role).map_or_else(|| words::key_name(role), |(_, n)| n);
            Key { sign: key_sign(role), name: name.to_owned() }
        })
        .collect()
}

/// The same without the reference corner, which every page of the top explains once.
fn card_keys(scene: &Scene, rename: &[(Role, &str)]) -> Vec<Key> {
    keys(scene, rename).into_iter().filter(|key| key.name != words::key_name(Role::ReferenceCorner)).collect()
}

/// A list of bullets.
fn bullets(items: impl IntoIterator<Item = Runs>) -> impl Iterator<Item = Block> {
    items.into_iter().map(|text| Block::Bullet { mark: "•".to_owned(), text })
}

/// A warning on a page of running matter.
fn caution(text: Runs) -> Block {
    Block::Caution { text, bound: false }
}
