//! One adjustment of a job's readings under one prior: which holes, which unknowns, what came out.

use super::geometry::P;
use super::lattice::{Figure, Lattice, Rigid};
use super::matrix::{dot, orthonormal};
use super::model::Model;
use super::prior::HolePrior;
use super::riding::predicted;
use super::sampling::{self, Joint, inside};
use super::solve::{Fit, Outcome, System};
use crate::fault::Fault;
use crate::job::Job;
use crate::predict::HoleCovariance;
use crate::reading::{Known, Prior, Reading, Stated, holes_of};
use crate::top::{LaidHole, Layout};

/// A figure with its standard uncertainty, mm per m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Value.
    pub value: f64,
    /// Standard uncertainty.
    pub u: f64,
}

/// Why square is not told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoSquare {
    /// The holes adjusted lie on one line.
    OneLine,
    /// A direction that changes square is left free.
    Free,
    /// The adjustment did not settle.
    NotConverged,
}

/// An adjustment with what is needed to ask it anything.
pub(super) struct Adjusted {
    pub(super) prior: Prior,
    /// Holes adjusted are all of the grid, not those read alone.
    pub(super) over_all: bool,
    pub(super) model: Model,
    pub(super) fit: Fit,
    pub(super) lattice: Option<Lattice>,
    pub(super) square: Result<(Estimate, Figure), NoSquare>,
    pub(super) rigid: Rigid,
}

/// Shares of a vector that count as nil.
const NIL: f64 = 1e-6;

impl Adjusted {
    /// Adjusts these readings (number, reading).
    ///
    /// Errors: the prior is the prediction and there is none to be had, or it is no covariance.
    pub(super) fn of(
        job: &Job,
        layout: &Layout,
        prior: Prior,
        prediction: Option<&HoleCovariance>,
        readings: &[(usize, &Reading)],
    ) -> Result<Adjusted, Vec<Fault>> {
        Adjusted::with(job, layout, prior, prediction, readings, false)
    }

    /// The same with every instrument's own errors among the unknowns, to look for further readings.
    pub(super) fn searching(
        job: &Job,
        layout: &Layout,
        prior: Prior,
        prediction: Option<&HoleCovariance>,
        readings: &[(usize, &Reading)],
    ) -> Result<Adjusted, Vec<Fault>> {
        Adjusted::with(job, layout, prior, prediction, readings, true)
    }

    fn with(
        job: &Job,
        layout: &Layout,
        prior: Prior,
        prediction: Option<&HoleCovariance>,
        readings: &[(usize, &Reading)],
        search: bool,
    ) -> Result<Adjusted, Vec<Fault>> {
        let named: Vec<&str> = readings.iter().flat_map(|(_, r)| holes_of(&r.what)).collect();
        let is_read = |hole: &LaidHole| named.contains(&hole.name.as_str());
        let stated = match prior {
            Prior::Scatter => Some(Stated::SCATTER),
            Prior::Stated(stated) => Some(stated),
            Prior::Prediction | Prior::None => None,
        };
        let informed = match prior {
            Prior::None => false,
            Prior::Stated(stated) => stated.hole != Known::Unknown,
            Prior::Prediction | Prior::Scatter => true,
        };
        let holes: Vec<&LaidHole> =
            layout.holes.iter().filter(|h| is_read(h) || (informed && h.cell.is_some())).collect();
        let nominal: Vec<P> = holes.iter().map(|h| [h.centre.x, h.centre.y]).collect();
        let grid: Vec<bool> = holes.iter().map(|h| h.cell.is_some()).collect();
        let hole_prior = match (stated, prior) {
            (Some(stated), _) => HolePrior::stated(&stated, &nominal, &grid),
            (None, Prior::Prediction) => predicted(job, &holes, readings, prediction, search)?,
            (None, _) => HolePrior::none(2 * holes.len()),
        };
        let model = Model::new(&holes, hole_prior, &job.proof.instruments, readings, search);
        Ok(Adjusted { over_all: informed, ..Adjusted::fitted(prior, model, job.grid.pitch) })
    }

