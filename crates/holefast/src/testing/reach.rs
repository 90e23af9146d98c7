//! Whether bars can bore a top at all, found the dull way: everything that can be reached, from
//! every beginning.
//!
//! A datum line is laid by hand; a line with two known places within a bar's length gives every
//! place the bar covers; two known places on one line and a right triangle of whole bar pitches
//! give a line across. Repeated until nothing is added. It counts no set-ups and weighs nothing;
//! planners are tested against it. What stands above the top and what is part-bored it does not
//! know.

use std::collections::BTreeSet;

use crate::job::Job;
use crate::kit::{Bar, Kit};
use crate::top::{Layout, lay_out};

/// Bars and grid fit together if their pitches agree to this, mm.
const AGREES: f64 = 1e-3;

/// A place of the grid or beside it: column and row.
type Place = [i32; 2];

/// Along rows (x) or along columns (y).
const AXES: [usize; 2] = [0, 1];

/// A right triangle with one side on known places: what its column bar then covers.
struct Triangle {
    /// Axis of the known side.
    base: usize,
    /// Steps between corner and foot.
    steps: i32,
    /// Steps the column bar covers on the triangle's side of the corner, and on the other.
    forward: i32,
    back: i32,
}

struct Bench {
    allowed: BTreeSet<Place>,
    /// Least and greatest column and row with an allowed place.
    range: [[i32; 2]; 2],
    /// For each axis, the steps that each usable bar covers.
    covers: [BTreeSet<i32>; 2],
    triangles: Vec<Triangle>,
}

/// Says whether every wanted hole of the grid can be bored with bars and opened with the block.
///
/// Errors: in words, what cannot be reached from the best beginning.
pub fn reachable(job: &Job) -> Result<(), String> {
    let kit = job.kit.as_ref().ok_or("there is no kit")?;
    let layout = lay_out(job).map_err(|faults| format!("no layout: {}", faults[0].message))?;
    let wanted: BTreeSet<Place> =
        layout.holes.iter().filter_map(|hole| hole.cell).map(|cell| [cell.column as i32, cell.row as i32]).collect();
    let bench = bench(job, kit, &layout);
    let mut tried: Vec<BTreeSet<Place>> = Vec::new();
    let mut best: Option<String> = None;
    let mut fewest = usize::MAX;
    for axis in AXES {
        let [from, to] = bench.range[axis];
        let [first, last] = bench.range[1 - axis];
        for &cover in &bench.covers[axis] {
            for line in first..=last {
                for start in from - cover..=to {
                    let begun: BTreeSet<Place> =
                        along(axis, line, start, start + cover).filter(|place| bench.allowed.contains(place)).collect();
                    // What a beginning reaches holds for all that begin within it.
                    if begun.len() < 2 || tried.iter().any(|reached| begun.is_subset(reached)) {
                        continue;
                    }
                    let reached = bench.spread(begun);
                    let missing: Vec<Place> = wanted.difference(&reached).copied().collect();
                    let shut = unopened(job, kit, &wanted, &reached);
                    if missing.is_empty() && shut.is_empty() {
                        return Ok(());
                    }
                    if missing.len() + shut.len() < fewest {
                        fewest = missing.len() + shut.len();
                        best = Some(match (missing.first(), shut.first()) {
                            (Some(place), _) => format!(
                                "{} of {} holes are beyond any bar, {} first",
                                missing.len(),
                                wanted.len(),
                                name(*place)
                            ),
                            (None, Some(place)) => format!("{} has no neighbour to seat the block on", name(*place)),
                            (None, None) => String::new(),
                        });
                    }
                    tried.push(reached);
                }
            }
        }
    }
    Err(best.unwrap_or_else(|| "no bar covers two places of the grid".to_owned()))
}

fn name([column, row]: Place) -> String {
    format!("row {row}, column {column}")
}

