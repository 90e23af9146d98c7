//! From a job's readings to what is adjusted: the unknowns by name, and each reading as a row.
//!
//! Unknowns, in this order: x and y deviation of every hole adjusted (mm), scale (mm per m) and zero
//! (mm, or mm per m for angles) of every instrument that has them and was used, shift (mm) and turn
//! (mm per m) of every set of places in a frame of its own. Readings of angles and test cuts are in mm
//! per m, all others in mm.

use super::gauge::Gauge;
use super::geometry::{self, P};
use super::lattice::PER_METRE;
use super::matrix::Symmetric;
use super::prior::HolePrior;
use super::riding::Ride;
use super::solve::{Noise, Row, Terms};
use crate::math;
use crate::reading::{Instrument, Known, Reading, ReadingKind, What};
use crate::top::{Cell, LaidHole};

/// A hole that is adjusted.
#[derive(Clone, Debug)]
pub(super) struct Hole {
    pub(super) name: String,
    pub(super) cell: Option<Cell>,
    pub(super) nominal: P,
    pub(super) read: bool,
}

/// Where an instrument's own unknowns stand, if it has them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Common {
    pub(super) scale: Option<usize>,
    pub(super) zero: Option<usize>,
}

/// One row: a reading, or a coordinate of one.
#[derive(Clone, Debug)]
pub(super) struct Observed {
    /// Number of the reading, from 1.
    pub(super) number: usize,
    pub(super) kind: ReadingKind,
    pub(super) measures: Measures,
    pub(super) common: Common,
    /// What was read.
    pub(super) value: f64,
}

/// What a row measures, by index of holes.
#[derive(Clone, Debug)]
pub(super) enum Measures {
    /// Distance, with what the reading has more.
    Distance {
        holes: [usize; 2],
        more: f64,
    },
    /// Distance, less what the two holes of a bar that rides along are off.
    Pinned {
        holes: [usize; 2],
        bar: [usize; 2],
    },
    Offset {
        of: usize,
        from: [usize; 2],
    },
    /// Angle less `against`; by how much the instrument's zero enters.
    Angle {
        lines: [[usize; 2]; 2],
        against: f64,
        zero: f64,
    },
    /// A coordinate in the frame whose shift and turn begin at `frame`; `None` is the top's.
    Place {
        hole: usize,
        axis: usize,
        frame: Option<usize>,
    },
}

/// Everything an adjustment needs.
#[derive(Clone, Debug)]
pub(super) struct Model {
    pub(super) holes: Vec<Hole>,
    /// Names of unknowns behind the holes' own.
    pub(super) others: Vec<String>,
    /// Of each instrument of the job.
    pub(super) common: Vec<Common>,
    pub(super) points: Vec<Observed>,
    pub(super) noise: Vec<Noise>,
    /// Gauges with the row each stands on.
    pub(super) gauges: Vec<(Gauge, Observed)>,
    pub(super) prior: Symmetric,
    /// Finite pieces of prior knowledge.
    pub(super) finite: usize,
    /// Bars whose holes are unknowns behind the places.
    pub(super) rides: Vec<Ride>,
    pub(super) start: Vec<f64>,
}

