//! The cuts of a list on this top: for each its arrangement of fence and rail, its stop, how far out
//! size and square can be; and what cannot be cut here, with the reason.
//!
//! Few settings: of all arrangements that are as long as the longest cut still to be made the one that
//! serves most of the others too is taken, then the same for those left over. Alike cuts (as long, set
//! to the same length, the same kerf) are one question; a list of thousands asks a few dozen.

mod asks;
mod ends;
mod errors;
pub mod show;

pub use errors::{Keeps, PartError};

use std::collections::BTreeMap;

use super::CutList;
use crate::cut::{
    Arrangement, Dogs, Found, MOST_ARRANGEMENTS, Pair, Places, Room, Search, StopSet, Tested, USUAL_TOLERANCE,
    kit_lengths, kit_stop, room_for, search_for,
};
use crate::job::Job;
use asks::Ask;

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

/// Sets a list's cuts up; `None` where the kit has no guide rail, without which nothing can be said.
pub fn on_top(job: &Job, places: &Places, list: &CutList) -> Option<OnTop> {
    job.kit.as_ref()?.rail.as_ref()?;
    let dogs = Dogs::of(job);
    let asked = asks::all(job, list);
    let mut answers: BTreeMap<Ask, Result<How, WhyNot>> = BTreeMap::new();
    let mut set_ups: Vec<SetUp> = Vec::new();
    for angle in asked.angles() {
        answer(job, places, &dogs, &asked, angle, &mut set_ups, &mut answers);
    }
    let mut cuts: Vec<TopCut> = Vec::new();
    for (batch, which, ask) in asked.cuts {
        let how = match ask {
            None => Err(WhyNot::NoEdge),
            Some(ask) => answers[&ask].clone(),
        };
        let runs = asked.runs[cuts.len()];
        cuts.push(TopCut { batch, which, runs, how });
    }
    let set_ups = in_order_of_use(set_ups, &mut cuts);
    let errors = errors::of(job, list, &set_ups, &cuts);
    Some(OnTop { set_ups, cuts, errors })
}

/// Of so many of the best arrangements the one that serves most cuts is taken: those further down gain
/// little, and each is tried with every cut that is open.
const SERVED_AMONG: usize = 16;

/// Answers everything that is asked at one angle.
fn answer(
    job: &Job,
    places: &Places,
    dogs: &Dogs,
    asked: &asks::All,
    angle: f64,
    set_ups: &mut Vec<SetUp>,
    answers: &mut BTreeMap<Ask, Result<How, WhyNot>>,
) {
    let mut open = asked.at(angle);
    let found_for = |ask: &Ask, width: Option<f64>, stopped: bool| {
        let (tolerance, kerf) = (USUAL_TOLERANCE, Some(ask.kerf()));
        let look = Search { wanted: angle, tolerance, best: MOST_ARRANGEMENTS, width, kerf, kept: None };
        search_for(job, places, dogs, &look, ask.piece().as_ref().filter(|_| stopped))
    };
    let mut longest: Option<Option<f64>> = None;
    // the longest cut first, of those the one set to most
    while let Some(&(hardest, _)) = open.last() {
        if let Some(Some(most)) = longest.filter(|most| most.is_some_and(|most| hardest.width() > most + LONGEST_TO)) {
            answers.insert(hardest, Err(WhyNot::TooLong(Some(most))));
            open.pop();
            continue;
        }
        let found = found_for(&hardest, Some(hardest.width()), true);
        let served = |a: &Arrangement| -> usize {
            let served = open.iter().filter(|(ask, _)| stop_for(job, places, dogs, &a.pair, ask).is_some());
            served.map(|(_, times)| times).sum()
        };
        // Of those that serve as many the best in angle is first.
        let mut best: Option<(&Arrangement, usize)> = None;
        for a in found.arrangements.iter().take(SERVED_AMONG) {
            let served = served(a);
            if best.is_none_or(|(_, most)| served > most) {
                best = Some((a, served));
            }
        }
        let Some((chosen, room)) = best.and_then(|(a, _)| Some((a, a.room.clone()?))) else {
            open.pop();
            let why = if found.pairs.is_empty() {
                WhyNot::NoAngle([&found.nearest.below, &found.nearest.above].map(|p| p.map(|p| p.angle)))
            } else {
                let wide = found_for(&hardest, Some(hardest.width()), false).arrangements;
                if wide.is_empty() {
                    let most = longest.get_or_insert_with(|| longest_cut(&hardest, &found_for));
                    WhyNot::TooLong(*most)
                } else {
                    let piece = hardest.piece();
                    let ranges = wide.iter().filter_map(|a| kit_lengths(job, places, dogs, &a.pair, piece.as_ref()?));
                    WhyNot::NoStop(ranges.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]))
                }
            };
            answers.insert(hardest, Err(why));
            continue;
        };
        let tested = Tested::of(job, places, &chosen.pair, angle);
        set_ups.push(SetUp { wanted: angle, pair: chosen.pair, u: chosen.u, room, tested, cuts: 0 });
        let set_up = set_ups.len() - 1;
        open.retain(|(ask, _)| match stop_for(job, places, dogs, &chosen.pair, ask) {
            Some(stop) => {
                answers.insert(*ask, Ok(How { set_up, stop }));
                false
            }
            None => true,
        });
    }
}

/// The longest cut at an angle is told to this, mm.
const LONGEST_TO: f64 = 5.0;

/// The longest cut that any arrangement allows at the angle of a cut that is too long for all; none
/// where there is no room for any.
fn longest_cut(ask: &Ask, found_for: &impl Fn(&Ask, Option<f64>, bool) -> Found) -> Option<f64> {
    let capacity =
        |found: Found| found.arrangements.iter().filter_map(|a| Some(a.room.as_ref()?.capacity)).max_by(f64::total_cmp);
    let mut most = capacity(found_for(ask, None, false))?;
    let mut beyond = ask.width();
    while beyond - most > LONGEST_TO {
        let middle = 0.5 * (most + beyond);
        match capacity(found_for(ask, Some(middle), false)) {
            Some(more) => most = more.max(middle),
            None => beyond = middle,
        }
    }
    Some(most)
}

/// The stop for what is asked on these lines, none needed where an end is only trimmed; `None` where
/// there is no room for the cut or no hole for the stop.
fn stop_for(job: &Job, places: &Places, dogs: &Dogs, pair: &Pair, ask: &Ask) -> Option<Option<StopSet>> {
    let room = room_for(job, places, pair, Some(ask.width()), Some(ask.kerf()))?;
    if !room.blocked.is_empty() {
        return None;
    }
    match ask.piece() {
        None => Some(None),
        Some(piece) => Some(Some(kit_stop(job, places, dogs, pair, &piece)?)),
    }
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