/// Places along a line of an axis, both ends included.
fn along(axis: usize, line: i32, from: i32, to: i32) -> impl Iterator<Item = Place> {
    (from..=to).map(move |at| if axis == 0 { [at, line] } else { [line, at] })
}

/// `length` as a whole number of `pitch`es, at least one.
fn whole(length: f64, pitch: f64) -> Option<i32> {
    let n = (length / pitch).round();
    (n >= 1.0 && (n * pitch - length).abs() < AGREES).then_some(n as i32)
}

fn bench(job: &Job, kit: &Kit, layout: &Layout) -> Bench {
    let mut allowed = BTreeSet::new();
    let corners = &job.top.outline;
    let least = |of: fn(&kurbo::Point) -> f64| corners.iter().map(of).fold(f64::INFINITY, f64::min);
    let most = |of: fn(&kurbo::Point) -> f64| corners.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let steps = |to: f64, from: f64, pitch: f64| ((to - from) / pitch).floor() as i32;
    for row in
        steps(least(|p| p.y), layout.origin.y, layout.pitch[1])..=steps(most(|p| p.y), layout.origin.y, layout.pitch[1])
    {
        for column in steps(least(|p| p.x), layout.origin.x, layout.pitch[0])
            ..=steps(most(|p| p.x), layout.origin.x, layout.pitch[0])
        {
            if layout.allows_pilot(job, layout.place(row, column)) {
                allowed.insert([column, row]);
            }
        }
    }
    let range = AXES.map(|axis| {
        let at = allowed.iter().map(|place| place[axis]);
        [at.clone().min().unwrap_or(0), at.max().unwrap_or(0)]
    });
    let cover = |bar: &Bar, axis: usize| {
        whole(layout.pitch[axis], bar.pitch).map(|per_step| ((bar.holes as i32 - 1) / per_step, per_step))
    };
    let covers = AXES.map(|axis| kit.bars.iter().filter_map(|bar| cover(bar, axis)).map(|(cover, _)| cover).collect());
    let mut triangles = Vec::new();
    let locators = kit.pin.count + kit.gauges.iter().map(|gauge| gauge.count).sum::<u32>();
    for (i, column_bar) in kit.bars.iter().enumerate() {
        for (j, third) in kit.bars.iter().enumerate() {
            if locators < 3 || (i == j && column_bar.count < 2) {
                continue;
            }
            for base in AXES {
                let Some((_, per_step)) = cover(column_bar, 1 - base) else { continue };
                for side in 1..column_bar.holes as i32 {
                    let up = f64::from(side) * column_bar.pitch;
                    for steps in 1..=range[base][1] - range[base][0] {
                        let out = f64::from(steps) * layout.pitch[base];
                        let slope = (up * up + out * out).sqrt();
                        if whole(slope, third.pitch).is_none_or(|n| n >= third.holes as i32) {
                            continue;
                        }
                        for corner in 0..column_bar.holes as i32 - side {
                            triangles.push(Triangle {
                                base,
                                steps,
                                forward: (column_bar.holes as i32 - 1 - corner) / per_step,
                                back: corner / per_step,
                            });
                        }
                    }
                }
            }
        }
    }
    triangles.sort_by_key(|t| (t.base, t.steps, t.forward, t.back));
    triangles.dedup_by_key(|t| (t.base, t.steps, t.forward, t.back));
    Bench { allowed, range, covers, triangles }
}

