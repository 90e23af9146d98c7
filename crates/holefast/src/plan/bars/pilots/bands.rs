//! Patterns higher than the column bar reaches, in bands of rows: the triangle is set again on each
//! band's last row.
//!
//! Two columns that slide on by themselves part from each other, and the further out, the seldomer a
//! bar pinned on both goes in. So the next two columns are set square anew, on holes of one row that
//! a bar along it has bored, both on the same two as at the datum row: where the columns below
//! have strayed, those above begin together.

use super::Work;
use super::step::Line;
use crate::plan::Stage;
use crate::plan::bars::lattice::Place;

impl Work<'_> {
    /// Band after band beyond the first, whose last row is `far`: two columns, the bar across their
    /// far ends offered up, the rows. Ends where no triangle stands; what is left then goes on as
    /// everything beyond the bars' reach does.
    pub(super) fn further_bands(&mut self, far: Option<i32>) {
        let (Some(band), Some(mut last)) = (self.way.square_every, far) else { return };
        let furthest = self.needed.iter().map(|p| p.1).max().unwrap_or(last);
        while last < furthest {
            let end = (last + band).min(furthest);
            let Some([a, b]) = self.feet(last, end) else { return };
            for (corner, foot, over) in [(a, b, false), (b, a, self.way.turn_column_bar)] {
                let mut step = self.squared(&self.way.triangle, true, (corner, last), (foot, last), 1);
                step.bores.retain(|bore| bore.0.1 <= end);
                step.lays[0].over = over;
                if step.bores.is_empty() || !step.lays.iter().all(|lay| self.is_clear(lay)) {
                    return;
                }
                self.push(step);
            }
            self.check_bar(self.third_bar(), (a, end), (b, end));
            // The far row first, as in the first band.
            for v in std::iter::once(end).chain(last + 1..end) {
                self.fill_line(Line { along: true, at: v }, Stage::Fill);
            }
            last = end;
        }
    }

    /// Two places of a row, a triangle's steps apart, both bored through a bar along it; of these
    /// the first from which most of the rows up to `end` can be bored.
    fn feet(&self, row: i32, end: i32) -> Option<[i32; 2]> {
        let steps = self.way.triangle.steps;
        let carried =
            |u: i32| (row + 1..=end).filter(|&v| self.allowed((u, v)) && self.allowed((u + steps, v))).count();
        let along = |place: &Place| self.along.contains(place);
        let feet = self.along.iter().filter(|p| p.1 == row && along(&(p.0 + steps, row))).map(|p| p.0);
        feet.map(|u| (carried(u), -u)).max().filter(|best| best.0 > 0).map(|(_, minus_u)| [-minus_u, steps - minus_u])
    }
}