impl Measures {
    pub(super) fn row(&self, x: &[f64], nominal: &impl Fn(usize) -> P, common: Common) -> Row {
        let at = |hole: usize| {
            let [a, b] = nominal(hole);
            [a + x[2 * hole], b + x[2 * hole + 1]]
        };
        let mut terms = Terms::with_capacity(10);
        let mut push = |hole: usize, slope: P, factor: f64| {
            for (axis, along) in slope.iter().enumerate() {
                let (at, value) = (2 * hole + axis, along * factor);
                match terms.iter_mut().find(|(k, _)| *k == at) {
                    Some((_, sum)) => *sum += value,
                    None => terms.push((at, value)),
                }
            }
        };
        let scale = common.scale.map_or(0.0, |k| x[k]);
        let grown = 1.0 + scale / PER_METRE;
        let zero = common.zero.map_or(0.0, |k| x[k]);
        let (computed, by_scale, by_zero) = match *self {
            Measures::Distance { holes: [a, b], more } => {
                let (value, slopes) = geometry::distance(at(a), at(b));
                push(a, slopes[0], grown);
                push(b, slopes[1], grown);
                (grown * (value + more) + zero, (value + more) / PER_METRE, 1.0)
            }
            Measures::Pinned { holes: [a, b], bar: [first, last] } => {
                let (value, slopes) = geometry::distance(at(a), at(b));
                push(a, slopes[0], 1.0);
                push(b, slopes[1], 1.0);
                terms.push((first, 1.0));
                terms.push((last, -1.0));
                (value + x[first] - x[last], 0.0, 0.0)
            }
            Measures::Offset { of, from: [a, b] } => {
                let (value, slopes) = geometry::offset(at(of), at(a), at(b));
                for (hole, slope) in [of, a, b].into_iter().zip(slopes) {
                    push(hole, slope, 1.0);
                }
                (value + zero, 0.0, 1.0)
            }
            Measures::Angle { lines: [[a, b], [c, d]], against, zero: by_zero } => {
                let (value, slopes) = geometry::angle([at(a), at(b)], [at(c), at(d)]);
                for (hole, slope) in [a, b, c, d].into_iter().zip(slopes) {
                    push(hole, slope, PER_METRE);
                }
                ((value - against) * PER_METRE + by_zero * zero, 0.0, by_zero)
            }
            Measures::Place { hole, axis, frame } => {
                let (shift, turn) = match frame {
                    Some(k) => ([x[k], x[k + 1]], x[k + 2] / PER_METRE),
                    None => ([0.0; 2], 0.0),
                };
                let (sin, cos) = math::sin_cos(turn);
                let [px, py] = at(hole);
                let rows = [[cos, -sin], [sin, cos]];
                let along = rows[axis][0] * px + rows[axis][1] * py;
                push(hole, rows[axis], grown);
                if let Some(k) = frame {
                    let turned = if axis == 0 { -sin * px - cos * py } else { cos * px - sin * py };
                    terms.push((k + axis, 1.0));
                    terms.push((k + 2, grown * turned / PER_METRE));
                }
                (shift[axis] + grown * along, along / PER_METRE, 0.0)
            }
        };
        if let Some(k) = common.scale {
            terms.push((k, by_scale));
        }
        if let Some(k) = common.zero {
            terms.push((k, by_zero));
        }
        terms.retain(|(_, v)| *v != 0.0);
        Row { computed, terms }
    }
}

impl Model {
    /// Puts readings and prior together. Every reading's holes are among `holes`, and it has an
    /// uncertainty: both were looked at before. For a `search` every instrument's own errors are among
    /// the unknowns, used or not, and those that are not known at all are merely wide.
    pub(super) fn new(
        holes: &[&LaidHole],
        hole_prior: HolePrior,
        instruments: &[Instrument],
        readings: &[(usize, &Reading)],
        search: bool,
    ) -> Model {
        let mut model = Model {
            holes: holes
                .iter()
                .map(|h| Hole { name: h.name.clone(), cell: h.cell, nominal: [h.centre.x, h.centre.y], read: false })
                .collect(),
            others: hole_prior.rides.iter().flat_map(Ride::names).collect(),
            common: vec![Common::default(); instruments.len()],
            points: Vec::new(),
            noise: Vec::new(),
            gauges: Vec::new(),
            prior: Symmetric::zeros(0),
            finite: 0,
            rides: hole_prior.rides,
            start: vec![0.0; hole_prior.precision.n()],
        };
        // (unknown, standard deviation; none: unknown)
        let mut spreads: Vec<Option<f64>> = Vec::new();
        for (at, instrument) in instruments.iter().enumerate() {
            let used = |(_, r): &&(usize, &Reading)| r.with.as_deref() == Some(&instrument.name);
            let mut kinds: Vec<ReadingKind> = readings.iter().filter(used).map(|(_, r)| r.what.kind()).collect();
            let mut common = instrument.common();
            if search {
                kinds.extend(&instrument.reads);
                let wide = |known| if known == Known::Unknown { Known::Within(super::next::WIDE) } else { known };
                common = common.map(wide);
            }
            let [scale, zero] = common;
            let scaled = |k: &ReadingKind| matches!(k, ReadingKind::Distance | ReadingKind::Place);
            let zeroed =
                |k: &ReadingKind| matches!(k, ReadingKind::Distance | ReadingKind::Offset | ReadingKind::Angle);
            if kinds.iter().any(scaled) {
                model.common[at].scale = model.unknown(scale, format!("scale of {}", instrument.name), &mut spreads);
            }
            if kinds.iter().any(zeroed) {
                model.common[at].zero = model.unknown(zero, format!("zero of {}", instrument.name), &mut spreads);
            }
        }
        for &(number, reading) in readings {
            model.observe(number, reading, instruments, &mut spreads);
        }
        model.finite = hole_prior.finite + spreads.iter().flatten().count();
        let places = hole_prior.precision.n();
        let mut prior = Symmetric::zeros(model.start.len());
        for i in 0..places {
            for j in 0..=i {
                prior.add(i, j, hole_prior.precision.at(i, j));
            }
        }
        for (k, spread) in spreads.iter().enumerate() {
            if let Some(sd) = spread {
                prior.add(places + k, places + k, 1.0 / (sd * sd));
            }
        }
        model.prior = prior;
        model
    }

