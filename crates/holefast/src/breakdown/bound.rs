//! How little stock could possibly do, and how much value at most comes out of it.
//!
//! Parts get weights; no sheet can carry more weight than the best unlimited pattern of it has, so a
//! list needs sheets whose patterns carry its whole weight. Any weights give a true bound: areas are
//! good for many small parts, weights of large sides for few large ones.

use super::unlimited::{Table, Valued};
use super::{Problem, Size, Stock};

/// Weights are scaled to this sum at most, so that a table can hold them.
const MOST_WEIGHT: f64 = 1e9;

/// Combinations of stock looked at, at most; beyond, sheets may be taken in fractions.
const MOST_COMBINATIONS: u32 = 200_000;

/// Parts and their ways on a kind of stock, with weights.
fn valued(problem: &Problem, stock: &Stock, weights: &[u32]) -> Vec<Valued> {
    let mut out = Vec::new();
    for (i, part) in problem.parts.iter().enumerate() {
        for (_, size) in part.ways(stock) {
            out.push(Valued { size: size.map(|s| s + stock.kerf), value: weights[i], tag: i as u32 });
        }
    }
    out
}

/// The most weight that one sheet carries. Where there are too many patterns sizes are rounded, parts
/// down and the sheet up, until there are not.
pub(super) fn most_on(problem: &Problem, stock: &Stock, weights: &[u32]) -> Option<u32> {
    let exact = valued(problem, stock, weights);
    let room = stock.room().map(|side| side + stock.kerf);
    let mut grain = 1;
    loop {
        let parts: Vec<Valued> = exact.iter().map(|p| Valued { size: p.size.map(|s: Size| s / grain), ..*p }).collect();
        if parts.iter().any(|p| p.size[0] == 0 || p.size[1] == 0) {
            return None;
        }
        let rounded = room.map(|s| (s + grain - 1) / grain);
        if let Some(table) = Table::new(&parts, rounded) {
            return Some(table.best(rounded));
        }
        if grain > room[0].max(room[1]) {
            return None;
        }
        grain *= 2;
    }
}

/// Least area of stock that could do for all parts; infinite where all there is cannot.
pub(super) fn least_stock(problem: &Problem) -> f64 {
    let kerf = problem.stock.iter().map(|s| s.kerf).min().unwrap_or(0);
    let gross = |i: usize| {
        let size = problem.parts[i].size;
        (size[0] + kerf) as f64 * (size[1] + kerf) as f64
    };
    let areas: Vec<f64> = (0..problem.parts.len()).map(gross).collect();
    let mut least = by_weights(problem, &areas);
    // sides: more than half, half, more than a third of the largest sheet, in both directions
    let room = problem.stock.iter().fold([0, 0], |m: [Size; 2], s| {
        let r = s.room();
        [m[0].max(r[0] + s.kerf), m[1].max(r[1] + s.kerf)]
    });
    for share in [0.5, 0.34] {
        let weight = |part: &super::Part| -> f64 {
            let step = |side: Size, whole: Size| {
                let s = (side + kerf) as f64 / whole as f64;
                // the dual feasible function that counts what is larger than 1 - share whole and what is
                // smaller than share not at all
                if s > 1.0 - share {
                    1.0
                } else if s >= share {
                    s
                } else {
                    0.0
                }
            };
            let [l, w] = part.size;
            let one = step(l, room[0]) * step(w, room[1]);
            let other = step(w, room[0]) * step(l, room[1]);
            one.min(other)
        };
        let weights: Vec<f64> = problem.parts.iter().map(weight).collect();
        if weights.iter().any(|&w| w > 0.0) {
            least = least.max(by_weights(problem, &weights));
        }
    }
    least
}

