//! The list of parts: its sheets drawn, a card for each setting, the cuts in their order with how each
//! is made here or why it is not, and how far out the parts may be.

use holefast::cut::{Basis, Places};
use holefast::drawing::{Role, sheets_view};
use holefast::parts::CutList;
use holefast::parts::on_top::{OnTop, TopCut, Which};
use holefast::words::{bold, on_top as words_on_top, parts as words, sentence, sentence_start};

use super::{Ctx, SIDE, bullets, caution, keys, marked};
use crate::book::lay::Sheet;
use crate::book::{ListPages, MorePages, text};
use crate::page::block::{Block, Row, plain};

/// Most sheets that the book shows: with more it would be carried to the bench by nobody.
const MOST_SHEETS: usize = 16;

/// Sheets to a drawing, and the share of the page's height that it may take: two full sheets to a page,
/// their names still read at arm's length.
const TO_A_DRAWING: usize = 2;
const DRAWING_SHARE: f64 = 0.62;

/// Size of the text of these pages, mm.
const TEXT: f64 = 3.7;

impl Ctx<'_> {
    /// The pages; none without a list.
    pub(super) fn parts(&mut self, more: &MorePages) -> Vec<Sheet> {
        let Some(ListPages { list, top }) = &more.list else { return Vec::new() };
        let sheets: usize = list.batches.iter().map(|b| b.breakdown.sheets.len()).sum();
        let shown = sheets.min(MOST_SHEETS);
        let mut parts = vec![self.sheets_drawn(list, top.as_ref(), &more.places, [shown, sheets])];
        if let Some(top) = top {
            parts.extend(self.settings(&more.places, top));
        }
        parts.push(self.order_of_cuts(list, top.as_ref(), &more.places, shown));
        parts
    }

    /// What the list comes to, and its sheets.
    fn sheets_drawn(
        &mut self,
        list: &CutList,
        top: Option<&OnTop>,
        places: &Places,
        [shown, sheets]: [usize; 2],
    ) -> Sheet {
        let mut said: Vec<String> = Vec::new();
        for batch in &list.batches {
            let [area, proof] = words::summary(self.job, batch);
            let thick = words::thick(self.job, list, batch).map_or_else(String::new, |thick| format!("{thick} "));
            said.push(format!("{thick}{area}; {proof}"));
        }
        said.extend(words::cuts_in_all(self.job, list));
        match top {
            // how many of them are made here stands beside the title
            Some(_) => said.extend(words_on_top::for_all(self.job, places)),
            None => said.push(words_on_top::NO_RAIL.to_owned()),
        }
        if shown < sheets {
            said.push(text::sheets_left_out(shown, sheets));
        }
        let mut blocks: Vec<Block> = bullets(said.iter().map(|line| plain(sentence(line)))).collect();
        let cautions = words::CAUTIONS.map(|text| sentence(text.trim_start_matches("take care: ")));
        blocks.extend(cautions.map(|text| caution(plain(text))));
        blocks.push(Block::Small(plain(text::PARTS_DRAWN)));
        let room = [self.size[0] - 2.0 * SIDE, DRAWING_SHARE * self.size[1]];
        for first in (0..shown).step_by(TO_A_DRAWING) {
            let scene = sheets_view(self.job, list, first..shown.min(first + TO_A_DRAWING), room);
            let names = [(Role::Bar, "part"), (Role::KeepOutBelow, "left over"), (Role::Work, "sheet")];
            let keys = keys(&scene, &names);
            blocks.push(self.picture(scene, keys));
        }
        self.sheet(text::PARTS, aside(top), TEXT, blocks)
    }

    /// The cuts, sheet by sheet, then the ends.
    fn order_of_cuts(&mut self, list: &CutList, top: Option<&OnTop>, places: &Places, shown: usize) -> Sheet {
        let mut rows: Vec<Row> = Vec::new();
        let mut before = 0;
        for (number, batch) in list.batches.iter().enumerate() {
            let thick = words::thick(self.job, list, batch);
            rows.extend(thick.map(|thick| Row::of([marked(bold(&sentence(thick.trim_end_matches(':'))))])));
            let cuts: Vec<&TopCut> =
                top.map_or_else(Vec::new, |top| top.cuts.iter().filter(|cut| cut.batch == number).collect());
            let how = |wanted: Which| {
                let cut = cuts.iter().find(|cut| cut.which == wanted);
                cut.zip(top).map_or_else(String::new, |(cut, top)| words_on_top::how(self.job, places, top, cut))
            };
            let drawn = batch.breakdown.sheets.len().min(shown.saturating_sub(before));
            for sheet in 0..drawn {
                let left = words::left_line(self.job, batch, sheet);
                let head = sentence(&words::sheet_line(self.job, batch, sheet));
                rows.push(Row::of([marked(format!("{} {}", bold(&head), sentence(&left)))]));
                for (i, step) in batch.steps.iter().enumerate().filter(|(_, step)| step.sheet == sheet) {
                    let star = if step.new_setting { "*" } else { "" };
                    let number = format!("{}{star}", step.number);
                    rows.push(row(&number, &words::step_words(self.job, batch, step), &how(Which::Step(i))));
                }
            }
            before += batch.breakdown.sheets.len();
            let ends: Vec<&&TopCut> = cuts.iter().filter(|cut| matches!(cut.which, Which::End(..))).collect();
            if !ends.is_empty() {
                rows.push(Row::of([marked(bold(text::PARTS_ENDS))]));
            }
            for cut in ends {
                if let Which::End(part, end) = cut.which {
                    rows.push(row("", &words_on_top::end_words(self.job, part, end), &how(cut.which)));
                }
            }
        }
        let table = self.long_table(&[0.55, 3.6, 5.2, 0.6], &text::PARTS_HEAD, rows);
        let mut blocks = vec![Block::Small(plain(text::PARTS_STAR)), table];
        // where nothing is known of the holes, nothing is of the parts
        if let Some(top) = top.filter(|_| places.basis() != Basis::Planned) {
            blocks.extend(self.parts_out(top));
        }
        self.sheet(text::PARTS_CUTS, aside(top), TEXT, blocks)
    }

    /// How far out the parts may be.
    fn parts_out(&mut self, top: &OnTop) -> [Block; 2] {
        let rows = top.errors.iter().map(|error| {
            let [name, rest @ ..] = words_on_top::error_cells(self.job, error);
            Row::of(std::iter::once(marked(bold(&name))).chain(rest.map(plain)))
        });
        let rows = rows.collect();
        let table = self.long_table(&[2.6, 1.4, 1.4, 1.8, 1.2, 2.4], &text::PARTS_OUT_HEAD, rows);
        [Block::Head(plain(words_on_top::ERRORS.trim_end_matches(':'))), table]
    }
}

/// Beside the pages' titles.
fn aside(top: Option<&OnTop>) -> String {
    top.map_or_else(String::new, words_on_top::here)
}

/// A cut, with a place to tick.
fn row(number: &str, what: &str, how: &str) -> Row {
    let cells = Row::of([marked(bold(number)), plain(sentence_start(what)), plain(sentence_start(how))]);
    Row { tick: true, ..cells }
}
