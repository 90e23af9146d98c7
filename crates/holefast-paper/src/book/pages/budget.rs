//! What the accuracy is made of, what the checks are worth, and where a pin may bind.

use holefast::words::{self, CardNumbers, bold};

use super::{Ctx, marked};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, Row, Share, plain};

impl Ctx<'_> {
    pub(super) fn budget(&mut self) -> Sheet {
        let e = self.expected;
        let mut blocks = self.expectation();
        if e.budget.is_empty() {
            blocks.push(Block::Para(plain("No budget was worked out for this book.")));
        } else {
            blocks.push(Block::Head(plain("Where it comes from, largest first, and what would lessen it")));
            blocks.extend(e.budget.iter().map(|row| {
                Block::Share(Share {
                    name: words::expected::group_name(row.group).to_owned(),
                    part: row.share.clamp(0.0, 1.0),
                    share: words::share(row.share),
                    lessen: row.lessen.clone(),
                })
            }));
            blocks.push(Block::Small(plain(
                "The shares are of the spread squared, which is what adds up: to halve a small one changes next to \
                 nothing.",
            )));
        }
        if !e.checks.is_empty() {
            blocks.push(Block::Head(plain("What the checks are worth")));
            let cards = CardNumbers::of(self.plan);
            let rows = e
                .checks
                .iter()
                .map(|c| {
                    Row::of([
                        marked(bold(&cards.place(self.plan, c.setup).unwrap_or_default())),
                        plain(words::share(c.goes)),
                        plain(c.stops_hole_mm.map_or("–".to_owned(), |v| words::fine(self.job.units, v))),
                        plain(c.stops_lean.map_or("–".to_owned(), words::per_metre)),
                    ])
                })
                .collect();
            let head = ["card", "goes", "stops a hole out by", "stops a column askew by"];
            blocks.push(self.table(&[1.0, 1.4, 2.0, 2.0], &head, rows));
        }
        if !e.does_not_seat.is_empty() {
            let cards = CardNumbers::of(self.plan);
            let list: Vec<String> = e
                .does_not_seat
                .iter()
                .map(|(n, share)| format!("{} ({})", cards.name(self.plan, *n), words::share(*share)))
                .collect();
            blocks.push(Block::Para(plain(format!(
                "Where a pin may bind, with the share of tops: {}. Clear chips, swap pins, turn the bar; \
                 do not force it.",
                list.join("; ")
            ))));
        }
        self.sheet(text::BUDGET, String::new(), 4.0, blocks)
    }
}
