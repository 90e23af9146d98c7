//! What an adjustment says of its readings: redundancy, standardised residuals, smallest blunders,
//! suspects, and which of them cannot be told apart.
//!
//! Definitions: docs/design/proof.md 5. With b = AᵀR⁻¹eᵢ of reading i:
//! (R⁻¹Q_vvR⁻¹)ᵢᵢ = R⁻¹ᵢᵢ − bᵀQb; w is (R⁻¹v)ᵢ over its root, the smallest blunder δ over it. A hole as a
//! suspect has a shift of its own beyond the prior; by the same algebra its score is AᵀR⁻¹v at its two
//! unknowns, with covariance G − GQG there, G = AᵀR⁻¹A. Nothing is scaled by the residuals.

use super::chance::{beyond, chi_square_beyond, normal_quantile, two_sided};
use super::matrix::dot;
use super::solve::{Fit, System, Terms};

/// Level of a test of one reading, two-sided.
const LEVEL: f64 = 0.001;
/// Above so many readings the level of them all together is held instead.
const MANY_READINGS: usize = 50;
/// That level.
const LEVEL_OF_ALL: f64 = 0.05;
/// Power at which a blunder counts as found.
pub(super) const POWER: f64 = 0.80;
/// Below this redundancy a reading is not controlled by others, and there is no test.
const LEAST_REDUNDANCY: f64 = 1e-6;
/// Squared correlation above which two tests see the same thing.
const ALIKE: f64 = 0.99;

/// What a hole's statistic may have more than a reading's while both tell the same: what one degree of
/// freedom brings by accident, 5 %.
const MORE: f64 = 3.841;

/// Limits of the tests for so many readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Level of one test.
    pub level: f64,
    /// |w| at which a reading is suspect.
    pub standardised: f64,
    /// Smallest blunder in units of u/√r.
    pub blunder: f64,
}

impl Limits {
    /// For this number of point readings.
    pub fn of(readings: usize) -> Limits {
        let level = if readings > MANY_READINGS { LEVEL_OF_ALL / readings as f64 } else { LEVEL };
        let standardised = two_sided(level);
        Limits { level, standardised, blunder: standardised + normal_quantile(POWER) }
    }
}

/// What is said of one point reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct OfReading {
    pub(super) u: f64,
    pub(super) u_adjusted: f64,
    pub(super) redundancy: f64,
    /// w; `None` where no other reading controls it.
    pub(super) standardised: Option<f64>,
    pub(super) smallest_blunder: Option<f64>,
    /// What that blunder would do to the figure whose gradient was given.
    pub(super) on_figure: Option<f64>,
    /// The blunder that would explain it, by the reading's sign.
    pub(super) blunder: Option<f64>,
}

/// A hole that may lie elsewhere than the prior lets it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OfHole {
    pub(super) hole: usize,
    pub(super) statistic: f64,
    pub(super) freedom: usize,
    pub(super) p: f64,
    /// The shift that would explain it, mm; along what is seen of it.
    pub(super) shift: [f64; 2],
}

/// b = AᵀR⁻¹eᵢ of every point reading.
fn pulls(system: &System<'_>, fit: &Fit) -> Vec<Terms> {
    let mut pulls: Vec<Terms> = vec![Vec::new(); system.read.len()];
    system.weights(|i, j, weight| {
        for &(at, a) in &fit.rows[j].terms {
            match pulls[i].iter_mut().find(|(k, _)| *k == at) {
                Some((_, sum)) => *sum += weight * a,
                None => pulls[i].push((at, weight * a)),
            }
        }
    });
    pulls
}

