//! Layouts of random tops against another way to the same answer.
//!
//! Distances are found here by narrowing down along each side, inside or outside by the angle that
//! the outline turns through around a point; neither is how the layout does it.

use proptest::prelude::*;

use super::*;
use crate::job::Job;
use crate::math;
use crate::testing;

/// Where the two ways may differ by rounding and by the narrowing down, mm.
const UNSURE: f64 = 1e-4;

fn apart(a: Point, b: Point) -> f64 {
    math::hypot(a.x - b.x, a.y - b.y)
}

/// Distance to a side, by ternary search along it: the distance along a line has one least value.
fn to_side(point: Point, a: Point, b: Point) -> f64 {
    let at = |t: f64| apart(point, Point::new(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)));
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let (one, two) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if at(one) < at(two) { high = two } else { low = one }
    }
    at(0.5 * (low + high))
}

/// Distance to the nearest side, negative outside.
fn depth(corners: &[Point], point: Point) -> f64 {
    let mut turned = 0.0;
    let mut nearest = f64::INFINITY;
    for (n, a) in corners.iter().enumerate() {
        let b = corners[(n + 1) % corners.len()];
        let angle = |p: Point| math::atan2(p.y - point.y, p.x - point.x);
        let mut step = angle(b) - angle(*a);
        if step > std::f64::consts::PI {
            step -= std::f64::consts::TAU;
        }
        if step < -std::f64::consts::PI {
            step += std::f64::consts::TAU;
        }
        turned += step;
        nearest = nearest.min(to_side(point, *a, b));
    }
    if turned.abs() > 1.0 { nearest } else { -nearest }
}

fn to_keep_out(keep_out: &KeepOut, point: Point) -> f64 {
    match keep_out.shape {
        KeepOutShape::Circle { centre, diameter } => apart(centre, point) - diameter / 2.0,
        KeepOutShape::Rect { x, y, length, width } => {
            -depth(&[(x, y), (x + length, y), (x + length, y + width), (x, y + width)].map(Point::from), point)
        }
    }
}

/// What is left over for a hole, mm; negative where it must not be.
fn spare(job: &Job, point: Point, diameter: f64) -> f64 {
    let edge = job.grid.edge.max(diameter / 2.0 + LEAST_WOOD);
    let keep_outs = job.keep_outs.iter().map(|k| to_keep_out(k, point) - diameter / 2.0 - k.clearance);
    keep_outs.fold(depth(&job.top.outline, point) - edge, f64::min)
}

prop_compose! {
    fn keep_out(length: f64, width: f64)(
        circle in any::<bool>(),
        x in 0.0..1.0f64, y in 0.0..1.0f64,
        a in 10.0..120.0f64, b in 10.0..400.0f64,
        clearance in prop_oneof![Just(0.0), 0.0..30.0f64],
    ) -> KeepOut {
        let (x, y) = (x * length, y * width);
        let mut keep_out = testing::rail("rail", (x - a).round(), (y - b).round(), a.round(), b.round(), clearance);
        if circle {
            keep_out.shape = KeepOutShape::Circle { centre: Point::new(x, y), diameter: a };
        }
        keep_out
    }
}

/// A rectangle, a cut corner, an L, or a star around the middle.
fn outline(length: f64, width: f64) -> impl Strategy<Value = Vec<Point>> {
    prop_oneof![
        3 => Just(testing::rectangle(length, width)),
        1 => (0.05..0.6f64, 0.05..0.6f64).prop_map(move |(u, v)| {
            [(0.0, 0.0), (length, 0.0), (length, width * (1.0 - v)), (length * (1.0 - u), width), (0.0, width)]
                .map(Point::from)
                .to_vec()
        }),
        1 => (0.2..0.7f64, 0.2..0.7f64).prop_map(move |(u, v)| {
            let (u, v) = (u * length, v * width);
            [(0.0, 0.0), (length, 0.0), (length, v), (u, v), (u, width), (0.0, width)].map(Point::from).to_vec()
        }),
        1 => proptest::collection::vec(0.55..1.0f64, 5..10).prop_map(move |reach| {
            let n = reach.len() as f64;
            let corner = |(k, r): (usize, &f64)| {
                let (sin, cos) = math::sin_cos(std::f64::consts::TAU * k as f64 / n);
                Point::new(length / 2.0 * (1.0 + r * cos), width / 2.0 * (1.0 + r * sin))
            };
            reach.iter().enumerate().map(corner).collect()
        }),
    ]
}

fn count() -> impl Strategy<Value = Count> {
    prop_oneof![2 => Just(Count::Fit), 1 => (1u32..7).prop_map(Count::Number)]
}

