//! Which holes carry fence and rail for an angle: the best few arrangements.
//!
//! Directions first, in pairs found by bisection; then only the longest bases of each direction, for
//! spread falls with the base; where the dogs are of several diameters some shorter ones too, for those
//! they turn further. Of two lines the dogs are chosen that come nearest to the angle, then the way
//! round that leaves most room. Ranked by |deviation| + 2 u in steps of 0.05 mm per m, then
//! by the shorter base, longer first, then by capacity, then by names.

use std::f64::consts::PI;

use super::PER_METRE;
use super::clear::{Room, room_for};
use super::directions::{Direction, DirectionPair, Nearest, directions, nearest, pairs_within};
use super::dogs::Dogs;
use super::line::{Face, Line};
use super::pair::Pair;
use super::places::{Basis, Places};
use super::stop::{Piece, kit_stop};
use crate::job::{Job, Kept, LineSide};
use crate::math;

/// Most arrangements that are told at once.
pub const MOST_ARRANGEMENTS: usize = 50;
/// Step of the rank, mm per m: finer differences say nothing about the cut.
const STEP: f64 = 0.05;
/// A line shorter than this share of the longest of its direction is looked at only where dogs of
/// several diameters may turn it into the angle.
const LEAST_SHARE: f64 = 0.7;
/// Most lines of one direction and length that are looked at: of the long ones, and of the others.
const MOST_LINES: [usize; 2] = [40, 8];
/// Two lengths of lines are left out once their best bound, reckoned as if fence and rail had nothing
/// in common, is so many times the worst that is kept: what they have in common takes less than that.
const HOPELESS: f64 = 1.6;

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

/// A candidate before its way round is chosen.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    /// Nothing is known of the angle's spread where of others it is: those come last.
    open: bool,
    step: i64,
    base: f64,
    fence: [usize; 2],
    rail: [usize; 2],
}

/// Lines of one direction and length.
struct Lines {
    lines: Vec<[usize; 2]>,
    /// How long, mm.
    base: f64,
    /// Least standard uncertainty of a line's own direction among them, rad; nought where unknown.
    least_u: f64,
}

/// Looks for the best arrangements of a job for an angle.
pub fn search(job: &Job, places: &Places, dogs: &Dogs, ask: &Search) -> Found {
    search_for(job, places, dogs, ask, None)
}

