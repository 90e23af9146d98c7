//! First-order figures: the tape of a model asked for square, its budget, checks, and what does
//! not seat.
//!
//! Square in rad here; mm per m is for those who print it.

use super::linear::{Linear, Misfit};
use super::model::Model;
use super::square::Lattice;
use super::tape::{Node, Scratch, Sensitivity};
use super::{CheckMoments, Quick};
use crate::math;

/// A result as a combination of nodes.
pub(super) fn of_dogs(linear: &Linear, factors: impl Iterator<Item = (usize, [f64; 2])>) -> Vec<(Node, f64)> {
    factors.filter_map(|(hole, f)| linear.dogs[hole].map(|[x, y]| [(x, f[0]), (y, f[1])])).flatten().collect()
}

/// Share of boards whose misfit is beyond what clearances and give take up; misfit and limit taken
/// as normal.
fn share_beyond(misfit: &Misfit, variance: f64) -> f64 {
    let spread = (2.0 * (variance + misfit.limit_variance)).sqrt();
    if spread > 0.0 { math::erfc((misfit.limit + misfit.give) / spread) } else { 0.0 }
}

impl Model {
    /// The figures the planner weighs plans by.
    pub fn quick(&self) -> Quick {
        let linear = Linear::of(self);
        let tape = &linear.tape;
        let mut room = Scratch::default();
        let square: Option<Sensitivity> =
            Lattice::of(self).map(|l| tape.sensitivity(&of_dogs(&linear, l.square_factors())));
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
            if step.has_misfit() {
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
