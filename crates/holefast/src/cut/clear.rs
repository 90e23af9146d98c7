//! What room an arrangement leaves: how long a cut rail and top allow, what the blade comes near to.
//!
//! The rail lies from its dogs' faces to the cut; the blade runs along its edge and takes the kerf on
//! the far side of it. It is counted as down over run-in, work and run-out, for it may be plunged
//! anywhere there.

use super::line::Face;
use super::pair::Pair;
use super::places::Places;
use crate::job::{Job, Kept};
use crate::kit::Rail;
use crate::math;
use crate::top::outline::{depth_in_outline, distance_to_keep_out, distance_to_segment, sides};
use crate::top::{KeepOut, KeepOutShape, Point};

/// Nearer than this no blade passes a steel dog, mm: common practice, no source.
pub const LEAST_DOG_CLEARANCE: f64 = 5.0;
/// What a blade takes out where the cut does not say, mm: common practice, no source.
pub const USUAL_KERF: f64 = 3.0;
/// Two faces nearer than this touch, mm.
const TOUCHING: f64 = 1e-6;

/// What an arrangement leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Where the cut meets the face that the work lies against.
    pub meets: Point,
    /// Longest cut across the work, mm; nought where there is no room at all.
    pub capacity: f64,
    /// Least distance of the kerf from a dog's edge, mm.
    pub from_dogs: f64,
    /// Least distance of the kerf from the edge of a hole without a dog, mm.
    pub from_holes: f64,
    /// Holes without a dog whose edge the kerf cuts, by index.
    pub nicked: Vec<usize>,
    /// Keep-outs that the cut passes over, by index in the job.
    pub over: Vec<usize>,
    /// Which piece lies on which side: the kept one is the one that the fence runs into.
    pub kept: Kept,
    /// Both ends of the kerf's middle, run-in and run-out included.
    pub path: [Point; 2],
    /// Both ends of the rail's edge at its dogs.
    pub rail: [Point; 2],
    /// What is in the way.
    pub blocked: Vec<Blocked>,
}

/// Why an arrangement will not do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Blocked {
    /// The cut meets the fence off the top.
    OffTheTop,
    /// The rail does not reach its dogs from where the cut begins.
    RailTooShort,
    /// A dog of the rail stands where the work lies.
    DogInTheWork,
    /// The fence has no dog on the kept piece's side.
    NothingToLieAgainst,
    /// The blade would meet a dog, or come too near.
    BladeMeetsDog,
    /// A dog of the fence stands under the rail.
    DogUnderRail,
    /// The cut cannot be as long as the work is wide.
    TooNarrow,
}

/// The dogs of an arrangement: hole and diameter.
fn dogs(pair: &Pair) -> [(usize, f64); 4] {
    let [a, b] = [&pair.fence, &pair.rail].map(|line| [0, 1].map(|end| (line.holes[end], line.dogs[end])));
    [a[0], a[1], b[0], b[1]]
}

/// The face that the work lies against, and the line of the cut.
pub fn faces(pair: &Pair, fence_thickness: f64, cut: f64) -> [Face; 2] {
    [pair.fence_face.shifted(pair.fence.sign() * fence_thickness), pair.rail_face.shifted(pair.rail.sign() * cut)]
}

/// How far along the fence the cut meets it, mm from the foot of the origin.
pub fn meeting(work: &Face, cut: &Face) -> f64 {
    let (sin, cos) = math::sin_cos(work.direction - cut.direction);
    (cut.offset - work.offset * cos) / sin
}

/// A point of a line by its distance along it.
pub fn point_on(face: &Face, along: f64) -> Point {
    let n = face.normal();
    Point::new(face.along[0] * along + n[0] * face.offset, face.along[1] * along + n[1] * face.offset)
}

