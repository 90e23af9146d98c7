//! Least squares, said honestly: Gauss–Newton on readings with a stated noise and a prior, the
//! outcome as a value, what is left free told apart from what is known.
//!
//! Unknowns x have a prior of mean nil and precision Λ (nil where nothing is known). Readings are
//! y = f(x) + noise of covariance R, block by block. Minimised is vᵀR⁻¹v + xᵀΛx, v = y − f(x).
//! Where N = AᵀR⁻¹A + Λ at the start has free directions Z, inner constraints Z_hᵀ x_h = 0 over the
//! hole unknowns hold the datum; estimable quantities do not hang on it. The uncertainty is that of
//! the stated noise, never scaled by residuals. Assumed: noise independent between blocks and small
//! against the curvature of f; a grid's is, by three orders. Method: any textbook of adjustment.

use super::gauge::{Gauge, Matched, Site, matched};
use super::matrix::{Factor, Symmetric, dot, orthonormal};

/// Entries of a row that are not nil.
pub(super) type Terms = Vec<(usize, f64)>;

/// A reading's value at some place, and its derivatives.
#[derive(Clone, Debug)]
pub(super) struct Row {
    pub(super) computed: f64,
    pub(super) terms: Terms,
}

/// Readings that share noise.
#[derive(Clone, Debug)]
pub(super) enum Noise {
    /// One reading, its variance.
    One(f64),
    /// Several, their covariance and its inverse.
    Several(Symmetric, Symmetric),
}

impl Noise {
    pub(super) fn len(&self) -> usize {
        match self {
            Noise::One(_) => 1,
            Noise::Several(covariance, _) => covariance.n(),
        }
    }

    /// Covariance of two readings of the block.
    pub(super) fn covariance(&self, i: usize, j: usize) -> f64 {
        match self {
            Noise::One(variance) => *variance,
            Noise::Several(covariance, _) => covariance.at(i, j),
        }
    }

    /// Entry of the block's inverse.
    pub(super) fn weight(&self, i: usize, j: usize) -> f64 {
        match self {
            Noise::One(variance) => 1.0 / variance,
            Noise::Several(_, inverse) => inverse.at(i, j),
        }
    }
}

/// What is to be adjusted.
pub(super) struct System<'a> {
    /// Values and derivatives of the point readings, then of the gauges' distances.
    pub(super) rows: &'a dyn Fn(&[f64]) -> Vec<Row>,
    /// What was read, point readings only.
    pub(super) read: Vec<f64>,
    /// Noise of the point readings, block after block.
    pub(super) noise: Vec<Noise>,
    /// Gauges.
    pub(super) gauges: Vec<Gauge>,
    /// Prior precision of all unknowns.
    pub(super) prior: Symmetric,
    /// Unknowns before this one are places of holes; inner constraints are over them.
    pub(super) hole_unknowns: usize,
}

/// How the adjustment ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It settled and nothing is free that should not be.
    Converged,
    /// It did not settle: the readings are far from any top like the one laid out.
    NotConverged,
}

/// An adjustment.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub(super) outcome: Outcome,
    pub(super) iterations: usize,
    pub(super) x: Vec<f64>,
    /// Rows at the adjusted places.
    pub(super) rows: Vec<Row>,
    /// Residuals of the point readings: reading less adjusted.
    pub(super) residuals: Vec<f64>,
    /// Covariance of the unknowns, about the datum held.
    pub(super) covariance: Symmetric,
    /// Directions left free at the start, orthonormal.
    pub(super) free: Vec<Vec<f64>>,
    /// What gauges tell; their chances.
    pub(super) sites: Vec<Site>,
    pub(super) chances: Vec<f64>,
}

/// Steps at most; a grid takes three.
const MOST_ITERATIONS: usize = 60;
/// A step has settled when it is this small against the uncertainty: the square of the step's length
/// measured in standard uncertainties. The one after it is smaller by the same factor again.
const SETTLED: f64 = 1e-12;
/// An earlier factor serves while the square of the step falls by this factor or more each time.
const FAST: f64 = 1e-4;
/// Steps are halved while they lead uphill, at most so often.
const MOST_HALVINGS: usize = 30;
/// A pivot that lost this share of its diagonal is noise.
const LEAST_PIVOT: f64 = 1e-13;

