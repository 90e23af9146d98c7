//! First-order figures: the tape of a model asked for square, its budget, lines, every hole's
//! place, and for the planner what checks meet and what does not seat (docs/design/prediction.md 3, 5).
//!
//! [`FirstOrder`] is in mm and mm per m, as printed; [`Quick`] in rad, as computed with.

use super::linear::{Linear, Misfit, Rest};
use super::lines::{Line, LineAsk, resolve};
use super::model::{Hold, Model, Step};
use super::simulate::{PER_METRE, line_factors};
use super::square::{Lattice, RigidFit};
use super::tape::{Node, Scratch, Sensitivity};
use super::{CheckMoments, Group, Quick};
use crate::fault::Fault;
use crate::math;

/// A result as a combination of nodes.
pub(super) fn of_dogs(linear: &Linear, factors: impl Iterator<Item = (usize, [f64; 2])>) -> Vec<(Node, f64)> {
    factors.filter_map(|(hole, f)| linear.dogs[hole].map(|[x, y]| [(x, f[0]), (y, f[1])])).flatten().collect()
}

/// Share of each group in a result's variance, greatest first; groups without one are left out.
fn budget_of(linear: &Linear, result: &Sensitivity) -> Vec<(Group, f64)> {
    let variance = linear.tape.variance(result);
    if variance <= 0.0 {
        return Vec::new();
    }
    let by_group = linear.tape.variance_by_group(result, &Group::ALL);
    let mut budget: Vec<(Group, f64)> =
        Group::ALL.into_iter().zip(by_group.iter().map(|part| part / variance)).collect();
    // Rounding leaves specks of what cancels, such as the shift of the first set-up.
    budget.retain(|(_, share)| *share > 1e-12);
    budget.sort_by(|a, b| b.1.total_cmp(&a.1));
    budget
}

/// Share of boards whose misfit is beyond what clearances and give take up; misfit and limit taken
/// as normal.
fn share_beyond(misfit: &Misfit, variance: f64) -> f64 {
    let spread = (2.0 * (variance + misfit.limit_variance)).sqrt();
    if spread > 0.0 { math::erfc((misfit.limit + misfit.give) / spread) } else { 0.0 }
}

/// First-order figures of a plan, all of them.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstOrder {
    /// Standard deviation of square, mm per m; `None` where the finished holes lie on one line.
    pub square_sd: Option<f64>,
    /// Standard deviation of the pitch deviation along x and along y, mm per m; `None` likewise.
    pub pitch_sd: [Option<f64>; 2],
    /// Root mean over the finished grid holes of the variance of their place, and of the square of
    /// their shift by a known climate, mm; `None` without any.
    pub position_rms: Option<f64>,
    /// Standard deviation of each line asked for, mm per m.
    pub lines_sd: Vec<f64>,
    /// Share of each group in the variance of square, greatest first; groups without a share are
    /// left out.
    pub budget: Vec<(Group, f64)>,
    /// Every opened hole after the best shift and turn of the grid's.
    pub holes: Vec<HoleSpread>,
}

/// Where a hole may lie, to first order, after the best shift and turn of the finished grid holes.
#[derive(Clone, Debug, PartialEq)]
pub struct HoleSpread {
    /// Its name.
    pub name: String,
    /// Standard deviation along x, mm.
    pub sd_x_mm: f64,
    /// Standard deviation along y, mm.
    pub sd_y_mm: f64,
    /// Covariance of x and y, mm².
    pub cov_xy_mm2: f64,
}

impl Model {
    /// All first-order figures, for these lines (none: the first row against the middle column).
    ///
    /// Errors: a line on a hole that is not opened.
    pub fn first_order(&self, lines: &[LineAsk]) -> Result<FirstOrder, Vec<Fault>> {
        Ok(self.first_order_of(&resolve(self, lines)?))
    }

    /// Standard deviation of square, mm per m, and the share of each group in its variance: one sweep
    /// back through the plan. `None` where square is not defined.
    pub fn square_and_budget(&self) -> Option<(f64, Vec<(Group, f64)>)> {
        let linear = Linear::of(self);
        let square = linear.tape.sensitivity(&self.square_result(&linear, &Lattice::of(self)?));
        Some((linear.tape.variance(&square).sqrt() * PER_METRE, budget_of(&linear, &square)))
    }

