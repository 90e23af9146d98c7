//! The safety page.

use holefast::words;

use super::{Ctx, bullets};
use crate::book::lay::{Column, Sheet};
use crate::book::text;
use crate::page::block::{Block, plain};

impl Ctx<'_> {
    pub(super) fn safety(&mut self) -> Sheet {
        let all = words::cautions(self.job, self.layout, self.plan);
        let half = all.len().div_ceil(2);
        let column = |part: &[words::Caution]| {
            let blocks = part
                .iter()
                .flat_map(|c| std::iter::once(Block::Head(plain(&c.head))).chain(bullets(c.lines.iter().map(plain))));
            Column { share: 1.0, blocks: blocks.collect() }
        };
        let columns = vec![column(&all[..half]), column(&all[half..])];
        let first = vec![Block::Para(plain(text::SAFETY_HOW))];
        Sheet { columns, gap: 9.0, ..self.sheet(text::SAFETY, String::new(), 4.6, first) }
    }
}
