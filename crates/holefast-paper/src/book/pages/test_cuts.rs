//! The worked page of test cuts: how to make them safely, what to measure, what it says, the correction.

use holefast::words::{cutting, test_cuts};

use super::{Ctx, bullets, caution};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, plain};

impl Ctx<'_> {
    pub(super) fn test_cuts(&mut self) -> Sheet {
        let mut blocks = vec![Block::Para(plain(text::PROVE_THE_ARRANGEMENT))];
        let cautions = cutting::CUTTING[..4].iter().chain(&test_cuts::CAUTIONS);
        blocks.extend(cautions.map(|text| caution(plain(*text))));
        for cut in test_cuts::test_cuts(self.job.units) {
            blocks.push(Block::Head(plain(cut.head)));
            blocks.push(Block::Para(plain(cut.about)));
            let steps = cut.steps.into_iter().zip(1..);
            blocks.extend(steps.map(|(text, number)| Block::step(number, plain(text))));
            blocks.extend(bullets(cut.says.into_iter().map(plain)));
        }
        self.sheet(text::TEST_CUTS, "five cuts, and one turned over".to_owned(), 3.5, blocks)
    }
}