prop_compose! {
    fn top()(length in 300.0f64..1500.0, width in 300.0f64..900.0)(
        outline in outline(length.round(), width.round()),
        keep_outs in proptest::collection::vec(keep_out(length, width), 0..4),
        pitch in prop_oneof![Just(100.0), Just(96.0), 40.0..200.0],
        (rows, columns) in (count(), count()),
        hole in 8.0..30.0, edge in 20.0..60.0,
        extras in proptest::collection::vec((0.0..1.0, 0.0..1.0, 8.0..40.0), 0..3),
        (length, width) in (Just(length.round()), Just(width.round())),
    ) -> Job {
        let mut job = testing::job(length, width, pitch);
        job.top.outline = outline;
        job.keep_outs = keep_outs;
        job.grid.hole = hole;
        job.grid.edge = edge;
        job.grid.rows = rows;
        job.grid.columns = columns;
        job.grid.extra = extras.into_iter().zip(1..).map(|((x, y, diameter), n)| ExtraHole {
            name: format!("V{n}x"), centre: Point::new(x * length, y * width), diameter,
        }).collect();
        job
    }
}

/// Holes possible at a given origin, counted the other way; `None` where rounding could decide.
fn count_at(job: &Job, layout: &Layout, origin: Point) -> Option<usize> {
    let mut holes: Vec<(Point, f64)> = Vec::new();
    for row in 0..layout.rows {
        for column in 0..layout.columns {
            let at = Point::new(
                origin.x + f64::from(column) * job.grid.pitch[0],
                origin.y + f64::from(row) * job.grid.pitch[1],
            );
            let left = spare(job, at, job.grid.hole);
            if left.abs() < UNSURE {
                return None;
            }
            if left > 0.0 {
                holes.push((at, job.grid.hole));
            }
        }
    }
    for extra in &job.grid.extra {
        let to_holes = holes.iter().map(|(at, d)| apart(*at, extra.centre) - (d + extra.diameter) / 2.0 - LEAST_WOOD);
        let left = to_holes.fold(spare(job, extra.centre, extra.diameter), f64::min);
        if left.abs() < UNSURE {
            return None;
        }
        if left > 0.0 {
            holes.push((extra.centre, extra.diameter));
        }
    }
    Some(holes.len())
}

fn extent(job: &Job) -> [f64; 4] {
    let xs = job.top.outline.iter().map(|p| p.x);
    let ys = job.top.outline.iter().map(|p| p.y);
    [
        xs.clone().fold(f64::INFINITY, f64::min),
        xs.fold(f64::NEG_INFINITY, f64::max),
        ys.clone().fold(f64::INFINITY, f64::min),
        ys.fold(f64::NEG_INFINITY, f64::max),
    ]
}

