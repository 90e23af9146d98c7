//! The pilots: from one way of setting out (a [`Way`]) to the set-ups that bore every needed pilot.
//!
//! Works forwards as if every allowed place in a bar's reach were bored, since any of them might
//! be wanted to hold a pin, then backwards, keeping only what is needed or holds a pin for what is
//! kept. So helper pilots appear exactly where the work needs them. Which way is best is
//! `choose`'s matter; names and minutes are `assemble`'s.

use std::collections::BTreeSet;

use super::ground::Footprint;
use super::kit_bars::BarSet;
use super::lattice::{Frame, Lattice, Place};
use super::triangle::{Triangle, triangles};
use crate::plan::Stage;
use crate::top::Point;

/// One way of setting out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    /// Where work starts and which way it goes.
    pub(super) frame: Frame,
    /// The triangle, used at both columns.
    pub(super) triangle: Triangle,
    /// The second column, in steps along the datum row.
    pub(super) second_column: i32,
    /// The foot of its triangle on the datum row.
    pub(super) second_foot: i32,
    /// The second column may be missing: rows are then reached by going round. For patterns that
    /// leave no better way.
    pub(super) one_column_will_do: bool,
    /// The column bar turned over for the second column.
    pub(super) turn_column_bar: bool,
    /// Bars and faces taking turns in the rows.
    pub(super) take_turns: bool,
    /// Beyond the bars' reach bars lie along the columns, pinned on datum row and far row.
    pub(super) columns_beyond: bool,
    /// With only two pins: which of a triangle's three joints a gauge holds (corner, foot, joint).
    pub(super) gauge_at: Option<usize>,
    /// The colour opened first, 0 or 1.
    pub(super) first_colour: i32,
}

impl Way {
    /// Both triangles stand on the same two holes of the datum row.
    pub(super) fn common_foot(&self) -> bool {
        self.second_column == self.triangle.steps && self.second_foot == 0
    }
}

/// A bar lying on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lay {
    /// Index of the single bar.
    pub(super) bar: usize,
    /// Its hole 0: mm from the frame's corner, along and away.
    pub(super) hole_0: [f64; 2],
    /// Towards its last hole: a vector along and away, any length.
    pub(super) towards: [f64; 2],
    /// Other face up.
    pub(super) over: bool,
}

/// Where a pin stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Locator {
    /// Bar hole on a bored place.
    Hole { lay: usize, hole: u32, place: Place },
    /// Bar hole on bar hole.
    Joint { a: usize, a_hole: u32, b: usize, b_hole: u32 },
}

/// One set-up before it has names.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Step {
    pub(super) stage: Stage,
    pub(super) by_hand: bool,
    pub(super) check: bool,
    pub(super) lays: Vec<Lay>,
    pub(super) locators: Vec<Locator>,
    /// Index into `locators` of the one a gauge holds though the set-up bores.
    pub(super) gauge: Option<usize>,
    /// Place, lay, hole of the bar.
    pub(super) bores: Vec<(Place, usize, u32)>,
}

/// A line of places along or away from the datum row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Line {
    along: bool,
    at: i32,
}

impl Line {
    fn place(self, t: i32) -> Place {
        if self.along { (t, self.at) } else { (self.at, t) }
    }

    fn position(self, (u, v): Place) -> Option<i32> {
        let (t, at) = if self.along { (u, v) } else { (v, u) };
        (at == self.at).then_some(t)
    }
}

/// What came of a way.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pilots {
    /// The set-ups, checks among them.
    pub(super) steps: Vec<Step>,
    /// Needed places that no set-up reaches.
    pub(super) unreached: BTreeSet<Place>,
}

/// The set-ups of the pilots.
///
/// `needed`: places that must be bored, in the way's frame.
pub(super) fn pilots(lattice: &Lattice, bars: &BarSet, way: &Way, needed: &BTreeSet<Place>) -> Pilots {
    let pitch = way.frame.pitches(lattice.pitch);
    let mut work = Work {
        lattice,
        bars,
        way,
        needed,
        pitch,
        bored: BTreeSet::new(),
        steps: Vec::new(),
        turn: 0,
        barred: BTreeSet::new(),
    };
    work.datum_row();
    if work.square_columns() {
        let far = work.closing();
        work.fill(far);
        if way.columns_beyond {
            work.columns_beyond(far);
        }
        work.extend_all();
        work.go_round();
    }
    let unreached = needed.difference(&work.bored).copied().collect();
    let steps = keep_needed(work.steps, needed);
    Pilots { steps, unreached }
}

