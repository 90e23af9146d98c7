//! What exists on the top before a set-up: the plan replayed up to it, beginning with what the job
//! says is done already. Only for showing; whether hands can do it is `replay`'s matter.

use std::collections::BTreeMap;

use crate::job::{DoneAs, Job};
use crate::plan::{Bit, HoleKind, Plan};
use crate::top::{Layout, Point};

/// How far a hole is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoleState {
    /// A pilot.
    Pilot,
    /// A pilot that stays one.
    Helper,
    /// A dog hole.
    Opened,
}

/// A hole that exists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Existing {
    /// Centre, mm.
    pub centre: Point,
    /// How far it is.
    pub state: HoleState,
    /// Nominal diameter as it is now, mm.
    pub diameter: f64,
}

/// The holes that the job says are done and not spoiled, by name.
pub fn found(job: &Job, layout: &Layout) -> BTreeMap<String, Existing> {
    let mut holes = BTreeMap::new();
    for hole in &layout.holes {
        let Some(cell) = hole.cell else { continue };
        if job.spoiled.iter().any(|s| s.hole == hole.name) {
            continue;
        }
        for done in job.done.iter().filter(|d| d.holes.iter().any(|r| r.contains(cell))) {
            let (state, diameter) = match done.as_ {
                DoneAs::Pilot => (HoleState::Pilot, job.grid.pilot),
                DoneAs::Dog => (HoleState::Opened, hole.diameter),
            };
            holes.insert(hole.name.clone(), Existing { centre: hole.centre, state, diameter });
        }
    }
    holes
}

/// The holes that exist before the set-up with this index (all of them, if it is past the last), by name.
pub fn holes_before(job: &Job, layout: &Layout, plan: &Plan, index: usize) -> BTreeMap<String, Existing> {
    let mut holes = found(job, layout);
    for hole in plan.exists.iter().filter_map(|exists| plan.hole(&exists.hole)).filter(|h| h.kind == HoleKind::Helper) {
        let centre = Point::new(hole.x_mm, hole.y_mm);
        let there = Existing { centre, state: HoleState::Helper, diameter: job.grid.pilot };
        holes.insert(hole.name.clone(), there);
    }
    for bore in plan.setups.iter().take(index).flat_map(|s| &s.bores) {
        let Some(hole) = plan.hole(&bore.hole) else { continue };
        let state = match (bore.bit, hole.kind) {
            (Bit::Opening, _) => HoleState::Opened,
            (Bit::Pilot, HoleKind::Helper) => HoleState::Helper,
            (Bit::Pilot, _) => HoleState::Pilot,
        };
        let diameter = match bore.bit {
            Bit::Opening => layout.holes.iter().find(|h| h.name == hole.name).map_or(job.grid.hole, |h| h.diameter),
            Bit::Pilot => job.grid.pilot,
        };
        holes.insert(bore.hole.clone(), Existing { centre: Point::new(hole.x_mm, hole.y_mm), state, diameter });
    }
    holes
}
