//! The stop for a length: which hole, which dog, what spacer between dog and work; and how far out
//! the length may be.
//!
//! X is where the cut meets the face the work lies against, s the distance of the stop's centre from
//! it along that face, h its height above it, θ the cut's angle on the work's side, β that of the end
//! at the stop, w how far from the fence the length is taken, k the kerf where the kept piece lies
//! beyond it:
//! spacer = sin β · (s + h·cot β − k/sin θ − (length + w·(cot θ + cot β))) − r.

use std::f64::consts::FRAC_PI_2;

use super::clear::{LEAST_DOG_CLEARANCE, faces, kept_of, meeting};
use super::dogs::Dogs;
use super::line::Face;
use super::pair::{Pair, stands};
use super::places::{Place, Places};
use crate::job::{CutAt, Job, Kept};
use crate::math;
use crate::top::Point;

/// The piece that is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Its length, mm.
    pub length: f64,
    /// Where along the cut that is taken.
    pub at: CutAt,
    /// Width from the fence to the far edge, mm; nought where the length is taken at the fence and
    /// nothing is said.
    pub width: f64,
    /// What the blade takes out, mm.
    pub kerf: f64,
    /// Which piece is kept.
    pub kept: Kept,
    /// Angle of the end at the stop, rad.
    pub end: f64,
}

/// A stop for a piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopSet {
    /// The hole, by index.
    pub hole: usize,
    /// Its dog's diameter, mm.
    pub dog: f64,
    /// What goes between dog and work, mm; negative where the dog stands too near.
    pub spacer: f64,
    /// Distance of the stop's centre from the cut along the face the work lies against, mm.
    pub along: f64,
    /// Its height above that face, mm.
    pub across: f64,
    /// Standard uncertainty of the length, mm; `None` where nothing is known of the places.
    pub u_length: Option<f64>,
}

/// Where fence, rail and stop stand against each other, from the dogs' faces, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offsets {
    /// From the rail's dogs to the cut.
    pub cut: f64,
    /// From the fence's dogs to the work.
    pub fence_thickness: f64,
}

/// The cotangent; exactly nought for a right angle, so that a square end asks for no height.
fn cot(angle: f64) -> f64 {
    if angle == FRAC_PI_2 { 0.0 } else { 1.0 / math::tan(angle) }
}

impl StopSet {
    /// Works a stop out.
    pub fn of(
        places: &Places,
        pair: &Pair,
        piece: &Piece,
        offsets: &Offsets,
        dogs: &Dogs,
        stop: (usize, f64),
    ) -> StopSet {
        let (hole, dog) = stop;
        let [work, cut] = faces(pair, offsets.fence_thickness, offsets.cut);
        let centre = places.holes()[hole].centre;
        let Stand { along, across, spacer } = Ends::of(pair, [&work, &cut], piece).stand(centre, dog);
        let (sin, cos) = math::sin_cos(pair.angle);
        let kerf = piece.taken_by_blade();
        let taken = piece.taken_at();
        let end = cot(piece.end);

        // The length that comes out with this spacer, by the places of all five holes: it moves with
        // s and h, and with θ by (k·cos θ + w)/sin² θ.
        let sign = pair.fence.sign();
        let (n, turn) = (work.normal(), work.direction - cut.direction);
        let (sin_turn, cos_turn) = math::sin_cos(turn);
        let by_turn = (work.offset - cut.offset * cos_turn) / (sin_turn * sin_turn);
        let by_angle = (kerf * cos + taken) / (sin * sin);
        let (s, h) = (work.along_of(centre), n[0] * centre.x + n[1] * centre.y);
        let by_fence = h - by_turn - sign * (end * s + by_angle);
        let by_rail = by_turn + sign * by_angle;
        let by_offsets = [cos_turn / sin_turn - sign * end, -1.0 / sin_turn];
        let mut terms = vec![(hole, [0, 1].map(|i| work.along[i] + sign * end * n[i]))];
        for (line, face, by_direction, by_offset) in [
            (&pair.fence, &pair.fence_face, by_fence, by_offsets[0]),
            (&pair.rail, &pair.rail_face, by_rail, by_offsets[1]),
        ] {
            // offset = n·a + s₁ with the first centre a, so it moves with a and with the direction.
            let first = places.holes()[line.holes[0]].centre;
            let turned = by_direction - by_offset * face.along_of(first);
            let n = face.normal();
            terms.push((line.holes[0], [0, 1].map(|i| by_offset * n[i] - turned * face.turn[i])));
            terms.push((line.holes[1], [0, 1].map(|i| turned * face.turn[i])));
        }
        // Dogs of a line are taken as alike in thickness, so that they shift it and do not turn it.
        let thickness = (1.0 + by_offsets.iter().map(|by| by * by).sum::<f64>()) * dogs.radius_sd * dogs.radius_sd;
        let u_length = places.variance(&terms).map(|holes| (holes + stands(&terms, dogs) + thickness).sqrt());
        StopSet { hole, dog, spacer, along, across, u_length }
    }
}

