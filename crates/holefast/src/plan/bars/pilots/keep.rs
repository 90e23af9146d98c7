//! What is kept of the set-ups: those that bore something needed or hold a pin for one that does.

use std::collections::BTreeSet;

use super::step::{Locator, Step};
use crate::plan::bars::lattice::Place;

/// Drops, from the last set-up to the first, what nothing needs.
pub(super) fn keep_needed(steps: Vec<Step>, needed: &BTreeSet<Place>) -> Vec<Step> {
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
