//! The lines of each direction that a straightedge reaches, by length, and of each what every pair it
//! takes part in would reckon anew: its direction, how far that may be out, how far dogs turn it.

use super::directions::Direction;
use super::dogs::Dogs;
use super::line::Line;
use super::pair::stands;
use super::places::{Lean, Places};
use super::sizes::Sizes;
use crate::job::LineSide;
use crate::math;

/// A line shorter than this share of the longest of its direction is looked at only where dogs of
/// several diameters may turn it into the angle.
const LEAST_SHARE: f64 = 0.7;
/// Most lines of one direction and length that are looked at: of the long ones, and of the others.
const MOST_LINES: [usize; 2] = [40, 8];

/// Lines of one direction and length.
pub(super) struct Lines {
    /// The two holes of each.
    pub holes: Vec<[usize; 2]>,
    /// How long, mm.
    pub base: f64,
}

/// The lines of a direction that straightedges of these lengths reach, by length, longest first, by their
/// place among `all`, which takes them in; what both reach stands there once.
pub(super) fn lines_of(
    places: &Places,
    sizes: &Sizes,
    pitch: [f64; 2],
    direction: &Direction,
    limits: [f64; 2],
    all: &mut Vec<Lines>,
) -> [Vec<usize>; 2] {
    let step = math::hypot(direction.p as f64 * pitch[0], direction.q as f64 * pitch[1]);
    let reaches = |limit: f64, steps: usize| steps as f64 * step <= limit + 1e-9;
    let furthest = limits[0].max(limits[1]);
    if !reaches(furthest, 1) {
        return [Vec::new(), Vec::new()];
    }
    // Holes of one lattice line share p·row − q·column; along it they differ in whole steps.
    let mut on: Vec<(i64, i64, usize)> = places
        .holes()
        .iter()
        .enumerate()
        .filter_map(|(i, hole)| {
            let cell = hole.cell?;
            let (column, row) = (i64::from(cell.column), i64::from(cell.row));
            let along = if direction.q != 0 { row } else { column };
            Some((direction.p * row - direction.q * column, along, i))
        })
        .collect();
    on.sort_unstable();
    let mut by_length: Vec<Vec<[usize; 2]>> = Vec::new();
    for (i, a) in on.iter().enumerate() {
        for b in on[i + 1..].iter().take_while(|b| b.0 == a.0) {
            let steps = ((b.1 - a.1) / direction.q.max(1)) as usize;
            if !reaches(furthest, steps) {
                break;
            }
            if by_length.len() <= steps {
                by_length.resize(steps + 1, Vec::new());
            }
            by_length[steps].push([a.2, b.2]);
        }
    }
    let longest = limits.map(|limit| {
        by_length.iter().enumerate().rposition(|(steps, lines)| !lines.is_empty() && reaches(limit, steps)).unwrap_or(0)
    });
    let mut by_limit = [Vec::new(), Vec::new()];
    for (steps, lines) in by_length.iter().enumerate().filter(|(_, lines)| !lines.is_empty()).rev() {
        // of the long ones and of the others, where they are taken in already
        let mut place = [None; 2];
        for (i, limit) in limits.into_iter().enumerate() {
            let long = steps as f64 >= LEAST_SHARE * longest[i] as f64;
            if !reaches(limit, steps) || !(long || sizes.greatest > 0.0) {
                continue;
            }
            let sort = usize::from(!long);
            by_limit[i].push(*place[sort].get_or_insert_with(|| {
                all.push(Lines { holes: spread(lines, MOST_LINES[sort]), base: steps as f64 * step });
                all.len() - 1
            }));
        }
    }
    by_limit
}

/// At most so many of a list, evenly over it.
fn spread(list: &[[usize; 2]], most: usize) -> Vec<[usize; 2]> {
    if list.len() <= most {
        return list.to_vec();
    }
    (0..most).map(|i| list[i * list.len() / most]).collect()
}

/// A line with dogs of one size, worked out.
pub(super) struct Worked {
    /// Its holes.
    pub holes: [usize; 2],
    /// Direction of its face, rad.
    pub direction: f64,
    /// Centres apart, mm.
    pub base: f64,
    /// The same in whole µm, by which lines are ranked, so that rounding orders nothing.
    pub base_um: i64,
    /// Change of the direction per shift of the second centre, rad per mm.
    pub turn: [f64; 2],
    /// What is known of its direction; `None` where nothing is known of a hole.
    pub lean: Option<Lean>,
    /// Variance of its direction that its dogs bring: how they stand, how thick they are, rad².
    pub by_dogs: f64,
}

impl Worked {
    /// What a dog that stands in a hole of both lines adds to the variance of their angle, for it moves
    /// both, rad²: as [`stands`] counts it.
    pub(super) fn dog_in_common(&self, other: &Worked, dogs: &Dogs) -> f64 {
        let ([a, b], [c, d]) = (self.holes, other.holes);
        if a != c && a != d && b != c && b != d {
            return 0.0;
        }
        // alike ends turn both lines the same way, which leaves the angle
        let ways = f64::from(a == d) + f64::from(b == c) - f64::from(a == c) - f64::from(b == d);
        let along = self.turn[0] * other.turn[0] + self.turn[1] * other.turn[1];
        2.0 * ways * along * dogs.stands_sd * dogs.stands_sd
    }
}

/// Lines of one direction and length, worked out.
pub(super) struct WorkedLines {
    /// Those that dogs of the usual size leave room for.
    pub lines: Vec<Worked>,
    /// How many lines there are.
    pub count: usize,
    /// How far each difference of radius at hand turns each line, rad, line by line.
    turned: Vec<f64>,
    /// How many differences there are.
    differences: usize,
    /// How long they are, mm.
    pub base: f64,
    /// Least standard uncertainty of a line's own direction among them, rad; nought where unknown.
    pub least_u: f64,
}

impl WorkedLines {
    pub(super) fn of(places: &Places, dogs: &Dogs, sizes: &Sizes, lines: &Lines) -> WorkedLines {
        let usual = dogs.usual();
        let mut least_u = f64::INFINITY;
        let mut worked = Vec::with_capacity(lines.holes.len());
        let mut turned = Vec::with_capacity(lines.holes.len() * sizes.differences.len());
        for &holes in &lines.holes {
            let line = Line { holes, side: LineSide::Left, dogs: [usual; 2] };
            let Some(face) = line.face(places) else { continue };
            let (base, turn) = (face.base, face.turn);
            let by_stands = stands(&[(holes[1], turn), (holes[0], turn.map(|t| -t))], dogs);
            let lean = places.lean(holes, turn);
            if let Some(alone) = lean.as_ref().and_then(Lean::variance) {
                least_u = least_u.min((alone + by_stands).sqrt());
            }
            let by_dogs = by_stands + 2.0 / (base * base) * dogs.radius_sd * dogs.radius_sd;
            let base_um = (base * 1000.0).round() as i64;
            worked.push(Worked { holes, direction: face.direction, base, base_um, turn, lean, by_dogs });
            turned.extend(sizes.differences.iter().map(|difference| difference / base));
        }
        let least_u = if least_u.is_finite() { least_u } else { 0.0 };
        let base = lines.base;
        WorkedLines {
            lines: worked,
            count: lines.holes.len(),
            base,
            turned,
            differences: sizes.differences.len(),
            least_u,
        }
    }

    /// How far each difference of radius at hand turns a line, rad.
    pub(super) fn turned(&self, line: usize) -> &[f64] {
        &self.turned[line * self.differences..][..self.differences]
    }
}