    fn unknown(&mut self, known: Known, name: String, spreads: &mut Vec<Option<f64>>) -> Option<usize> {
        let spread = match known {
            Known::Within(sd) if sd <= 0.0 => return None,
            Known::Within(sd) => Some(sd),
            Known::Unknown => None,
        };
        spreads.push(spread);
        self.others.push(name);
        self.start.push(0.0);
        Some(self.start.len() - 1)
    }

    /// Index of a hole; that it is there was looked at before.
    pub(super) fn hole(&self, name: &str) -> usize {
        self.holes.iter().position(|h| h.name == name).unwrap_or(0)
    }

    pub(super) fn place(&self, hole: usize, x: &[f64]) -> P {
        let [a, b] = self.holes[hole].nominal;
        [a + x[2 * hole], b + x[2 * hole + 1]]
    }

    fn observe(
        &mut self,
        number: usize,
        reading: &Reading,
        instruments: &[Instrument],
        spreads: &mut Vec<Option<f64>>,
    ) {
        let with = instruments.iter().position(|i| reading.with.as_deref() == Some(&i.name));
        let kind = reading.what.kind();
        for name in crate::reading::holes_of(&reading.what) {
            let hole = self.hole(name);
            self.holes[hole].read = true;
        }
        let pair = |model: &Model, [a, b]: &[String; 2]| [model.hole(a), model.hole(b)];
        let nominal = |model: &Model, [a, b]: &[String; 2]| {
            geometry::distance(model.holes[model.hole(a)].nominal, model.holes[model.hole(b)].nominal).0
        };
        let u_at = |length: f64| reading.u_at(instruments, length);
        let common = with.map_or(Common::default(), |i| self.common[i]);
        let right = std::f64::consts::FRAC_PI_2;
        let cuts = |model: &Model, fence: &[String; 2], rail: &[String; 2]| Measures::Angle {
            lines: [pair(model, fence), pair(model, rail)],
            against: right,
            zero: 0.0,
        };
        let (measures, value, variance) = match &reading.what {
            What::Distance { between, value, taken } => {
                let u = u_at(nominal(self, between));
                let measures = Measures::Distance { holes: pair(self, between), more: taken.more() };
                (measures, *value, u * u + taken.loose_variance())
            }
            What::Offset { of, from, value } => {
                let u = u_at(nominal(self, from));
                (Measures::Offset { of: self.hole(of), from: pair(self, from) }, *value, u * u)
            }
            What::Angle { lines: [a, b], gap, length, against } => {
                let lines = [pair(self, a), pair(self, b)];
                let u = u_at(*length) / length * PER_METRE;
                let value = math::atan2(*gap, *length) * PER_METRE;
                (Measures::Angle { lines, against: *against, zero: 1.0 }, value, u * u)
            }
            What::FiveCut { .. } | What::TurnOver { .. } => {
                let cut = reading.test_cut(instruments).unwrap_or_else(|| unreachable!("both are test cuts"));
                (cuts(self, cut.fence, cut.rail), cut.over, cut.u * cut.u)
            }
            What::Gauge { between, length, play, bar_holes, went } => {
                let holes = pair(self, between);
                let (measures, u) = match Ride::pinned(&self.rides, with, *length, *bar_holes) {
                    Some(bar) => (Measures::Pinned { holes, bar }, 0.0),
                    None => (Measures::Distance { holes, more: 0.0 }, u_at(*length)),
                };
                let gauge = Gauge { low: length - play, high: length + play, u, went: *went };
                let common = Common::default();
                self.gauges.push((gauge, Observed { number, kind, measures, common, value: *length }));
                return;
            }
            What::Place { holes, x, y, covariance, own_frame } => {
                let indices: Vec<usize> = holes.iter().map(|name| self.hole(name)).collect();
                let frame = own_frame.then(|| self.frame(number, &indices, x, y, spreads));
                for ((&hole, &x), &y) in indices.iter().zip(x).zip(y) {
                    for (axis, value) in [x, y].into_iter().enumerate() {
                        let measures = Measures::Place { hole, axis, frame };
                        self.points.push(Observed { number, kind, measures, common, value });
                    }
                }
                let n = 2 * indices.len();
                match covariance.as_ref().and_then(|rows| several(rows)) {
                    Some(noise) => self.noise.push(noise),
                    None => self.noise.extend((0..n).map(|_| Noise::One(u_at(0.0) * u_at(0.0)))),
                }
                return;
            }
        };
        self.points.push(Observed { number, kind, measures, common, value });
        self.noise.push(Noise::One(variance));
    }

