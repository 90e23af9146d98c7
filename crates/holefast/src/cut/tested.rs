//! What test cuts on an arrangement's very lines say of it: there the cut itself was measured, holes,
//! dogs and rail as they stood.

use std::f64::consts::FRAC_PI_2;

use super::PER_METRE;
use super::pair::Pair;
use super::places::Places;
use super::shim::Shims;
use crate::job::Job;

/// What test cuts say of an arrangement.
#[derive(Clone, Debug, PartialEq)]
pub struct Tested {
    /// The readings, by their numbers in the job, from 1.
    pub readings: Vec<usize>,
    /// The angle that was cut, rad.
    pub angle: f64,
    /// Its standard uncertainty, rad: the dogs as they stood.
    pub u: f64,
    /// The shims that mend it, each alone.
    pub shims: Shims,
}

/// A rail's or fence's dogs that differ by no more turn it by nothing, mm.
const ALIKE: f64 = 1e-9;

impl Tested {
    /// Of these lines; `None` where nobody cut on them. Several test cuts are weighed by their
    /// uncertainty. A test is of the lines through the holes: with dogs of two sizes on a line the
    /// fence or rail runs otherwise, and it is left to the proof.
    pub fn of(job: &Job, places: &Places, pair: &Pair, wanted: f64) -> Option<Tested> {
        if [&pair.fence, &pair.rail].iter().any(|line| (line.dogs[0] - line.dogs[1]).abs() > ALIKE) {
            return None;
        }
        let (mut readings, mut weights, mut sum) = (Vec::new(), 0.0, 0.0);
        for (i, reading) in job.proof.readings.iter().enumerate() {
            let Some(cut) = reading.test_cut(&job.proof.instruments) else { continue };
            let along = |named: &[String; 2], holes: [usize; 2]| {
                let names = holes.map(|hole| places.holes()[hole].name.as_str());
                let [a, b] = [&named[0], &named[1]];
                if names == [a, b] {
                    Some(1.0)
                } else if names == [b, a] {
                    Some(-1.0)
                } else {
                    None
                }
            };
            let ways = along(cut.fence, pair.fence.holes).zip(along(cut.rail, pair.rail.holes));
            let Some((fence, rail)) = ways.filter(|_| cut.u > 0.0) else { continue };
            readings.push(i + 1);
            let weight = 1.0 / (cut.u * cut.u);
            weights += weight;
            // Seen from the other side of one line the angle is what is left of half a turn.
            sum += weight * fence * rail * cut.over;
        }
        if readings.is_empty() {
            return None;
        }
        let angle = FRAC_PI_2 + sum / weights / PER_METRE;
        let shims = Shims::of(places, &Pair { angle, ..*pair }, wanted);
        Some(Tested { readings, angle, u: (1.0 / weights).sqrt() / PER_METRE, shims })
    }

    /// Deviation from a wanted angle, mm per m.
    pub fn error_mm_per_m(&self, wanted: f64) -> f64 {
        (self.angle - wanted) * PER_METRE
    }
}
