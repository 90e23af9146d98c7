//! What comes after the last hole: finishing, and a sheet for readings.

use holefast::drawing::top_view;

use super::{Ctx, SIDE};
use crate::book::model::{BlankTable, Block, Line, Part, plain};
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

    pub(super) fn readings(&mut self) -> Part {
        let grid = || self.layout.holes.iter().filter_map(|h| h.cell.map(|c| (c, h)));
        let least = grid().min_by_key(|(c, _)| (c.row + c.column, c.row));
        let most = grid().max_by_key(|(c, _)| (c.row + c.column, c.row));
        let mut first = "Write every reading as it is made, even one that looks wrong.".to_owned();
        if let (Some((_, a)), Some((_, b))) = (least, most) {
            first += &format!(
                " A good first one: {} to {}, centre to centre {}; then the other diagonal with the same tape. Equal \
                 diagonals tell of square.",
                a.name,
                b.name,
                self.length(a.centre.distance(b.centre))
            );
        }
        let tall = self.size[1] - 75.0;
        let table = BlankTable {
            widths: vec![2.4, 1.3, 1.3, 2.2, 2.4, 1.8],
            head: ["what", "from", "to", "made with", "reading", "date"].map(str::to_owned).to_vec(),
            count: (tall / 10.0).floor() as u32,
            height: 10.0,
        };
        let blocks = vec![
            Block::Para { text: plain(first) },
            Block::Small {
                text: plain(format!(
                    "What: distance, offset, angle or strip of a test cut. Say whether over pins, over dogs or centre \
                     to centre. Readings in {}.",
                    self.units_name()
                )),
            },
            Block::Blank { table },
        ];
        self.sheet(text::READINGS, "as many copies as needed".to_owned(), 3.7, blocks)
    }
}
