//! The list of parts: its sheets drawn, a card for each setting, the cuts in their order with how each
//! is made here or why it is not, and how far out the parts may be.

use holefast::cut::{Basis, Places};
use holefast::drawing::{Role, sheets_view};
use holefast::parts::CutList;
use holefast::parts::on_top::{OnTop, TopCut, Which};
use holefast::words::{bold, on_top as words_on_top, parts as words, sentence, sentence_start};

use super::{Ctx, SIDE, marked};
use crate::book::model::{Block, Key, Line, Part, Runs, Table, plain};
use crate::book::{ListPages, MorePages, text};

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
    pub(super) fn parts(&mut self, more: &MorePages) -> Vec<Part> {
        let Some(ListPages { list, top }) = &more.list else { return Vec::new() };
        let sheets: usize = list.batches.iter().map(|b| b.breakdown.sheets.len()).sum();
        let shown = sheets.min(MOST_SHEETS);
        let mut parts = vec![self.sheets_drawn(list, top.as_ref(), &more.places, [shown, sheets])];
        if let Some(top) = top {
            let cards = self.settings(&more.places, top);
            parts.extend(cards.into_iter().map(|card| Part::Whole { card: Box::new(card) }));
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
    ) -> Part {
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
        let mut blocks = vec![Block::Bullets { items: said.iter().map(|line| plain(sentence(line))).collect() }];
        let cautions = words::CAUTIONS.map(|text| sentence(text.trim_start_matches("take care: ")));
        blocks.push(Block::Steps { lines: cautions.map(|text| Line::Caution { text: plain(text) }).into() });
        blocks.push(Block::Small { text: plain(text::PARTS_DRAWN) });
        let room = [self.size[0] - 2.0 * SIDE, DRAWING_SHARE * self.size[1]];
        for first in (0..shown).step_by(TO_A_DRAWING) {
            let scene = sheets_view(self.job, list, first..shown.min(first + TO_A_DRAWING), room);
            let names = [(Role::Bar, "part"), (Role::KeepOutBelow, "left over"), (Role::Work, "sheet")];
            let keys: Vec<Key> = self.keys(&scene, &names);
            blocks.push(Block::Picture { picture: self.picture(&scene), keys });
        }
        self.sheet(text::PARTS, aside(top), TEXT, blocks)
    }

    /// The cuts, sheet by sheet, then the ends.
    fn order_of_cuts(&self, list: &CutList, top: Option<&OnTop>, places: &Places, shown: usize) -> Part {
        let mut rows: Vec<Vec<Runs>> = Vec::new();
        let mut before = 0;
        for (number, batch) in list.batches.iter().enumerate() {
            let thick = words::thick(self.job, list, batch);
            rows.extend(thick.map(|thick| vec![marked(bold(&sentence(thick.trim_end_matches(':'))))]));
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
                rows.push(vec![marked(format!("{} {}", bold(&head), sentence(&left)))]);
                for (i, step) in batch.steps.iter().enumerate().filter(|(_, step)| step.sheet == sheet) {
                    let star = if step.new_setting { "*" } else { "" };
                    let number = format!("{}{star}", step.number);
                    rows.push(row(&number, &words::step_words(self.job, batch, step), &how(Which::Step(i))));
                }
            }
            before += batch.breakdown.sheets.len();
            let ends: Vec<&&TopCut> = cuts.iter().filter(|cut| matches!(cut.which, Which::End(..))).collect();
            if !ends.is_empty() {
                rows.push(vec![marked(bold(text::PARTS_ENDS))]);
            }
            for cut in ends {
                if let Which::End(part, end) = cut.which {
                    rows.push(row("", &words_on_top::end_words(self.job, part, end), &how(cut.which)));
                }
            }
        }
        let head = text::PARTS_HEAD.map(str::to_owned).to_vec();
        let table = Table { widths: vec![0.55, 3.6, 5.2, 0.6], head, rows };
        let mut blocks = vec![Block::Small { text: plain(text::PARTS_STAR) }, Block::LongTable { table }];
        // where nothing is known of the holes, nothing is of the parts
        if let Some(top) = top.filter(|_| places.basis() != Basis::Planned) {
            blocks.extend(self.parts_out(top));
        }
        self.sheet(text::PARTS_CUTS, aside(top), TEXT, blocks)
    }

    /// How far out the parts may be.
    fn parts_out(&self, top: &OnTop) -> [Block; 2] {
        let rows = top.errors.iter().map(|error| {
            let [name, rest @ ..] = words_on_top::error_cells(self.job, error);
            std::iter::once(marked(bold(&name))).chain(rest.map(plain)).collect()
        });
        let table = Table {
            widths: vec![2.6, 1.4, 1.4, 1.8, 1.2, 2.4],
            head: text::PARTS_OUT_HEAD.map(str::to_owned).to_vec(),
            rows: rows.collect(),
        };
        [Block::Head { text: words_on_top::ERRORS.trim_end_matches(':').to_owned() }, Block::LongTable { table }]
    }
}

/// Beside the pages' titles.
fn aside(top: Option<&OnTop>) -> String {
    top.map_or_else(String::new, words_on_top::here)
}

/// A cut, with a place to tick.
fn row(number: &str, what: &str, how: &str) -> Vec<Runs> {
    vec![marked(bold(number)), plain(sentence_start(what)), plain(sentence_start(how)), plain("\u{2610}")]
}