/// Where a cut goes, and what it needs.
#[derive(Clone, Copy, Debug)]
pub struct CutAsk<'a> {
    /// The job, for outline and keep-outs.
    pub job: &'a Job,
    /// The rail.
    pub rail: &'a Rail,
    /// From the rail's dogs to the cut, mm.
    pub cut: f64,
    /// From the fence's dogs to the work, mm.
    pub fence_thickness: f64,
    /// What the blade takes out, mm.
    pub kerf: f64,
    /// Width of the work, mm, where known.
    pub width: Option<f64>,
}

/// The room that a pair leaves with the kit's rail and fence, for work this wide and a blade that takes
/// this out; `None` where the kit has no rail. Of a pair that something blocks only that is told: what
/// the blade passes there nobody asks, and a search goes through thousands of them.
pub fn room_for(job: &Job, places: &Places, pair: &Pair, width: Option<f64>, kerf: Option<f64>) -> Option<Room> {
    let ask = CutAsk::of_kit(job, width, kerf)?;
    let room = Room::in_the_way(places, pair, &ask);
    Some(if room.blocked.is_empty() { room.passing(places, pair, &ask) } else { room })
}

/// True if nothing blocks such a cut; `None` where the kit has no rail.
pub fn is_free(job: &Job, places: &Places, pair: &Pair, width: Option<f64>, kerf: Option<f64>) -> Option<bool> {
    Some(Room::in_the_way(places, pair, &CutAsk::of_kit(job, width, kerf)?).blocked.is_empty())
}

impl<'a> CutAsk<'a> {
    /// With the kit's rail and fence; `None` where it has no rail.
    pub(super) fn of_kit(job: &'a Job, width: Option<f64>, kerf: Option<f64>) -> Option<CutAsk<'a>> {
        let kit = job.kit.as_ref()?;
        let rail = kit.rail.as_ref()?;
        let fence_thickness = kit.fence.as_ref().and_then(|fence| fence.thickness).unwrap_or(0.0);
        Some(CutAsk { job, rail, cut: rail.cut, fence_thickness, kerf: kerf.unwrap_or(USUAL_KERF), width })
    }
}

impl Room {
    /// Works out what room a pair leaves.
    pub fn of(places: &Places, pair: &Pair, ask: &CutAsk<'_>) -> Room {
        Room::in_the_way(places, pair, ask).passing(places, pair, ask)
    }

