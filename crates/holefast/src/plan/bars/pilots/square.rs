//! Setting out: the datum row, two columns square to it by a triangle of bars, and the far ends
//! closed and checked.

use super::Work;
use super::step::{Lay, Line, Locator, Step};
use crate::plan::Stage;
use crate::plan::bars::lattice::Place;

impl Work<'_> {
    /// The datum row: one bar by hand, then slides.
    pub(super) fn datum_row(&mut self) {
        let line = Line { along: true, at: 0 };
        if self.begun {
            // A row laid by hand would not belong to what exists: it goes on from two pilots or is not the start.
            self.fill_line(line, Stage::DatumRow);
            self.slide_to_targets(line, Stage::DatumRow, (self.bars.longest(self.pitch[0])[0], false));
            return;
        }
        let bar = self.bars.longest(self.pitch[0])[0];
        let reach = self.bars.reach(bar, self.pitch[0]);
        let furthest = self.way.triangle.steps.max(self.way.second_column).max(self.way.second_foot);
        let least = self.targets_on(line).first().copied().unwrap_or(0).min(0);
        // The first laying covers corner, feet and second column, and as much to the left as that leaves.
        let start = least.max(furthest - reach).min(0);
        // Where something stands above in the way, another laying that still covers them.
        let clear = (start..=0)
            .chain(((furthest - reach).min(0)..start).rev())
            .find(|&start| self.line_is_clear(line, start, bar));
        let Some(start) = clear else { return };
        let bores = self.bores(line, start, bar);
        let lays = vec![self.lay(line, start, bar, false)];
        self.push(Step {
            stage: Stage::DatumRow,
            by_hand: true,
            check: false,
            lays,
            locators: Vec::new(),
            gauge: None,
            bores,
        });
        self.slide_to_targets(line, Stage::DatumRow, (bar, false));
    }

    /// Two columns square to the datum row. False if corner, feet or columns cannot be bored.
    pub(super) fn square_columns(&mut self) -> bool {
        let way = *self.way;
        for (corner, foot, over) in
            [(0, way.triangle.steps, false), (way.second_column, way.second_foot, way.turn_column_bar)]
        {
            let spare = self.begun || (corner != 0 && way.one_column_will_do);
            let line = Line { along: false, at: corner };
            if self.begun && self.bored_on(line).len() > 1 {
                self.fill_line(line, Stage::SquareColumns);
                continue;
            }
            if !self.bored.contains(&(corner, 0)) || !self.bored.contains(&(foot, 0)) {
                if self.begun {
                    continue;
                }
                return spare;
            }
            let (column, third) = (self.column_bar(), self.third_bar());
            let triangle = way.triangle;
            let rise = f64::from(triangle.column_hole) * self.bars.kind(column).pitch;
            let base = f64::from(corner - foot) * self.pitch[0];
            let mut bores = self.bores(line, 0, column);
            if let Some(rows) = way.square_every {
                bores.retain(|b| b.0.1 <= rows);
            }
            if bores.is_empty() {
                continue;
            }
            let lays = vec![
                self.lay(line, 0, column, over),
                Lay { bar: third, hole_0: [f64::from(foot) * self.pitch[0], 0.0], towards: [base, rise], over: false },
            ];
            if !lays.iter().all(|lay| self.is_clear(lay)) {
                return spare;
            }
            self.push(Step {
                stage: Stage::SquareColumns,
                by_hand: false,
                check: false,
                lays,
                locators: vec![
                    Locator::Hole { lay: 0, hole: 0, place: (corner, 0) },
                    Locator::Hole { lay: 1, hole: 0, place: (foot, 0) },
                    Locator::Joint { a: 1, a_hole: triangle.third_hole, b: 0, b_hole: triangle.column_hole },
                ],
                gauge: way.gauge_at,
                bores,
            });
        }
        true
    }

    /// A bar offered up across the far ends, the far row, and the third side at the far corners.
    /// Returns the far row.
    pub(super) fn closing(&mut self) -> Option<i32> {
        let second = self.way.second_column;
        let far = self
            .needed
            .iter()
            .map(|p| p.1)
            .filter(|&v| v > 0 && self.bored.contains(&(0, v)) && self.bored.contains(&(second, v)))
            .max()?;
        let third = self.third_bar();
        let across = Line { along: true, at: far };
        if second <= self.bars.reach(third, self.pitch[0]) {
            self.check_bar(third, (0, far), (second, far));
        }
        self.fill_line(across, Stage::Fill);
        // The largest triangle that stands on the grid at the far corners.
        let column_kind = self.bars.kind(self.column_bar());
        let triangle = self.way.triangle;
        let rise = f64::from(triangle.column_hole) * column_kind.pitch;
        let steps_down = rise / self.pitch[1];
        if (steps_down - steps_down.round()).abs() < 1e-6 && steps_down.round() as i32 <= far {
            let down = far - steps_down.round() as i32;
            for (corner, foot) in [(0, triangle.steps), (second, self.way.second_foot)] {
                self.check_bar(third, (foot, far), (corner, down));
            }
        }
        Some(far)
    }

    /// Offers a bar up between two bored places. Nothing is added if one is not bored.
    pub(super) fn check_bar(&mut self, bar: usize, from: Place, to: Place) {
        if !self.bored.contains(&from) || !self.bored.contains(&to) {
            return;
        }
        let towards = [f64::from(to.0 - from.0) * self.pitch[0], f64::from(to.1 - from.1) * self.pitch[1]];
        let distance = (towards[0] * towards[0] + towards[1] * towards[1]).sqrt();
        let kind = self.bars.kind(bar);
        let hole = (distance / kind.pitch).round();
        if hole >= f64::from(kind.holes) || (hole * kind.pitch - distance).abs() > 1e-6 {
            return;
        }
        let hole_0 = [f64::from(from.0) * self.pitch[0], f64::from(from.1) * self.pitch[1]];
        let lay = Lay { bar, hole_0, towards, over: false };
        if !self.is_clear(&lay) {
            return;
        }
        self.push(Step {
            stage: Stage::Closing,
            by_hand: false,
            check: true,
            lays: vec![lay],
            locators: vec![
                Locator::Hole { lay: 0, hole: 0, place: from },
                Locator::Hole { lay: 0, hole: hole as u32, place: to },
            ],
            gauge: None,
            bores: Vec::new(),
        });
    }
}
