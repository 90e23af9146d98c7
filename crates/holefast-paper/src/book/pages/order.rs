//! The order of opening: a map of the passes, and the cards they stand on.

use holefast::drawing::{Role, openings_map};
use holefast::words::{self, CardKind, bold};

use super::{Ctx, SIDE, marked};
use crate::book::model::{Block, Key, Part, Runs, Table, plain};
use crate::book::text;

impl Ctx<'_> {
    pub(super) fn order(&mut self) -> Part {
        let room = [self.size[0] - 2.0 * SIDE, 0.5 * self.size[1]];
        let scene = openings_map(self.job, self.layout, self.plan, room);
        let keys = self.keys(&scene, &[(Role::Opened, "first pass"), (Role::HoleWanted, "second pass")]);
        let keys: Vec<Key> = keys.into_iter().filter(|k| k.name != "reference corner").collect();
        let drawn = self.drawn(&scene);
        let picture = self.picture(&scene);
        let cards = words::cards(self.job, self.plan);
        let rows: Vec<Vec<Runs>> = cards
            .iter()
            .filter(|c| c.kind == CardKind::Openings)
            .map(|c| {
                vec![
                    marked(bold(&c.number)),
                    plain(&c.title),
                    plain(c.aside.get(1).map_or("", |a| a.trim_start_matches("openings ")).to_owned()),
                    plain(c.aside.first().and_then(|a| a.split_once(", ")).map_or("", |(_, time)| time)),
                ]
            })
            .collect();
        let blocks = vec![
            Block::Para {
                text: plain(
                    "A pin cannot stand in a hole that is opened already, nor a dog in a pilot: so every other hole is \
                     opened first, the block on pins, and those between after them, the block on dogs. The figure at \
                     a hole is its place in the order.",
                ),
            },
            Block::Picture { picture, keys },
            Block::Table {
                table: Table {
                    widths: vec![0.8, 5.0, 1.6, 2.0],
                    head: ["card", "how", "openings", "time"].map(str::to_owned).to_vec(),
                    rows,
                },
            },
            Block::Caution {
                text: marked(format!(
                    "{} every opening is clamped, backed, and done with both hands on the drill.",
                    bold("Big bit:")
                )),
            },
        ];
        self.sheet(text::ORDER, drawn, 4.0, blocks)
    }
}