    pub(super) fn first_order_of(&self, lines: &[Line]) -> FirstOrder {
        let linear = Linear::of(self);
        let tape = &linear.tape;
        let sd = |result: &[(Node, f64)]| tape.variance(&tape.sensitivity(result)).sqrt() * PER_METRE;
        let lattice = Lattice::of(self);
        let square = lattice.as_ref().map(|l| tape.sensitivity(&self.square_result(&linear, l)));
        let pitch_sd = [0, 1].map(|w| lattice.as_ref().map(|l| sd(&of_dogs(&linear, l.pitch_factors(w)))));
        let lines_sd = lines.iter().map(|line| sd(&self.line_result(&linear, line))).collect();
        let fit = RigidFit::of(self);
        let holes = fit.as_ref().map_or_else(Vec::new, |fit| self.hole_spreads(&linear, fit));
        let position_rms = fit.as_ref().map(|fit| {
            let of_grid = |h: &&(usize, HoleSpread)| self.holes[h.0].row.is_some() && self.holes[h.0].column.is_some();
            let trace: f64 =
                holes.iter().filter(of_grid).map(|(_, h)| h.sd_x_mm * h.sd_x_mm + h.sd_y_mm * h.sd_y_mm).sum();
            let shifted = self.climate.as_ref().map_or(0.0, |c| fit.mean_square_after(c.known));
            (trace / fit.holes.len() as f64 + shifted).sqrt()
        });
        FirstOrder {
            square_sd: square.as_ref().map(|s| tape.variance(s).sqrt() * PER_METRE),
            pitch_sd,
            position_rms,
            lines_sd,
            budget: square.map_or_else(Vec::new, |s| budget_of(&linear, &s)),
            holes: holes.into_iter().map(|(_, h)| h).collect(),
        }
    }

    /// Standard deviation of square to first order, mm per m; `None` where it is not defined.
    pub fn square_sd_mm_per_m(&self) -> Option<f64> {
        self.square_sd_at_rest(Rest::Afloat)
    }

    /// Standard deviation of square to first order, mm per m, if every bar of the fill were pressed
    /// home on the pin at one end, always the same, instead of floating between its two: of the two
    /// ends the worse. `None` where square is not defined or no bar of the fill stands on two pins.
    ///
    /// A row then repeats one frame column's lean instead of taking the mean of the two.
    pub fn square_sd_pressed_home_mm_per_m(&self) -> Option<f64> {
        let floats = |s: &&Step| s.fills && !s.check && matches!(s.hold, Hold::TwoPins(_));
        self.steps.iter().find(floats)?;
        let ends = [0, 1].map(|end| self.square_sd_at_rest(Rest::Home(end)));
        ends.into_iter().flatten().max_by(f64::total_cmp)
    }

    /// Places (x and y of every pilot and dog hole) and sources of the model: the sides of the table
    /// that a dense propagation would fill, and this one never does.
    pub fn dense_size(&self) -> (usize, usize) {
        let linear = Linear::of(self);
        let places = linear.pilots.iter().chain(&linear.dogs).flatten().count();
        (2 * places, linear.tape.sources())
    }

    fn square_sd_at_rest(&self, rest: Rest) -> Option<f64> {
        let linear = Linear::at_rest(self, rest);
        let square = self.square_result(&linear, &Lattice::of(self)?);
        Some(linear.tape.variance(&linear.tape.sensitivity(&square)).sqrt() * PER_METRE)
    }

    /// Square on the day of use. Strains that differ along x and y turn a grid that was laid a little
    /// askew on the sheet: its axes turn towards one another by 2 (x − y) times how far askew it lies,
    /// which is in the factors of the strained lattice.
    fn square_result(&self, linear: &Linear, lattice: &Lattice) -> Vec<(Node, f64)> {
        let Some(climate) = &self.climate else { return of_dogs(linear, lattice.square_factors()) };
        let grown = climate.known.map(|s| 1.0 + s / PER_METRE);
        let strained = lattice.grown(grown);
        of_dogs(linear, strained.square_factors().map(|(hole, f)| (hole, [f[0] * grown[0], f[1] * grown[1]])))
    }

    fn line_result(&self, linear: &Linear, line: &Line) -> Vec<(Node, f64)> {
        let height = self.bits.height;
        line_factors(line)
            .into_iter()
            .filter_map(|(hole, f)| {
                let ([x, y], [sx, sy]) = (linear.dogs[hole]?, linear.slopes[hole]?);
                Some([(x, f[0]), (y, f[1]), (sx, f[0] * height), (sy, f[1] * height)])
            })
            .flatten()
            .collect()
    }

