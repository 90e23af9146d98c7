//! The cuts of a list on this top: for each its arrangement of fence and rail, its stop, how far out
//! size and square can be; and what cannot be cut here, with the reason.
//!
//! Few settings: of all arrangements that are as long as the longest cut still to be made the one that
//! serves most of the others too is taken, then the same for those left over. Alike cuts (as long, set
//! to the same length, the same kerf) are one question.

mod answers;
mod asks;
mod ends;
mod errors;
mod lines;
pub mod show;

pub use errors::{Keeps, PartError};

use super::CutList;
use crate::cut::{Pair, Places, Room, StopSet, Tested};
use crate::job::Job;
use answers::Answers;

/// Fence and rail in their places, for one or more cuts.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUp {
    /// The angle that is wanted, rad.
    pub wanted: f64,
    /// Fence and rail.
    pub pair: Pair,
    /// Standard uncertainty of the angle, rad; `None` where nothing is known of the places.
    pub u: Option<f64>,
    /// The room it leaves for the longest cut that is made with it.
    pub room: Room,
    /// What test cuts on its lines say.
    pub tested: Option<Tested>,
    /// How many cuts are made with it.
    pub cuts: usize,
}

impl SetUp {
    /// Deviation of the angle and its standard uncertainty, rad: by test cuts where there are some.
    pub fn deviation(&self) -> (f64, Option<f64>) {
        match &self.tested {
            Some(tested) => (tested.angle - self.wanted, Some(tested.u)),
            None => (self.pair.angle - self.wanted, self.u),
        }
    }
}

/// Which cut it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// One of the breakdown's, by its index among the batch's steps.
    Step(usize),
    /// The end of a part that is not square, cut from its blank: the part by its index in the list, and
    /// which end.
    End(usize, usize),
}

/// One cut on the top.
#[derive(Clone, Debug, PartialEq)]
pub struct TopCut {
    /// The batch.
    pub batch: usize,
    /// Which of its cuts.
    pub which: Which,
    /// How long the cut is, mm.
    pub runs: f64,
    /// How it is made, or why not here.
    pub how: Result<How, WhyNot>,
}

/// How a cut is made.
#[derive(Clone, Debug, PartialEq)]
pub struct How {
    /// The set-up, by its index.
    pub set_up: usize,
    /// The stop; none where the cut only trims an end, and is set by eye.
    pub stop: Option<StopSet>,
}

/// Why a cut is not made on this top.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WhyNot {
    /// No straight edge lies against the fence yet.
    NoEdge,
    /// Rail and top allow no cut so long; the longest at this angle, mm, where there is any.
    TooLong(Option<f64>),
    /// No hole carries a stop; shortest and longest piece that has one, mm.
    NoStop(Option<[f64; 2]>),
    /// No lines of holes stand at this angle; the nearest on both sides, rad.
    NoAngle([Option<f64>; 2]),
    /// The work was stopped before it was looked at.
    Stopped,
}

/// A list on this top.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OnTop {
    /// The set-ups, in the order in which they are first needed.
    pub set_ups: Vec<SetUp>,
    /// All cuts, batch by batch, the ends last.
    pub cuts: Vec<TopCut>,
    /// How far out each sort of part may be, by its place in the list.
    pub errors: Vec<PartError>,
}

/// What is told while cuts are set up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Questions answered: cuts that are alike are one.
    pub answered: usize,
    /// Of so many.
    pub of: usize,
}

/// Told now and then how far the work is; says whether to go on.
pub type Watch<'a> = &'a mut dyn FnMut(Progress) -> bool;

/// Sets a list's cuts up; `None` where the kit has no guide rail, without which nothing can be said.
/// Where `watch` says no, the cuts that are not set up yet say so.
pub fn on_top(job: &Job, places: &Places, list: &CutList, watch: Watch<'_>) -> Option<OnTop> {
    job.kit.as_ref()?.rail.as_ref()?;
    let asked = asks::all(job, list);
    let Answers { set_ups, mut all } = answers::find(job, places, &asked, watch);
    let mut cuts: Vec<TopCut> = Vec::new();
    for (batch, which, ask) in asked.cuts {
        let how = match ask {
            None => Err(WhyNot::NoEdge),
            Some(ask) => all.entry(ask).or_insert(Err(WhyNot::Stopped)).clone(),
        };
        let runs = asked.runs[cuts.len()];
        cuts.push(TopCut { batch, which, runs, how });
    }
    let set_ups = in_order_of_use(set_ups, &mut cuts);
    let errors = errors::of(job, list, &set_ups, &cuts);
    Some(OnTop { set_ups, cuts, errors })
}

/// Puts the set-ups in the order in which the cuts need them, and counts their cuts.
fn in_order_of_use(set_ups: Vec<SetUp>, cuts: &mut [TopCut]) -> Vec<SetUp> {
    let mut place: Vec<Option<usize>> = vec![None; set_ups.len()];
    let mut out: Vec<SetUp> = Vec::new();
    for cut in cuts {
        let Ok(how) = &mut cut.how else { continue };
        let at = *place[how.set_up].get_or_insert_with(|| {
            out.push(set_ups[how.set_up].clone());
            out.len() - 1
        });
        how.set_up = at;
        out[at].cuts += 1;
    }
    out
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_one_by_one;
