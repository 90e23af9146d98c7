//! What rows on the frame columns left out is gone round to: along any line that two pins hold,
//! with helpers where that brings something nearer, and as a last resort by `again`.

use std::collections::BTreeSet;

use super::Work;
use super::step::Line;
use crate::plan::Stage;
use crate::plan::bars::lattice::Place;

impl Work<'_> {
    /// What rows on the frame columns left out: any line with two bored places in reach, as long
    /// as something is gained. Lines with needed places first; then lines that only help.
    pub(super) fn go_round(&mut self) {
        loop {
            let targets: Vec<Place> = self.needed.iter().filter(|p| !self.bored.contains(*p)).copied().collect();
            if targets.is_empty() {
                return;
            }
            let mut gained = false;
            for &(u, v) in &targets {
                for line in [Line { along: true, at: v }, Line { along: false, at: u }] {
                    if self.fill_line(line, Stage::Fill) {
                        gained = true;
                    } else if !self.targets_on(line).is_empty() && self.bored_on(line).len() > 1 {
                        let before = self.bored.len();
                        let face = self.next_bar(line);
                        self.slide_to_targets(line, Stage::Extend, face);
                        gained |= self.bored.len() > before;
                    }
                }
            }
            if !gained && !self.help() && !self.square_again() {
                return;
            }
        }
    }

    /// Bores helpers along every line that can be pinned; false if nothing new is reached.
    pub(super) fn help(&mut self) -> bool {
        let before = self.bored.len();
        let lines: BTreeSet<(bool, i32)> = self.bored.iter().flat_map(|&(u, v)| [(true, v), (false, u)]).collect();
        for (along, at) in lines {
            let line = Line { along, at };
            let bored = self.bored_on(line);
            let bar = self.bars.longest(self.line_pitch(line))[0];
            let reach = self.bars.reach(bar, self.line_pitch(line));
            if let [_, second, ..] = bored[..] {
                // The furthest laying each way that two pins still hold.
                for start in [bored[bored.len() - 2], second - reach] {
                    self.pinned(line, start, Stage::Fill, (bar, false));
                }
            }
        }
        self.bored.len() > before
    }
}