impl Bench {
    /// Everything that can be reached from known places.
    fn spread(&self, mut known: BTreeSet<Place>) -> BTreeSet<Place> {
        loop {
            let before = known.len();
            for axis in AXES {
                let [from, to] = self.range[axis];
                let [first, last] = self.range[1 - axis];
                for &cover in &self.covers[axis] {
                    for line in first..=last {
                        for start in from - cover..=to {
                            let under = || along(axis, line, start, start + cover);
                            if under().filter(|place| known.contains(place)).count() >= 2 {
                                known.extend(under().filter(|place| self.allowed.contains(place)));
                            }
                        }
                    }
                }
            }
            for triangle in &self.triangles {
                let (base, across) = (triangle.base, 1 - triangle.base);
                for corner in known.clone() {
                    let has_foot = [-1, 1].iter().any(|side| {
                        let mut foot = corner;
                        foot[base] += side * triangle.steps;
                        known.contains(&foot)
                    });
                    if has_foot {
                        for (back, forward) in [(triangle.back, triangle.forward), (triangle.forward, triangle.back)] {
                            let at = corner[across];
                            let under = along(across, corner[base], at - back, at + forward);
                            known.extend(under.filter(|place| self.allowed.contains(place)));
                        }
                    }
                }
            }
            if known.len() == before {
                return known;
            }
        }
    }
}

/// Wanted holes beside which the block finds no place to seat on.
fn unopened(job: &Job, kit: &Kit, wanted: &BTreeSet<Place>, reached: &BTreeSet<Place>) -> Vec<Place> {
    let reach = AXES.map(|axis| whole(kit.block.reach[axis], job.grid.pitch[axis]));
    let seats = |place: &Place| {
        AXES.iter().any(|&axis| {
            reach[axis].is_some_and(|steps| {
                [-steps, steps].iter().any(|by| {
                    let mut neighbour = *place;
                    neighbour[axis] += by;
                    reached.contains(&neighbour)
                })
            })
        })
    };
    wanted.iter().filter(|place| !seats(place)).copied().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing;
    use crate::top::Count;

    #[test]
    fn the_trailer_top_is_within_reach() {
        assert_eq!(reachable(&testing::trailer_top()), Ok(()));
    }

    /// A top of so many rows and columns, with a margin too small for helpers beside the grid.
    fn grid(rows: u32, columns: u32) -> Job {
        let size = |n: u32| f64::from(n - 1) * 100.0 + 90.0;
        let mut job = testing::job(size(columns), size(rows), 100.0);
        job.grid.rows = Count::Number(rows);
        job.grid.columns = Count::Number(columns);
        job
    }

    #[test]
    fn kits_without_a_triangle_reach_one_line() {
        let mut job = grid(4, 6);
        assert_eq!(reachable(&job), Ok(()));
        let kit = job.kit.as_mut().unwrap();
        kit.bars[0].holes = 5;
        // 3, 4, 5 pitches take a third side of six holes; what remains is one row, by slides.
        assert_eq!(reachable(&job), Err("18 of 24 holes are beyond any bar, row 0, column 0 first".to_owned()));
        let kit = job.kit.as_mut().unwrap();
        kit.bars[0].holes = 6;
        kit.bars[0].count = 1;
        assert!(reachable(&job).is_err(), "a triangle takes two bars");
        let kit = job.kit.as_mut().unwrap();
        kit.bars[0].count = 2;
        kit.pin.count = 2;
        assert_eq!(reachable(&job), Ok(()), "a gauge stands in for the third pin");
        job.kit.as_mut().unwrap().gauges.clear();
        assert!(reachable(&job).is_err(), "a triangle takes three locators");
    }

    #[test]
    fn three_pitches_one_way_are_needed() {
        assert_eq!(reachable(&grid(2, 4)), Ok(()), "three pitches along the row");
        assert!(reachable(&grid(3, 3)).is_err(), "two pitches either way");
    }

    #[test]
    fn a_lone_hole_has_nothing_to_seat_on() {
        let mut job = grid(4, 6);
        // Bolts where D5 and C6 would be.
        job.keep_outs = vec![
            testing::rail("bolt", 440.0, 340.0, 10.0, 10.0, 0.0),
            testing::rail("bolt", 540.0, 240.0, 10.0, 10.0, 0.0),
        ];
        assert_eq!(reachable(&job), Err("row 3, column 5 has no neighbour to seat the block on".to_owned()));
        job.keep_outs.pop();
        assert_eq!(reachable(&job), Ok(()));
    }
}