/// The same, of arrangements alone that have a stop for a piece; which piece is kept follows from each.
pub fn search_for(job: &Job, places: &Places, dogs: &Dogs, ask: &Search, piece: Option<&Piece>) -> Found {
    let all = directions(places, job.grid.pitch);
    let pairs = pairs_within(&all, ask.wanted, ask.tolerance);
    let nearest = nearest(&all, ask.wanted);
    let kit = job.kit.as_ref();
    let limits = [
        kit.and_then(|k| k.fence.as_ref()).map_or(f64::INFINITY, |f| f.length),
        kit.and_then(|k| k.rail.as_ref()).map_or(f64::INFINITY, |r| r.length),
    ];
    let best = ask.best.clamp(1, MOST_ARRANGEMENTS);
    let sizes = Sizes::of(dogs);
    let lines = limits.map(|limit| -> Vec<Vec<Lines>> {
        all.iter().map(|d| lines_of(places, dogs, &sizes, job.grid.pitch, d, limit)).collect()
    });

    // Pairs of lengths by the best they can do, so that the hopeless ones come last.
    let wider = ask.tolerance + sizes.greatest * 2.0 / job.grid.pitch[0].min(job.grid.pitch[1]);
    let near = if sizes.greatest > 0.0 { pairs_within(&all, ask.wanted, wider) } else { pairs.clone() };
    let mut order: Vec<(f64, &Lines, &Lines)> = Vec::new();
    for pair in &near {
        for fence in &lines[0][pair.fence] {
            for rail in &lines[1][pair.rail] {
                let turned = sizes.greatest * (1.0 / fence.base + 1.0 / rail.base);
                let error = (pair.error.abs() - turned).max(0.0);
                if error <= ask.tolerance + 1e-12 {
                    let u = (fence.least_u * fence.least_u + rail.least_u * rail.least_u).sqrt();
                    order.push(((error + 2.0 * u) * PER_METRE, fence, rail));
                }
            }
        }
    }
    order.sort_by(|a, b| {
        let base = |x: &(f64, &Lines, &Lines)| x.1.base.min(x.2.base);
        a.0.total_cmp(&b.0).then(base(b).total_cmp(&base(a)))
    });

    let mut candidates: Vec<Candidate> = Vec::new();
    let mut looked_at = 0;
    let mut worst_kept = f64::INFINITY;
    let keep = KEPT_PER_WANTED * best;
    for (estimate, fences, rails) in order {
        if estimate > HOPELESS * worst_kept + STEP {
            break;
        }
        for &fence in &fences.lines {
            for &rail in &rails.lines {
                looked_at += 1;
                if let Some(candidate) = candidate(places, dogs, &sizes, ask, fence, rail) {
                    candidates.push(candidate);
                }
            }
        }
        if candidates.len() > 2 * keep {
            candidates.sort_by(rank);
            candidates.truncate(keep);
        }
        if candidates.len() >= keep && candidates.iter().all(|c| !c.open) {
            let worst = candidates.iter().map(|c| c.step).max().unwrap_or(0);
            worst_kept = (worst + 1) as f64 * STEP;
        }
    }
    candidates.sort_by(rank);

    let mut arrangements: Vec<(Candidate, Arrangement)> = Vec::new();
    for candidate in candidates {
        // What follows ranks behind at best, unless it is level with the last that is kept.
        if arrangements.len() >= best && rank(&candidate, &arrangements[best - 1].0).is_gt() {
            break;
        }
        if let Some(arrangement) = best_way_round(job, places, dogs, &sizes, ask, piece, &candidate) {
            // one dog in a hole that both lines use may leave more than was hoped for
            let step = step_of(arrangement.bound_mm_per_m);
            let open = places.basis() != Basis::Planned && arrangement.u.is_none();
            arrangements.push((Candidate { open, step, ..candidate }, arrangement));
            arrangements.sort_by(|(c, a), (d, b)| {
                let capacity = |a: &Arrangement| a.room.as_ref().map_or(0.0, |r| r.capacity);
                rank(c, d)
                    .then(capacity(b).total_cmp(&capacity(a)))
                    .then((a.pair.fence.holes, a.pair.rail.holes).cmp(&(b.pair.fence.holes, b.pair.rail.holes)))
            });
        }
    }
    arrangements.truncate(best);
    let arrangements = arrangements.into_iter().map(|(_, a)| a).collect();
    Found { directions: all, pairs, nearest, arrangements, looked_at }
}

/// So many candidates are kept for each arrangement that is told: most of those dropped later have
/// no room for the cut.
const KEPT_PER_WANTED: usize = 40;

/// The step of the rank that a bound, mm per m, lies in.
fn step_of(bound: f64) -> i64 {
    (bound / STEP + 1e-9).floor() as i64
}

/// Known ones first, then by bound, then longer shorter base (to a thousandth of a mm, so that rounding orders nothing).
fn rank(a: &Candidate, b: &Candidate) -> std::cmp::Ordering {
    let base = |c: &Candidate| (c.base * 1000.0).round();
    a.open.cmp(&b.open).then(a.step.cmp(&b.step)).then(base(b).total_cmp(&base(a)))
}

/// What the dogs at hand can do: differences of radius from the first to the second of a line.
struct Sizes {
    /// Each pair of diameters for a line, most alike first.
    pairs: Vec<[f64; 2]>,
    /// Greatest difference of radius, mm.
    greatest: f64,
}

impl Sizes {
    fn of(dogs: &Dogs) -> Sizes {
        let mut pairs: Vec<[f64; 2]> =
            dogs.heads.iter().flat_map(|&(a, _)| dogs.heads.iter().map(move |&(b, _)| [a, b])).collect();
        pairs.retain(|pair| dogs.have(pair));
        // Alike pairs make the same line but for its place: one of each difference is enough, the
        // thickest, and of those with no difference the dog that there are most of.
        let usual = dogs.usual();
        pairs.sort_by(|a, b| {
            let difference = |p: &[f64; 2]| (p[0] - p[1]).abs();
            difference(a).total_cmp(&difference(b)).then((b[0] == usual).cmp(&(a[0] == usual)))
        });
        let mut kept: Vec<[f64; 2]> = Vec::new();
        for pair in pairs {
            let same = |k: &&[f64; 2]| ((k[1] - k[0]) - (pair[1] - pair[0])).abs() < 1e-9;
            // With few dogs of a size the like difference of others may be what is left.
            if kept.iter().filter(same).count() < 2 {
                kept.push(pair);
            }
        }
        let greatest = kept.iter().map(|p| 0.5 * (p[0] - p[1]).abs()).fold(0.0, f64::max);
        Sizes { pairs: kept, greatest }
    }
}

