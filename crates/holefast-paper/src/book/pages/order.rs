//! The order of opening: a map of the passes, and the cards they stand on.

use holefast::drawing::{Role, openings_map};
use holefast::words::{self, CardKind, bold};

use super::{Ctx, SIDE, card_keys, caution, marked};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, Row, plain};

impl Ctx<'_> {
    pub(super) fn order(&mut self) -> Sheet {
        let room = [self.size[0] - 2.0 * SIDE, 0.5 * self.size[1]];
        let scene = openings_map(self.job, self.layout, self.plan, room);
        let keys = card_keys(&scene, &[(Role::Opened, "first pass"), (Role::HoleWanted, "second pass")]);
        let drawn = self.drawn(&scene);
        let cards = words::cards(self.job, self.plan);
        let rows: Vec<Row> = cards
            .iter()
            .filter(|c| c.kind == CardKind::Openings)
            .map(|c| Row {
                card: Some(c.number.clone()),
                ..Row::of([
                    marked(bold(&c.number)),
                    plain(&c.title),
                    plain(c.aside.get(1).map_or("", |a| a.trim_start_matches("openings ")).to_owned()),
                    plain(c.aside.first().and_then(|a| a.split_once(", ")).map_or("", |(_, time)| time)),
                ])
            })
            .collect();
        let head = ["card", "how", "openings", "time"];
        let blocks = vec![
            Block::Para(plain(
                "A pin cannot stand in a hole that is opened already, nor a dog in a pilot: so every other hole is \
                 opened first, the block on pins, and those between after them, the block on dogs. The figure at \
                 a hole is its place in the order.",
            )),
            self.picture(scene, keys),
            self.table(&[0.8, 5.0, 1.6, 2.0], &head, rows),
            caution(marked(format!(
                "{} every opening is clamped, backed, and done with both hands on the drill.",
                bold("Big bit:")
            ))),
        ];
        self.sheet(text::ORDER, drawn, 4.0, blocks)
    }
}
