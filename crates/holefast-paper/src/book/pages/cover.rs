//! The cover: the whole top drawn, its figures, what to expect of it, how to use the book.

use holefast::drawing::top_view;
use holefast::words::{self, CardNumbers, bold};

use super::{Ctx, FACTOR, SIDE, bullets, caution, keys, marked};
use crate::book::lay::Sheet;
use crate::book::text;
use crate::code::{Code, MODULE};
use crate::link::link_in_figures;
use crate::page::block::{Block, Figure, plain};

/// Side of a coarse code with its quiet zone, mm: read from arm's length. A finer one is larger, so that
/// its modules are no smaller than they may be.
const CODE: f64 = 34.0;

impl Ctx<'_> {
    pub(super) fn cover(&mut self) -> Sheet {
        let room = [self.size[0] - 2.0 * SIDE, 0.45 * self.size[1]];
        let scene = top_view(self.job, self.layout, room);
        let drawn = self.drawn(&scene);
        let keys = keys(&scene, &[]);
        let job = self.job;
        let u = job.units;
        let mut blocks = Vec::new();
        if !job.note.is_empty() {
            blocks.push(Block::Para(plain(&job.note)));
        }
        blocks.push(self.picture(scene, keys));
        let grid = self.layout.holes.iter().filter(|h| h.cell.is_some()).count();
        let mut items = vec![
            Figure {
                value: self.layout.holes.len().to_string(),
                unit: String::new(),
                name: "dog holes".to_owned(),
                size: 7.0,
            },
            Figure {
                value: format!("{} × {}", self.layout.rows, self.layout.columns),
                unit: String::new(),
                name: if grid == (self.layout.rows * self.layout.columns) as usize {
                    "rows × columns".to_owned()
                } else {
                    "rows × columns, in part".to_owned()
                },
                size: 7.0,
            },
        ];
        if let Some(weight) = &self.layout.weight {
            items.push(Figure {
                value: format!("{:.1}", weight.bored),
                unit: "kg".to_owned(),
                name: "when bored".to_owned(),
                size: 7.0,
            });
        }
        let cards = CardNumbers::of(self.plan).cards().len();
        items.push(Figure {
            value: cards.to_string(),
            unit: String::new(),
            name: "cards for the bench".to_owned(),
            size: 7.0,
        });
        let hours = words::minutes(self.plan.minutes());
        items.push(Figure { value: hours, unit: String::new(), name: "of work, about".to_owned(), size: 5.6 });
        blocks.push(Block::Figures(items));
        let pitch = self.layout.pitch;
        let pitch = if pitch[0] == pitch[1] {
            self.length(pitch[0])
        } else {
            format!("{} along the rows, {} along the columns", self.length(pitch[0]), self.length(pitch[1]))
        };
        let a1 = self.layout.origin;
        blocks.push(Block::Para(marked(format!(
            "{} {} × {} × {}, {}. {} {pitch}, {} {} across. {} at {} and {} from the reference corner.",
            bold("Sheet"),
            words::bare_length(u, job.top.length),
            words::bare_length(u, job.top.width),
            self.length(job.top.thickness),
            job.top.material.name,
            bold("Pitch"),
            bold("holes"),
            self.length(job.grid.hole),
            bold("A1"),
            self.length(a1.x),
            self.length(a1.y),
        ))));
        blocks.extend(self.expectation());
        if !self.layout.conflicts.is_empty() {
            let names: Vec<String> = self.layout.conflicts.iter().map(|c| words::conflict_label(job, c)).collect();
            blocks.push(caution(marked(format!("{} {}.", bold("Left out, too near to something:"), names.join("; ")))));
        }
        blocks.push(Block::Head(plain(text::USE_HEAD)));
        let how_to_use: Vec<Block> = bullets(text::USE.into_iter().map(plain)).collect();
        blocks.extend(self.with_code(how_to_use));
        let aside = format!("{}, {drawn}", text::BOOK.to_lowercase());
        let name = job.name.clone();
        self.sheet(&name, aside, 4.0, blocks)
    }

    /// The job's code beside these blocks, if there is a page that opens it and the code can be read; else a
    /// line that says why there is none.
    fn with_code(&self, items: Vec<Block>) -> Vec<Block> {
        let Some(site) = self.site else { return items };
        let code = link_in_figures(&site.page, &site.job_text).ok().and_then(|link| Code::of(&link));
        let Some(code) = code else {
            return items.into_iter().chain([Block::Small(plain(text::NO_CODE))]).collect();
        };
        let side = (CODE / code.across() as f64).max(MODULE) * code.across() as f64;
        let scene = Box::new(code.scene(side, text::CODE));
        // the page alone: the job in it would be too long a link for most readers
        vec![Block::Beside { items, scene, caption: plain(text::CODE), address: site.page.clone() }]
    }

    /// The expectation in words, with what it leaves out.
    pub(super) fn expectation(&self) -> Vec<Block> {
        let e = self.expected;
        let mut blocks = Vec::new();
        if let Some(within) = e.square_within {
            blocks.push(Block::Lead(plain(text::expect(&words::per_metre(within), e.confidence))));
        }
        if let Some((limit, share)) = e.wanted.filter(|(_, share)| *share < e.confidence) {
            let said = format!(
                "{} wanted is {}, and only {} keep it. What would lessen the spread stands on the accuracy page.",
                bold("Not as square as wanted:"),
                words::per_metre(limit),
                words::shares_of_hundred(share)
            );
            blocks.push(caution(marked(said)));
        }
        let mut line = String::new();
        if let Some((limit, share)) = e.wanted {
            line += &format!("Wanted: {}; kept {}. ", words::per_metre(limit), words::shares_of_hundred(share));
        }
        if let Some(u) = e.square_u {
            line += &format!("Square: 0 ± {} (factor {FACTOR}, 95\u{a0}%; {}). ", words::per_metre(1.96 * u), e.basis);
        }
        if let Some(rms) = e.position_mm {
            line +=
                &format!("Holes lie about {} off their places (root mean square). ", words::fine(self.job.units, rms));
        }
        if !line.is_empty() {
            blocks.push(Block::Para(plain(line.trim_end())));
        }
        if !e.climate.is_empty() {
            blocks.push(Block::Para(plain(&e.climate)));
        }
        let left_out = if e.left_out.is_empty() {
            text::LEFT_OUT.iter().map(|s| (*s).to_owned()).collect()
        } else {
            e.left_out.clone()
        };
        blocks.push(Block::Para(marked(format!("{} {}.", bold("Not counted:"), left_out.join(", ")))));
        blocks
    }
}
