//! The stop for a length: which hole, which dog, what spacer between dog and work; and how far out
//! the length may be.
//!
//! X is where the cut meets the face the work lies against, s the distance of the stop's centre from
//! it along that face, h its height above it, θ the cut's angle on the work's side, β that of the end
//! at the stop, w how far from the fence the length is taken, k the kerf where the kept piece lies
//! beyond it:
//! spacer = sin β · (s + h·cot β − k/sin θ − (length + w·(cot θ + cot β))) − r.

use std::f64::consts::FRAC_PI_2;

use super::clear::{LEAST_DOG_CLEARANCE, faces, meeting};
use super::dogs::Dogs;
use super::pair::{Pair, stands};
use super::places::Places;
use crate::job::{CutAt, Kept};
use crate::math;

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
        let along = work.along_of(centre) - meeting(&work, &cut);
        let across = pair.fence.sign() * work.left_of(centre);
        let (sin, cos) = math::sin_cos(pair.angle);
        let kerf = if piece.kept == Kept::Beyond { piece.kerf } else { 0.0 };
        let taken = match piece.at {
            CutAt::Fence => 0.0,
            CutAt::Middle => 0.5 * piece.width,
            CutAt::Far => piece.width,
        };
        let end = cot(piece.end);
        let free = along + across * end - kerf / sin - (piece.length + taken * (cos / sin + end));
        let spacer = math::sin(piece.end) * free - 0.5 * dog;

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

/// The greatest spacer that a stop is looked for with, mm: a longer one is a stop of its own.
const MOST_SPACER: f64 = 400.0;

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
    let mut best: Option<StopSet> = None;
    for hole in (0..places.holes().len()).filter(|hole| allowed(*hole)) {
        let stop = StopSet::of(places, pair, piece, offsets, dogs, (hole, dog));
        // The dog must meet the end of the work: its middle on it, where the width is known.
        let on_the_end = stop.across >= 0.0 && (piece.width <= 0.0 || stop.across <= piece.width);
        if !on_the_end || !(0.0..=MOST_SPACER).contains(&stop.spacer) {
            continue;
        }
        // Of stops as near, the one nearest to the fence: there the work is straightest.
        let better = best.is_none_or(|b| {
            (stop.spacer, stop.across) < (b.spacer - 1e-6, f64::INFINITY)
                || ((stop.spacer - b.spacer).abs() <= 1e-6 && stop.across < b.across)
        });
        if better {
            best = Some(stop);
        }
    }
    best
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
    let mut range: Option<[f64; 2]> = None;
    for hole in (0..places.holes().len()).filter(|hole| allowed(*hole)) {
        let stop = StopSet::of(places, pair, piece, offsets, dogs, (hole, dog));
        let on_the_end = stop.across >= 0.0 && (piece.width <= 0.0 || stop.across <= piece.width);
        let length = piece.length + stop.spacer / math::sin(piece.end);
        if on_the_end && stop.along >= clear && length > 0.0 {
            range = Some(range.map_or([length; 2], |[a, b]| [a.min(length), b.max(length)]));
        }
    }
    range
}
