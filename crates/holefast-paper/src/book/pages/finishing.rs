//! What comes after the last hole: finishing.

use holefast::drawing::top_view;

use super::{Ctx, SIDE};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::page::block::{Block, plain};

impl Ctx<'_> {
    pub(super) fn finishing(&mut self) -> Sheet {
        let mdf = self.job.top.material.name.to_lowercase().contains("mdf");
        let mut steps: Vec<&str> = text::FINISH.to_vec();
        steps.insert(4, if mdf { text::FINISH_MDF } else { text::FINISH_WOOD });
        let steps = steps.into_iter().zip(1..);
        let mut blocks: Vec<Block> = steps.map(|(step, number)| Block::step(number, plain(step))).collect();
        let room = [self.size[0] - 2.0 * SIDE, 0.42 * self.size[1]];
        let scene = top_view(self.job, self.layout, room);
        let drawn = self.drawn(&scene);
        blocks.push(self.picture(scene, Vec::new()));
        self.sheet(text::FINISHING, drawn, 4.0, blocks)
    }
}