    /// Covariance of every opened hole about the best shift and turn.
    ///
    /// Residual r = d − B M s with s = Bᵀ d the sums that fix shift and turn, B of a hole the rows
    /// (1, 0, −Y), (0, 1, X), M diagonal about the middle. So cov r = C − D M Bᵀ − B M Dᵀ + B M E M Bᵀ
    /// with C = cov d, D = cov(d, s), E = cov s: three sweeps back and forth give D for all holes.
    fn hole_spreads(&self, linear: &Linear, fit: &RigidFit) -> Vec<(usize, HoleSpread)> {
        let tape = &linear.tape;
        let n = fit.holes.len() as f64;
        let sums = [0, 1, 2].map(|which| {
            let factors = fit.holes.iter().zip(&fit.centred).map(|(&hole, c)| {
                let f = [[1.0, 0.0], [0.0, 1.0], [-c[1], c[0]]][which];
                (hole, f)
            });
            tape.sensitivity(&of_dogs(linear, factors))
        });
        let with = sums.each_ref().map(|s| tape.covariances_with(s));
        let m = [1.0 / n, 1.0 / n, fit.per_inertia];
        let e = [0, 1, 2].map(|i| [0, 1, 2].map(|j| tape.covariance(&sums[i], &sums[j])));
        let mut room = Scratch::default();
        (0..self.holes.len())
            .filter_map(|hole| {
                let [x, y] = linear.dogs[hole]?;
                let spec = &self.holes[hole];
                let c = [spec.x - fit.middle[0], spec.y - fit.middle[1]];
                let b = [[m[0], 0.0, -c[1] * m[2]], [0.0, m[1], c[0] * m[2]]];
                let [xx, yy, xy] = tape.pair_covariance(&[(x, 1.0)], &[(y, 1.0)], &mut room);
                let cov = |i: usize, j: usize, own: f64| {
                    let d = |node: usize| [0, 1, 2].map(|k| with[k][node]);
                    let (di, dj) = (d([x, y][i].index()), d([x, y][j].index()));
                    let mut sum = own;
                    for k in 0..3 {
                        sum -= di[k] * b[j][k] + b[i][k] * dj[k];
                        for l in 0..3 {
                            sum += b[i][k] * e[k][l] * b[j][l];
                        }
                    }
                    sum
                };
                let spread = HoleSpread {
                    name: spec.name.clone(),
                    sd_x_mm: cov(0, 0, xx).max(0.0).sqrt(),
                    sd_y_mm: cov(1, 1, yy).max(0.0).sqrt(),
                    cov_xy_mm2: cov(0, 1, xy),
                };
                Some((hole, spread))
            })
            .collect()
    }

    /// The figures the planner weighs plans by.
    pub fn quick(&self) -> Quick {
        let linear = Linear::of(self);
        let tape = &linear.tape;
        let mut room = Scratch::default();
        let square: Option<Sensitivity> = Lattice::of(self).map(|l| tape.sensitivity(&self.square_result(&linear, &l)));
        let mut quick = Quick {
            square_sd: square.as_ref().map(|s| tape.variance(s).sqrt()),
            checks: Vec::new(),
            does_not_seat: Vec::new(),
        };
        for (step, misfits) in self.steps.iter().zip(&linear.misfits) {
            if step.check {
                if let [misfit] = &misfits[..] {
                    let own = tape.sensitivity(&misfit.terms);
                    quick.checks.push(CheckMoments {
                        setup: step.setup,
                        misfit_sd: tape.variance(&own).sqrt(),
                        misfit_square_cov: square.as_ref().map_or(0.0, |s| tape.covariance(&own, s)),
                    });
                }
                continue;
            }
            let mut share = 0.0f64;
            for misfit in misfits {
                let [variance, ..] = tape.pair_covariance(&misfit.terms, &[], &mut room);
                share = share.max(share_beyond(misfit, variance));
            }
            if step.has_misfit() && !step.done {
                // A set-up of templates that are not linked seats only if each of them does.
                match quick.does_not_seat.last_mut() {
                    Some((setup, known)) if *setup == step.setup => *known = 1.0 - (1.0 - *known) * (1.0 - share),
                    _ => quick.does_not_seat.push((step.setup, share)),
                }
            }
        }
        quick
    }
}
