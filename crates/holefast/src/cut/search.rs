//! Which holes carry fence and rail for an angle: the best few arrangements.
//!
//! Directions first, in pairs found by bisection; then only the longest bases of each direction, for
//! spread falls with the base; where the dogs are of several diameters some shorter ones too, for those
//! they turn further; and lines through holes beside the grid that take its dogs. Of two lines the dogs
//! are chosen that come nearest to the angle, then the way round that leaves most room. Ranked by
//! |deviation| + 2 u in steps of 0.05 mm per m, then by the shorter base, longer first, then by
//! capacity, then by names.
//!
//! It is quick because nothing is reckoned twice: of a line its direction and what is known of it
//! ([`super::lines`]), of a candidate its directions with all dogs ([`super::around`]), of the room first
//! what is in the way, and all of it only for those that are told. Candidates that are dropped on the way
//! have as many before them as are kept, and those stay ([`super::shortlist`]). So it finds what the
//! plain search of `tests_plain` finds, which reckons everything for every pair.

use std::f64::consts::PI;

use super::PER_METRE;
use super::around::{Around, Way};
use super::clear::{Room, room_for};
use super::directions::{Direction, DirectionPair, Nearest, directions, nearest, pairs_within};
use super::dogs::Dogs;
use super::groups::groups;
use super::lines::{Worked, WorkedLines};
use super::pair::Pair;
use super::places::{Basis, Places};
use super::shortlist::{Candidate, STEP, Shortlist, step_of};
use super::sizes::Sizes;
use super::stop::Piece;
use crate::job::{Job, Kept};

/// Most arrangements that are told at once.
pub const MOST_ARRANGEMENTS: usize = 50;
/// Two lengths of lines are left out once their best bound, reckoned as if fence and rail had nothing
/// in common, is so many times the worst that is kept: what they have in common takes less than that.
const HOPELESS: f64 = 1.6;
/// So many candidates are kept for each arrangement that is told: most of those dropped later have
/// no room for the cut.
const KEPT_PER_WANTED: usize = 40;

/// What is looked for.
#[derive(Clone, Debug, PartialEq)]
pub struct Search {
    /// The angle between fence and cut on the work's side, rad.
    pub wanted: f64,
    /// How far from it an arrangement may be before it is shimmed, rad.
    pub tolerance: f64,
    /// How many are told, at most [`MOST_ARRANGEMENTS`].
    pub best: usize,
    /// Width of the work, mm, where known.
    pub width: Option<f64>,
    /// What the blade takes out, mm, where known.
    pub kerf: Option<f64>,
    /// Which piece is kept, where it matters.
    pub kept: Option<Kept>,
}

/// One way to carry fence and rail.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrangement {
    /// The two lines.
    pub pair: Pair,
    /// Standard uncertainty of the angle, rad; `None` where nothing is known of the places.
    pub u: Option<f64>,
    /// |deviation| + 2 u, mm per m; without u the deviation alone.
    pub bound_mm_per_m: f64,
    /// The room it leaves; `None` where the kit has no rail.
    pub room: Option<Room>,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// All directions of the grid.
    pub directions: Vec<Direction>,
    /// All pairs within the tolerance, best first.
    pub pairs: Vec<DirectionPair>,
    /// The nearest on both sides.
    pub nearest: Nearest,
    /// The best arrangements, best first.
    pub arrangements: Vec<Arrangement>,
    /// How many pairs of lines were looked at.
    pub looked_at: usize,
}

/// Looks for the best arrangements of a job for an angle.
pub fn search(job: &Job, places: &Places, dogs: &Dogs, ask: &Search) -> Found {
    search_for(job, places, dogs, ask, None)
}

/// The same, of arrangements alone that have a stop for a piece; which piece is kept follows from each.
pub fn search_for(job: &Job, places: &Places, dogs: &Dogs, ask: &Search, piece: Option<&Piece>) -> Found {
    let directions = directions(places, job.grid.pitch);
    let pairs = pairs_within(&directions, ask.wanted, ask.tolerance);
    let nearest = nearest(&directions, ask.wanted);
    let best = ask.best.clamp(1, MOST_ARRANGEMENTS);
    let sizes = Sizes::of(dogs);

    let (worked, order) = worked_out(places, dogs, &sizes, job, ask, &directions);
    let mut shortlist = Shortlist::new(KEPT_PER_WANTED * best);
    let mut looked_at = 0;
    let mut worst_kept = f64::INFINITY;
    for (estimate, fences, rails) in order {
        if estimate > HOPELESS * worst_kept + STEP {
            break;
        }
        let (fences, rails) = (&worked[fences], &worked[rails]);
        looked_at += fences.count * rails.count;
        for (i, fence) in fences.lines.iter().enumerate() {
            for (j, rail) in rails.lines.iter().enumerate() {
                let turned = [fences.turned(i), rails.turned(j)];
                if let Some(candidate) = candidate(places, dogs, &sizes, ask, [fence, rail], turned) {
                    shortlist.push(candidate);
                }
            }
        }
        shortlist.halve();
        if let Some(worst) = shortlist.worst() {
            worst_kept = (worst + 1) as f64 * STEP;
        }
    }

    let around = Around::new(job, places, dogs, &sizes, ask, piece);
    let mut arrangements: Vec<(Candidate, Way)> = Vec::new();
    for candidate in shortlist.best_first() {
        // What follows ranks behind at best, unless it is level with the last that is kept.
        if arrangements.len() >= best && candidate.rank(&arrangements[best - 1].0).is_gt() {
            break;
        }
        if let Some(way) = around.best(&candidate) {
            // one dog in a hole that both lines use may leave more than was hoped for
            let step = step_of(way.bound);
            let open = places.basis() != Basis::Planned && way.u.is_none();
            let new = (Candidate { open, step, ..candidate }, way);
            let at = arrangements.partition_point(|old| in_order(old, &new).is_le());
            arrangements.insert(at, new);
            arrangements.truncate(best);
        }
    }
    let arrangement = |(_, Way { pair, u, bound, .. }): (Candidate, Way)| {
        let room = room_for(job, places, &pair, ask.width, ask.kerf);
        Arrangement { pair, u, bound_mm_per_m: bound, room }
    };
    let arrangements = arrangements.into_iter().map(arrangement).collect();
    Found { directions, pairs, nearest, arrangements, looked_at }
}

