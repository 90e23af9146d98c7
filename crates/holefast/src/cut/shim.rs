//! What to put between a face and one of its dogs so that the face runs in a wanted direction.
//!
//! A shim of thickness t adds t to the offset of the face from that dog's centre, which is exact
//! (it turns with the face). needed = d·sin(ψ* − φ) − (s₂ − s₁), its sign changed on the right; where
//! it is positive it goes to the second dog, else its amount to the first.

use super::line::Line;
use super::pair::Pair;
use super::places::Places;
use crate::math;

/// A shim on one line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shim {
    /// The hole whose dog it goes to.
    pub hole: usize,
    /// At which end of the line that is.
    pub end: usize,
    /// How thick, mm.
    pub thickness: f64,
}

/// The shims that bring a pair to a wanted angle, each alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shims {
    /// On the fence.
    pub fence: Shim,
    /// On the rail.
    pub rail: Shim,
}

/// The shim that turns a line into a direction, rad.
pub fn shim_for(places: &Places, line: &Line, direction: f64) -> Shim {
    let [a, b] = line.holes.map(|hole| places.holes()[hole].centre);
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let offsets = line.offsets();
    let needed =
        line.sign() * (math::hypot(dx, dy) * math::sin(direction - math::atan2(dy, dx)) - (offsets[1] - offsets[0]));
    let end = usize::from(needed >= 0.0);
    Shim { hole: line.holes[end], end, thickness: needed.abs() }
}

impl Shims {
    /// The shim on the fence and the shim on the rail, either of which brings the pair to `wanted`.
    pub fn of(places: &Places, pair: &Pair, wanted: f64) -> Shims {
        let more = pair.fence.sign() * (wanted - pair.angle);
        Shims {
            fence: shim_for(places, &pair.fence, pair.fence_face.direction - more),
            rail: shim_for(places, &pair.rail, pair.rail_face.direction + more),
        }
    }

    /// The thinner of the two: true for the fence.
    pub fn thinner_on_fence(&self) -> bool {
        self.fence.thickness <= self.rail.thickness
    }
}

/// Most shims laid on one another: more of them are a spring.
const MOST_TOGETHER: usize = 3;

/// The shims of a stock that come nearest to a thickness, each used once, thickest first; none where
/// no shim is nearer than leaving it. Of those alike the fewest.
pub fn from_stock(stock: &[f64], wanted: f64) -> Vec<f64> {
    let mut sorted: Vec<f64> = stock.to_vec();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let mut best: (f64, Vec<f64>) = (wanted.abs(), Vec::new());
    add(&sorted, wanted, &mut Vec::new(), &mut best);
    best.1
}

/// A micrometre: shims are not known better, so a stack must be nearer by more to be thicker.
const NEARER: f64 = 1e-3;

fn add(stock: &[f64], left: f64, used: &mut Vec<f64>, best: &mut (f64, Vec<f64>)) {
    let missing = left.abs();
    let fewer = used.len() < best.1.len();
    if missing < best.0 - NEARER || (fewer && missing < best.0 + NEARER) {
        *best = (missing, used.clone());
    }
    if used.len() == MOST_TOGETHER {
        return;
    }
    for (i, &shim) in stock.iter().enumerate() {
        used.push(shim);
        add(&stock[i + 1..], left - shim, used, best);
        used.pop();
    }
}
