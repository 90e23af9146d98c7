//! A card of the core, with its drawing and what the prediction says of its check.

use holefast::drawing::{OpeningsPart, Role, openings_view, setup_view, top_view, trial_view};
use holefast::words::{self, CardKind, CardLine, bold};

use super::{Ctx, card_room, list_columns, marked};
use crate::book::model::{Card, Check, Entry, Key, Line, Opening, Picture, plain, runs};
use crate::book::text;

impl Ctx<'_> {
    /// A card on half a page.
    pub(super) fn card(&mut self, card: &words::Card) -> Card {
        let room = card_room(self.size);
        let scene = match (card.kind, card.setups.first()) {
            (CardKind::Plugs, _) => Some(top_view(self.job, self.layout, room)),
            (_, Some(&index)) => Some(setup_view(self.job, self.layout, self.plan, index, room)),
            (_, None) => trial_view(self.job, self.plan, room),
        };
        let (picture, keys, drawn) = match scene {
            Some(scene) => {
                let trial = [(Role::Pilot, "pilot"), (Role::Opened, "dog hole")];
                let keys = self.keys(&scene, if card.kind == CardKind::Trial { &trial } else { &[] });
                let drawn = self.drawn(&scene);
                (Some(self.picture(&scene)), keys.into_iter().filter(|k| k.name != "reference corner").collect(), drawn)
            }
            None => (None, Vec::new(), self.units_name().to_owned()),
        };
        let number = card.setups.first().and_then(|&i| self.plan.setups.get(i)).map(|s| s.number);
        self.set(card, picture, keys, &drawn, number)
    }

    /// A part of the openings.
    pub(super) fn openings_card(&mut self, card: &words::Card, room: [f64; 2]) -> Card {
        let first = card.openings.first().map_or(1, |o| o.order as usize);
        let part = OpeningsPart { setups: card.setups.clone(), first };
        let scene = openings_view(self.job, self.layout, self.plan, &part, room);
        let keys = self.keys(&scene, &[(Role::BoreNow, "open now, in order")]);
        let keys = keys.into_iter().filter(|k| k.name != "reference corner").collect();
        let drawn = self.drawn(&scene);
        let picture = self.picture(&scene);
        self.set(card, Some(picture), keys, &drawn, None)
    }

    /// A card of the core as the template takes it.
    fn set(
        &self,
        card: &words::Card,
        picture: Option<Picture>,
        keys: Vec<Key>,
        drawn: &str,
        number: Option<u32>,
    ) -> Card {
        let check = card.check.as_ref().map(|c| {
            let mut limit = runs(&c.limit);
            if let Some(worth) = number.and_then(|n| self.expected.checks.iter().find(|w| w.setup == n)) {
                let caught: Vec<String> = [
                    worth.stops_hole_mm.map(|mm| format!("a hole {} out", words::fine(self.job.units, mm))),
                    worth.stops_lean.map(|lean| format!("a column {} askew", words::per_metre(lean))),
                ]
                .into_iter()
                .flatten()
                .collect();
                // What share of the good ones it stops is said already; that of all reads as a contradiction beside it.
                let said =
                    card.setups.first().and_then(|&i| self.plan.setups.get(i)?.limit).and_then(|l| l.good_stopped);
                let passed = said.is_none().then(|| words::share(worth.goes));
                let text = text::worth(passed.as_deref(), &caught.join(" or "));
                limit.extend(plain(text));
            }
            let tick = card.kind == CardKind::Check;
            Check {
                limit,
                entries: c
                    .entries
                    .iter()
                    .map(|name| Entry { name: name.clone(), tick: tick && name.starts_with("it ") })
                    .collect(),
                if_not: c.if_not.iter().map(runs).collect(),
            }
        });
        let frame = if card.kind == CardKind::Trial { text::TRIAL_FRAME } else { text::CARD_FRAME };
        Card {
            number: card.number.clone(),
            title: card.title.clone(),
            title_size: title_size(card.title.chars().count()),
            aside: card.aside.clone(),
            picture,
            keys,
            notes: card.notes.iter().map(|note| marked(format!("{} {note}", bold(text::NOTE)))).collect(),
            lines: card
                .lines
                .iter()
                .map(|l| match l {
                    CardLine::Step(t) => Line::Step { text: runs(t) },
                    CardLine::Caution(t) => Line::Caution { text: runs(t) },
                })
                .collect(),
            list_head: if card.openings.iter().any(|o| o.hold_down.is_some()) { text::LIST_HELD } else { text::LIST }
                .to_owned(),
            list_columns: list_columns(card) as u32,
            openings: card
                .openings
                .iter()
                .map(|o| Opening {
                    order: o.order,
                    hole: o.hole.clone(),
                    on: o.on.join(" "),
                    held: o.hold_down.as_ref().map_or_else(String::new, |h| text::hold_down(h)),
                })
                .collect(),
            check,
            stuck: card.stuck.as_ref().map(runs),
            next: card.next.as_ref().map(runs),
            foot: vec![self.job.name.clone(), frame.to_owned(), drawn.to_owned(), self.version()],
        }
    }
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