    /// Adjusts a model.
    pub(super) fn fitted(prior: Prior, model: Model, pitch: [f64; 2]) -> Adjusted {
        let fit = with_system(&model, |system| system.fit(&model.start));
        let nominal: Vec<P> = model.holes.iter().map(|h| h.nominal).collect();
        let cells: Vec<(usize, [f64; 2])> = (0..model.holes.len())
            .filter_map(|i| model.holes[i].cell.map(|c| (i, [f64::from(c.column), f64::from(c.row)])))
            .collect();
        let lattice = Lattice::of(&cells, pitch);
        let over: Vec<usize> =
            if cells.is_empty() { (0..nominal.len()).collect() } else { cells.iter().map(|(i, _)| *i).collect() };
        let rigid = Rigid::of(over, &nominal);
        let mut adjusted =
            Adjusted { prior, over_all: false, model, fit, lattice, square: Err(NoSquare::OneLine), rigid };
        adjusted.square = adjusted.find_square(&nominal);
        adjusted
    }

    fn find_square(&self, nominal: &[P]) -> Result<(Estimate, Figure), NoSquare> {
        let lattice = self.lattice.as_ref().ok_or(NoSquare::OneLine)?;
        if self.fit.outcome == Outcome::NotConverged {
            return Err(NoSquare::NotConverged);
        }
        if !self.is_fixed(&lattice.square(nominal)) {
            return Err(NoSquare::Free);
        }
        let square = lattice.square(&self.places());
        Ok((self.estimate(&square), square))
    }

    /// True if no free direction changes a figure, its gradient taken at nominal places.
    pub(super) fn is_fixed(&self, figure: &Figure) -> bool {
        let size = figure.gradient.iter().map(|(_, v)| v * v).sum::<f64>().sqrt();
        self.fit.free.iter().all(|z| {
            let along: f64 = figure.gradient.iter().map(|&(i, v)| v * z[i]).sum();
            along.abs() <= NIL * size * dot(z, z).sqrt()
        })
    }

    /// A figure with its uncertainty.
    pub(super) fn estimate(&self, figure: &Figure) -> Estimate {
        let variance = self.fit.covariance.between(&figure.gradient, &figure.gradient);
        Estimate { value: figure.value, u: variance.max(0.0).sqrt() }
    }

    /// Pitch deviation along x (0) or y (1); `None` where it is not fixed.
    pub(super) fn pitch(&self, which: usize) -> Option<Estimate> {
        let lattice = self.lattice.as_ref()?;
        let nominal: Vec<P> = self.model.holes.iter().map(|h| h.nominal).collect();
        (self.fit.outcome == Outcome::Converged && self.is_fixed(&lattice.pitch(&nominal, which)))
            .then(|| self.estimate(&lattice.pitch(&self.places(), which)))
    }

    /// Adjusted places of all holes.
    pub(super) fn places(&self) -> Vec<P> {
        (0..self.model.holes.len()).map(|h| self.model.place(h, &self.fit.x)).collect()
    }

    /// Chance that square lies within ± `limit`; drawn with `seed` where a bar did not go.
    pub(super) fn within(&self, limit: f64, seed: u64) -> Option<f64> {
        let (square, figure) = self.square.as_ref().ok()?;
        let gauges: Vec<_> = self.model.gauges.iter().map(|(gauge, _)| *gauge).collect();
        if gauges.iter().all(|gauge| gauge.went) {
            return Some(inside(square.value, square.u, limit));
        }
        let drawn = self.before_gauges(square, figure).and_then(|joint| sampling::drawn(&joint, &gauges, limit, seed));
        Some(drawn.unwrap_or_else(|| inside(square.value, square.u, limit)))
    }