    /// The room as far as it says what is in the way; what the blade passes is left empty.
    pub(super) fn in_the_way(places: &Places, pair: &Pair, ask: &CutAsk<'_>) -> Room {
        let [work, cut] = faces(pair, ask.fence_thickness, ask.cut);
        let at = meeting(&work, &cut);
        let meets = point_on(&work, at);
        let start = cut.along_of(meets);
        let holes = places.holes();
        let mut blocked = Vec::new();
        let (sin, _) = math::sin_cos(pair.angle);

        // Along the cut from where it meets the fence.
        let [run_in, run_out] = ask.rail.run;
        let ends = pair.rail.holes.map(|hole| cut.along_of(holes[hole].centre) - start);
        let from = ends[0].min(ends[1]).min(-run_in);
        let to = from + ask.rail.length;
        if to < ends[0].max(ends[1]) {
            blocked.push(Blocked::RailTooShort);
        }
        let mut capacity = (to - run_out).min(way_on_the_top(&ask.job.top.outline, meets, cut.along));
        if depth_in_outline(&ask.job.top.outline, meets) < 0.0 {
            blocked.push(Blocked::OffTheTop);
        }
        for end in [0, 1] {
            let radius = 0.5 * pair.rail.dogs[end];
            let across = pair.fence.sign() * work.left_of(holes[pair.rail.holes[end]].centre);
            if across + radius <= TOUCHING - ask.fence_thickness {
                continue;
            }
            if across - radius < -TOUCHING {
                blocked.push(Blocked::DogInTheWork);
            }
            capacity = capacity.min((across - radius) / sin);
        }
        let capacity = capacity.max(0.0);
        let needed = ask.width.map(|width| width / sin);
        if needed.is_some_and(|needed| needed > capacity + TOUCHING) || capacity <= 0.0 {
            blocked.push(Blocked::TooNarrow);
        }
        let last =
            work.along_of(holes[pair.fence.holes[1]].centre).max(work.along_of(holes[pair.fence.holes[0]].centre));
        if last <= at {
            blocked.push(Blocked::NothingToLieAgainst);
        }

        let middle = cut.shifted(pair.rail.sign() * 0.5 * ask.kerf);
        let path = [-run_in, needed.unwrap_or(capacity).min(capacity) + run_out].map(|t| point_on(&middle, start + t));
        let dogs = dogs(pair);
        let free = |&(hole, dog): &(usize, f64)| clear_of(path, ask.kerf, holes[hole].centre, dog);
        let from_dogs = dogs.iter().map(free).fold(f64::INFINITY, f64::min);
        if from_dogs < LEAST_DOG_CLEARANCE {
            blocked.push(Blocked::BladeMeetsDog);
        }
        for &(hole, dog) in &dogs[..2] {
            let centre = holes[hole].centre;
            let left = pair.rail.sign() * pair.rail_face.left_of(centre);
            let t = cut.along_of(centre) - start;
            let shared = pair.rail.holes.contains(&hole);
            let under = left + 0.5 * dog > TOUCHING && left - 0.5 * dog < ask.cut - TOUCHING;
            if !shared && under && t > from && t < to {
                blocked.push(Blocked::DogUnderRail);
            }
        }
        blocked.sort_unstable();
        blocked.dedup();
        let rail = [from, to].map(|t| point_on(&pair.rail_face, t + start));
        let (from_holes, nicked, over) = (f64::INFINITY, Vec::new(), Vec::new());
        Room { meets, capacity, from_dogs, from_holes, nicked, over, kept: kept_of(pair), path, rail, blocked }
    }

