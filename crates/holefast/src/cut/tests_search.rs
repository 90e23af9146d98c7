//! The search against going through all pairs of pairs, and what it tells of an arrangement.

use std::collections::BTreeSet;
use std::f64::consts::PI;

use super::directions::{directions, nearest, pairs_within};
use super::*;
use crate::job::LineSide;
use crate::math;
use crate::proof::ProvedHoles;
use crate::testing::made::Dice;
use crate::top::{Cell, LaidHole, Layout, Point, lay_out};

fn holes(rows: u32, columns: u32, pitch: [f64; 2], skip: &[&str]) -> Layout {
    let mut layout = lay_out(&crate::testing::trailer_top()).unwrap();
    layout.pitch = pitch;
    layout.holes = (0..rows)
        .flat_map(|row| (0..columns).map(move |column| Cell::new(row, column)))
        .filter(|cell| !skip.contains(&cell.to_string().as_str()))
        .map(|cell| LaidHole {
            name: cell.to_string(),
            cell: Some(cell),
            centre: Point::new(75.0 + pitch[0] * f64::from(cell.column), 90.0 + pitch[1] * f64::from(cell.row)),
            diameter: 20.0,
        })
        .collect();
    layout
}

/// The same with holes beside the grid.
fn with_beside(mut layout: Layout, beside: &[(&str, f64, f64)]) -> Layout {
    layout.holes.extend(beside.iter().map(|&(name, x, y)| LaidHole {
        name: name.to_owned(),
        cell: None,
        centre: Point::new(x, y),
        diameter: 20.0,
    }));
    layout
}

/// Scatter of every hole by itself, and a lean of the whole grid, so that lines have something in common.
fn known(layout: &Layout, scatter: f64, lean: f64) -> Places {
    let n = layout.holes.len();
    let names: Vec<String> = layout.holes.iter().map(|h| h.name.clone()).collect();
    let centres: Vec<Point> = layout.holes.iter().map(|h| h.centre).collect();
    let mut c = vec![0.0; 4 * n * n];
    for (i, a) in centres.iter().enumerate() {
        for (j, b) in centres.iter().enumerate() {
            c[2 * i * 2 * n + 2 * j] = lean * lean * (a.y / 1000.0) * (b.y / 1000.0);
        }
        c[2 * i * 2 * n + 2 * i] += scatter * scatter;
        c[(2 * i + 1) * 2 * n + 2 * i + 1] += scatter * scatter;
    }
    Places::proved(layout, &ProvedHoles { names, centres, covariance: c, ..ProvedHoles::default() })
}

fn primitive(a: &LaidHole, b: &LaidHole) -> (i64, i64) {
    let [a, b] = [a, b].map(|h| h.cell.unwrap());
    let (mut p, mut q) = (i64::from(b.column) - i64::from(a.column), i64::from(b.row) - i64::from(a.row));
    let common = (1..=p.abs().max(q.abs())).rev().find(|d| p % d == 0 && q % d == 0).unwrap();
    (p, q) = (p / common, q / common);
    if q < 0 || (q == 0 && p < 0) { (-p, -q) } else { (p, q) }
}