    /// Square and the gauges' distances as all but the gauges have them; `None` where only a gauge
    /// fixes one of them.
    fn before_gauges(&self, square: &Estimate, figure: &Figure) -> Option<Joint> {
        let rows = &self.fit.rows[self.model.points.len()..];
        let n = rows.len() + 1;
        let terms = |i: usize| if i == 0 { &figure.gradient } else { &rows[i - 1].terms };
        let mut mean: Vec<f64> = std::iter::once(square.value).chain(rows.iter().map(|row| row.computed)).collect();
        let mut covariance = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..n {
                covariance[i * n + j] = self.fit.covariance.between(terms(i), terms(j));
            }
        }
        // Each gauge's factor taken out again, by the exact rank-one change.
        for (k, site) in self.fit.sites.iter().enumerate() {
            let at = k + 1;
            let own = covariance[at * n + at];
            let left = 1.0 - site.precision * own;
            if left <= NIL {
                return None;
            }
            let column: Vec<f64> = (0..n).map(|i| covariance[i * n + at]).collect();
            let off = (site.precision * mean[at] - site.weight) / left;
            for i in 0..n {
                mean[i] += column[i] * off;
                for j in 0..n {
                    covariance[i * n + j] += site.precision / left * column[i] * column[j];
                }
            }
        }
        Some(Joint { mean, covariance })
    }

    /// What the readings leave free, by name; the number of directions that have none; the holes that
    /// those move most.
    pub(super) fn free(&self) -> (Vec<String>, usize, Vec<String>) {
        let count = self.model.holes.len();
        let n = 2 * count;
        let hole_part = |z: &Vec<f64>| z[..n].to_vec();
        let mut rest = orthonormal(self.fit.free.iter().map(hole_part).collect());
        let nominal: Vec<P> = self.model.holes.iter().map(|h| h.nominal).collect();
        let middle = [0, 1].map(|k| nominal.iter().map(|p| p[k]).sum::<f64>() / count.max(1) as f64);
        let field = |of: &dyn Fn(f64, f64) -> P| -> Vec<f64> {
            nominal.iter().flat_map(|p| of(p[0] - middle[0], p[1] - middle[1])).collect()
        };
        let named: [(&str, Vec<f64>); 7] = [
            ("shift along x", field(&|_, _| [1.0, 0.0])),
            ("shift along y", field(&|_, _| [0.0, 1.0])),
            ("turn", field(&|x, y| [-y, x])),
            ("scale", field(&|x, y| [x, y])),
            ("square", field(&|_, y| [-y, 0.0])),
            ("pitch along x", field(&|x, _| [x, 0.0])),
            ("pitch along y", field(&|_, y| [0.0, y])),
        ];
        // Unknowns beside the holes that may move by themselves.
        let only_others = self.fit.free.len() - rest.len();
        let mut names = Vec::new();
        let mut taken: Vec<Vec<f64>> = Vec::new();
        for (name, field) in named {
            let size = dot(&field, &field).sqrt();
            let inside: f64 = rest.iter().map(|z| dot(z, &field) * dot(z, &field)).sum();
            let left = orthonormal(taken.iter().cloned().chain([field]).collect());
            if size > 0.0 && inside.sqrt() > (1.0 - NIL) * size && left.len() > taken.len() {
                names.push(name.to_owned());
                taken = left;
            }
        }
        // What is left of the free directions once those with names are taken out.
        let known = taken.len();
        let all = orthonormal(taken.into_iter().chain(rest.drain(..)).collect());
        let unnamed = &all[known.min(all.len())..];
        let mut moves: Vec<(f64, usize)> = (0..count)
            .map(|h| (unnamed.iter().map(|z| z[2 * h] * z[2 * h] + z[2 * h + 1] * z[2 * h + 1]).sum::<f64>(), h))
            .filter(|(m, _)| *m > NIL)
            .collect();
        moves.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        /// So many holes are named.
        const NAMED: usize = 3;
        let moves = moves.into_iter().take(NAMED).map(|(_, h)| self.model.holes[h].name.clone()).collect();
        if only_others > 0 {
            names.extend(self.free_others());
        }
        (names, unnamed.len(), moves)
    }

    /// Names of unknowns beside the holes that a free direction moves while no hole moves.
    fn free_others(&self) -> Vec<String> {
        let n = 2 * self.model.holes.len();
        let moved = |k: usize| {
            self.fit.free.iter().any(|z| {
                let holes = dot(&z[..n], &z[..n]).sqrt();
                z[n + k].abs() > NIL && holes < 1e-3 * dot(z, z).sqrt()
            })
        };
        (0..self.model.others.len()).filter(|&k| moved(k)).map(|k| self.model.others[k].clone()).collect()
    }
}

/// Hands the system of a model over.
pub(super) fn with_system<R>(model: &Model, then: impl FnOnce(&System<'_>) -> R) -> R {
    let rows = |x: &[f64]| model.rows(x);
    let system = System {
        rows: &rows,
        read: model.points.iter().map(|p| p.value).collect(),
        noise: model.noise.clone(),
        gauges: model.gauges.iter().map(|(gauge, _)| *gauge).collect(),
        prior: model.prior.clone(),
        hole_unknowns: 2 * model.holes.len(),
    };
    then(&system)
}