/// All point readings; `gradient` of the figure that blunders are told on.
pub(super) fn of_readings(
    system: &System<'_>,
    fit: &Fit,
    limits: &Limits,
    gradient: &[(usize, f64)],
) -> Vec<OfReading> {
    let pulls = pulls(system, fit);
    let pushes = system.pushes(&fit.rows);
    let figure = fit.covariance.times_sparse(gradient);
    let mut out = Vec::with_capacity(pulls.len());
    let mut start = 0;
    for block in &system.noise {
        for k in 0..block.len() {
            let i = start + k;
            let row = &fit.rows[i].terms;
            let seen = fit.covariance.between(&pulls[i], &pulls[i]);
            let control = block.weight(k, k) - seen;
            let redundancy = 1.0 - fit.covariance.between(row, &pulls[i]);
            let tested = redundancy >= LEAST_REDUNDANCY && control > 0.0;
            let root = control.max(0.0).sqrt();
            let smallest = limits.blunder / root;
            let pull: f64 = pulls[i].iter().map(|&(at, b)| figure[at] * b).sum();
            out.push(OfReading {
                u: block.covariance(k, k).sqrt(),
                u_adjusted: fit.covariance.between(row, row).max(0.0).sqrt(),
                redundancy,
                standardised: tested.then(|| pushes[i] / root),
                smallest_blunder: tested.then_some(smallest),
                on_figure: tested.then(|| (pull * smallest).abs()),
                blunder: tested.then(|| pushes[i] / control),
            });
        }
        start += block.len();
    }
    out
}

/// A suspect: one reading or one hole.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Suspect {
    /// Index of the point reading.
    Reading { at: usize, standardised: f64, p: f64, blunder: f64 },
    /// A hole.
    Hole(OfHole),
}

impl Suspect {
    pub(super) fn p(&self) -> f64 {
        match self {
            Suspect::Reading { p, .. } => *p,
            Suspect::Hole(hole) => hole.p,
        }
    }
}

/// Tests of readings and holes on one adjustment.
pub(super) struct Tests<'a> {
    system: &'a System<'a>,
    fit: &'a Fit,
    pulls: Vec<Terms>,
    /// Of each reading: its block and where that begins.
    blocks: Vec<(usize, usize)>,
}

/// Score of a suspect: what it weighs among the readings, (reading, factor).
type Score = Vec<(usize, f64)>;

