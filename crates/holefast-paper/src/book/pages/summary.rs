//! The work on one page: what to expect, the stages with their cards and times, where the checks
//! stand, the sheet's own figures, why the plan is as it is, the maker's notes.

use holefast::job::NoteAt;
use holefast::plan::TemplateKind;
use holefast::words::{self, CardNumbers, bold, outline, sheet, span_of};

use super::{Ctx, bullets, marked};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, Row, Runs, plain};

impl Ctx<'_> {
    pub(super) fn summary(&mut self) -> Sheet {
        let job = self.job;
        let numbers = CardNumbers::of(self.plan);
        let mut blocks = Vec::new();
        if let Some(within) = self.expected.square_within {
            blocks.push(Block::Lead(plain(text::expect(&words::per_metre(within), self.expected.confidence))));
        }
        let rows: Vec<Row> = outline::stages(self.plan)
            .into_iter()
            .map(|stage| {
                let [first, last] = stage.cards;
                let cells = Row::of([
                    marked(bold(&span_of(first as u32, last as u32))),
                    plain(stage.name),
                    plain(stage.amount),
                    plain(words::minutes(stage.minutes)),
                ]);
                Row { card: Some(first.to_string()), ..cells }
            })
            .collect();
        blocks.push(self.table(&[1.2, 2.6, 6.6, 1.8], &text::STAGES, rows));
        blocks.push(Block::Para(marked(format!("{}.", outline::total(self.plan)))));
        if let Some(kit) = job.kit.as_ref().filter(|k| k.minutes.assumed) {
            blocks.push(Block::Small(plain(outline::minutes_assumed(kit.minutes))));
        }
        blocks.push(Block::Head(plain(text::BEFORE_YOU_GO_ON)));
        let mut before: Vec<Runs> = vec![plain(text::TRIAL_FIRST)];
        let checks: Vec<String> = self
            .plan
            .setups
            .iter()
            .enumerate()
            .filter(|(_, s)| s.check)
            .filter_map(|(index, _)| numbers.number(index).map(|n| n.to_string()))
            .collect();
        if !checks.is_empty() {
            before.push(marked(text::checks_on(&checks)));
        }
        if let Some((setup, share)) = self.expected.does_not_seat.first() {
            before.push(plain(text::binds_on(&numbers.name(self.plan, *setup), &words::share(*share))));
        }
        blocks.extend(bullets(before));
        blocks.push(Block::Head(plain(text::THE_SHEET)));
        let lines = sheet::lines(job, self.layout);
        blocks.extend(bullets(lines.iter().map(|line| plain(text::sentence(line)))));
        if !self.plan.reasons.is_empty() {
            blocks.push(Block::Head(plain(text::WHY)));
            blocks.extend(bullets(self.plan.reasons.iter().map(plain)));
        }
        if !job.bench_notes.is_empty() {
            blocks.push(Block::Head(plain(text::NOTES)));
            let items = job.bench_notes.iter().map(|note| {
                let at = match &note.at {
                    NoteAt::Card(number) => format!("Card\u{a0}{number}"),
                    NoteAt::Stage(stage) => text::sentence_start(stage),
                    NoteAt::Hole(hole) => format!("Hole\u{a0}{hole}"),
                };
                marked(format!("{} {}", bold(&format!("{at}:")), note.text))
            });
            blocks.extend(bullets(items));
        }
        let bars = self.plan.templates.iter().filter(|t| t.kind == TemplateKind::Bar).count();
        let aside = text::kit_in_short(bars, job.kit.as_ref().map_or(0, |k| k.pin.count));
        self.sheet(text::SUMMARY, aside, 4.0, blocks)
    }
}
