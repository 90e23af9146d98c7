//! The work on one page: what to expect, the stages with their cards and times, where the checks
//! stand, the sheet's own figures, why the plan is as it is, the maker's notes.

use holefast::job::NoteAt;
use holefast::plan::TemplateKind;
use holefast::words::{self, CardNumbers, bold, outline, sheet, span_of};

use super::{Ctx, marked};
use crate::book::model::{Block, Part, Runs, Table, plain};
use crate::book::text;

impl Ctx<'_> {
    pub(super) fn summary(&mut self) -> Part {
        let job = self.job;
        let numbers = CardNumbers::of(self.plan);
        let mut blocks = Vec::new();
        if let Some(within) = self.expected.square_within {
            blocks.push(Block::Lead { text: text::expect(&words::per_metre(within), self.expected.confidence) });
        }
        let rows: Vec<Vec<Runs>> = outline::stages(self.plan)
            .into_iter()
            .map(|stage| {
                let [first, last] = stage.cards;
                vec![
                    marked(bold(&span_of(first as u32, last as u32))),
                    plain(stage.name),
                    plain(stage.amount),
                    plain(words::minutes(stage.minutes)),
                ]
            })
            .collect();
        blocks.push(Block::Table {
            table: Table { widths: vec![1.2, 2.6, 6.6, 1.8], head: text::STAGES.map(str::to_owned).to_vec(), rows },
        });
        blocks.push(Block::Para { text: marked(format!("{}.", outline::total(self.plan))) });
        if let Some(kit) = job.kit.as_ref().filter(|k| k.minutes.assumed) {
            blocks.push(Block::Small { text: plain(outline::minutes_assumed(kit.minutes)) });
        }
        blocks.push(Block::Head { text: text::BEFORE_YOU_GO_ON.to_owned() });
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
        blocks.push(Block::Bullets { items: before });
        blocks.push(Block::Head { text: text::THE_SHEET.to_owned() });
        let lines = sheet::lines(job, self.layout);
        blocks.push(Block::Bullets { items: lines.iter().map(|line| plain(text::sentence(line))).collect() });
        if !self.plan.reasons.is_empty() {
            blocks.push(Block::Head { text: text::WHY.to_owned() });
            blocks.push(Block::Bullets { items: self.plan.reasons.iter().map(plain).collect() });
        }
        if !job.bench_notes.is_empty() {
            blocks.push(Block::Head { text: text::NOTES.to_owned() });
            let items = job.bench_notes.iter().map(|note| {
                let at = match &note.at {
                    NoteAt::Card(number) => format!("Card\u{a0}{number}"),
                    NoteAt::Stage(stage) => text::sentence_start(stage),
                    NoteAt::Hole(hole) => format!("Hole\u{a0}{hole}"),
                };
                marked(format!("{} {}", bold(&format!("{at}:")), note.text))
            });
            blocks.push(Block::Bullets { items: items.collect() });
        }
        let bars = self.plan.templates.iter().filter(|t| t.kind == TemplateKind::Bar).count();
        let aside = text::kit_in_short(bars, job.kit.as_ref().map_or(0, |k| k.pin.count));
        self.sheet(text::SUMMARY, aside, 4.0, blocks)
    }
}