#[test]
fn every_pair_of_pairs_gives_the_directions_that_bisection_finds() {
    for (rows, columns, pitch, skip) in
        [(3, 4, [96.0, 96.0], &[][..]), (4, 5, [100.0, 80.0], &["A1", "C3"]), (2, 6, [64.0, 96.0], &[])]
    {
        let layout = holes(rows, columns, pitch, skip);
        let places = Places::planned(&layout);
        let all = directions(&places, pitch);
        for (degrees, tolerance) in [(90.0, 0.2), (22.5, 1.0), (45.0, 3.0), (120.0, 2.0), (3.0, 4.0), (171.0, 2.0)] {
            let (wanted, tolerance) = (f64::to_radians(degrees), f64::to_radians(tolerance));
            let mut brute: BTreeSet<((i64, i64), (i64, i64))> = BTreeSet::new();
            let pairs: Vec<(&LaidHole, &LaidHole)> = layout
                .holes
                .iter()
                .enumerate()
                .flat_map(|(i, a)| layout.holes[..i].iter().map(move |b| (a, b)))
                .collect();
            let mut below = f64::NEG_INFINITY;
            let mut above = f64::INFINITY;
            for (a, b) in &pairs {
                for (c, d) in &pairs {
                    let (u, v) = (b.centre - a.centre, d.centre - c.centre);
                    let between = math::atan2(u.cross(v).abs(), u.dot(v));
                    if primitive(a, b) == primitive(c, d) {
                        continue;
                    }
                    // lines have no ends: of their two angles the one nearer to what is wanted
                    let off = [between, PI - between].map(|x| x - wanted);
                    let near = if off[0].abs() < off[1].abs() { off[0] } else { off[1] };
                    if near.abs() <= tolerance {
                        brute.insert((primitive(a, b), primitive(c, d)));
                    }
                    for off in off {
                        if off <= 1e-12 {
                            below = below.max(off);
                        } else {
                            above = above.min(off);
                        }
                    }
                }
            }
            let ours: BTreeSet<_> = pairs_within(&all, wanted, tolerance)
                .iter()
                .map(|p| [p.fence, p.rail].map(|i| (all[i].p, all[i].q)))
                .map(|[f, r]| (f, r))
                .collect();
            assert_eq!(ours, brute, "{degrees}° on {rows} x {columns}");
            let near = nearest(&all, wanted);
            assert!((near.below.map_or(f64::NEG_INFINITY, |p| p.error) - below).abs() < 1e-9 || below.is_infinite());
            assert!((near.above.map_or(f64::INFINITY, |p| p.error) - above).abs() < 1e-9 || above.is_infinite());
            assert_eq!((near.below.is_some(), near.above.is_some()), (below.is_finite(), above.is_finite()));
        }
    }
}

/// Every way to carry fence and rail, gone through: none has a lower rank than the first that the
/// search tells.
#[test]
fn no_pair_of_pairs_is_better_than_the_first_that_is_told() {
    let mut job = crate::testing::trailer_top();
    job.kit = None;
    let beside = [("left", 120.0, 141.0), ("right", 331.0, 170.0)];
    for (rows, columns, skip, lean, beside) in [
        (3, 5, &["B2"][..], 0.0, &[][..]),
        (4, 4, &[], 0.3, &[]),
        (3, 6, &["A6", "C1"], 0.1, &[]),
        (3, 4, &["B2"], 0.0, &beside[..]),
        (4, 3, &[], 0.2, &beside[..1]),
    ] {
        let layout = with_beside(holes(rows, columns, job.grid.pitch, skip), beside);
        let places = known(&layout, 0.05, lean);
        let n = layout.holes.len();
        for heads in [vec![(20.0, u32::MAX)], vec![(20.0, 4), (19.0, 2)]] {
            let dogs = Dogs { heads, radius_sd: 0.0, stands_sd: 0.02, fit_known: true };
            for degrees in [90.0, 45.0, 30.0, 67.5, 112.0] {
                let ask = Search {
                    wanted: f64::to_radians(degrees),
                    tolerance: 0.01,
                    best: 3,
                    width: None,
                    kerf: None,
                    kept: None,
                };
                let found = search(&job, &places, &dogs, &ask);
                let mut best = f64::INFINITY;
                let sizes: Vec<f64> = dogs.heads.iter().map(|h| h.0).collect();
                let line = |holes: [usize; 2], side, dogs| Line { holes, side, dogs };
                let sides = [LineSide::Left, LineSide::Right];
                let lines: Vec<[usize; 2]> =
                    (0..n).flat_map(|a| (0..n).filter(move |b| *b != a).map(move |b| [a, b])).collect();
                for &fence in &lines {
                    for &rail in &lines {
                        for (fence_side, rail_side) in both(&sides) {
                            let plain =
                                Pair::of(&places, line(fence, fence_side, [20.0; 2]), line(rail, rail_side, [20.0; 2]));
                            // further off no two dogs of 19 and 20 mm on 100 mm can turn it
                            if plain.is_none_or(|p| (p.angle - ask.wanted).abs() > 0.025) {
                                continue;
                            }
                            for a in both(&sizes) {
                                for b in both(&sizes) {
                                    let (a, b) = ([a.0, a.1], [b.0, b.1]);
                                    let mut needed = a.to_vec();
                                    let mut sound = true;
                                    for end in [0, 1] {
                                        match fence.iter().position(|f| *f == rail[end]) {
                                            Some(at) => sound &= a[at] == b[end],
                                            None => needed.push(b[end]),
                                        }
                                    }
                                    if !sound || !dogs.have(&needed) {
                                        continue;
                                    }
                                    let pair = Pair::of(&places, line(fence, fence_side, a), line(rail, rail_side, b));
                                    let Some(pair) = pair else { continue };
                                    let off = (pair.angle - ask.wanted).abs();
                                    if off <= ask.tolerance {
                                        best = best.min((off + 2.0 * pair.u(&places, &dogs).unwrap()) * 1000.0);
                                    }
                                }
                            }
                        }
                    }
                }
                match found.arrangements.first() {
                    Some(first) => {
                        assert!(
                            first.bound_mm_per_m <= best + 0.05,
                            "{degrees}° on {rows} x {columns}: {} against {best}",
                            first.bound_mm_per_m
                        );
                        assert!(first.bound_mm_per_m >= best - 0.01, "{} {best}", first.bound_mm_per_m);
                    }
                    None => assert!(best.is_infinite(), "{degrees}° on {rows} x {columns}: {best}"),
                }
            }
        }
    }
}

