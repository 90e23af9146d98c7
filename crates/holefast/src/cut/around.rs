//! Which way round two lines are used: which end of each comes first, on which side it touches, which
//! dogs stand in its holes.

use std::f64::consts::PI;

use super::PER_METRE;
use super::clear::{CutAsk, Room};
use super::dogs::Dogs;
use super::line::{Between, Line};
use super::pair::{Pair, angle_between};
use super::places::Places;
use super::search::Search;
use super::shortlist::{Candidate, step_of};
use super::sizes::Sizes;
use super::stop::{Piece, kit_stop};
use crate::job::{Job, LineSide};

const SIDES: [LineSide; 2] = [LineSide::Left, LineSide::Right];

/// One way round that has the angle and the room.
pub(super) struct Way {
    pub pair: Pair,
    /// Standard uncertainty of the angle, rad.
    pub u: Option<f64>,
    /// |deviation| + 2 u, mm per m.
    pub bound: f64,
    /// Longest cut, mm; nought where the kit has no rail.
    pub capacity: f64,
}

/// Everything that the ways round of all candidates share.
pub(super) struct Around<'a> {
    job: &'a Job,
    places: &'a Places,
    dogs: &'a Dogs,
    sizes: &'a Sizes,
    ask: &'a Search,
    piece: Option<&'a Piece>,
    /// Whether the dogs for two lines without a common hole can be had at once, fence by rail.
    have: Vec<bool>,
}

/// A line's direction from one end, touching on one side: with the usual dogs, and with each two of a
/// size; none where they are too thick. Found once for all lines across it.
struct Directed {
    line: Line,
    usual: Option<f64>,
    by_size: Vec<Option<f64>>,
}

impl<'a> Around<'a> {
    pub(super) fn new(
        job: &'a Job,
        places: &'a Places,
        dogs: &'a Dogs,
        sizes: &'a Sizes,
        ask: &'a Search,
        piece: Option<&'a Piece>,
    ) -> Around<'a> {
        let pairs = &sizes.pairs;
        let have = pairs.iter().flat_map(|a| pairs.iter().map(|b| dogs.have(&[a[0], a[1], b[0], b[1]]))).collect();
        Around { job, places, dogs, sizes, ask, piece, have }
    }

    /// The way round with most room, of those in the best step. Where the kit has no rail the first
    /// that has the angle.
    pub(super) fn best(&self, candidate: &Candidate) -> Option<Way> {
        let (fences, rails) = (self.directed(candidate.fence), self.directed(candidate.rail));
        let mut best: Option<Way> = None;
        for by_end in [0, 1].map(|end| &fences[2 * end..][..2]) {
            for rail_end in [0, 1].map(|end| &rails[2 * end..][..2]) {
                for fence in by_end {
                    for rail in rail_end {
                        if let Some(way) = self.way(fence, rail, best.as_ref()) {
                            best = Some(way);
                        }
                    }
                }
            }
        }
        best
    }

    /// A line from its first end on either side, then from its second.
    fn directed(&self, holes: [usize; 2]) -> Vec<Directed> {
        let usual = [self.dogs.usual(); 2];
        let mut all = Vec::with_capacity(4);
        for holes in [holes, [holes[1], holes[0]]] {
            let [a, b] = holes.map(|hole| self.places.holes()[hole].centre);
            let between = Between::of(a, b);
            for side in SIDES {
                let line = Line { holes, side, dogs: usual };
                let direction = |dogs: [f64; 2]| between.direction(Line { dogs, ..line }.offsets());
                let by_size = self.sizes.pairs.iter().map(|&dogs| direction(dogs)).collect();
                all.push(Directed { line, usual: direction(usual), by_size });
            }
        }
        all
    }

    /// This way round, if it will do and is better than the best so far.
    fn way(&self, fence: &Directed, rail: &Directed, best: Option<&Way>) -> Option<Way> {
        let wanted = self.ask.wanted;
        let plain = angle_between(fence.line.sign(), fence.usual?, rail.usual?)?;
        // the other of the two angles that these lines make
        if (plain - wanted).abs() > (PI - plain - wanted).abs() + 1e-9 {
            return None;
        }
        let [a, b] = self.best_dogs(fence, rail)?;
        let with = |line: &Line, dogs: usize| Line { dogs: self.sizes.pairs[dogs], ..*line };
        let pair = Pair::of(self.places, with(&fence.line, a), with(&rail.line, b))?;
        // What the blade passes is left for those that are told.
        let ask = CutAsk::of_kit(self.job, self.ask.width, self.ask.kerf);
        let room = ask.map(|ask| Room::in_the_way(self.places, &pair, &ask));
        let will_do = |room: &Room| room.blocked.is_empty() && self.ask.kept.is_none_or(|kept| kept == room.kept);
        if !room.as_ref().is_none_or(will_do) {
            return None;
        }
        let capacity = room.map_or(0.0, |room| room.capacity);
        let u = pair.u(self.places, self.dogs);
        let bound = ((pair.angle - wanted).abs() + 2.0 * u.unwrap_or(0.0)) * PER_METRE;
        let better = best.is_none_or(|best| {
            let (new, old) = (step_of(bound), step_of(best.bound));
            new < old || (new == old && capacity > best.capacity + 1e-6)
        });
        // The stop is looked for last: all holes are tried for it.
        let stopped = |piece: &Piece| kit_stop(self.job, self.places, self.dogs, &pair, piece).is_some();
        (better && self.piece.is_none_or(stopped)).then_some(Way { pair, u, bound, capacity })
    }

    /// The dogs that come nearest to the angle, of those that can be had at once, by their place among
    /// the sizes; one dog in a hole.
    fn best_dogs(&self, fence: &Directed, rail: &Directed) -> Option<[usize; 2]> {
        let pairs = &self.sizes.pairs;
        let shared = rail.line.holes.map(|hole| fence.line.holes.iter().position(|f| *f == hole));
        let mut best: Option<(f64, [usize; 2])> = None;
        for (i, fence_direction) in fence.by_size.iter().enumerate() {
            for (j, rail_direction) in rail.by_size.iter().enumerate() {
                let at_once = match shared {
                    [None, None] => self.have[i * pairs.len() + j],
                    _ => self.one_in_a_hole(pairs[i], pairs[j], shared),
                };
                let (true, Some(from), Some(to)) = (at_once, *fence_direction, *rail_direction) else { continue };
                let Some(angle) = angle_between(fence.line.sign(), from, to) else { continue };
                let off = (angle - self.ask.wanted).abs();
                if best.is_none_or(|(old, _)| off < old - 1e-12) {
                    best = Some((off, [i, j]));
                }
            }
        }
        best.filter(|(off, _)| *off <= self.ask.tolerance + 1e-9).map(|(_, dogs)| dogs)
    }

    /// True if a hole that both lines use gets the same dog from both, and all dogs can be had.
    fn one_in_a_hole(&self, fence: [f64; 2], rail: [f64; 2], shared: [Option<usize>; 2]) -> bool {
        let mut needed = fence.to_vec();
        for (end, at) in shared.iter().enumerate() {
            match at {
                Some(at) if fence[*at] != rail[end] => return false,
                Some(_) => {}
                None => needed.push(rail[end]),
            }
        }
        self.dogs.have(&needed)
    }
}
