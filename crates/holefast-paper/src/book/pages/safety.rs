//! The safety page.

use holefast::words;

use super::Ctx;
use crate::book::model::{Block, Part, plain};
use crate::book::text;

impl Ctx<'_> {
    pub(super) fn safety(&mut self) -> Part {
        let all = words::cautions(self.job, self.layout, self.plan);
        let half = all.len().div_ceil(2);
        let column = |part: &[words::Caution]| -> Vec<Block> {
            part.iter()
                .flat_map(|c| {
                    [
                        Block::Head { text: c.head.clone() },
                        Block::Bullets { items: c.lines.iter().map(plain).collect() },
                    ]
                })
                .collect()
        };
        let blocks = vec![
            Block::Para {
                text: plain("Read it once before you begin. The cards say in short again what each act asks for."),
            },
            Block::Columns { items: vec![column(&all[..half]), column(&all[half..])] },
        ];
        self.sheet(text::SAFETY, String::new(), 4.6, blocks)
    }
}