fn both<T: Copy>(of: &[T]) -> Vec<(T, T)> {
    of.iter().flat_map(|&a| of.iter().map(move |&b| (a, b))).collect()
}

/// A line through a hole beside the grid makes an angle that no two directions of the grid make, if the
/// grid's dogs go into it.
#[test]
fn holes_beside_the_grid_are_looked_through() {
    let mut job = crate::testing::trailer_top();
    job.kit = None;
    // 3 × 4 holes of 96 mm; from A1 to the lone hole it is 100 mm to the right and 237 mm up
    let grid = holes(3, 4, [96.0, 96.0], &[]);
    job.grid.pitch = grid.pitch;
    let wanted = math::atan2(237.0, 100.0);
    let ask = Search { wanted, tolerance: 1e-4, best: 5, width: None, kerf: None, kept: None };
    let dogs = Dogs::of(&job);
    let find = |layout: &Layout| search(&job, &Places::planned(layout), &dogs, &ask);
    assert_eq!(find(&grid).arrangements, []);
    let mut layout = with_beside(grid, &[("lone", 175.0, 327.0)]);
    let found = find(&layout);
    assert_eq!(found.pairs, []);
    let first = found.arrangements.first().unwrap();
    assert!(first.pair.uses(12), "{:?}", first.pair);
    assert!((first.pair.angle - wanted).abs() < 1e-12);
    let words = crate::words::cutting::direction_lines(&ask, &found).join("\n");
    assert!(words.contains("lines through holes beside it, or"), "{words}");
    layout.holes[12].diameter = 19.0;
    assert_eq!(find(&layout).arrangements, []);
}

