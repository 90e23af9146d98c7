//! From the set-out frame to the whole pattern: rows between the columns, and on past the bars'
//! reach by slides or by bars across.

use std::collections::BTreeSet;

use super::Work;
use super::step::Line;
use crate::plan::Stage;

impl Work<'_> {
    /// Every row in the columns' reach, from the datum row outwards.
    pub(super) fn fill(&mut self, far: Option<i32>) {
        let mut rows: Vec<i32> = self.needed.iter().map(|p| p.1).filter(|&v| Some(v) != far && v != 0).collect();
        if let Some(band) = self.way.square_every {
            rows.retain(|&v| v <= band);
        }
        rows.sort_unstable();
        rows.dedup();
        for v in rows {
            self.fill_line(Line { along: true, at: v }, Stage::Fill);
        }
    }

    /// Beyond the bars' reach: the far row goes on as the datum row did, and bars along the columns
    /// join the two. Holes of one column then stand true to each other, which the block's seat
    /// feels, and it takes fewer set-ups than sliding along every row.
    pub(super) fn columns_beyond(&mut self, far: Option<i32>) {
        let Some(far) = far else { return };
        let row = Line { along: true, at: far };
        if !self.targets_on(row).is_empty() {
            let face = self.next_bar(row);
            self.slide_to_targets(row, Stage::Extend, face);
        }
        let columns: BTreeSet<i32> = self.needed.iter().filter(|p| !self.bored.contains(*p)).map(|p| p.0).collect();
        for at in columns {
            if self.bored.contains(&(at, 0)) && self.bored.contains(&(at, far)) {
                self.fill_line(Line { along: false, at }, Stage::Extend);
            }
        }
    }

    /// Beyond the bars' reach: frame columns first, then rows.
    pub(super) fn extend_all(&mut self) {
        let columns = [0, self.way.second_column];
        for at in columns {
            let line = Line { along: false, at };
            // The frame columns must carry a pin for every row that is needed.
            let least = self.needed.iter().map(|p| p.1).min().unwrap_or(0);
            let greatest = self.needed.iter().map(|p| p.1).max().unwrap_or(0);
            self.slide(line, Stage::Extend, (self.column_bar(), false), (least, greatest));
        }
        let mut rows: Vec<i32> = self.needed.iter().map(|p| p.1).collect();
        rows.sort_unstable();
        rows.dedup();
        for &v in &rows {
            let line = Line { along: true, at: v };
            // A row that has had its bar goes on by slides: pins close together steer badly.
            if !self.barred.contains(&v) {
                self.fill_line(line, Stage::Extend);
            }
            if !self.targets_on(line).is_empty() && !self.bored_on(line).is_empty() {
                let face = self.next_bar(line);
                self.slide_to_targets(line, Stage::Extend, face);
            }
        }
    }
}