impl Offsets {
    /// Those of a job's kit; `None` where it has no rail.
    pub fn of_kit(job: &Job) -> Option<Offsets> {
        let kit = job.kit.as_ref()?;
        let fence_thickness = kit.fence.as_ref().and_then(|fence| fence.thickness).unwrap_or(0.0);
        Some(Offsets { cut: kit.rail.as_ref()?.cut, fence_thickness })
    }
}

/// The best stop for a piece with the kit's rail and fence, in a hole where no dog of theirs stands;
/// which piece is kept follows from the lines.
pub fn kit_stop(job: &Job, places: &Places, dogs: &Dogs, pair: &Pair, piece: &Piece) -> Option<StopSet> {
    let piece = Piece { kept: kept_of(pair), ..*piece };
    best_stop(places, pair, &piece, &Offsets::of_kit(job)?, dogs, |hole| !pair.uses(hole))
}

/// Shortest and longest piece that such stops meet.
pub fn kit_lengths(job: &Job, places: &Places, dogs: &Dogs, pair: &Pair, piece: &Piece) -> Option<[f64; 2]> {
    let piece = Piece { kept: kept_of(pair), ..*piece };
    lengths(places, pair, &piece, &Offsets::of_kit(job)?, dogs, |hole| !pair.uses(hole))
}

/// Whether a hole carries a stop for a piece at all, found as [`kit_stop`] finds the best.
pub fn has_kit_stop(job: &Job, places: &Places, dogs: &Dogs, pair: &Pair, piece: &Piece) -> bool {
    let piece = Piece { kept: kept_of(pair), ..*piece };
    let Some(offsets) = Offsets::of_kit(job) else { return false };
    let [work, cut] = faces(pair, offsets.fence_thickness, offsets.cut);
    let (ends, dog) = (Ends::of(pair, [&work, &cut], &piece), dogs.usual());
    let serves = |(hole, place): (usize, &Place)| !pair.uses(hole) && ends.stand(place.centre, dog).is_a_stop(&piece);
    places.holes().iter().enumerate().any(serves)
}

/// Where a piece lies, for dogs that may stand at its end: what is the same for all of them.
struct Ends<'f> {
    work: &'f Face,
    sign: f64,
    /// Where along it the cut meets it.
    meets: f64,
    cot: f64,
    sin: f64,
    /// Between cut and stop, along the fence: what the blade takes; the length.
    kerf: f64,
    length: f64,
}

