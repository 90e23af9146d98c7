//! The numbering of a model's draws: which random numbers of a board's stream belong to which
//! feature, seat and bore.
//!
//! By number and not by turn, so that a board is the same with its checks or without, and whatever
//! is asked of it. Draw 0 has the two bits' diameters
//! and what the climate leaves open: the bars' scale and the sheet's movement.

use super::model::{End, Hold, Model};
use super::walk;
use crate::plan::Bit;

/// The numbering of a model's draws.
#[derive(Clone, Debug)]
pub(super) struct Draws {
    /// Features that are used, in order; each has one draw, from 1.
    pub(super) features: Vec<usize>,
    /// First draw of each step, its bores' after those of its seat.
    pub(super) steps: Vec<u32>,
    /// First of the two draws of each bore.
    pub(super) bores: Vec<u32>,
    /// Two draws of each hole that exists before the plan, in order of the holes; after all others,
    /// so that they number nothing anew.
    pub(super) existing: Vec<(usize, u32)>,
    /// Bores whose slope is asked for.
    pub(super) slopes: Vec<bool>,
}

impl Draws {
    /// Numbers the draws of a model; slopes are drawn for these holes.
    pub(super) fn of(model: &Model, sloped: &[usize]) -> Draws {
        let mut used = vec![false; model.features.len()];
        for locator in &model.locators {
            used[locator.feature] = true;
            if let End::Feature { feature, .. } = locator.end {
                used[feature] = true;
            }
        }
        for bore in &model.bores {
            used[bore.feature] = true;
        }
        let features: Vec<usize> = (0..used.len()).filter(|&i| used[i]).collect();
        let mut next = 1 + features.len() as u32;
        let mut draws = Draws {
            features,
            steps: Vec::with_capacity(model.steps.len()),
            bores: vec![0; model.bores.len()],
            existing: Vec::new(),
            slopes: model.bores.iter().map(|b| b.bit == Bit::Opening && sloped.contains(&b.hole)).collect(),
        };
        for step in &model.steps {
            draws.steps.push(next);
            next += match &step.hold {
                Hold::ByHand => 2 * step.lays.len() as u32,
                Hold::TwoPins(_) => 2,
                Hold::Linkage(_) => 2 * step.locators.len() as u32 + walk::BOARD_STEPS as u32,
            };
            for bore in step.bores.clone() {
                draws.bores[bore] = next;
                next += 2;
            }
        }
        for hole in (0..model.holes.len()).filter(|&h| model.holes[h].exists.is_some()) {
            draws.existing.push((hole, next));
            next += 2;
        }
        draws
    }
}