fn by_weights(problem: &Problem, weights: &[f64]) -> f64 {
    let total: f64 = problem.parts.iter().zip(weights).map(|(p, w)| f64::from(p.quantity) * w).sum();
    let greatest = weights.iter().copied().fold(0.0, f64::max);
    if greatest <= 0.0 {
        return 0.0;
    }
    // a sheet carries at most its area's worth of parts; 1e6 steps for the heaviest keep rounding small
    let scale = (1e6 / greatest).min(MOST_WEIGHT / total.max(greatest));
    // rounded down: what is compared below is the weight of whole numbers on both sides
    let whole: Vec<u32> = weights.iter().map(|w| (w * scale) as u32).collect();
    let wanted: f64 = problem.parts.iter().zip(&whole).map(|(p, &w)| f64::from(p.quantity) * f64::from(w)).sum();
    let carries = |stock: &Stock| match most_on(problem, stock, &whole) {
        Some(most) => f64::from(most),
        None => f64::INFINITY,
    };
    let kinds: Vec<(f64, f64, u32)> =
        problem.stock.iter().map(|s| (s.area(), carries(s), s.quantity)).filter(|k| k.1 > 0.0).collect();
    cover(kinds, wanted)
}

/// Least area of so many kinds of (area, weight carried, quantity) that carries what is wanted.
fn cover(mut kinds: Vec<(f64, f64, u32)>, wanted: f64) -> f64 {
    if wanted <= 0.0 {
        return 0.0;
    }
    if kinds.iter().any(|k| k.1 == f64::INFINITY) {
        // nothing is known of one kind: one sheet of the smallest such will have to do as a bound
        return kinds.iter().map(|k| k.0).fold(f64::INFINITY, f64::min);
    }
    kinds.sort_by(|a, b| (a.0 / a.1).total_cmp(&(b.0 / b.1)));
    let mut best = f64::INFINITY;
    let mut looked = 0;
    walk(&kinds, wanted, 0.0, &mut best, &mut looked);
    if looked > MOST_COMBINATIONS { in_fractions(&kinds, wanted) } else { best }
}

fn in_fractions(kinds: &[(f64, f64, u32)], mut wanted: f64) -> f64 {
    let mut area = 0.0;
    for &(each, carries, quantity) in kinds {
        let n = wanted / carries;
        // not by what remains: that may be a rounding above nought
        if n <= f64::from(quantity) {
            return area + n * each;
        }
        area += f64::from(quantity) * each;
        wanted -= f64::from(quantity) * carries;
    }
    f64::INFINITY
}

fn walk(kinds: &[(f64, f64, u32)], wanted: f64, area: f64, best: &mut f64, looked: &mut u32) {
    *looked += 1;
    if wanted <= 0.0 {
        *best = best.min(area);
        return;
    }
    if *looked > MOST_COMBINATIONS || area + in_fractions(kinds, wanted) >= *best {
        return;
    }
    let Some(&(each, carries, quantity)) = kinds.first() else { return };
    let most = ((wanted / carries).ceil()).min(f64::from(quantity)) as u32;
    for n in (0..=most).rev() {
        walk(&kinds[1..], wanted - f64::from(n) * carries, area + f64::from(n) * each, best, looked);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cheapest_cover_is_found() {
        // 10 wanted: kinds of 6 (area 7), 4 (area 4), 1 (area 2)
        let kinds = vec![(7.0, 6.0, 5), (4.0, 4.0, 1), (2.0, 1.0, 9)];
        assert_eq!(cover(kinds.clone(), 10.0), 11.0);
        assert_eq!(cover(kinds.clone(), 4.0), 4.0);
        assert_eq!(cover(kinds.clone(), 0.0), 0.0);
        assert_eq!(cover(kinds, 1000.0), f64::INFINITY);
    }

    #[test]
    fn no_rounding_makes_a_cover_dearer_than_its_sheets() {
        // found by a list of three hundred parts: nine sheets carry it, and nought was left but for the
        // last bit
        for n in 1..2000 {
            let (carries, wanted) = (f64::from(n * 97 + 10_000_001), 95_676_150.0);
            let sheets = (wanted / carries).ceil();
            assert_eq!(cover(vec![(2.0, carries, 9999)], wanted), 2.0 * sheets, "{n}");
        }
    }
}
