//! The worked page of test cuts: how to make them safely, what to measure, what it says, the correction.

use holefast::words::{cutting, test_cuts};

use super::Ctx;
use crate::book::model::{Block, Line, Part, plain};
use crate::book::text;

impl Ctx<'_> {
    pub(super) fn test_cuts(&mut self) -> Part {
        let mut blocks = vec![Block::Para { text: plain(text::PROVE_THE_ARRANGEMENT) }];
        let cautions = cutting::CUTTING[..4].iter().chain(&test_cuts::CAUTIONS);
        blocks.push(Block::Steps { lines: cautions.map(|text| Line::Caution { text: plain(*text) }).collect() });
        for cut in test_cuts::test_cuts(self.job.units) {
            blocks.push(Block::Head { text: cut.head.to_owned() });
            blocks.push(Block::Para { text: plain(cut.about) });
            blocks.push(Block::Steps {
                lines: cut.steps.into_iter().map(|text| Line::Step { text: plain(text) }).collect(),
            });
            blocks.push(Block::Bullets { items: cut.says.into_iter().map(plain).collect() });
        }
        self.sheet(text::TEST_CUTS, "five cuts, and one turned over".to_owned(), 3.5, blocks)
    }
}