impl<'a> Tests<'a> {
    pub(super) fn new(system: &'a System<'a>, fit: &'a Fit) -> Tests<'a> {
        let mut blocks = Vec::with_capacity(system.read.len());
        for (at, block) in system.noise.iter().enumerate() {
            let start = blocks.len();
            blocks.extend(std::iter::repeat_n((at, start), block.len()));
        }
        Tests { system, fit, pulls: pulls(system, fit), blocks }
    }

    /// Suspects, the likeliest first, each with the places in the list of those that it cannot be told
    /// from. Holes are tested where `holes`.
    pub(super) fn suspects(&self, of: &[OfReading], limits: &Limits, holes: bool) -> Vec<(Suspect, Vec<usize>)> {
        let mut found: Vec<Suspect> = Vec::new();
        for (at, one) in of.iter().enumerate() {
            if let (Some(w), Some(blunder)) = (one.standardised, one.blunder)
                && w.abs() > limits.standardised
            {
                found.push(Suspect::Reading { at, standardised: w, p: beyond(w), blunder });
            }
        }
        if holes {
            let holes = (0..self.system.hole_unknowns / 2).filter_map(|hole| self.hole(hole));
            found.extend(holes.filter(|hole| hole.p < limits.level).map(Suspect::Hole));
        }
        found.sort_by(|a, b| a.p().total_cmp(&b.p()));
        let alike = |i: usize| {
            let others = (0..found.len()).filter(|&j| j != i && self.same(&found[i], &found[j]));
            others.collect::<Vec<usize>>()
        };
        let alike: Vec<Vec<usize>> = (0..found.len()).map(alike).collect();
        found.into_iter().zip(alike).collect()
    }

    /// The test of one hole; `None` where no reading sees it, or none controls it.
    pub(super) fn hole(&self, hole: usize) -> Option<OfHole> {
        let scores = self.scores_of_hole(hole);
        let [a, b] = scores.each_ref().map(|score| score.iter().map(|&(j, f)| f * self.fit_residual(j)).sum::<f64>());
        let m = [
            self.between(&scores[0], &scores[0]),
            self.between(&scores[0], &scores[1]),
            self.between(&scores[1], &scores[1]),
        ];
        // Against what the readings would say of it if all else were known.
        let seen: f64 = scores.iter().enumerate().map(|(axis, s)| self.information(2 * hole + axis, s)).sum();
        if seen <= 0.0 {
            return None;
        }
        let (half, d) = (0.5 * (m[0] + m[2]), 0.5 * (m[0] - m[2]));
        let root = (d * d + m[1] * m[1]).sqrt();
        let turn = 0.5 * crate::math::atan2(m[1], d);
        let (sin, cos) = crate::math::sin_cos(turn);
        let (mut statistic, mut freedom, mut shift) = (0.0, 0, [0.0; 2]);
        for (value, axis) in [(half + root, [cos, sin]), (half - root, [-sin, cos])] {
            if value > LEAST_REDUNDANCY * seen {
                let score = a * axis[0] + b * axis[1];
                statistic += score * score / value;
                freedom += 1;
                shift = [0, 1].map(|k| shift[k] + axis[k] * score / value);
            }
        }
        if freedom == 0 {
            return None;
        }
        Some(OfHole { hole, statistic, freedom, p: chi_square_beyond(statistic, freedom), shift })
    }

    /// How well a shift of a hole is seen: information in the direction seen worst, 1/mm², and the
    /// number of directions that are seen at all.
    pub(super) fn seen(&self, hole: usize) -> Option<(f64, usize)> {
        let scores = self.scores_of_hole(hole);
        let [a, b, c] = [[0, 0], [0, 1], [1, 1]].map(|[i, j]| self.between(&scores[i], &scores[j]));
        let full: f64 = scores.iter().enumerate().map(|(axis, s)| self.information(2 * hole + axis, s)).sum();
        let (half, d) = (0.5 * (a + c), 0.5 * (a - c));
        let root = (d * d + b * b).sqrt();
        let told: Vec<f64> = [half + root, half - root].into_iter().filter(|v| *v > LEAST_REDUNDANCY * full).collect();
        told.last().map(|worst| (*worst, told.len()))
    }

    fn fit_residual(&self, reading: usize) -> f64 {
        self.fit.residuals[reading]
    }

    /// AᵀR⁻¹ at the two unknowns of a hole, as factors of residuals.
    fn scores_of_hole(&self, hole: usize) -> [Score; 2] {
        let mut scores: [Score; 2] = [Vec::new(), Vec::new()];
        for (reading, pull) in self.pulls.iter().enumerate() {
            for &(at, b) in pull {
                if at / 2 == hole && at < self.system.hole_unknowns {
                    scores[at % 2].push((reading, b));
                }
            }
        }
        scores
    }

    /// Aᵀ R⁻¹ A at one unknown.
    fn information(&self, unknown: usize, score: &Score) -> f64 {
        let own = |j: usize| self.fit.rows[j].terms.iter().filter(|(k, _)| *k == unknown).map(|(_, a)| a).sum::<f64>();
        score.iter().map(|&(j, f)| f * own(j)).sum()
    }

    /// sᵀ Q_vv t of two scores: s and t weigh residuals.
    fn between(&self, s: &Score, t: &Score) -> f64 {
        let noise: f64 = s.iter().map(|&(i, a)| t.iter().map(|&(j, b)| a * b * self.noise(i, j)).sum::<f64>()).sum();
        let terms = |score: &Score| {
            let mut all = vec![0.0; self.fit.x.len()];
            for &(j, f) in score {
                for &(at, a) in &self.fit.rows[j].terms {
                    all[at] += f * a;
                }
            }
            all.into_iter().enumerate().filter(|(_, v)| *v != 0.0).collect::<Terms>()
        };
        noise - self.fit.covariance.between(&terms(s), &terms(t))
    }

    fn noise(&self, i: usize, j: usize) -> f64 {
        let ((a, start), (b, _)) = (self.blocks[i], self.blocks[j]);
        if a == b { self.system.noise[a].covariance(i - start, j - start) } else { 0.0 }
    }

    /// R⁻¹eᵢ as factors of residuals.
    fn score_of_reading(&self, reading: usize) -> Score {
        let (block, start) = self.blocks[reading];
        let block = &self.system.noise[block];
        (0..block.len()).map(|j| (start + j, block.weight(reading - start, j))).filter(|(_, w)| *w != 0.0).collect()
    }

    /// True if two suspects cannot be told apart: their tests see the same thing.
    fn same(&self, a: &Suspect, b: &Suspect) -> bool {
        let directions = |s: &Suspect| -> Vec<Score> {
            match s {
                Suspect::Reading { at, .. } => vec![self.score_of_reading(*at)],
                Suspect::Hole(hole) => self.scores_of_hole(hole.hole).to_vec(),
            }
        };
        let (mut left, mut right) = (directions(a), directions(b));
        let told = |s: &Suspect| match s {
            Suspect::Reading { standardised, .. } => (1, standardised * standardised),
            Suspect::Hole(h) => (h.freedom, h.statistic),
        };
        let ((few, little), (many, much)) = if told(a).0 <= told(b).0 {
            (told(a), told(b))
        } else {
            std::mem::swap(&mut left, &mut right);
            (told(b), told(a))
        };
        // A hole that is seen both ways may still be out along one reading alone.
        if many > few && much - little > MORE {
            return false;
        }
        let explained = self.explained(&mut left, &mut right);
        explained.len() == few && explained.iter().all(|share| *share > ALIKE)
    }

    /// Squared canonical correlations of two sets of scores, those that carry anything.
    fn explained(&self, left: &mut Vec<Score>, right: &mut Vec<Score>) -> Vec<f64> {
        self.whiten(left);
        self.whiten(right);
        let c: Vec<Vec<f64>> = left.iter().map(|l| right.iter().map(|r| self.between(l, r)).collect()).collect();
        match (left.len(), right.len()) {
            (1, _) => vec![dot(&c[0], &c[0])],
            (2, 1) => vec![c[0][0] * c[0][0] + c[1][0] * c[1][0]],
            (2, 2) => {
                let m = [dot(&c[0], &c[0]), dot(&c[0], &c[1]), dot(&c[1], &c[1])];
                let (half, d) = (0.5 * (m[0] + m[2]), 0.5 * (m[0] - m[2]));
                let root = (d * d + m[1] * m[1]).sqrt();
                vec![half + root, half - root]
            }
            _ => Vec::new(),
        }
    }

    /// Makes scores of unit variance and uncorrelated; those without variance are left out.
    fn whiten(&self, scores: &mut Vec<Score>) {
        let full: Vec<f64> = scores.iter().map(|s| s.iter().map(|&(i, a)| a * a * self.noise(i, i)).sum()).collect();
        let mut out: Vec<Score> = Vec::new();
        for (score, full) in scores.iter().zip(full) {
            let mut rest = score.clone();
            for done in &out {
                let share = self.between(&rest, done);
                for &(i, a) in done {
                    match rest.iter_mut().find(|(j, _)| *j == i) {
                        Some((_, sum)) => *sum -= share * a,
                        None => rest.push((i, -share * a)),
                    }
                }
            }
            let variance = self.between(&rest, &rest);
            if variance > LEAST_REDUNDANCY * full {
                let root = variance.sqrt();
                out.push(rest.into_iter().map(|(i, a)| (i, a / root)).collect());
            }
        }
        *scores = out;
    }
}
