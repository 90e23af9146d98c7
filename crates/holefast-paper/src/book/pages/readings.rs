//! The sheet for readings: the few that matter on this top, with places to write them in and why it is
//! these, and lines for others.

use holefast::measure::format;
use holefast::proof::{FewReadings, Suggestion, few_readings};
use holefast::reading::ReadingKind;
use holefast::words::{self, bold, next::REASONS};

use super::{Ctx, bullets, marked};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{BlankTable, Block, Row, plain};

/// Height of a line to write on, mm.
const LINE: f64 = 10.0;
/// Least lines to write on; the rest of the page has more of them.
const LEAST_LINES: usize = 3;
/// Half-width of a 95 % interval in standard uncertainties.
const HALF_95: f64 = 1.96;

impl Ctx<'_> {
    pub(super) fn readings(&mut self) -> Sheet {
        let few = few_readings(self.job, self.layout, None).ok().filter(|few| !few.best.is_empty());
        let mut blocks = match &few {
            Some(few) => self.asked_for(few),
            None => vec![Block::Para(plain(text::AS_MADE))],
        };
        let table = BlankTable {
            widths: vec![2.4, 1.3, 1.3, 2.2, 2.4, 1.8],
            head: ["what", "from", "to", "made with", "reading", "date"].map(str::to_owned).to_vec(),
            least: LEAST_LINES,
            height: LINE,
        };
        blocks.push(Block::Small(plain(format!(
            "What: distance, offset, angle or strip of a test cut. Say whether over pins, over dogs or centre to \
             centre. Readings in {}.",
            self.units_name()
        ))));
        blocks.push(Block::Blank(table));
        self.sheet(text::READINGS, "as many copies as needed".to_owned(), 3.7, blocks)
    }

    /// The few that matter, and why.
    fn asked_for(&mut self, few: &FewReadings) -> Vec<Block> {
        let at_hand = if few.assumed { text::WITH_WHAT_EVERY_SHOP_HAS } else { text::WITH_WHAT_THE_JOB_STATES };
        let rows = few.best.iter().flat_map(|one| self.rows(one)).collect();
        let head = ["with", "from", "to", "centre to centre", "reading", "both leave square within"];
        let table = self.table(&[2.2, 1.0, 1.0, 2.2, 2.8, 2.4], &head, rows);
        let care = match few.before.filter(|_| few.care) {
            Some(u) => format!(
                " It is taken that the top is bored with care, its square then within {} mm per metre 95 times in 100.",
                format::fixed(HALF_95 * u, 2)
            ),
            None => String::new(),
        };
        let wanted = match (self.job.accuracy.square, few.needed) {
            (Some(limit), Some(u)) => format!(
                " Wanted is {} mm per metre; a top that is dead square is proved so by what leaves {} or less, 95 times \
                 in 100.",
                format::number(limit, 3),
                format::fixed(HALF_95 * u, 2)
            ),
            _ => String::new(),
        };
        let first = format!("{} {} {at_hand}{care}{wanted}", bold(text::FIRST_THESE), text::AS_MADE);
        [Block::Para(marked(first)), table].into_iter().chain(bullets(REASONS.map(plain))).collect()
    }

    /// A line for each reading of a suggestion.
    fn rows(&self, one: &Suggestion) -> Vec<Row> {
        let place = |name: &str| self.layout.holes.iter().find(|h| h.name == name).map(|h| h.centre);
        let count = one.readings.len();
        let row = |(k, lines): (usize, &Vec<[String; 2]>)| {
            let [from, to] = match &lines[..] {
                [[a, b]] => [a.clone(), b.clone()],
                lines => [0, 1].map(|end| lines.iter().map(|l| l[end].as_str()).collect::<Vec<_>>().join(", ")),
            };
            let apart = match &lines[..] {
                [[a, b]] => {
                    place(a).zip(place(b)).map_or(String::new(), |(a, b)| words::fine(self.job.units, a.distance(b)))
                }
                _ => String::new(),
            };
            let write = if one.kind == ReadingKind::Went { "went: yes  /  no" } else { "" };
            let leaves = if k + 1 == count {
                let go = if one.kind == ReadingKind::Went { ", if both go" } else { "" };
                format!("± {} mm per metre{go}", format::fixed(HALF_95 * one.u_after, 2))
            } else {
                String::new()
            };
            let with = if k == 0 { one.with.clone() } else { String::new() };
            Row::of([with, from, to, apart, write.to_owned(), leaves].map(plain))
        };
        one.readings.iter().enumerate().map(row).collect()
    }
}
