//! One bar along one line of places: which bar and face, where it is pinned, how a line goes on by
//! slides and where one bar covers most.

use super::Work;
use super::step::{Line, Locator, Step};
use crate::plan::Stage;

impl Work<'_> {
    /// The bar and face for the next line: always the first of the longest bars, face up, or all
    /// of them in turn, each face up and then turned over.
    pub(super) fn next_bar(&mut self, line: Line) -> (usize, bool) {
        let longest = self.bars.longest(self.line_pitch(line));
        if !self.way.take_turns {
            return (longest[0], false);
        }
        let mut faces: Vec<(usize, bool)> = Vec::new();
        for over in [false, true] {
            faces.extend(longest.iter().filter(|&&b| !over || self.bars.kind(b).turn_over).map(|&b| (b, over)));
        }
        let face = faces[self.turn % faces.len()];
        self.turn += 1;
        face
    }

    /// Pins a bar with hole 0 at `start` on the two bored places furthest apart in its reach, and
    /// bores the rest of its places. False if fewer than two are bored there or nothing is new.
    pub(super) fn pinned(&mut self, line: Line, start: i32, stage: Stage, (bar, over): (usize, bool)) -> bool {
        let reach = self.bars.reach(bar, self.line_pitch(line));
        let inside: Vec<i32> =
            self.bored_on(line).into_iter().filter(|&t| (start..=start + reach).contains(&t)).collect();
        let (Some(&first), Some(&last)) = (inside.first(), inside.last()) else { return false };
        let bores = self.bores(line, start, bar);
        if first == last || bores.is_empty() || !self.line_is_clear(line, start, bar) {
            return false;
        }
        let per_step = self.bars.holes_per_step(bar, self.line_pitch(line));
        let pin = |t: i32| Locator::Hole { lay: 0, hole: (t - start) as u32 * per_step, place: line.place(t) };
        self.push(Step {
            stage,
            by_hand: false,
            check: false,
            lays: vec![self.lay(line, start, bar, over)],
            locators: vec![pin(first), pin(last)],
            gauge: None,
            bores,
        });
        true
    }

    /// Lengthens what is bored on a line to `goals` (least, greatest) by equal slides of at most
    /// half a bar, longer first, each pinned on the two bored places furthest apart in reach.
    pub(super) fn slide(&mut self, line: Line, stage: Stage, (bar, over): (usize, bool), goals: (i32, i32)) {
        let pitch = self.line_pitch(line);
        let reach = self.bars.reach(bar, pitch);
        let half = self.bars.kind(bar).holes.saturating_sub(1) / 2 / self.bars.holes_per_step(bar, pitch).max(1);
        let most = half.max(1) as i32;
        for (sign, goal) in [(1, goals.1), (-1, -goals.0)] {
            let Some(mut end) = self.bored_on(line).iter().map(|t| sign * t).max() else { return };
            while goal > end {
                let slides = (goal - end + most - 1) / most;
                let mut by = (goal - end + slides - 1) / slides;
                // A gap in the row may leave fewer than two bored places in reach, or something may stand
                // in the way: slide less.
                let bored = self.bored_on(line);
                while by > 0 && bored_within(&bored, sign, end + by - reach, end + by).is_none_or(|(a, b)| a == b) {
                    by -= 1;
                }
                if by == 0 {
                    break;
                }
                end += by;
                let start = if sign > 0 { end - reach } else { -end };
                self.pinned(line, start, stage, (bar, over));
            }
        }
    }

    /// Slides along a line as far as its needed places go.
    pub(super) fn slide_to_targets(&mut self, line: Line, stage: Stage, face: (usize, bool)) {
        let targets = self.targets_on(line);
        if let (Some(&least), Some(&greatest)) = (targets.first(), targets.last()) {
            self.slide(line, stage, face, (least, greatest));
        }
    }

    /// One bar across a line, where it covers most of what is needed; false if nothing was gained.
    pub(super) fn fill_line(&mut self, line: Line, stage: Stage) -> bool {
        let targets = self.targets_on(line);
        let bored = self.bored_on(line);
        let (Some(&least), Some(&greatest)) = (bored.first(), bored.last()) else { return false };
        if targets.is_empty() || least == greatest {
            return false;
        }
        let bar = self.bars.longest(self.line_pitch(line))[0];
        let reach = self.bars.reach(bar, self.line_pitch(line));
        let best = (least - reach..=greatest)
            .filter_map(|start| {
                let (first, last) = bored_within(&bored, 1, start, start + reach)?;
                let covered = targets.iter().filter(|t| (start..=start + reach).contains(*t)).count();
                // Of equals, the bar whose first hole stands on something.
                let stands = first == start || targets.contains(&start);
                (first != last && covered > 0 && self.line_is_clear(line, start, bar)).then_some((
                    covered,
                    last - first,
                    stands,
                    -start,
                ))
            })
            .max();
        let Some((.., minus_start)) = best else { return false };
        let face = self.next_bar(line);
        if line.along {
            self.barred.insert(line.at);
        }
        self.pinned(line, -minus_start, stage, face)
    }
}

/// First and last of the bored positions within `from..=to` counted along `sign`.
fn bored_within(bored: &[i32], sign: i32, from: i32, to: i32) -> Option<(i32, i32)> {
    let mut inside = bored.iter().map(|t| sign * t).filter(|t| (from..=to).contains(t));
    let first = inside.next()?;
    Some(inside.fold((first, first), |(lo, hi), t| (lo.min(t), hi.max(t))))
}
