//! Templates held by more than a pair of locators, or linked with each other: the matrix from
//! poses to slips, its weighted inverse, and the second moments of the seat.
//!
//! Poses are (x, y, turn) of each template in turn, mm and rad; slips are (x, y) of each locator,
//! mm, in the top's frame. Slip = A · pose + misfit, with misfit the offsets of what is located
//! less those of what it is located on. One template on two locators has a cheaper way of its own
//! (`seat`).

use super::dense::Dense;
use super::model::{End, Locator, turned};
use super::walk;

/// Least pivot, as a share of the greatest entry of the normal matrix (turns scaled by the reach),
/// at which locators still fix the templates: bars a millimetre from in line over a metre leave
/// 1e-6, rounding 1e-16.
const LEAST_PIVOT: f64 = 1e-11;

/// Steps of the walk whose points give the second moments of a seat with more locators than it
/// needs. The points follow one another, so some tens of steps count as one independent draw: the
/// standard deviations are good to about 2 %.
const MOMENT_STEPS: usize = 20_000;

#[derive(Clone, Debug)]
pub(super) struct Linkage {
    /// A, 2 rows a locator, 3 columns a template.
    pub(super) slip_from_pose: Dense,
    /// Weighted least-squares pose for unit slips: pose = −(this) · misfit is the mean seat.
    pub(super) pose_from_slip: Dense,
    /// The seat's own spread: columns are the poses of unit independent sources.
    pub(super) spread: Dense,
    /// Orthonormal rows: each is a combination of misfits that no pose can take up.
    pub(super) misfits: Dense,
}

impl Linkage {
    /// Works a linkage out; `None` if the locators leave a template loose.
    pub(super) fn new(lays: usize, locators: &[Locator]) -> Option<Linkage> {
        let (rows, columns) = (2 * locators.len(), 3 * lays);
        if rows < columns {
            return None;
        }
        let mut a = Dense::zeros(rows, columns);
        let mut reach = 1.0f64;
        for (k, locator) in locators.iter().enumerate() {
            let mut enter = |lay: usize, lever: [f64; 2], sign: f64| {
                let turn = turned(lever);
                for axis in 0..2 {
                    a[(2 * k + axis, 3 * lay + axis)] += sign;
                    a[(2 * k + axis, 3 * lay + 2)] += sign * turn[axis];
                    reach = reach.max(lever[axis].abs());
                }
            };
            enter(locator.lay, locator.lever, 1.0);
            if let End::Feature { lay, lever, .. } = locator.end {
                enter(lay, lever, -1.0);
            }
        }
        let scale = |pose: usize| if pose % 3 == 2 { 1.0 / reach } else { 1.0 };
        let even = inverse(&a, scale, |_| 1.0)?;
        let pose_from_slip = inverse(&a, scale, |row| 1.0 / locators[row / 2].mean_clearance)?;
        let misfits = left_over(&a, &even);
        let clearances: Vec<f64> = locators.iter().map(|l| l.mean_clearance).collect();
        let spread = if rows == columns {
            // Each slip uniform in its disc: variance r²/4 per axis.
            Dense::from_fn(columns, rows, |i, j| pose_from_slip[(i, j)] * 0.5 * clearances[j / 2])
        } else {
            walk::spread(&a, &clearances, MOMENT_STEPS)
        };
        Some(Linkage { slip_from_pose: a, pose_from_slip, spread, misfits })
    }

    /// More locators than fix the templates.
    pub(super) fn is_over_determined(&self) -> bool {
        self.misfits.rows > 0
    }
}

/// Weighted least-squares inverse of `a`, rows weighted by the square of `root_weight`.
fn inverse(a: &Dense, scale: impl Fn(usize) -> f64, root_weight: impl Fn(usize) -> f64) -> Option<Dense> {
    let greatest = (0..a.rows).map(&root_weight).fold(0.0, f64::max);
    let root = |i: usize| root_weight(i) / greatest;
    let weighted = Dense::from_fn(a.rows, a.columns, |i, j| a[(i, j)] * scale(j) * root(i));
    let transposed = weighted.transposed();
    let solved = transposed.times(&weighted).inverse(LEAST_PIVOT)?.times(&transposed);
    Some(Dense::from_fn(a.columns, a.rows, |i, j| solved[(i, j)] * scale(i) * root(j)))
}

/// Orthonormal basis of the slips that no pose makes, by Gram–Schmidt on the columns of
/// I − A A⁺, each time the one with most left.
fn left_over(a: &Dense, inverse: &Dense) -> Dense {
    let n = a.rows;
    let reached = a.times(inverse);
    let mut rest = Dense::from_fn(n, n, |i, j| if i == j { 1.0 } else { 0.0 } - reached[(i, j)]);
    let mut basis = Dense::zeros(n - a.columns, n);
    for found in 0..basis.rows {
        let norm_squared = |j: usize| (0..n).map(|i| rest[(i, j)] * rest[(i, j)]).sum::<f64>();
        let most = (0..n).max_by(|&i, &j| norm_squared(i).total_cmp(&norm_squared(j))).unwrap_or(0);
        let norm = norm_squared(most).sqrt();
        for i in 0..n {
            basis[(found, i)] = rest[(i, most)] / norm;
        }
        for j in 0..n {
            let along: f64 = (0..n).map(|i| basis[(found, i)] * rest[(i, j)]).sum();
            for i in 0..n {
                rest[(i, j)] -= along * basis[(found, i)];
            }
        }
    }
    basis
}