    /// Unknowns of a frame of its own, begun at the best shift and turn.
    fn frame(&mut self, number: usize, holes: &[usize], x: &[f64], y: &[f64], spreads: &mut Vec<Option<f64>>) -> usize {
        let n = holes.len() as f64;
        let nominal: Vec<P> = holes.iter().map(|&h| self.holes[h].nominal).collect();
        let mean = |values: &mut dyn Iterator<Item = f64>| values.sum::<f64>() / n;
        let [mx, my] = [mean(&mut x.iter().copied()), mean(&mut y.iter().copied())];
        let [nx, ny] = [mean(&mut nominal.iter().map(|p| p[0])), mean(&mut nominal.iter().map(|p| p[1]))];
        let (mut along, mut across) = (0.0, 0.0);
        for ((p, x), y) in nominal.iter().zip(x).zip(y) {
            let (a, b, c, d) = (p[0] - nx, p[1] - ny, x - mx, y - my);
            along += a * c + b * d;
            across += a * d - b * c;
        }
        let turn = if along == 0.0 && across == 0.0 { 0.0 } else { math::atan2(across, along) };
        let (sin, cos) = math::sin_cos(turn);
        let begin = self.start.len();
        for (what, value) in [
            ("shift along x", mx - (cos * nx - sin * ny)),
            ("shift along y", my - (sin * nx + cos * ny)),
            ("turn", turn * PER_METRE),
        ] {
            spreads.push(None);
            self.others.push(format!("{what} of the places of reading {number}"));
            self.start.push(value);
        }
        begin
    }

    /// Rows of the point readings, then of the gauges, at some x.
    pub(super) fn rows(&self, x: &[f64]) -> Vec<Row> {
        let nominal = |hole: usize| self.holes[hole].nominal;
        let all = self.points.iter().chain(self.gauges.iter().map(|(_, row)| row));
        all.map(|row| row.measures.row(x, &nominal, row.common)).collect()
    }
}

/// Noise of a covariance; `None` if it has no inverse, which was looked at before.
fn several(rows: &[Vec<f64>]) -> Option<Noise> {
    let mut covariance = Symmetric::zeros(rows.len());
    for (i, row) in rows.iter().enumerate() {
        for (j, value) in row.iter().enumerate().take(i + 1) {
            covariance.add(i, j, *value);
        }
    }
    let inverse = covariance.factor(LEAST_SHARE)?.inverse();
    Some(Noise::Several(covariance, inverse))
}

/// A covariance of readings has an inverse if no pivot falls below this share of its diagonal.
const LEAST_SHARE: f64 = 1e-10;

/// True if a covariance has an inverse.
pub(super) fn is_covariance(rows: &[Vec<f64>]) -> bool {
    several(rows).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_have_the_derivatives_of_their_values() {
        let nominal = |hole: usize| [[40.0, 50.0], [1000.0, 50.0], [40.0, 530.0], [500.0, 290.0]][hole];
        let mut x = vec![0.1, -0.2, 0.3, 0.05, -0.1, 0.2, 0.15, -0.3, 0.4, 0.07, 3.0, -4.0, 210.0];
        let common = Common { scale: Some(8), zero: Some(9) };
        for measures in [
            Measures::Distance { holes: [0, 1], more: -19.98 },
            Measures::Offset { of: 3, from: [0, 1] },
            Measures::Pinned { holes: [0, 2], bar: [11, 12] },
            Measures::Angle { lines: [[0, 1], [0, 2]], against: 1.5, zero: 1.0 },
            Measures::Place { hole: 2, axis: 0, frame: Some(10) },
            Measures::Place { hole: 2, axis: 1, frame: Some(10) },
            Measures::Place { hole: 2, axis: 1, frame: None },
        ] {
            let row = measures.row(&x, &nominal, common);
            for k in 0..x.len() {
                let slope = row.terms.iter().filter(|(at, _)| *at == k).map(|(_, v)| v).sum::<f64>();
                let step = 1e-4;
                let kept = x[k];
                x[k] = kept + step;
                let up = measures.row(&x, &nominal, common).computed;
                x[k] = kept - step;
                let down = measures.row(&x, &nominal, common).computed;
                x[k] = kept;
                let difference = (up - down) / (2.0 * step);
                assert!(
                    (difference - slope).abs() < 2e-7 * (1.0 + slope.abs()),
                    "{measures:?} {k}: {difference} {slope}"
                );
            }
        }
    }
}