impl System<'_> {
    /// Adjusts, from `start`.
    pub(super) fn fit(&self, start: &[f64]) -> Fit {
        let mut x = start.to_vec();
        let mut rows = (self.rows)(&x);
        let mut sites: Vec<Site> = self.gauges.iter().map(Gauge::alone).collect();
        let normal = self.normal(&rows, &sites);
        // The factor at the start serves as long as steps shrink fast with it.
        let mut kept = normal.factor_if_fixed();
        let free = if kept.is_some() { Vec::new() } else { normal.null_space() };
        let holds = self.constraints(&free);
        let mut chances = vec![f64::NAN; self.gauges.len()];
        let mut outcome = Outcome::NotConverged;
        let mut iterations = 0;
        let mut last = f64::INFINITY;
        while iterations < MOST_ITERATIONS {
            iterations += 1;
            let Some((step, decrement, factor)) = self.step(&rows, &x, &sites, &holds, kept.take(), last) else {
                break;
            };
            kept = factor;
            let before = self.objective(&rows, &x, &sites);
            let mut share = 1.0;
            let mut next;
            let mut next_rows;
            let mut halvings = 0;
            loop {
                next = x.iter().zip(&step).map(|(x, s)| x + share * s).collect::<Vec<f64>>();
                next_rows = (self.rows)(&next);
                let after = self.objective(&next_rows, &next, &sites);
                // near the end the objective is flat to rounding, and any step will do
                if after <= before + 1e-9 * before.abs() + 1e-9 || halvings == MOST_HALVINGS {
                    break;
                }
                share *= 0.5;
                halvings += 1;
            }
            (x, rows) = (next, next_rows);
            let mut moved = 0.0;
            if !self.gauges.is_empty() {
                let Some((factor, held)) = self.factored(&rows, &sites, &holds) else { break };
                let matched = self.matched(&rows, &covariance(&factor, &held), &sites);
                moved = change(&sites, &matched.sites);
                chances = matched.chances;
                if matched.settled {
                    sites = matched.sites;
                } else {
                    moved = f64::INFINITY;
                }
            }
            // Rounding of long distances may keep the step from falling below the limit; it then no
            // longer falls at all.
            let stuck = decrement >= 0.25 * last && decrement < 1e-6;
            if (decrement < SETTLED || stuck) && halvings == 0 && moved < 1e-9 {
                outcome = Outcome::Converged;
                break;
            }
            last = decrement;
        }
        let covariance = match self.factored(&rows, &sites, &holds) {
            Some((factor, held)) => covariance(&factor, &held),
            None => {
                outcome = Outcome::NotConverged;
                Symmetric::zeros(x.len())
            }
        };
        let residuals = self.read.iter().zip(&rows).map(|(read, row)| read - row.computed).collect();
        Fit { outcome, iterations, x, rows, residuals, covariance, free, sites, chances }
    }

    /// The next step, the square of its length in standard uncertainties, and the factor that may serve
    /// once more; with `kept`, an earlier factor, unless steps no longer shrink fast with it. `None`
    /// where there is no factor.
    fn step(
        &self,
        rows: &[Row],
        x: &[f64],
        sites: &[Site],
        holds: &[Vec<f64>],
        kept: Option<Factor>,
        last: f64,
    ) -> Option<(Vec<f64>, f64, Option<Factor>)> {
        if let (Some(factor), true) = (kept, holds.is_empty() && self.gauges.is_empty()) {
            let slope = self.slope(rows, x, sites, &[]);
            let step = factor.solve(&slope);
            let decrement = dot(&step, &slope).abs();
            if decrement.is_finite() && (last.is_infinite() || decrement < FAST * last) {
                return Some((step, decrement, Some(factor)));
            }
        }
        let (factor, held) = self.factored(rows, sites, holds)?;
        let slope = self.slope(rows, x, sites, &held);
        let step = factor.solve(&slope);
        let decrement = dot(&step, &slope).abs();
        decrement.is_finite().then_some((step, decrement, holds.is_empty().then_some(factor)))
    }

    /// Visits the weights of all pairs of readings that share noise.
    pub(super) fn weights(&self, mut visit: impl FnMut(usize, usize, f64)) {
        let mut start = 0;
        for block in &self.noise {
            for i in 0..block.len() {
                for j in 0..block.len() {
                    visit(start + i, start + j, block.weight(i, j));
                }
            }
            start += block.len();
        }
    }

    /// N = AᵀR⁻¹A + Λ + gauges.
    fn normal(&self, rows: &[Row], sites: &[Site]) -> Symmetric {
        let mut normal = self.prior.clone();
        self.weights(|i, j, weight| {
            if i == j {
                normal.add_square(&rows[i].terms, weight);
            } else if i < j && weight != 0.0 {
                for &(a, x) in &rows[i].terms {
                    for &(b, y) in &rows[j].terms {
                        normal.add(a, b, if a == b { 2.0 * weight * x * y } else { weight * x * y });
                    }
                }
            }
        });
        for (row, site) in rows[self.read.len()..].iter().zip(sites) {
            normal.add_square(&row.terms, site.precision);
        }
        normal
    }

    /// The factor of N with the datum held, and the constraints as they were weighted in.
    fn factored(&self, rows: &[Row], sites: &[Site], holds: &[Vec<f64>]) -> Option<(Factor, Vec<Vec<f64>>)> {
        let mut normal = self.normal(rows, sites);
        let n = normal.n();
        let mean = (0..n).map(|i| normal.at(i, i)).sum::<f64>() / n.max(1) as f64;
        let held: Vec<Vec<f64>> = holds.iter().map(|c| c.iter().map(|v| v * mean.sqrt()).collect()).collect();
        for c in &held {
            normal.add_outer(c, 1.0);
        }
        Some((normal.factor(LEAST_PIVOT)?, held))
    }

    /// −½ of the objective's slope: AᵀR⁻¹v − Λx, gauges and constraints counted in.
    fn slope(&self, rows: &[Row], x: &[f64], sites: &[Site], held: &[Vec<f64>]) -> Vec<f64> {
        let mut slope: Vec<f64> = self.prior.times(x).into_iter().map(|v| -v).collect();
        for (k, push) in self.pushes(rows).into_iter().enumerate() {
            for &(i, a) in &rows[k].terms {
                slope[i] += a * push;
            }
        }
        for (row, site) in rows[self.read.len()..].iter().zip(sites) {
            let push = site.weight - site.precision * row.computed;
            for &(i, a) in &row.terms {
                slope[i] += a * push;
            }
        }
        for c in held {
            let off = dot(c, x);
            for (s, c) in slope.iter_mut().zip(c) {
                *s -= off * c;
            }
        }
        slope
    }

    /// R⁻¹v of the point readings.
    pub(super) fn pushes(&self, rows: &[Row]) -> Vec<f64> {
        let v: Vec<f64> = self.read.iter().zip(rows).map(|(read, row)| read - row.computed).collect();
        let mut pushes = vec![0.0; v.len()];
        self.weights(|i, j, weight| pushes[i] += weight * v[j]);
        pushes
    }

    /// vᵀR⁻¹v + xᵀΛx of the point readings.
    pub(super) fn misfit(&self, rows: &[Row], x: &[f64]) -> f64 {
        let v = self.read.iter().zip(rows).map(|(read, row)| read - row.computed);
        v.zip(self.pushes(rows)).map(|(v, push)| v * push).sum::<f64>() + dot(&self.prior.times(x), x)
    }

    fn objective(&self, rows: &[Row], x: &[f64], sites: &[Site]) -> f64 {
        let gauges = rows[self.read.len()..]
            .iter()
            .zip(sites)
            .map(|(row, site)| site.precision * row.computed * row.computed - 2.0 * site.weight * row.computed);
        self.misfit(rows, x) + gauges.sum::<f64>()
    }

    fn matched(&self, rows: &[Row], covariance: &Symmetric, sites: &[Site]) -> Matched {
        let rows = &rows[self.read.len()..];
        let between = rows.iter().flat_map(|a| rows.iter().map(|b| covariance.between(&a.terms, &b.terms))).collect();
        matched(&self.gauges, rows.iter().map(|row| row.computed).collect(), between, sites.to_vec())
    }

    /// What holds the datum: the hole part of the free directions, or the whole of them where that
    /// part does not tell them apart.
    fn constraints(&self, free: &[Vec<f64>]) -> Vec<Vec<f64>> {
        let holes =
            free.iter().map(|z| z.iter().enumerate().map(|(i, v)| if i < self.hole_unknowns { *v } else { 0.0 }));
        let held = orthonormal(holes.map(Iterator::collect).collect());
        if held.len() == free.len() { held } else { free.to_vec() }
    }
}

/// Covariance with the datum held: N'⁻¹ less what the constraints put in, which are no knowledge.
fn covariance(factor: &Factor, held: &[Vec<f64>]) -> Symmetric {
    let mut covariance = factor.inverse();
    for c in held {
        covariance.add_outer(&factor.solve(c), -1.0);
    }
    covariance
}

/// Greatest change of a site, relative.
fn change(before: &[Site], after: &[Site]) -> f64 {
    let relative = |a: f64, b: f64| (a - b).abs() / (a.abs().max(b.abs()) + 1e-300);
    let changes =
        before.iter().zip(after).map(|(a, b)| relative(a.precision, b.precision).max(relative(a.weight, b.weight)));
    changes.fold(0.0, f64::max)
}