/// The lines of a direction that a straightedge of this length reaches, by length, longest first.
fn lines_of(
    places: &Places,
    dogs: &Dogs,
    sizes: &Sizes,
    pitch: [f64; 2],
    direction: &Direction,
    limit: f64,
) -> Vec<Lines> {
    let step = math::hypot(direction.p as f64 * pitch[0], direction.q as f64 * pitch[1]);
    // Holes of one lattice line share p·row − q·column; along it they differ in whole steps.
    let mut on: Vec<(i64, i64, usize)> = places
        .holes()
        .iter()
        .enumerate()
        .filter_map(|(i, hole)| {
            let cell = hole.cell?;
            let (column, row) = (i64::from(cell.column), i64::from(cell.row));
            let along = if direction.q != 0 { row.div_euclid(direction.q) } else { column };
            Some((direction.p * row - direction.q * column, along, i))
        })
        .collect();
    on.sort_unstable();
    let mut by_length: Vec<Vec<[usize; 2]>> = Vec::new();
    for (i, a) in on.iter().enumerate() {
        for b in on[i + 1..].iter().take_while(|b| b.0 == a.0) {
            let steps = (b.1 - a.1) as usize;
            if steps as f64 * step > limit + 1e-9 {
                break;
            }
            if by_length.len() <= steps {
                by_length.resize(steps + 1, Vec::new());
            }
            by_length[steps].push([a.2, b.2]);
        }
    }
    let longest = by_length.len().saturating_sub(1) as f64;
    let usual = dogs.usual();
    by_length
        .into_iter()
        .enumerate()
        .rev()
        .filter_map(|(steps, lines)| {
            let long = steps as f64 >= LEAST_SHARE * longest;
            if lines.is_empty() || !(long || sizes.greatest > 0.0) {
                return None;
            }
            let lines = spread(lines, MOST_LINES[usize::from(!long)]);
            let least_u = lines
                .iter()
                .filter_map(|&holes| {
                    let line = Line { holes, side: LineSide::Left, dogs: [usual; 2] };
                    let turn = line.face(places)?.turn;
                    let terms = [(holes[1], turn), (holes[0], turn.map(|t| -t))];
                    Some((places.variance(&terms)? + super::pair::stands(&terms, dogs)).sqrt())
                })
                .fold(f64::INFINITY, f64::min);
            let least_u = if least_u.is_finite() { least_u } else { 0.0 };
            Some(Lines { lines, base: steps as f64 * step, least_u })
        })
        .collect()
}

/// At most so many of a list, evenly over it.
fn spread(list: Vec<[usize; 2]>, most: usize) -> Vec<[usize; 2]> {
    if list.len() <= most {
        return list;
    }
    (0..most).map(|i| list[i * list.len() / most]).collect()
}

/// The faces of both lines with dogs of one size, and the angle they make, nearer to the wanted one.
fn faces(places: &Places, dog: f64, fence: [usize; 2], rail: [usize; 2], wanted: f64) -> Option<([Face; 2], f64)> {
    let face = |holes| Line { holes, side: LineSide::Left, dogs: [dog; 2] }.face(places);
    let (fence, rail) = (face(fence)?, face(rail)?);
    let turn = (rail.direction - fence.direction).abs();
    let turn = turn - PI * (turn / PI).floor();
    // of the two angles of crossing lines
    let angle = if (turn - wanted).abs() <= (PI - turn - wanted).abs() { turn } else { PI - turn };
    Some(([fence, rail], angle))
}

/// The least deviation that the dogs at hand leave between two lines, to first order in their
/// differences, and the bound with it.
fn candidate(
    places: &Places,
    dogs: &Dogs,
    sizes: &Sizes,
    ask: &Search,
    fence: [usize; 2],
    rail: [usize; 2],
) -> Option<Candidate> {
    if fence[0] == rail[0] && fence[1] == rail[1] {
        return None;
    }
    let ([f, r], angle) = faces(places, dogs.usual(), fence, rail, ask.wanted)?;
    let open = angle - ask.wanted;
    let mut error = open.abs();
    if sizes.greatest > 0.0 && error > 1e-12 {
        for a in &sizes.pairs {
            for b in &sizes.pairs {
                let turn = 0.5 * (a[1] - a[0]) / f.base + 0.5 * (b[1] - b[0]) / r.base;
                error = error.min((open + turn).abs());
            }
        }
    }
    if error > ask.tolerance + 1e-12 {
        return None;
    }
    let terms = [(fence[0], f.turn), (fence[1], f.turn.map(|t| -t)), (rail[0], r.turn.map(|t| -t)), (rail[1], r.turn)];
    let thickness: f64 = [f, r].iter().map(|x| 2.0 / (x.base * x.base)).sum::<f64>() * dogs.radius_sd * dogs.radius_sd;
    let variance = places.variance(&terms);
    let u = variance.map_or(0.0, |v| (v + super::pair::stands(&terms, dogs) + thickness).sqrt());
    let bound = (error + 2.0 * u) * PER_METRE;
    let open = places.basis() != Basis::Planned && variance.is_none();
    Some(Candidate { open, step: step_of(bound), base: f.base.min(r.base), fence, rail })
}

