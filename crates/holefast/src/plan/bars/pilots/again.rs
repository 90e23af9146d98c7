//! The triangle set again, as a last resort: one more line square to a line that has been reached.

use super::Work;
use super::step::{Lay, Line, Locator, Step};
use crate::plan::Stage;
use crate::plan::bars::lattice::Place;
use crate::plan::bars::triangle::{Triangle, triangles};

impl Work<'_> {
    /// One more line square to a line that has been reached, by a triangle on two of its places:
    /// of all that can be set, the one that reaches most that is needed. False if none gains.
    pub(super) fn square_again(&mut self) -> bool {
        let mut best: Option<((usize, usize), Step)> = None;
        for along in [true, false] {
            let base_pitch = self.line_pitch(Line { along, at: 0 });
            let most_steps = self.bored.iter().map(|p| if along { p.0 } else { p.1 }).fold(0, i32::max)
                - self.bored.iter().map(|p| if along { p.0 } else { p.1 }).fold(0, i32::min);
            for triangle in triangles(self.bars, base_pitch, most_steps) {
                for &corner in &self.bored {
                    for (foot_side, rise) in [(1, 1), (1, -1), (-1, 1), (-1, -1)] {
                        let by = foot_side * triangle.steps;
                        let foot = if along { (corner.0 + by, corner.1) } else { (corner.0, corner.1 + by) };
                        if !self.bored.contains(&foot) {
                            continue;
                        }
                        let step = self.squared(&triangle, along, corner, foot, rise);
                        let needed = step.bores.iter().filter(|b| self.needed.contains(&b.0)).count();
                        let gain = (needed, step.bores.len());
                        if gain.1 > 0
                            && best.as_ref().is_none_or(|b| gain > b.0)
                            && step.lays.iter().all(|lay| self.is_clear(lay))
                        {
                            best = Some((gain, step));
                        }
                    }
                }
            }
        }
        let Some((_, step)) = best else { return false };
        self.push(step);
        true
    }

    /// A column bar at `corner` towards `rise`, square to the line from `corner` to `foot`.
    pub(super) fn squared(&self, triangle: &Triangle, along: bool, corner: Place, foot: Place, rise: i32) -> Step {
        let column = self.bars.first_of(triangle.column_kind, None).unwrap_or(0);
        let third = self.bars.first_of(triangle.third_kind, Some(column)).unwrap_or(0);
        let pitch = self.line_pitch(Line { along: !along, at: 0 });
        let per_step = self.bars.holes_per_step(column, pitch);
        let up = |i: i32| if along { (corner.0, corner.1 + rise * i) } else { (corner.0 + rise * i, corner.1) };
        let bores = (1..=self.bars.reach(column, pitch))
            .map(|i| (up(i), 0, i as u32 * per_step))
            .filter(|&(place, ..)| !self.bored.contains(&place) && self.allowed(place))
            .collect();
        let mm = |p: Place| [f64::from(p.0) * self.pitch[0], f64::from(p.1) * self.pitch[1]];
        let direction = if along { [0.0, f64::from(rise)] } else { [f64::from(rise), 0.0] };
        let length = f64::from(triangle.column_hole) * self.bars.kind(column).pitch;
        let joint = [mm(corner)[0] + direction[0] * length, mm(corner)[1] + direction[1] * length];
        let towards = [joint[0] - mm(foot)[0], joint[1] - mm(foot)[1]];
        Step {
            stage: Stage::SquareColumns,
            by_hand: false,
            check: false,
            lays: vec![
                Lay { bar: column, hole_0: mm(corner), towards: direction, over: false },
                Lay { bar: third, hole_0: mm(foot), towards, over: false },
            ],
            locators: vec![
                Locator::Hole { lay: 0, hole: 0, place: corner },
                Locator::Hole { lay: 1, hole: 0, place: foot },
                Locator::Joint { a: 1, a_hole: triangle.third_hole, b: 0, b_hole: triangle.column_hole },
            ],
            gauge: self.way.gauge_at,
            bores,
        }
    }
}