#[test]
fn arrangements_of_the_trailer_top_leave_room_and_keep_their_rank() {
    let job = crate::testing::trailer_top_with_rail();
    let layout = lay_out(&job).unwrap();
    let places = known(&layout, 0.05, 0.05);
    let dogs = Dogs::of(&job);
    for degrees in [90.0, 67.5, 45.0, 112.5] {
        let wanted = f64::to_radians(degrees);
        let ask = Search { wanted, tolerance: 0.002, best: 12, width: Some(200.0), kerf: Some(2.2), kept: None };
        let found = search(&job, &places, &dogs, &ask);
        assert!(found.arrangements.len() >= 5, "{degrees}: {}", found.arrangements.len());
        let mut before = 0;
        for a in &found.arrangements {
            let room = a.room.as_ref().unwrap();
            assert_eq!(room.blocked, [], "{degrees}");
            assert!(room.capacity >= 200.0 / math::sin(a.pair.angle) - 1e-6);
            assert!(room.from_dogs >= LEAST_DOG_CLEARANCE);
            let step = (a.bound_mm_per_m / 0.05 + 1e-9).floor() as i64;
            assert!(step >= before, "{degrees}: {step} after {before}");
            before = step;
            assert!((a.pair.angle - wanted).abs() <= 0.002);
            // the shim told brings the angle to what is wanted
            let shims = Shims::of(&places, &a.pair, wanted);
            for (on_fence, shim) in [(true, shims.fence), (false, shims.rail)] {
                let mut with = a.pair;
                let line = if on_fence { &mut with.fence } else { &mut with.rail };
                line.dogs[shim.end] += 2.0 * shim.thickness;
                let mended = Pair::of(&places, with.fence, with.rail).unwrap();
                assert!((mended.angle - wanted).abs() < 1e-12, "{degrees} {shim:?}");
            }
        }
    }
}

/// The blade's way, walked in small steps, keeps the clearance that is told.
#[test]
fn clearances_are_those_found_by_walking_along_the_cut() {
    let job = crate::testing::trailer_top_with_rail();
    let layout = lay_out(&job).unwrap();
    let places = Places::planned(&layout);
    let ask =
        Search { wanted: f64::to_radians(60.0), tolerance: 0.02, best: 10, width: None, kerf: Some(2.0), kept: None };
    let found = search(&job, &places, &Dogs::of(&job), &ask);
    assert!(!found.arrangements.is_empty());
    for a in &found.arrangements {
        let room = a.room.as_ref().unwrap();
        let [from, to] = room.path;
        let (mut dogs, mut others) = (f64::INFINITY, f64::INFINITY);
        for i in 0..=20_000 {
            let p = from + (to - from) * (f64::from(i) / 20_000.0);
            for (index, hole) in places.holes().iter().enumerate() {
                let free = (hole.centre - p).hypot2().sqrt() - 1.0;
                let lines = [&a.pair.fence, &a.pair.rail];
                match lines.iter().find_map(|l| l.holes.iter().position(|h| *h == index).map(|end| l.dogs[end])) {
                    Some(dog) => dogs = dogs.min(free - 0.5 * dog),
                    None => others = others.min(free - 0.5 * hole.diameter),
                }
            }
        }
        assert!((dogs - room.from_dogs).abs() < 0.01, "{dogs} {}", room.from_dogs);
        assert!((others - room.from_holes).abs() < 0.01, "{others} {}", room.from_holes);
        assert_eq!(room.nicked.is_empty(), room.from_holes >= 0.0);
    }
}

#[test]
fn any_made_grid_is_searched_without_a_slip() {
    let mut dice = Dice::new(23);
    let mut job = crate::testing::trailer_top_with_rail();
    for _ in 0..40 {
        let mut whole = |from: u32, to: u32| from + (dice.unit() * f64::from(to - from)) as u32;
        let (rows, columns) = (whole(1, 6), whole(1, 9));
        job.grid.pitch = [f64::from(whole(40, 130)), f64::from(whole(40, 130))];
        let layout = holes(rows, columns, job.grid.pitch, &["B2"]);
        if layout.holes.is_empty() {
            continue;
        }
        let wanted = f64::from(whole(1, 179)).to_radians();
        let ask = Search { wanted, tolerance: 0.01, best: 50, width: None, kerf: None, kept: None };
        let found = search(&job, &Places::planned(&layout), &Dogs::of(&job), &ask);
        assert!(found.arrangements.iter().all(|a| (a.pair.angle - wanted).abs() <= 0.01 + 1e-9));
    }
}
