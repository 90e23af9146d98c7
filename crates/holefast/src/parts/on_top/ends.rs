//! Ends that are not square, cut from a part's blank.
//!
//! `ends` are the angles between each end and the part's one long edge, the blank as long as the part's
//! greatest length. The same long edge lies against the fence for both ends, the part turned over for
//! the second; where an angle is more than 90° the end starts short of the blank's corner there.

use std::f64::consts::{FRAC_PI_2, PI};

use super::super::Batch;
use super::asks::Ask;
use crate::job::Job;
use crate::math;

/// One end to be cut.
pub(super) struct End {
    /// The part, by its place in the list.
    pub(super) part: usize,
    /// Which end.
    pub(super) which: usize,
    /// What it asks.
    pub(super) ask: Ask,
    /// How long the cut is, mm.
    pub(super) runs: f64,
}

/// The ends of a batch's parts that are not square.
pub(super) fn of(job: &Job, batch: &Batch) -> Vec<End> {
    let kerf = batch.stock.first().map_or(0.0, |&s| job.part_list.stock[s].kerf);
    let mut out = Vec::new();
    for &part in &batch.parts {
        let wanted = &job.part_list.parts[part];
        let Some(degrees) = wanted.ends else { continue };
        let angles = degrees.map(|d| if d == 90.0 { FRAC_PI_2 } else { d * PI / 180.0 });
        // How far the long edge at the fence stays behind the greatest length, at each end.
        let behind = angles.map(|a| (-wanted.width * math::cos(a) / math::sin(a)).max(0.0));
        let mut at_the_stop = FRAC_PI_2;
        let mut length = wanted.length;
        for which in [0, 1] {
            if angles[which] == FRAC_PI_2 {
                continue;
            }
            length -= behind[which];
            let ask = Ask::new(angles[which], wanted.width, Some(length), kerf, at_the_stop);
            out.push(End { part, which, ask, runs: wanted.width / math::sin(angles[which]) });
            at_the_stop = angles[which];
        }
    }
    out
}
