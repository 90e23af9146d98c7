//! A fence line and a rail line together: the angle of the cut on the work's side, and its standard
//! uncertainty.

use std::f64::consts::{PI, TAU};

use super::PER_METRE;
use super::dogs::Dogs;
use super::line::{Face, Line};
use super::places::Places;

/// Fence and rail worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// The fence.
    pub fence: Line,
    /// The rail.
    pub rail: Line,
    /// The fence's face at the dogs.
    pub fence_face: Face,
    /// The rail's face at the dogs.
    pub rail_face: Face,
    /// Angle between fence and cut on the work's side, rad.
    pub angle: f64,
}

impl Pair {
    /// Works fence and rail out. `None` where a line's dogs are too thick for their distance, or the
    /// rail runs away from the work, which lies at the side of the fence that touches.
    pub fn of(places: &Places, fence: Line, rail: Line) -> Option<Pair> {
        let (fence_face, rail_face) = (fence.face(places)?, rail.face(places)?);
        let angle = angle_between(fence.sign(), fence_face.direction, rail_face.direction)?;
        Some(Pair { fence, rail, fence_face, rail_face, angle })
    }

    /// True if a dog of fence or rail stands in a hole.
    pub fn uses(&self, hole: usize) -> bool {
        self.fence.holes.contains(&hole) || self.rail.holes.contains(&hole)
    }

    /// Change of the angle per shift of each of the four centres, rad per mm.
    pub fn gradient(&self) -> [(usize, [f64; 2]); 4] {
        let sign = self.fence.sign();
        let term = |face: &Face, hole: usize, way: f64| (hole, [way * face.turn[0], way * face.turn[1]]);
        [
            term(&self.fence_face, self.fence.holes[0], sign),
            term(&self.fence_face, self.fence.holes[1], -sign),
            term(&self.rail_face, self.rail.holes[0], -sign),
            term(&self.rail_face, self.rail.holes[1], sign),
        ]
    }

    /// Standard uncertainty of the angle, rad: the holes' places with all they have in common, the
    /// dogs in them, the dogs' thickness. `None` where nothing is known of the places.
    pub fn u(&self, places: &Places, dogs: &Dogs) -> Option<f64> {
        let terms = self.gradient();
        let holes = places.variance(&terms)?;
        let thickness: f64 = [&self.fence_face, &self.rail_face]
            .iter()
            .map(|face| 2.0 * (face.turn[0] * face.turn[0] + face.turn[1] * face.turn[1]))
            .sum::<f64>()
            * dogs.radius_sd
            * dogs.radius_sd;
        Some((holes + stands(&terms, dogs) + thickness).sqrt())
    }

    /// Deviation from a wanted angle, mm per m.
    pub fn error_mm_per_m(&self, wanted: f64) -> f64 {
        (self.angle - wanted) * PER_METRE
    }
}

/// The angle between fence and cut on the work's side, rad, of the directions of their faces and the
/// fence's sign; `None` where the rail runs away from the work.
pub(super) fn angle_between(sign: f64, fence: f64, rail: f64) -> Option<f64> {
    let turn = sign * (rail - fence);
    let angle = turn - TAU * (turn / TAU).floor();
    (angle > 0.0 && angle < PI).then_some(angle)
}

/// Variance that the dogs' standing away from their holes' centres brings; one dog that serves two
/// lines moves both.
pub(super) fn stands(terms: &[(usize, [f64; 2])], dogs: &Dogs) -> f64 {
    let mut sum = 0.0;
    for (i, (hole, g)) in terms.iter().enumerate() {
        for (other, h) in &terms[..i] {
            if other == hole {
                sum += 2.0 * (g[0] * h[0] + g[1] * h[1]);
            }
        }
        sum += g[0] * g[0] + g[1] * g[1];
    }
    sum * dogs.stands_sd * dogs.stands_sd
}