/// Every wanted hole is either laid and may be there, or in conflict and may not.
fn each_hole_is_where_it_may_be(job: &Job, layout: &Layout) -> Result<(), TestCaseError> {
    for hole in &layout.holes {
        prop_assert!(spare(job, hole.centre, hole.diameter) > -UNSURE, "{} must not be", hole.name);
        for other in &layout.holes {
            let wood = apart(hole.centre, other.centre) - (hole.diameter + other.diameter) / 2.0;
            prop_assert!(hole.name == other.name || wood > LEAST_WOOD - UNSURE, "{} and {}", hole.name, other.name);
        }
    }
    for conflict in &layout.conflicts {
        let hole = &conflict.hole;
        let there_is = match &conflict.with {
            Obstacle::Edge => depth(&job.top.outline, hole.centre) - hole.diameter / 2.0,
            Obstacle::KeepOut(idx) => to_keep_out(&job.keep_outs[*idx], hole.centre) - hole.diameter / 2.0,
            Obstacle::Hole(name) => {
                let other = layout.holes.iter().find(|other| other.name == *name).unwrap();
                apart(hole.centre, other.centre) - (hole.diameter + other.diameter) / 2.0
            }
        };
        prop_assert!((conflict.clearance - there_is).abs() < UNSURE, "{conflict:?}: {there_is}");
        prop_assert!(conflict.clearance < conflict.wanted, "{conflict:?}");
        prop_assert!(!layout.holes.iter().any(|other| other.name == hole.name), "{} twice", hole.name);
    }
    let mut names: Vec<&str> = layout.holes.iter().map(|hole| hole.name.as_str()).collect();
    names.extend(layout.conflicts.iter().map(|conflict| conflict.hole.name.as_str()));
    names.sort_unstable();
    names.dedup();
    prop_assert_eq!(names.len(), (layout.rows * layout.columns) as usize + job.grid.extra.len(), "a place is lost");
    prop_assert_eq!(names.len(), layout.wanted);
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn centred_grids(job in top()) {
        let Ok(layout) = lay_out(&job) else { return Ok(()) };
        each_hole_is_where_it_may_be(&job, &layout)?;
        let [x0, x1, y0, y1] = extent(&job);
        let last = layout.place(layout.rows as i32 - 1, layout.columns as i32 - 1);
        prop_assert!((layout.origin.x - x0 - (x1 - last.x)).abs() < 1e-9, "not in the middle along x");
        prop_assert!((layout.origin.y - y0 - (y1 - last.y)).abs() < 1e-9, "not in the middle along y");
        if job.top.outline == testing::rectangle(job.top.length, job.top.width) {
            let room = 2.0 * job.grid.edge + f64::from(layout.columns) * job.grid.pitch[0];
            prop_assert!(job.grid.columns != Count::Fit || room > job.top.length - UNSURE, "one column more fits");
            let room = 2.0 * job.grid.edge + f64::from(layout.rows) * job.grid.pitch[1];
            prop_assert!(job.grid.rows != Count::Fit || room > job.top.width - UNSURE, "one row more fits");
        }
    }

    #[test]
    fn grids_at_an_origin(mut job in top(), u in 0.0..0.5, v in 0.0..0.5) {
        let [x0, x1, y0, y1] = extent(&job);
        job.grid.origin = GridOrigin::At(Point::new(x0 + u * (x1 - x0), y0 + v * (y1 - y0)));
        let Ok(layout) = lay_out(&job) else { return Ok(()) };
        each_hole_is_where_it_may_be(&job, &layout)?;
    }

    #[test]
    fn a_move_that_is_offered_clears_the_extra_hole(job in top()) {
        let Ok(layout) = lay_out(&job) else { return Ok(()) };
        for conflict in layout.conflicts.iter().filter(|conflict| conflict.hole.cell.is_none()) {
            let hint = conflict.fault.hint.clone().unwrap();
            let Some(way) = hint.strip_prefix("moved ") else { continue };
            let (amount, way) = way.split_once(" mm ").unwrap();
            let amount: f64 = amount.parse().unwrap();
            let by = match way.strip_suffix(" it is clear").unwrap() {
                "to the right" => (amount, 0.0),
                "to the left" => (-amount, 0.0),
                "away from the reference edge" => (0.0, amount),
                _ => (0.0, -amount),
            };
            let mut moved = job.clone();
            let idx = job.grid.extra.iter().position(|extra| extra.name == conflict.hole.name).unwrap();
            moved.grid.extra[idx].centre += kurbo::Vec2::from(by);
            // Alone: of two extra holes in conflict the later one is measured against the earlier's absence.
            moved.grid.extra = vec![moved.grid.extra[idx].clone()];
            let again = lay_out(&moved).unwrap();
            prop_assert!(again.holes.iter().any(|hole| hole.name == conflict.hole.name), "{hint}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 80, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_origin_is_better_than_the_fitted_one(mut job in top()) {
        job.grid.origin = GridOrigin::Fit;
        let Ok(layout) = lay_out(&job) else { return Ok(()) };
        each_hole_is_where_it_may_be(&job, &layout)?;
        let found = layout.holes.len();
        let [x0, x1, y0, y1] = extent(&job);
        let middle = |layout: &Layout, origin: Point| {
            let across = |n: u32, pitch: f64| f64::from(n - 1) * pitch / 2.0;
            apart(
                Point::new(origin.x + across(layout.columns, job.grid.pitch[0]), origin.y + across(layout.rows, job.grid.pitch[1])),
                Point::new((x0 + x1) / 2.0, (y0 + y1) / 2.0),
            )
        };
        let away = middle(&layout, layout.origin);
        let range = |count: Count, from: f64, to: f64, pitch: f64| match count {
            Count::Fit => (from + job.grid.edge, (from + job.grid.edge + pitch).min(to - job.grid.edge)),
            Count::Number(n) => {
                let (a, b) = (from + job.grid.edge, to - job.grid.edge - f64::from(n - 1) * pitch);
                (a.min(b), a.max(b))
            }
        };
        let (left, right) = range(job.grid.columns, x0, x1, job.grid.pitch[0]);
        let (near, far) = range(job.grid.rows, y0, y1, job.grid.pitch[1]);
        const STEPS: u32 = 13;
        for i in 0..=STEPS {
            for j in 0..=STEPS {
                let t = |n: u32| f64::from(n) / f64::from(STEPS);
                let origin = Point::new(left + t(i) * (right - left), near + t(j) * (far - near));
                let mut other = job.clone();
                other.grid.origin = GridOrigin::At(origin);
                let Ok(other) = lay_out(&other) else { continue };
                // Counting the slow way everywhere takes minutes; that both ways agree is tested above.
                if other.holes.len() < found && (i + j) % 7 != 0 {
                    continue;
                }
                let Some(possible) = count_at(&job, &other, origin) else { continue };
                prop_assert!(possible <= found, "{possible} at {origin:?}, {found} at {:?}", layout.origin);
                if possible == found && job.top.outline.len() == 4 {
                    let it = middle(&other, origin);
                    prop_assert!(it > away - UNSURE, "{origin:?} is {it} from centred, {:?} {away}", layout.origin);
                }
            }
        }
    }
}