/// The way round with most room: which end of each line comes first, on which side it touches, which
/// dogs. Where the kit has no rail the first that has the angle.
fn best_way_round(
    job: &Job,
    places: &Places,
    dogs: &Dogs,
    sizes: &Sizes,
    ask: &Search,
    piece: Option<&Piece>,
    candidate: &Candidate,
) -> Option<Arrangement> {
    let mut best: Option<Arrangement> = None;
    let turned = |holes: [usize; 2]| [holes, [holes[1], holes[0]]];
    for fence in turned(candidate.fence) {
        for rail in turned(candidate.rail) {
            for fence_side in [LineSide::Left, LineSide::Right] {
                for rail_side in [LineSide::Left, LineSide::Right] {
                    let plain = dogs.usual();
                    let lines = |a: [f64; 2], b: [f64; 2]| {
                        let fence = Line { holes: fence, side: fence_side, dogs: a };
                        Pair::of(places, fence, Line { holes: rail, side: rail_side, dogs: b })
                    };
                    let Some(first) = lines([plain; 2], [plain; 2]) else { continue };
                    // the other of the two angles that these lines make
                    if (first.angle - ask.wanted).abs() > (PI - first.angle - ask.wanted).abs() + 1e-9 {
                        continue;
                    }
                    let Some(pair) = best_dogs(dogs, sizes, ask, first, lines) else { continue };
                    let room = room_for(job, places, &pair, ask.width, ask.kerf);
                    if let Some(room) = &room
                        && (!room.blocked.is_empty() || ask.kept.is_some_and(|kept| kept != room.kept))
                    {
                        continue;
                    }
                    if piece.is_some_and(|piece| kit_stop(job, places, dogs, &pair, piece).is_none()) {
                        continue;
                    }
                    let u = pair.u(places, dogs);
                    let error = (pair.angle - ask.wanted).abs();
                    let bound_mm_per_m = (error + 2.0 * u.unwrap_or(0.0)) * PER_METRE;
                    let better = best.as_ref().is_none_or(|b| {
                        let (new, old) = (step_of(bound_mm_per_m), step_of(b.bound_mm_per_m));
                        let capacity = |room: &Option<Room>| room.as_ref().map_or(0.0, |r| r.capacity);
                        new < old || (new == old && capacity(&room) > capacity(&b.room) + 1e-6)
                    });
                    if better {
                        best = Some(Arrangement { pair, u, bound_mm_per_m, room });
                    }
                }
            }
        }
    }
    best
}

/// The dogs that come nearest to the angle, of those that can be had at once; one dog in a hole.
fn best_dogs(
    dogs: &Dogs,
    sizes: &Sizes,
    ask: &Search,
    first: Pair,
    lines: impl Fn([f64; 2], [f64; 2]) -> Option<Pair>,
) -> Option<Pair> {
    let mut best: Option<Pair> = None;
    for &a in &sizes.pairs {
        for &b in &sizes.pairs {
            let mut needed = vec![a[0], a[1]];
            let mut one_in_a_hole = true;
            for (end, hole) in first.rail.holes.iter().enumerate() {
                match first.fence.holes.iter().position(|f| f == hole) {
                    Some(at) => one_in_a_hole &= a[at] == b[end],
                    None => needed.push(b[end]),
                }
            }
            if !one_in_a_hole || !dogs.have(&needed) {
                continue;
            }
            let Some(pair) = lines(a, b) else { continue };
            let off = |p: &Pair| (p.angle - ask.wanted).abs();
            if best.as_ref().is_none_or(|old| off(&pair) < off(old) - 1e-12) {
                best = Some(pair);
            }
        }
    }
    best.filter(|pair| (pair.angle - ask.wanted).abs() <= ask.tolerance + 1e-9)
}
