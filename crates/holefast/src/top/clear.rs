//! How clear a hole stands of the edge, of keep-outs and of other holes, and which way is out.
//!
//! One [`Clearance`] for each thing a hole may come too near to; [`way_out`] finds the shortest
//! move along the axes after which it is clear. Millimetres, measured from the hole's edge.

use kurbo::{Point, Vec2};

use super::layout::{LaidHole, Obstacle};
use super::outline::{depth_in_outline, distance, distance_to_keep_out};
use crate::job::{Job, Units};
use crate::measure::MM_PER_INCH;
use crate::words::layout::length;

/// Wood that must stay between two holes, mm. Common practice, no source: two plies of ordinary
/// birch plywood are about 3 mm; a thinner wall breaks out when the second hole is opened.
pub const LEAST_WOOD: f64 = 3.0;

/// Distances closer than this to a limit count as on it, mm: far below what a rule shows, far
/// above the rounding of sums of a few thousand millimetres (1e-12 mm).
pub(crate) const ON_THE_LIMIT: f64 = 1e-6;

/// What lies between a hole and one thing.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Clearance {
    /// The thing.
    pub with: Obstacle,
    /// From the hole's edge, mm; negative where they overlap.
    pub there_is: f64,
    /// Wanted, mm.
    pub wanted: f64,
}

impl Clearance {
    /// What is left over, mm; negative where it is too near.
    pub(crate) fn spare(&self) -> f64 {
        self.there_is - self.wanted
    }

    /// True if the hole may stand there as far as this goes.
    pub(crate) fn is_kept(&self) -> bool {
        self.spare() >= -ON_THE_LIMIT
    }
}

/// Clearance from the top's edge. The job's `edge` is from the centre; a large extra hole keeps at
/// least [`LEAST_WOOD`] of wood beside it all the same.
pub(crate) fn from_edge(job: &Job, centre: Point, diameter: f64) -> Clearance {
    Clearance {
        with: Obstacle::Edge,
        there_is: depth_in_outline(&job.top.outline, centre) - 0.5 * diameter,
        wanted: (job.grid.edge - 0.5 * diameter).max(LEAST_WOOD),
    }
}

/// Clearance from one keep-out.
pub(crate) fn from_keep_out(job: &Job, idx: usize, centre: Point, diameter: f64) -> Clearance {
    let keep_out = &job.keep_outs[idx];
    Clearance {
        with: Obstacle::KeepOut(idx),
        there_is: distance_to_keep_out(keep_out, centre) - 0.5 * diameter,
        wanted: keep_out.clearance.max(0.0),
    }
}

/// Clearance from another hole.
pub(crate) fn from_hole(other: &LaidHole, centre: Point, diameter: f64) -> Clearance {
    Clearance {
        with: Obstacle::Hole(other.name.clone()),
        there_is: distance(other.centre, centre) - 0.5 * (diameter + other.diameter),
        wanted: LEAST_WOOD,
    }
}

/// Clearances from everything that does not move with the grid: the edge, then every keep-out.
pub(crate) fn from_sheet(job: &Job, centre: Point, diameter: f64) -> impl Iterator<Item = Clearance> + '_ {
    std::iter::once(from_edge(job, centre, diameter))
        .chain((0..job.keep_outs.len()).map(move |idx| from_keep_out(job, idx, centre, diameter)))
}

/// A move along one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Move {
    /// The move, mm.
    pub by: Vec2,
}

impl Move {
    /// `9.5 mm to the right`: seen from the top face, reference edge nearest.
    pub(crate) fn in_words(self, units: Units) -> String {
        let (amount, where_to) = match (self.by.x, self.by.y) {
            (x, _) if x > 0.0 => (x, "to the right"),
            (x, _) if x < 0.0 => (-x, "to the left"),
            (_, y) if y > 0.0 => (y, "away from the reference edge"),
            (_, y) => (-y, "towards the reference edge"),
        };
        format!("{} {where_to}", length(amount, units))
    }
}

/// Moves are named in such steps, mm: what a rule shows, a tenth of a mm or a two-hundredth of an inch.
fn move_step(units: Units) -> f64 {
    match units {
        Units::Mm => 0.1,
        Units::Inch => 0.005 * MM_PER_INCH,
    }
}

/// Steps of a search along one direction before it is given up. The distance left over shrinks at
/// each step; a thousand are enough to slide past a wall lying 10° off the direction.
const MOST_STEPS: usize = 1000;

/// Returns the shortest move along the axes, rounded up to what a rule shows, after which `spare`
/// is not negative; `None` if there is none within `farthest` mm.
///
/// `spare` gives what is left over at a point, mm, and must not fall faster than 1 mm per mm, as
/// distances do: then stepping by what is missing never jumps over a place that is clear.
pub(crate) fn way_out(from: Point, farthest: f64, units: Units, spare: impl Fn(Point) -> f64) -> Option<Move> {
    [Vec2::new(1.0, 0.0), Vec2::new(-1.0, 0.0), Vec2::new(0.0, 1.0), Vec2::new(0.0, -1.0)]
        .into_iter()
        .filter_map(|direction| {
            let mut reach = 0.0;
            for _ in 0..MOST_STEPS {
                let missing = -spare(from + direction * reach);
                if missing <= ON_THE_LIMIT {
                    let step = move_step(units);
                    let rounded = (reach / step - ON_THE_LIMIT).ceil() * step;
                    return (spare(from + direction * rounded) >= -ON_THE_LIMIT)
                        .then_some((rounded, Move { by: direction * rounded }));
                }
                reach += missing;
                if reach > farthest {
                    break;
                }
            }
            None
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, found)| found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shortest_way_out_of_a_disc() {
        // A disc of radius 10 about the origin; from (−4, 3) the left is nearest: x = −√(100 − 9).
        let spare = |p: Point| distance(Point::ORIGIN, p) - 10.0;
        let found = way_out(Point::new(-4.0, 3.0), 100.0, Units::Mm, spare).unwrap();
        assert!((found.by.x + 5.6).abs() < 1e-9 && found.by.y == 0.0, "{found:?}");
        assert_eq!(found.in_words(Units::Mm), "5.6 mm to the left");
        assert_eq!(way_out(Point::new(-4.0, 3.0), 5.0, Units::Mm, spare), None);
    }
}
