//! The directions of a grid's hole lines, and which two of them stand at a wanted angle.
//!
//! A direction is (p, q) in columns and rows, without common factor, q > 0 or p > 0 = q; the grid has
//! it if two of its holes lie so. Directions are sorted by angle once, partners at an angle found by
//! bisection: among n holes there are far fewer directions than pairs, and pairs of pairs are never
//! gone through. Angles are those of the grid as wanted, its pitches being what they are.

use std::collections::BTreeSet;
use std::f64::consts::{FRAC_PI_2, PI};

use super::places::Places;
use crate::math;

/// A direction of the grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    /// Columns.
    pub p: i64,
    /// Rows.
    pub q: i64,
    /// From the rows, rad, 0 to half a turn.
    pub angle: f64,
}

/// Two directions, for fence and rail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DirectionPair {
    /// The fence's, by index in `directions`.
    pub fence: usize,
    /// The rail's.
    pub rail: usize,
    /// The angle they make, of their two the one nearer to what is wanted, rad.
    pub angle: f64,
    /// That less the wanted angle, rad.
    pub error: f64,
}

/// The nearest angles that any two directions make, on both sides of what is wanted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Nearest {
    /// The greatest that is not above it.
    pub below: Option<DirectionPair>,
    /// The least that is above it.
    pub above: Option<DirectionPair>,
}

/// All directions between any two grid holes, sorted by angle.
pub fn directions(places: &Places, pitch: [f64; 2]) -> Vec<Direction> {
    let cells: Vec<[i64; 2]> = places
        .holes()
        .iter()
        .filter_map(|hole| hole.cell.map(|cell| [i64::from(cell.column), i64::from(cell.row)]))
        .collect();
    // Differences first: there are as many as places of a grid twice as large, far fewer than pairs.
    let mut seen: BTreeSet<(i64, i64)> = BTreeSet::new();
    let mut rows: std::collections::BTreeMap<i64, Vec<i64>> = std::collections::BTreeMap::new();
    for [column, row] in cells {
        rows.entry(row).or_default().push(column);
    }
    let columns: Vec<(i64, Vec<i64>)> = rows.into_iter().collect();
    let span = columns.iter().flat_map(|(_, c)| c).copied().max().unwrap_or(0)
        - columns.iter().flat_map(|(_, c)| c).copied().min().unwrap_or(0);
    for (i, (low, first)) in columns.iter().enumerate() {
        for (high, second) in &columns[i..] {
            let mut differences = vec![false; 2 * span as usize + 1];
            for a in first {
                for b in second {
                    differences[(b - a + span) as usize] = true;
                }
            }
            let q = high - low;
            for (at, _) in differences.iter().enumerate().filter(|(_, there)| **there) {
                let p = at as i64 - span;
                if q > 0 || p > 0 {
                    let common = common_factor(p.abs(), q);
                    seen.insert((p / common, q / common));
                }
            }
        }
    }
    let mut all: Vec<Direction> = seen
        .into_iter()
        .map(|(p, q)| Direction { p, q, angle: math::atan2(q as f64 * pitch[1], p as f64 * pitch[0]) })
        .collect();
    all.sort_by(|a, b| a.angle.total_cmp(&b.angle));
    all
}

/// The greatest common factor of two numbers that are not both nought.
fn common_factor(a: i64, b: i64) -> i64 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// Rounding of sums of angles, rad: a tolerance typed as 0.2° is to hold what lies on it.
const ROUNDING: f64 = 1e-12;

/// All pairs of directions within a tolerance of an angle, rad, best first; each order counts, for one
/// carries the fence.
pub fn pairs_within(all: &[Direction], wanted: f64, tolerance: f64) -> Vec<DirectionPair> {
    let acute = wanted.min(PI - wanted);
    let mut pairs = Vec::new();
    let mut partners: BTreeSet<usize> = BTreeSet::new();
    for (fence, direction) in all.iter().enumerate() {
        partners.clear();
        for side in [acute, -acute] {
            for turn in [-PI, 0.0, PI] {
                let middle = direction.angle + side + turn;
                let from = all.partition_point(|d| d.angle < middle - tolerance - ROUNDING);
                let to = all.partition_point(|d| d.angle <= middle + tolerance + ROUNDING);
                partners.extend(from..to);
            }
        }
        for &rail in &partners {
            let pair = pair(all, fence, rail, wanted);
            if rail != fence && pair.error.abs() <= tolerance + ROUNDING {
                pairs.push(pair);
            }
        }
    }
    pairs.sort_by(|a, b| {
        let key = |pair: &DirectionPair| {
            let (f, r) = (all[pair.fence], all[pair.rail]);
            ((pair.error.abs() / ALIKE).round() as i64, f.q + r.q, f.p.abs() + r.p.abs(), f.q, f.p, r.q, r.p)
        };
        key(a).cmp(&key(b))
    });
    pairs
}

/// Errors nearer than this are one error found by two roundings, rad.
const ALIKE: f64 = 1e-11;

/// The nearest angles on both sides, of all pairs and of both angles that crossing lines make; what
/// is wanted itself counts as below.
pub fn nearest(all: &[Direction], wanted: f64) -> Nearest {
    let mut nearest = Nearest::default();
    for (fence, direction) in all.iter().enumerate() {
        // Turned on from the fence's direction: the other angle of two lines is theirs the other way.
        for turn in [-PI, 0.0] {
            let at = all.partition_point(|d| d.angle <= direction.angle + wanted + turn + ROUNDING);
            for rail in [at.checked_sub(1), Some(at)].into_iter().flatten().filter(|r| *r < all.len()) {
                let angle = all[rail].angle - direction.angle - turn;
                if rail == fence || !(0.0..PI).contains(&angle) {
                    continue;
                }
                let pair = DirectionPair { fence, rail, angle, error: angle - wanted };
                let (slot, nearer): (_, fn(f64, f64) -> bool) = if pair.error <= ROUNDING {
                    (&mut nearest.below, |new, old| new > old + ALIKE)
                } else {
                    (&mut nearest.above, |new, old| new < old - ALIKE)
                };
                if slot.is_none_or(|old| nearer(pair.error, old.error)) {
                    *slot = Some(pair);
                }
            }
        }
    }
    nearest
}

fn pair(all: &[Direction], fence: usize, rail: usize, wanted: f64) -> DirectionPair {
    let turn = (all[fence].angle - all[rail].angle).abs();
    let acute = turn.min(PI - turn);
    let angle = if wanted <= FRAC_PI_2 { acute } else { PI - acute };
    DirectionPair { fence, rail, angle, error: angle - wanted }
}