    /// The same with the holes and keep-outs that the blade passes.
    fn passing(mut self, places: &Places, pair: &Pair, ask: &CutAsk<'_>) -> Room {
        for (i, hole) in places.holes().iter().enumerate() {
            if pair.uses(i) {
                continue;
            }
            let clear = clear_of(self.path, ask.kerf, hole.centre, hole.diameter);
            self.from_holes = self.from_holes.min(clear);
            if clear < 0.0 {
                self.nicked.push(i);
            }
        }
        let keep_outs = &ask.job.keep_outs;
        self.over = (0..keep_outs.len()).filter(|&i| passes_over(&keep_outs[i], self.path, 0.5 * ask.kerf)).collect();
        self
    }
}

/// How far a kerf stays from the edge of a circle, mm.
fn clear_of(path: [Point; 2], kerf: f64, centre: Point, diameter: f64) -> f64 {
    distance_to_segment(centre, path[0], path[1]) - 0.5 * (diameter + kerf)
}

/// Which piece the fence runs into: the rail lies between its dogs and the cut, so it is the piece
/// beyond the kerf where that way leads on, away from the rail's dogs.
pub fn kept_of(pair: &Pair) -> Kept {
    let n = pair.rail_face.normal();
    let left = n[0] * pair.fence_face.along[0] + n[1] * pair.fence_face.along[1];
    if pair.rail.sign() * left > 0.0 { Kept::Beyond } else { Kept::UnderRail }
}

/// True if a path comes so near to a keep-out, mm, looked at in points so near to each other that none
/// slips between two; of those only the ones beside it.
fn passes_over(keep_out: &KeepOut, path: [Point; 2], near: f64) -> bool {
    /// Nothing that a top rests on is thinner, mm.
    const STEP: f64 = 5.0;
    let way = path[1] - path[0];
    let count = (way.hypot2().sqrt() / STEP).ceil().clamp(1.0, 4000.0);
    let [first, last] = beside(keep_out, path, near + TOUCHING);
    let [first, last] = [(first * count - 1.0).max(0.0), (last * count + 1.0).min(count)];
    first <= last
        && (first as usize..=last as usize)
            .map(|i| path[0] + way * (i as f64 / count))
            .any(|p| distance_to_keep_out(keep_out, p) <= near)
}

/// From which to which share of a path it lies in the upright rectangle that is so much wider than a
/// keep-out on all sides; the first is the greater where it never does.
fn beside(keep_out: &KeepOut, path: [Point; 2], wider: f64) -> [f64; 2] {
    let [from, to] = match keep_out.shape {
        KeepOutShape::Rect { x, y, length, width } => [[x, y], [x + length, y + width]],
        KeepOutShape::Circle { centre: c, diameter } => {
            let radius = 0.5 * diameter;
            [[c.x - radius, c.y - radius], [c.x + radius, c.y + radius]]
        }
    };
    let way = path[1] - path[0];
    let mut shares = [0.0_f64, 1.0];
    for (axis, (start, way)) in [(path[0].x, way.x), (path[0].y, way.y)].into_iter().enumerate() {
        let [low, high] = [from[axis] - wider - start, to[axis] + wider - start];
        if way == 0.0 {
            if low > 0.0 || high < 0.0 {
                return [1.0, 0.0];
            }
            continue;
        }
        let [a, b] = [low / way, high / way];
        shares = [shares[0].max(a.min(b)), shares[1].min(a.max(b))];
    }
    shares
}

/// How far one can go from a point of the top before its edge, mm.
fn way_on_the_top(outline: &[Point], from: Point, along: [f64; 2]) -> f64 {
    let mut least = f64::INFINITY;
    for (a, b) in sides(outline) {
        let (edge, to) = (b - a, a - from);
        let cross = along[0] * edge.y - along[1] * edge.x;
        if cross == 0.0 {
            continue;
        }
        let t = (to.x * edge.y - to.y * edge.x) / cross;
        let share = (to.x * along[1] - to.y * along[0]) / cross;
        if t > TOUCHING && (0.0..=1.0).contains(&share) {
            least = least.min(t);
        }
    }
    if least.is_finite() { least } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::top::Side;

    /// Against every point of the path, for paths in all directions about both shapes.
    #[test]
    fn what_a_path_passes_over_is_what_any_of_its_points_comes_near_to() {
        let shapes = [
            KeepOutShape::Rect { x: 100.0, y: 50.0, length: 60.0, width: 400.0 },
            KeepOutShape::Rect { x: -20.0, y: 210.0, length: 700.0, width: 8.0 },
            KeepOutShape::Circle { centre: Point::new(300.0, 200.0), diameter: 90.0 },
        ];
        let (near, mut met) = (1.1, [0, 0]);
        for shape in shapes {
            let keep_out = KeepOut { name: String::new(), shape, clearance: 0.0, side: Side::Below };
            for i in 0..4000_u32 {
                // spread evenly over the place, without a random number
                let at = |k: u32| f64::from(i.wrapping_mul(2_654_435_761).rotate_left(k) % 800) - 150.0;
                let to = if i % 7 == 0 { Point::new(at(3), at(17)) } else { Point::new(at(11), at(23)) };
                let from = Point::new(at(3), at(17) - f64::from(i % 5));
                let way = to - from;
                let count = (way.hypot2().sqrt() / 5.0).ceil().clamp(1.0, 4000.0);
                let all = (0..=count as usize).map(|i| from + way * (i as f64 / count));
                let wanted = all.into_iter().any(|p| distance_to_keep_out(&keep_out, p) <= near);
                assert_eq!(passes_over(&keep_out, [from, to], near), wanted, "{keep_out:?} {from:?} {to:?}");
                met[usize::from(wanted)] += 1;
            }
        }
        assert!(met.iter().all(|&n| n > 1000), "{met:?}");
    }
}