impl<'f> Ends<'f> {
    fn of(pair: &Pair, [work, cut]: [&'f Face; 2], piece: &Piece) -> Ends<'f> {
        let (sin, cos) = math::sin_cos(pair.angle);
        let end = cot(piece.end);
        Ends {
            work,
            sign: pair.fence.sign(),
            meets: meeting(work, cut),
            cot: end,
            sin: math::sin(piece.end),
            kerf: piece.taken_by_blade() / sin,
            length: piece.length + piece.taken_at() * (cos / sin + end),
        }
    }

    /// Where a dog stands.
    fn stand(&self, centre: Point, dog: f64) -> Stand {
        let along = self.work.along_of(centre) - self.meets;
        let across = self.sign * self.work.left_of(centre);
        let free = along + across * self.cot - self.kerf - self.length;
        Stand { along, across, spacer: self.sin * free - 0.5 * dog }
    }
}

/// Where a dog stands to a piece.
struct Stand {
    along: f64,
    across: f64,
    spacer: f64,
}

impl Stand {
    /// True if the dog meets the end of the work: its middle on it, where the width is known.
    fn is_on_the_end(&self, piece: &Piece) -> bool {
        self.across >= 0.0 && (piece.width <= 0.0 || self.across <= piece.width)
    }

    /// True if it is on the end, and a spacer reaches it.
    fn is_a_stop(&self, piece: &Piece) -> bool {
        self.is_on_the_end(piece) && (0.0..=MOST_SPACER).contains(&self.spacer)
    }
}

impl Piece {
    /// What the blade takes of the way to the stop, square to the cut, mm.
    fn taken_by_blade(&self) -> f64 {
        if self.kept == Kept::Beyond { self.kerf } else { 0.0 }
    }

    /// How far from the fence the length is taken, mm.
    fn taken_at(&self) -> f64 {
        match self.at {
            CutAt::Fence => 0.0,
            CutAt::Middle => 0.5 * self.width,
            CutAt::Far => self.width,
        }
    }
}

/// The greatest spacer that a stop is looked for with, mm: a longer one is a stop of its own.
pub const MOST_SPACER: f64 = 400.0;

/// The stop for a piece with the least spacer, of all holes that `allowed` lets pass; none where
/// every hole stands in the piece, or beside it.
pub fn best_stop(
    places: &Places,
    pair: &Pair,
    piece: &Piece,
    offsets: &Offsets,
    dogs: &Dogs,
    allowed: impl Fn(usize) -> bool,
) -> Option<StopSet> {
    let dog = dogs.usual();
    let [work, cut] = faces(pair, offsets.fence_thickness, offsets.cut);
    let ends = Ends::of(pair, [&work, &cut], piece);
    let mut best: Option<(usize, Stand)> = None;
    for hole in (0..places.holes().len()).filter(|hole| allowed(*hole)) {
        let stand = ends.stand(places.holes()[hole].centre, dog);
        if !stand.is_a_stop(piece) {
            continue;
        }
        // Of stops as near, the one nearest to the fence: there the work is straightest.
        let better = best.as_ref().is_none_or(|(_, b)| {
            (stand.spacer, stand.across) < (b.spacer - 1e-6, f64::INFINITY)
                || ((stand.spacer - b.spacer).abs() <= 1e-6 && stand.across < b.across)
        });
        if better {
            best = Some((hole, stand));
        }
    }
    best.map(|(hole, _)| StopSet::of(places, pair, piece, offsets, dogs, (hole, dog)))
}

/// Shortest and longest piece that stops in these holes meet without a spacer, mm, the stop clear of
/// the blade. `None` where no hole serves.
pub fn lengths(
    places: &Places,
    pair: &Pair,
    piece: &Piece,
    offsets: &Offsets,
    dogs: &Dogs,
    allowed: impl Fn(usize) -> bool,
) -> Option<[f64; 2]> {
    let dog = dogs.usual();
    let (sin, _) = math::sin_cos(pair.angle);
    let clear = 0.5 * dog + piece.kerf / sin + LEAST_DOG_CLEARANCE;
    let [work, cut] = faces(pair, offsets.fence_thickness, offsets.cut);
    let ends = Ends::of(pair, [&work, &cut], piece);
    let mut range: Option<[f64; 2]> = None;
    for hole in (0..places.holes().len()).filter(|hole| allowed(*hole)) {
        let stand = ends.stand(places.holes()[hole].centre, dog);
        let length = piece.length + stand.spacer / ends.sin;
        if stand.is_on_the_end(piece) && stand.along >= clear && length > 0.0 {
            range = Some(range.map_or([length; 2], |[a, b]| [a.min(length), b.max(length)]));
        }
    }
    range
}