/// By rank, then more room, then by names.
fn in_order((c, a): &(Candidate, Way), (d, b): &(Candidate, Way)) -> std::cmp::Ordering {
    c.rank(d)
        .then(b.capacity.total_cmp(&a.capacity))
        .then((a.pair.fence.holes, a.pair.rail.holes).cmp(&(b.pair.fence.holes, b.pair.rail.holes)))
}

/// The lines of all groups that may make the angle, worked out, and which two groups may: with the best
/// bound that they can have, mm per m, best first, so that the hopeless ones come last.
fn worked_out(
    places: &Places,
    dogs: &Dogs,
    sizes: &Sizes,
    job: &Job,
    ask: &Search,
    directions: &[Direction],
) -> (Vec<WorkedLines>, Vec<(f64, usize, usize)>) {
    let (lines, able) = groups(job, places, sizes, ask, directions);
    // Worked out are those alone that can do it.
    let mut place: Vec<Option<usize>> = vec![None; lines.len()];
    let mut worked: Vec<WorkedLines> = Vec::new();
    let mut place_of = |group: usize| {
        *place[group].get_or_insert_with(|| {
            worked.push(WorkedLines::of(places, dogs, sizes, &lines[group]));
            worked.len() - 1
        })
    };
    let placed: Vec<(f64, usize, usize)> =
        able.iter().map(|able| (able.error, place_of(able.fence), place_of(able.rail))).collect();
    let estimate = |(error, fence, rail): (f64, usize, usize)| {
        let [f, r] = [fence, rail].map(|lines| worked[lines].least_u);
        ((error + 2.0 * (f * f + r * r).sqrt()) * PER_METRE, fence, rail)
    };
    let mut order: Vec<(f64, usize, usize)> = placed.into_iter().map(estimate).collect();
    order.sort_by(|a, b| {
        let shorter = |x: &(f64, usize, usize)| worked[x.1].base.min(worked[x.2].base);
        a.0.total_cmp(&b.0).then(shorter(b).total_cmp(&shorter(a)))
    });
    (worked, order)
}

/// The least deviation that the dogs at hand leave between two lines, to first order in their
/// differences, and the bound with it.
fn candidate(
    places: &Places,
    dogs: &Dogs,
    sizes: &Sizes,
    ask: &Search,
    [fence, rail]: [&Worked; 2],
    turned: [&[f64]; 2],
) -> Option<Candidate> {
    if fence.holes == rail.holes {
        return None;
    }
    let turn = (rail.direction - fence.direction).abs();
    let turn = if turn < PI { turn } else { turn - PI * (turn / PI).floor() };
    // of the two angles of crossing lines
    let angle = if (turn - ask.wanted).abs() <= (PI - turn - ask.wanted).abs() { turn } else { PI - turn };
    let missing = angle - ask.wanted;
    let mut error = missing.abs();
    if sizes.greatest > 0.0 && error > 1e-12 {
        // No two differences turn them further; rounding is far less than the nanoradian that is left.
        if error - sizes.greatest * (1.0 / fence.base + 1.0 / rail.base) > ask.tolerance + 1e-9 {
            return None;
        }
        for a in turned[0] {
            for b in turned[1] {
                error = error.min((missing + (a + b)).abs());
            }
        }
    }
    if error > ask.tolerance + 1e-12 {
        return None;
    }
    let variance = fence.lean.as_ref().zip(rail.lean.as_ref()).and_then(|(f, r)| places.variance_between(f, r));
    let u = variance.map_or(0.0, |v| (v + fence.by_dogs + rail.by_dogs + fence.dog_in_common(rail, dogs)).sqrt());
    let bound = (error + 2.0 * u) * PER_METRE;
    let open = places.basis() != Basis::Planned && variance.is_none();
    let base_um = fence.base_um.min(rail.base_um);
    Some(Candidate { open, step: step_of(bound), base_um, fence: fence.holes, rail: rail.holes })
}
