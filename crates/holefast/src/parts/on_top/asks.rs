//! What a list asks of the top: every cut as a question, alike ones as one.

use std::collections::BTreeMap;

use super::super::{CutList, Why, in_mm};
use super::{Which, ends};
use crate::breakdown::{Size, UNITS_PER_MM};
use crate::cut::Piece;
use crate::job::{CutAt, Job, Kept};

/// A question: ordered by angle, then by how long the cut is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Ask {
    /// The angle between fence and cut, in millionths of a degree.
    angle: i64,
    /// From the fence to the far edge of the work, in the breakdown's units.
    width: Size,
    /// Set to this length; `None` where an end is only trimmed.
    length: Option<Size>,
    /// What the blade takes out.
    kerf: Size,
    /// Angle of the end at the stop, as `angle`.
    end: i64,
}

/// Millionths of a degree in a rad.
const ANGLE_UNITS: f64 = 180.0e6 / std::f64::consts::PI;

fn units(mm: f64) -> Size {
    (mm * UNITS_PER_MM).round() as Size
}

impl Ask {
    pub(super) fn new(angle: f64, width: f64, length: Option<f64>, kerf: f64, end: f64) -> Ask {
        let turn = |rad: f64| (rad * ANGLE_UNITS).round() as i64;
        Ask { angle: turn(angle), width: units(width), length: length.map(units), kerf: units(kerf), end: turn(end) }
    }

    pub(super) fn width(&self) -> f64 {
        in_mm(self.width)
    }

    #[cfg(test)]
    pub(super) fn length(&self) -> Option<f64> {
        self.length.map(in_mm)
    }

    /// The piece that is set to a length; `None` where an end is only trimmed. Which piece is kept
    /// follows from the lines.
    pub(super) fn piece(&self) -> Option<Piece> {
        let length = in_mm(self.length?);
        let (width, kerf, end) = (self.width(), self.kerf(), exact(self.end));
        Some(Piece { length, at: CutAt::Fence, width, kerf, kept: Kept::UnderRail, end })
    }

    pub(super) fn kerf(&self) -> f64 {
        in_mm(self.kerf)
    }

    /// What cuts with a stop are alike in that differ in length and width alone; none for one without.
    pub(super) fn kind(&self) -> Option<(Size, i64)> {
        self.length.map(|_| (self.kerf, self.end))
    }
}

/// An angle in rad, a right angle exactly.
fn exact(units: i64) -> f64 {
    if units == 90_000_000 { std::f64::consts::FRAC_PI_2 } else { units as f64 / ANGLE_UNITS }
}

/// All cuts of a list.
pub(super) struct All {
    /// Batch, cut, and what it asks; `None` where no straight edge is there to lie against a fence.
    pub(super) cuts: Vec<(usize, Which, Option<Ask>)>,
    /// How long each is, mm.
    pub(super) runs: Vec<f64>,
    /// How many cuts ask the same.
    times: BTreeMap<Ask, usize>,
}

impl All {
    /// How many questions there are.
    pub(super) fn questions(&self) -> usize {
        self.times.len()
    }

    /// The angles asked for, rad: square first, then rising.
    pub(super) fn angles(&self) -> Vec<f64> {
        let mut all: Vec<i64> = self.times.keys().map(|ask| ask.angle).collect();
        all.dedup();
        all.sort_by_key(|&a| (a != 90_000_000, a));
        all.into_iter().map(exact).collect()
    }

    /// What is asked at an angle, the shortest cut first, with how many cuts ask it.
    pub(super) fn at(&self, angle: f64) -> Vec<(Ask, usize)> {
        let units = (angle * ANGLE_UNITS).round() as i64;
        self.times.iter().filter(|(ask, _)| ask.angle == units).map(|(ask, times)| (*ask, *times)).collect()
    }
}

/// Every cut of a list, in order: a batch's steps, then the ends of its parts.
pub(super) fn all(job: &Job, list: &CutList) -> All {
    let square = std::f64::consts::FRAC_PI_2;
    let mut out = All { cuts: Vec::new(), runs: Vec::new(), times: BTreeMap::new() };
    for (number, batch) in list.batches.iter().enumerate() {
        for (i, step) in batch.steps.iter().enumerate() {
            let kerf = job.part_list.stock[batch.stock[batch.breakdown.sheets[step.sheet].stock]].kerf;
            let width = in_mm(step.runs[1] - step.runs[0]);
            let ask = match step.why {
                Why::ReferenceEdge => None,
                Why::SquareEnd => Some(Ask::new(square, width, None, kerf, square)),
                Why::FarEdge | Why::Piece => Some(Ask::new(square, width, Some(in_mm(step.set)), kerf, square)),
            };
            out.add(number, Which::Step(i), ask, width, 1);
        }
        for end in ends::of(job, batch) {
            let times = job.part_list.parts[end.part].quantity as usize;
            out.add(number, Which::End(end.part, end.which), Some(end.ask), end.runs, times);
        }
    }
    out
}

impl All {
    fn add(&mut self, batch: usize, which: Which, ask: Option<Ask>, runs: f64, times: usize) {
        self.cuts.push((batch, which, ask));
        self.runs.push(runs);
        if let Some(ask) = ask {
            *self.times.entry(ask).or_default() += times;
        }
    }
}
