//! A card of the core, with its drawing and what the prediction says of its check.

use holefast::drawing::{OpeningsPart, Role, Scene, openings_view, setup_view, top_view, trial_view};
use holefast::words::{self, CardKind, CardLine, bold};

use super::{Ctx, OPENING_COLUMNS, card_keys, line_height, list_columns, marked};
use crate::book::lay::{CARD_PAGE, Card, Column, Drawn, List, Sheet};
use crate::book::text;
use crate::page::block::{Block, Entry, Key, Opening, Runs, plain, runs, strong};
use crate::page::{Base, Remark};

/// Tries at a drawing that has to leave room for its signs and list: each takes off what was too much.
const TRIES: usize = 4;

/// What a list under a drawing takes beside its lines, mm: its head, and a second line of the key.
const LIST_FURNITURE: f64 = 16.0;

/// What the signs and the bar under a drawing take, mm, before they are measured.
const UNDER_DRAWING: f64 = 11.0;

impl Ctx<'_> {
    /// A card on half a page.
    pub(super) fn card(&mut self, card: &words::Card) -> Card {
        let (job, layout, plan) = (self.job, self.layout, self.plan);
        let rename: &[(Role, &str)] = match card.kind {
            CardKind::Trial => &[(Role::Pilot, "pilot"), (Role::Opened, "dog hole")],
            _ => &[],
        };
        let draw = |room: [f64; 2]| match (card.kind, card.setups.first()) {
            (CardKind::Plugs, _) => Some(top_view(job, layout, room)),
            (_, Some(&index)) => Some(setup_view(job, layout, plan, index, room)),
            (_, None) => trial_view(job, plan, room),
        };
        self.on_a_half(card, &draw, rename, None)
    }

    /// A short part of the openings, on half a page.
    pub(super) fn few_openings(&mut self, card: &words::Card) -> Card {
        let columns = list_columns(card);
        let list = List { head: list_head(card), items: openings(card), columns };
        let (job, layout, plan) = (self.job, self.layout, self.plan);
        let part = part_of(card);
        let height = LIST_FURNITURE + line_height(card) * card.openings.len().div_ceil(columns) as f64;
        let draw = |[width, tall]: [f64; 2]| Some(openings_view(job, layout, plan, &part, [width, tall - height]));
        self.on_a_half(card, &draw, &[(Role::BoreNow, "open now, in order")], Some(list))
    }

    /// A long part of the openings, on a page of its own.
    pub(super) fn many_openings(&mut self, card: &words::Card, room: [f64; 2]) -> Sheet {
        let scene = openings_view(self.job, self.layout, self.plan, &part_of(card), room);
        let keys = card_keys(&scene, &[(Role::BoreNow, "open now, in order")]);
        let drawn = self.drawn(&scene);
        let notes = card.notes.iter().map(own_note);
        Sheet {
            number: Some(card.number.clone()),
            title: card.title.clone(),
            title_size: title_size(card.title.chars().count()),
            aside: card.aside.clone(),
            base: Base::CARD,
            sides: CARD_PAGE,
            first: vec![self.picture(scene, keys)],
            columns: vec![
                Column { share: 1.4, blocks: lines(card) },
                Column { share: 1.0, blocks: notes.chain(ends(card)).collect() },
            ],
            gap: 7.0,
            last: vec![
                Block::CardHead(strong(list_head(card))),
                Block::Openings { items: openings(card), columns: OPENING_COLUMNS },
            ],
            foot: self.card_foot(card.kind, &drawn),
        }
    }

    /// A card whose drawing is as large as head, foot, signs and list leave room for.
    fn on_a_half(
        &mut self,
        card: &words::Card,
        draw: &dyn Fn([f64; 2]) -> Option<Scene>,
        rename: &[(Role, &str)],
        list: Option<List>,
    ) -> Card {
        let title_size = title_size(card.title.chars().count());
        // the scale in the foot is known once the drawing is; it takes a line all the same
        let foot = self.card_foot(card.kind, "");
        let [width, body] = self.lay.card_room(&card.number, &card.title, title_size, &card.aside, &foot);
        let mut room = [width, body - UNDER_DRAWING];
        let mut drawn = Drawn::default();
        let mut over = 0.0;
        for _ in 0..TRIES {
            let scene = draw(room);
            let keys: Vec<Key> = scene.as_ref().map_or_else(Vec::new, |scene| card_keys(scene, rename));
            drawn = Drawn { scene, keys };
            over = self.lay.left_height(&drawn, list.as_ref()) - body;
            if over <= 0.0 {
                break;
            }
            room[1] -= over;
        }
        if over > 0.0 {
            self.lay.remarks.push(Remark::TooTall("a drawing with its list"));
        }
        let said = drawn.scene.as_ref().map_or_else(|| self.units_name().to_owned(), |scene| self.drawn(scene));
        Card {
            number: card.number.clone(),
            title: card.title.clone(),
            title_size,
            aside: card.aside.clone(),
            drawn,
            list,
            items: self.items(card),
            foot: self.card_foot(card.kind, &said),
        }
    }

    fn card_foot(&self, kind: CardKind, drawn: &str) -> Vec<String> {
        let frame = if kind == CardKind::Trial { text::TRIAL_FRAME } else { text::CARD_FRAME };
        vec![self.job.name.clone(), frame.to_owned(), drawn.to_owned(), self.version()]
    }

    /// What stands beside a card's drawing.
    fn items(&self, card: &words::Card) -> Vec<Block> {
        let mut blocks: Vec<Block> = card.notes.iter().map(own_note).collect();
        blocks.extend(lines(card));
        if let Some(check) = &card.check {
            let mut limit = runs(check.limit.clone());
            limit.extend(self.worth(card));
            if !limit.is_empty() {
                blocks.push(Block::Para(limit));
            }
            let tick = card.kind == CardKind::Check;
            let entry = |name: &String| Entry { name: name.clone(), tick: tick && name.starts_with("it ") };
            blocks.push(Block::Entries(check.entries.iter().map(entry).collect()));
            if !check.if_not.is_empty() {
                blocks.push(Block::CardHead(plain(text::IF_NOT)));
            }
            let each = check.if_not.iter().enumerate();
            blocks.extend(each.map(|(i, text)| Block::Bullet { mark: (i + 1).to_string(), text: runs(text.clone()) }));
        }
        blocks.extend(ends(card));
        blocks
    }

    /// What the prediction says of a card's check.
    fn worth(&self, card: &words::Card) -> Runs {
        let setup = card.setups.first().and_then(|&i| self.plan.setups.get(i));
        let worth = setup.and_then(|setup| self.expected.checks.iter().find(|w| w.setup == setup.number));
        let Some(worth) = worth else { return Runs::new() };
        let caught: Vec<String> = [
            worth.stops_hole_mm.map(|mm| format!("a hole {} out", words::fine(self.job.units, mm))),
            worth.stops_lean.map(|lean| format!("a column {} askew", words::per_metre(lean))),
        ]
        .into_iter()
        .flatten()
        .collect();
        // What share of the good ones it stops is said already; that of all reads as a contradiction beside it.
        let said = setup.and_then(|setup| setup.limit).and_then(|limit| limit.good_stopped);
        let passed = said.is_none().then(|| words::share(worth.goes));
        plain(text::worth(passed.as_deref(), &caught.join(" or ")))
    }
}

