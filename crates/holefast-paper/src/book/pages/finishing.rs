//! What comes after the last hole: finishing.

use holefast::drawing::top_view;

use super::{Ctx, SIDE};
use crate::book::model::{Block, Line, Part, plain};
use crate::book::text;

impl Ctx<'_> {
    pub(super) fn finishing(&mut self) -> Part {
        let mdf = self.job.top.material.name.to_lowercase().contains("mdf");
        let mut steps: Vec<&str> = text::FINISH.to_vec();
        steps.insert(4, if mdf { text::FINISH_MDF } else { text::FINISH_WOOD });
        let lines = steps.into_iter().map(|s| Line::Step { text: plain(s) }).collect();
        let room = [self.size[0] - 2.0 * SIDE, 0.42 * self.size[1]];
        let scene = top_view(self.job, self.layout, room);
        let drawn = self.drawn(&scene);
        let picture = self.picture(&scene);
        let blocks = vec![Block::Steps { lines }, Block::Picture { picture, keys: Vec::new() }];
        self.sheet(text::FINISHING, drawn, 4.0, blocks)
    }
}