struct Work<'a> {
    lattice: &'a Lattice,
    bars: &'a BarSet,
    way: &'a Way,
    needed: &'a BTreeSet<Place>,
    pitch: [f64; 2],
    bored: BTreeSet<Place>,
    steps: Vec<Step>,
    /// Rows set so far, for taking turns.
    turn: usize,
    /// Rows that a bar on two columns has filled.
    barred: BTreeSet<i32>,
}

impl Work<'_> {
    fn allowed(&self, place: Place) -> bool {
        self.lattice.is_allowed(self.way.frame.row_column(place))
    }

    fn line_pitch(&self, line: Line) -> f64 {
        self.pitch[usize::from(!line.along)]
    }

    fn column_bar(&self) -> usize {
        self.bars.first_of(self.way.triangle.column_kind, None).unwrap_or(0)
    }

    fn third_bar(&self) -> usize {
        let column = self.column_bar();
        self.bars.first_of(self.way.triangle.third_kind, Some(column)).unwrap_or(0)
    }

    /// The bar and face for the next line: always the first of the longest bars, face up, or all
    /// of them in turn, each face up and then turned over.
    fn next_bar(&mut self, line: Line) -> (usize, bool) {
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

    fn lay(&self, line: Line, start: i32, bar: usize, over: bool) -> Lay {
        let (u, v) = line.place(start);
        Lay {
            bar,
            hole_0: [f64::from(u) * self.pitch[0], f64::from(v) * self.pitch[1]],
            towards: if line.along { [1.0, 0.0] } else { [0.0, 1.0] },
            over,
        }
    }

    /// True if a bar so laid stays off what stands above the top.
    fn is_clear(&self, lay: &Lay) -> bool {
        if self.lattice.keep_outs.is_empty() {
            return true;
        }
        let kind = self.bars.kind(lay.bar);
        let corner = self.lattice.centre(self.way.frame.corner);
        let (x, y) = self.way.frame.vector(lay.hole_0[0], lay.hole_0[1]);
        let length = f64::from(kind.holes.saturating_sub(1)) * kind.pitch;
        Footprint::of_bar(
            Point::new(corner.x + x, corner.y + y),
            self.way.frame.vector(lay.towards[0], lay.towards[1]),
            length,
            kind.beyond,
            kind.width,
        )
        .is_clear(&self.lattice.keep_outs)
    }

    fn line_is_clear(&self, line: Line, start: i32, bar: usize) -> bool {
        self.is_clear(&self.lay(line, start, bar, false))
    }

    /// Bores what is allowed and not yet bored through a bar whose hole 0 is at `start`.
    fn bores(&self, line: Line, start: i32, bar: usize) -> Vec<(Place, usize, u32)> {
        let per_step = self.bars.holes_per_step(bar, self.line_pitch(line));
        let reach = self.bars.reach(bar, self.line_pitch(line));
        (0..=reach)
            .map(|i| (line.place(start + i), 0, i as u32 * per_step))
            .filter(|&(place, ..)| !self.bored.contains(&place) && self.allowed(place))
            .collect()
    }

    fn push(&mut self, step: Step) {
        self.bored.extend(step.bores.iter().map(|b| b.0));
        self.steps.push(step);
    }

    fn bored_on(&self, line: Line) -> Vec<i32> {
        let mut all: Vec<i32> = self.bored.iter().filter_map(|&p| line.position(p)).collect();
        all.sort_unstable();
        all
    }

    fn targets_on(&self, line: Line) -> Vec<i32> {
        let mut all: Vec<i32> =
            self.needed.iter().filter(|p| !self.bored.contains(*p)).filter_map(|&p| line.position(p)).collect();
        all.sort_unstable();
        all
    }

    /// Pins a bar with hole 0 at `start` on the two bored places furthest apart in its reach, and
    /// bores the rest of its places. False if fewer than two are bored there or nothing is new.
    fn pinned(&mut self, line: Line, start: i32, stage: Stage, (bar, over): (usize, bool)) -> bool {
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

    /// The datum row: one bar by hand, then slides.
    fn datum_row(&mut self) {
        let line = Line { along: true, at: 0 };
        let bar = self.bars.longest(self.pitch[0])[0];
        let reach = self.bars.reach(bar, self.pitch[0]);
        let furthest = self.way.triangle.steps.max(self.way.second_column).max(self.way.second_foot);
        let least = self.targets_on(line).first().copied().unwrap_or(0).min(0);
        // The first laying covers corner, feet and second column, and as much to the left as that leaves.
        let start = least.max(furthest - reach).min(0);
        // Where something stands above in the way, another laying that still covers them.
        let start = (start..=0)
            .chain(((furthest - reach).min(0)..start).rev())
            .find(|&start| self.line_is_clear(line, start, bar))
            .unwrap_or(start);
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

    /// Lengthens what is bored on a line to `goals` (least, greatest) by equal slides of at most
    /// half a bar, longer first, each pinned on the two bored places furthest apart in reach.
    fn slide(&mut self, line: Line, stage: Stage, (bar, over): (usize, bool), goals: (i32, i32)) {
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
    fn slide_to_targets(&mut self, line: Line, stage: Stage, face: (usize, bool)) {
        let targets = self.targets_on(line);
        if let (Some(&least), Some(&greatest)) = (targets.first(), targets.last()) {
            self.slide(line, stage, face, (least, greatest));
        }
    }

    /// Two columns square to the datum row. False if corner, feet or columns cannot be bored.
    fn square_columns(&mut self) -> bool {
        let way = *self.way;
        for (corner, foot, over) in
            [(0, way.triangle.steps, false), (way.second_column, way.second_foot, way.turn_column_bar)]
        {
            let spare = corner != 0 && way.one_column_will_do;
            if !self.bored.contains(&(corner, 0)) || !self.bored.contains(&(foot, 0)) {
                return spare;
            }
            let line = Line { along: false, at: corner };
            let (column, third) = (self.column_bar(), self.third_bar());
            let triangle = way.triangle;
            let rise = f64::from(triangle.column_hole) * self.bars.kind(column).pitch;
            let base = f64::from(corner - foot) * self.pitch[0];
            let bores = self.bores(line, 0, column);
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
    fn closing(&mut self) -> Option<i32> {
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
    fn check_bar(&mut self, bar: usize, from: Place, to: Place) {
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

    /// Every row in the columns' reach, from the datum row outwards.
    fn fill(&mut self, far: Option<i32>) {
        let mut rows: Vec<i32> = self.needed.iter().map(|p| p.1).filter(|&v| Some(v) != far && v != 0).collect();
        rows.sort_unstable();
        rows.dedup();
        for v in rows {
            self.fill_line(Line { along: true, at: v }, Stage::Fill);
        }
    }

    /// One bar across a line, where it covers most of what is needed; false if nothing was gained.
    fn fill_line(&mut self, line: Line, stage: Stage) -> bool {
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

    /// Beyond the bars' reach: the far row goes on as the datum row did, and bars along the columns
    /// join the two. Holes of one column then stand true to each other, which the block's seat
    /// feels, and it takes fewer set-ups than sliding along every row.
    fn columns_beyond(&mut self, far: Option<i32>) {
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
    fn extend_all(&mut self) {
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

    /// What rows on the frame columns left out: any line with two bored places in reach, as long
    /// as something is gained. Lines with needed places first; then lines that only help.
    fn go_round(&mut self) {
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
    fn help(&mut self) -> bool {
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

impl Work<'_> {
    /// One more line square to a line that has been reached, by a triangle on two of its places:
    /// of all that can be set, the one that reaches most that is needed. False if none gains.
    fn square_again(&mut self) -> bool {
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
    fn squared(&self, triangle: &Triangle, along: bool, corner: Place, foot: Place, rise: i32) -> Step {
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

/// First and last of the bored positions within `from..=to` counted along `sign`.
fn bored_within(bored: &[i32], sign: i32, from: i32, to: i32) -> Option<(i32, i32)> {
    let mut inside = bored.iter().map(|t| sign * t).filter(|t| (from..=to).contains(t));
    let first = inside.next()?;
    Some(inside.fold((first, first), |(lo, hi), t| (lo.min(t), hi.max(t))))
}

/// Drops, from the last set-up to the first, what nothing needs.
fn keep_needed(steps: Vec<Step>, needed: &BTreeSet<Place>) -> Vec<Step> {
    let mut needed = needed.clone();
    let mut kept: Vec<Step> = Vec::new();
    for mut step in steps.into_iter().rev() {
        if !step.check {
            step.bores.retain(|b| needed.contains(&b.0));
            if step.bores.is_empty() {
                continue;
            }
            needed.extend(step.locators.iter().filter_map(|l| match l {
                Locator::Hole { place, .. } => Some(*place),
                Locator::Joint { .. } => None,
            }));
        }
        kept.push(step);
    }
    kept.reverse();
    // A check is worth its time only on holes that are bored anyway.
    kept.retain(|step| {
        !step.check
            || step.locators.iter().all(|l| match l {
                Locator::Hole { place, .. } => needed.contains(place),
                Locator::Joint { .. } => true,
            })
    });
    kept
}

#[cfg(test)]
mod tests {
    use super::super::kit_bars::BarKind;
    use super::*;

    fn bars(holes: u32) -> BarSet {
        BarSet::of_kinds(vec![BarKind {
            name: "L".into(),
            count: 2,
            holes,
            pitch: 100.0,
            turn_over: true,
            beyond: 20.0,
            width: 40.0,
        }])
    }

    fn way(lattice: &Lattice, bars: &BarSet, second_column: i32, second_foot: i32) -> Way {
        let triangle = triangles(bars, lattice.pitch[0], 13)[0];
        Way {
            frame: Frame { corner: (0, 0), along: (0, 1), away: (1, 0) },
            triangle,
            second_column,
            second_foot,
            one_column_will_do: false,
            turn_column_bar: true,
            take_turns: true,
            columns_beyond: false,
            gauge_at: None,
            first_colour: 0,
        }
    }

    /// Each set-up as text: stage, bars, pins > bored.
    fn told(pilots: &Pilots) -> Vec<String> {
        pilots
            .steps
            .iter()
            .map(|s| {
                let lays: Vec<String> =
                    s.lays.iter().map(|l| format!("{}{}", l.bar + 1, if l.over { "over" } else { "" })).collect();
                let pins: Vec<String> = s
                    .locators
                    .iter()
                    .map(|l| match l {
                        Locator::Hole { lay, hole, place } => format!("{lay}:{hole}@{},{}", place.0, place.1),
                        Locator::Joint { a, a_hole, b, b_hole } => format!("{a}:{a_hole}={b}:{b_hole}"),
                    })
                    .collect();
                let bores: Vec<String> = s.bores.iter().map(|b| format!("{},{}", b.0.0, b.0.1)).collect();
                let check = if s.check { " check" } else { "" };
                format!(
                    "{}{check} bar {} pins {} bores {}",
                    s.stage.name(),
                    lays.join("+"),
                    pins.join(" "),
                    bores.join(" ")
                )
            })
            .collect()
    }

    fn planned(picture: &str, holes: u32, second: (i32, i32)) -> Pilots {
        let lattice = Lattice::drawn(picture);
        let bars = bars(holes);
        let way = way(&lattice, &bars, second.0, second.1);
        let needed = lattice.wanted().iter().map(|&p| way.frame.place(p)).collect();
        pilots(&lattice, &bars, &way, &needed)
    }

    #[test]
    fn seven_rows_of_fourteen_from_a_common_foot() {
        let made = planned(&"oooooooooooooo ".repeat(7), 12, (8, 0));
        assert!(made.unreached.is_empty());
        let told = told(&made);
        assert_eq!(told.len(), 19, "{told:#?}");
        assert_eq!(told[0], "datum row bar 1 pins  bores 0,0 1,0 2,0 3,0 4,0 5,0 6,0 7,0 8,0 9,0 10,0 11,0");
        // One slide of two, on the two bored holes furthest apart in reach.
        assert_eq!(told[1], "datum row bar 1 pins 0:0@2,0 0:9@11,0 bores 12,0 13,0");
        assert_eq!(told[2], "square columns bar 1+2 pins 0:0@0,0 1:0@8,0 1:10=0:6 bores 0,1 0,2 0,3 0,4 0,5 0,6");
        assert_eq!(told[3], "square columns bar 1over+2 pins 0:0@8,0 1:0@0,0 1:10=0:6 bores 8,1 8,2 8,3 8,4 8,5 8,6");
        assert_eq!(told[4], "closing check bar 2 pins 0:0@0,6 0:8@8,6 bores ");
        assert_eq!(told[5], "fill bar 1 pins 0:0@0,6 0:8@8,6 bores 1,6 2,6 3,6 4,6 5,6 6,6 7,6 9,6 10,6 11,6");
        assert_eq!(told[6], "closing check bar 2 pins 0:0@8,6 0:10@0,0 bores ");
        assert_eq!(told[18], "extend bar 2over pins 0:0@2,6 0:9@11,6 bores 12,6 13,6");
    }

    #[test]
    fn beyond_the_reach_bars_along_the_columns_take_fewer_set_ups() {
        let lattice = Lattice::drawn(&"oooooooooooooo ".repeat(7));
        let bars = bars(12);
        let way = Way { columns_beyond: true, ..way(&lattice, &bars, 8, 0) };
        let needed = lattice.wanted().iter().map(|&p| way.frame.place(p)).collect();
        let told = told(&pilots(&lattice, &bars, &way, &needed));
        // One slide of the far row and two columns, where every row by itself takes six slides.
        assert_eq!(
            told[13..],
            [
                "extend bar 1over pins 0:0@2,6 0:9@11,6 bores 12,6 13,6",
                "extend bar 2over pins 0:0@12,0 0:6@12,6 bores 12,1 12,2 12,3 12,4 12,5",
                "extend bar 1 pins 0:0@13,0 0:6@13,6 bores 13,1 13,2 13,3 13,4 13,5",
            ],
            "{told:#?}"
        );
    }

    #[test]
    fn slides_differ_by_at_most_one_and_the_longer_go_first() {
        // 31 columns, bars of 11: 20 more at most 5 a slide: four slides of 5. 29: 18 more: 5, 5, 4, 4.
        for (columns, expected) in [(31, vec![5, 5, 5, 5]), (29, vec![5, 5, 4, 4]), (17, vec![3, 3])] {
            let made = planned(&format!("{} ", "o".repeat(columns)).repeat(7), 11, (8, 0));
            let slides: Vec<usize> =
                made.steps.iter().filter(|s| s.stage == Stage::DatumRow && !s.by_hand).map(|s| s.bores.len()).collect();
            assert_eq!(slides, expected, "{columns} columns");
        }
    }

    #[test]
    fn a_row_already_barred_goes_on_by_slides_with_pins_far_apart() {
        let made = planned(&format!("{} ", "o".repeat(26)).repeat(20), 11, (8, 0));
        assert!(made.unreached.is_empty());
        for step in made.steps.iter().filter(|s| !s.by_hand && !s.check) {
            if let [Locator::Hole { hole: a, .. }, Locator::Hole { hole: b, .. }] = step.locators[..] {
                assert!(b - a >= 5, "{step:?}");
            }
        }
    }

    #[test]
    fn helpers_appear_only_where_something_needs_them() {
        // A lone hole at the top right; the frame columns carry a pin in its row though no dog
        // hole is wanted there.
        let made = planned("............o ............. ooooooooooooo ooooooooooooo ooooooooooooo", 11, (8, 0));
        assert!(made.unreached.is_empty());
        let bored: BTreeSet<Place> = made.steps.iter().flat_map(|s| &s.bores).map(|b| b.0).collect();
        let helpers: Vec<Place> = bored.iter().copied().filter(|&(u, v)| v > 2 && (u, v) != (12, 4)).collect();
        assert!(helpers.contains(&(0, 4)) && helpers.contains(&(8, 4)), "{helpers:?}");
        assert!(helpers.iter().all(|p| p.1 == 4) && helpers.len() <= 4, "{helpers:?}");
    }

    #[test]
    fn a_wall_of_forbidden_places_is_crossed_and_what_lies_behind_too_wide_a_one_is_named() {
        let wall = |width: usize| format!("ooooooooooo{}ooooo ", "x".repeat(width)).repeat(7);
        assert!(planned(&wall(4), 11, (8, 0)).unreached.is_empty());
        // 11 holes span 10 pitches: a bar held at its end by a triangle reaches ten steps on, no more.
        assert!(planned(&wall(9), 11, (8, 0)).unreached.is_empty());
        let made = planned(&wall(10), 11, (8, 0));
        assert_eq!(made.unreached.len(), 7 * 5);
        assert!(made.unreached.iter().all(|p| p.0 > 10));
    }
}