fn part_of(card: &words::Card) -> OpeningsPart {
    let first = card.openings.first().map_or(1, |o| o.order as usize);
    OpeningsPart { setups: card.setups.clone(), first }
}

/// Steps, numbered, and warnings, each before the step it belongs to.
fn lines(card: &words::Card) -> Vec<Block> {
    let mut number = 0;
    card.lines
        .iter()
        .map(|line| match line {
            CardLine::Step(text) => {
                number += 1;
                Block::step(number, runs(text.clone()))
            }
            CardLine::Caution(text) => Block::Caution { text: runs(text.clone()), bound: true },
        })
        .collect()
}

/// What to do where a pin binds, and what comes next.
fn ends(card: &words::Card) -> impl Iterator<Item = Block> {
    card.stuck.iter().chain(&card.next).map(|text| Block::Soft(runs(text.clone())))
}

fn own_note(note: &String) -> Block {
    Block::OwnNote(marked(format!("{} {note}", bold(text::NOTE))))
}

fn list_head(card: &words::Card) -> String {
    let held = card.openings.iter().any(|o| o.hold_down.is_some());
    if held { text::LIST_HELD } else { text::LIST }.to_owned()
}

fn openings(card: &words::Card) -> Vec<Opening> {
    let held = |hole: &Option<String>| hole.as_ref().map_or_else(String::new, |hole| text::hold_down(hole));
    card.openings
        .iter()
        .map(|o| Opening { order: o.order, hole: o.hole.clone(), on: o.on.join(" "), held: held(&o.hold_down) })
        .collect()
}

/// Size of a title of so many letters, mm, so that it stays on one line beside the card's number
/// (look: 6 mm, less where it is long).
fn title_size(letters: usize) -> f64 {
    match letters {
        0..=30 => 6.0,
        31..=40 => 5.0,
        41..=46 => 4.6,
        _ => 4.3,
    }
}
