//! Which page holds what: the book's model, gathered from words and drawings of the core.

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

use std::collections::BTreeMap;

use holefast::drawing::{Role, Scene, Theme, key_of, key_sign};
use holefast::job::Units;
use holefast::words::{self, CardKind, Rich};
use holefast::{Job, Layout, Plan};

use super::model::{Block, Book, Card, Key, Page, Part, Picture, Room, Runs, ScaleBar, Sheet, Words, runs};
use super::{BookOptions, Expectation, MorePages, Site, text};
use crate::svg;

/// Margins of pages and cards, mm; the template has the same.
const SIDE: f64 = 12.0;
const CARD_SIDE: f64 = 9.0;

/// What a card needs beside its drawing, mm: head, key, scale bar, foot and gaps.
const CARD_FURNITURE: f64 = 48.5;

/// Parts of the openings up to this many share a page with another card.
const FEW_OPENINGS: usize = 6;

/// What a list under a drawing takes beside its lines, mm: its head, and a second line of the key.
const LIST_FURNITURE: f64 = 16.0;

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
    files: &'a mut BTreeMap<String, Vec<u8>>,
}

/// Gathers the book; drawings go into `files`.
pub fn gather(
    job: &Job,
    layout: &Layout,
    plan: &Plan,
    expected: &Expectation,
    options: &BookOptions,
    more: &MorePages,
    files: &mut BTreeMap<String, Vec<u8>>,
) -> Book {
    let size = options.paper.size();
    let site = options.site.as_ref();
    let mut ctx = Ctx { job, layout, plan, expected, digest: &options.digest, site, size, files };
    let mut parts = vec![ctx.cover(), ctx.summary(), ctx.kit(), ctx.safety()];
    let cards = words::cards(job, plan);
    let all: Vec<words::Card> = words::trial_card(job).into_iter().chain(cards).collect();
    let mut waiting: Vec<Card> = Vec::new();
    let mut mapped = false;
    for card in &all {
        if card.kind != CardKind::Openings {
            waiting.push(ctx.card(card));
            continue;
        }
        if !mapped {
            parts.extend(halves(&mut waiting));
            parts.push(ctx.order());
            mapped = true;
        }
        if card.openings.len() <= FEW_OPENINGS {
            // Its list stands under the drawing.
            let [width, height] = card_room(size);
            let list = LIST_FURNITURE + line_height(card) * card.openings.len().div_ceil(list_columns(card)) as f64;
            let card = ctx.openings_card(card, [width, height - list]);
            waiting.push(card);
        } else {
            parts.extend(halves(&mut waiting));
            // A long list needs the lower half of the page.
            let lines = card.openings.len().div_ceil(OPENING_COLUMNS) as f64;
            let height = (size[1] - 132.0 - line_height(card) * lines).clamp(60.0, 0.5 * size[1]);
            let card = ctx.openings_card(card, [size[0] - 2.0 * CARD_SIDE, height]);
            parts.push(Part::Whole { card: Box::new(card) });
        }
    }
    parts.extend(halves(&mut waiting));
    parts.push(ctx.finishing());
    parts.extend(ctx.cuts(more).into_iter().map(|card| Part::Whole { card: Box::new(card) }));
    parts.extend(ctx.parts(more));
    parts.push(ctx.test_cuts());
    parts.push(ctx.budget());
    parts.extend(ctx.proof(more.proof.as_ref()));
    parts.push(ctx.readings());
    Book {
        title: format!("{}: {}", text::BOOK.to_lowercase(), job.name),
        lang: "en",
        page: Page { width: size[0], height: size[1] },
        room: Room { width: card_room(size)[0], body: card_room(size)[1] + 11.0, columns: OPENING_COLUMNS as u32 },
        bar: scale_bar(job.units),
        words: Words {
            if_not: text::IF_NOT.to_owned(),
            continued: text::CONTINUED.to_owned(),
            goes_on: text::GOES_ON.to_owned(),
        },
        parts,
    }
}

/// The cards that wait, to be set two to a page; a card whose text is long takes two halves.
fn halves(waiting: &mut Vec<Card>) -> Option<Part> {
    (!waiting.is_empty()).then(|| Part::Halves { cards: std::mem::take(waiting) })
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

/// Room for the drawing of a card: width and height, mm.
fn card_room(size: [f64; 2]) -> [f64; 2] {
    [0.6 * (size[0] - 2.0 * CARD_SIDE), 0.5 * size[1] - CARD_FURNITURE]
}

fn scale_bar(units: Units) -> ScaleBar {
    match units {
        Units::Mm => ScaleBar { length: 50.0, parts: 5, label: "50\u{a0}mm on a rule".to_owned() },
        Units::Inch => ScaleBar { length: 50.8, parts: 4, label: "2\u{a0}in on a rule".to_owned() },
    }
}

fn marked(text: impl AsRef<str>) -> Runs {
    runs(&Rich::new(text))
}

impl Ctx<'_> {
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
    fn sheet(&self, title: &str, aside: String, text_size: f64, blocks: Vec<Block>) -> Part {
        let title_size = if title.chars().count() > 30 { 6.5 } else { 8.0 };
        Part::Sheet {
            sheet: Sheet { title: title.to_owned(), title_size, text_size, aside, blocks, foot: self.foot() },
        }
    }

    /// Writes a scene into the files.
    fn picture(&mut self, scene: &Scene) -> Picture {
        let file = format!("/drawing-{}.svg", self.files.len());
        self.files.insert(file.clone(), svg(scene, &Theme::PAPER).into_bytes());
        Picture { file, width: scene.view.width(), height: scene.view.height(), about: scene.about.clone() }
    }

    /// The signs in use, each with its word; `rename` gives some of them another.
    fn keys(&mut self, scene: &Scene, rename: &[(Role, &str)]) -> Vec<Key> {
        key_of(scene)
            .into_iter()
            .map(|role| {
                let file = format!("/sign-{role:?}.svg");
                self.files.entry(file.clone()).or_insert_with(|| svg(&key_sign(role), &Theme::PAPER).into_bytes());
                let name = rename.iter().find(|(r, _)| *r == role).map_or_else(|| words::key_name(role), |(_, n)| n);
                Key { file, name: name.to_owned() }
            })
            .collect()
    }

    fn drawn(&self, scene: &Scene) -> String {
        format!("{}, drawn 1\u{a0}:\u{a0}{}", self.units_name(), scene.view.ratio)
    }
}
