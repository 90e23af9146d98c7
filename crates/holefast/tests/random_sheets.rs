//! Plans on random polygons with notches and keep-outs, by a geometric test of its own: no hole,
//! helper, bar or block where it must not be.
//!
//! Neither the layout's distances nor the planner's or the replay's footprints are used: inside is
//! told by the angle that the outline turns through around a point, gaps by projection on each
//! side, overlap of a footprint with a rectangle by cutting the one with the other and taking the
//! area that is left. Bars may hang over the sheet's edge.

// Minutes of work: native only, as `random_tops`.
#![cfg(not(target_family = "wasm"))]

use std::f64::consts::{PI, TAU};
use std::fmt::Write as _;

use holefast::job::{Job, parse};
use holefast::math;
use holefast::plan::{HoleKind, Placed, Plan, PlanOptions, TemplateKind, make_plan};
use holefast::replay::replay;
use holefast::testing::made::Dice;
use holefast::testing::reach::reachable;
use holefast::top::{KeepOut, KeepOutShape, LEAST_WOOD, Side, lay_out};

/// So many sheets; four times that with HOLEFAST_LONG set.
const SHEETS: u64 = 500;

/// Rounding of sums of a few thousand mm, and of angles printed in degrees, mm.
const ROUNDING: f64 = 1e-5;

/// A bar's width, its length beyond the end holes, and the block's footprint, mm.
const BAR: [f64; 2] = [40.0, 20.0];
const BLOCK: [f64; 2] = [270.0, 60.0];

type P = [f64; 2];

/// The corners of a sheet within length × width: notched, with corners cut, or a star.
fn outline(dice: &mut Dice, length: f64, width: f64) -> Vec<P> {
    let whole = |dice: &mut Dice, least: f64, greatest: f64| (least + dice.unit() * (greatest - least)).round();
    match dice.whole(0, 3) {
        0 => {
            // A notch in each long side, and perhaps one that goes deep.
            let mut corners = vec![[0.0, 0.0]];
            let notch = |dice: &mut Dice, corners: &mut Vec<P>, y: f64, up: f64, turned: bool| {
                let (from, wide) = (whole(dice, 0.2 * length, 0.6 * length), whole(dice, 30.0, 0.3 * length));
                let deep = y + up * whole(dice, 20.0, 0.4 * width);
                let mut four = vec![[from, y], [from, deep], [from + wide, deep], [from + wide, y]];
                if turned {
                    four.reverse();
                }
                corners.extend(four);
            };
            if dice.chance(70) {
                notch(dice, &mut corners, 0.0, 1.0, false);
            }
            corners.extend([[length, 0.0], [length, width]]);
            notch(dice, &mut corners, width, -1.0, true);
            corners.push([0.0, width]);
            corners
        }
        1 => {
            let (u, v) = (whole(dice, 0.2 * length, 0.6 * length), whole(dice, 0.2 * width, 0.6 * width));
            let slant = whole(dice, 10.0, 0.3 * width);
            vec![[0.0, slant], [slant, 0.0], [length, 0.0], [length, v], [u, v], [u, width], [0.0, width]]
        }
        2 => {
            let n = dice.whole(5, 11);
            (0..n)
                .map(|k| {
                    let (sin, cos) = math::sin_cos(TAU * f64::from(k) / f64::from(n));
                    let reach = 0.6 + 0.4 * dice.unit();
                    [(0.5 * length * (1.0 + reach * cos)).round(), (0.5 * width * (1.0 + reach * sin)).round()]
                })
                .collect()
        }
        _ => vec![[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]],
    }
}

fn made_sheet(seed: u64) -> String {
    let mut dice = Dice::new(seed.wrapping_add(7_000_000));
    let pitch = dice.one_of(&[80.0, 96.0, 100.0]);
    let length = (600.0 + dice.unit() * 900.0).round();
    let width = (450.0 + dice.unit() * 450.0).round();
    let corners = outline(&mut dice, length, width);
    let origin = match dice.whole(0, 2) {
        0 => "\"centred\"".to_owned(),
        1 => "\"fit\"".to_owned(),
        _ => format!("[{}, {}]", 45 + dice.whole(0, 60), 45 + dice.whole(0, 60)),
    };
    let mut text = format!(
        "holefast = 1\nname = \"sheet {seed}\"\nunits = \"mm\"\n[top]\nlength = {length}\nwidth = {width}\n\
         thickness = 21\nmaterial = \"birch plywood\"\noutline = {corners:?}\n[grid]\npitch = {pitch}\nhole = 20\n\
         pilot = 4\nrows = \"fit\"\ncolumns = \"fit\"\nedge = 45\norigin = {origin}\n"
    );
    for n in 1..=dice.whole(0, 3) {
        let side = dice.one_of(&["above", "below", "both"]);
        let (x, y) = ((dice.unit() * length).round(), (dice.unit() * width).round());
        let (a, b) = (dice.whole(10, 90), dice.whole(10, 200));
        let shape = match dice.whole(0, 2) {
            0 => format!("circle = [{x}, {y}, {a}]"),
            1 => format!("rect = [{x}, {y}, {a}, {b}]"),
            _ => format!("rect = [{x}, {y}, {b}, {a}]"),
        };
        let _ = write!(
            text,
            "[[keep_out]]\nname = \"thing {n}\"\n{shape}\nclearance = {}\nside = \"{side}\"\n",
            dice.whole(0, 12)
        );
    }
    let [bar_width, beyond] = BAR;
    let [block_length, block_width] = BLOCK;
    let _ = write!(
        text,
        "[kit]\nmethod = \"bars\"\n[[kit.bar]]\nname = \"L\"\ncount = 2\nholes = {}\npitch = {pitch}\nbore = \"4 H7\"\n\
         position = 0.02\nturn_over = true\nwidth = {bar_width}\nthickness = 8\nbeyond = {beyond}\n\
         [kit.pin]\ndiameter = \"4 h6\"\ncount = 4\nlength = 40\n[[kit.gauge]]\ndiameter = [3.882, 3.9]\ncount = 2\n\
         [kit.pilot_bit]\ndiameter = 4\nclearance = [0.005, 0.02]\nwander = 0.015\noversize = [0.02, 0.06]\nlength = 60\n\
         [kit.block]\nreach = {pitch}\nbore_pin = \"4 H7\"\nbore_dog = \"20 H7\"\nposition = 0.015\n\
         size = [{block_length}, {block_width}, 40]\n[kit.opening_bit]\ndiameter = 20\nclearance = [0.01, 0.03]\n\
         wander = 0.01\nlean = 0.04\noversize = [0, 0.05]\n[kit.dog]\ndiameter = \"20 g6\"\ncount = 4\n\
         [kit.clamp]\nreach = 120\n[accuracy]\nsquare = 0.25\n",
        dice.whole(6, 12)
    );
    text
}

/// True inside: the corners turn once around the point.
fn inside(corners: &[P], p: P) -> bool {
    let angle = |c: P| math::atan2(c[1] - p[1], c[0] - p[0]);
    let mut turned = 0.0;
    for (n, &corner) in corners.iter().enumerate() {
        let mut step = angle(corners[(n + 1) % corners.len()]) - angle(corner);
        if step > PI {
            step -= TAU;
        }
        if step < -PI {
            step += TAU;
        }
        turned += step;
    }
    turned.abs() > PI
}

/// Distance to the nearest side, negative outside.
fn depth(corners: &[P], p: P) -> f64 {
    let mut nearest = f64::INFINITY;
    for (n, &a) in corners.iter().enumerate() {
        let b = corners[(n + 1) % corners.len()];
        let (ux, uy) = (b[0] - a[0], b[1] - a[1]);
        let long = math::hypot(ux, uy);
        let along = ((p[0] - a[0]) * ux + (p[1] - a[1]) * uy) / long;
        let beside = ((p[0] - a[0]) * uy - (p[1] - a[1]) * ux) / long;
        nearest = nearest.min(math::hypot(beside, (-along).max(along - long).max(0.0)));
    }
    if inside(corners, p) { nearest } else { -nearest }
}

fn rect(x: f64, y: f64, length: f64, width: f64) -> Vec<P> {
    vec![[x, y], [x + length, y], [x + length, y + width], [x, y + width]]
}

/// Distance from a point to a keep-out, negative inside.
fn gap(keep_out: &KeepOut, p: P) -> f64 {
    match keep_out.shape {
        KeepOutShape::Circle { centre, diameter } => math::hypot(p[0] - centre.x, p[1] - centre.y) - 0.5 * diameter,
        KeepOutShape::Rect { x, y, length, width } => -depth(&rect(x, y, length, width), p),
    }
}

/// What is left of a polygon within an upright rectangle, mm².
fn area_within(polygon: &[P], [x0, y0, x1, y1]: [f64; 4]) -> f64 {
    let mut rest = polygon.to_vec();
    for (axis, limit, sign) in [(0, x0, 1.0), (0, x1, -1.0), (1, y0, 1.0), (1, y1, -1.0)] {
        let left = |p: &P| sign * (p[axis] - limit);
        let mut kept = Vec::new();
        for (n, p) in rest.iter().enumerate() {
            let q = &rest[(n + 1) % rest.len()];
            if left(p) >= 0.0 {
                kept.push(*p);
            }
            if (left(p) > 0.0 && left(q) < 0.0) || (left(p) < 0.0 && left(q) > 0.0) {
                let t = left(p) / (left(p) - left(q));
                kept.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
            }
        }
        rest = kept;
        if rest.len() < 3 {
            return 0.0;
        }
    }
    let twice = |(n, p): (usize, &P)| {
        let q = rest[(n + 1) % rest.len()];
        p[0] * q[1] - q[0] * p[1]
    };
    0.5 * rest.iter().enumerate().map(twice).sum::<f64>().abs()
}

/// The corners of what a placed template covers.
fn footprint(plan: &Plan, placed: &Placed) -> Vec<P> {
    let template = plan.templates.iter().find(|template| template.id == placed.id).unwrap();
    let (from, to, half) = match template.kind {
        TemplateKind::Bar => {
            let last = template.features.iter().map(|feature| feature.x_mm).fold(0.0, f64::max);
            (-BAR[1], last + BAR[1], 0.5 * BAR[0])
        }
        TemplateKind::Block => (-0.5 * BLOCK[0], 0.5 * BLOCK[0], 0.5 * BLOCK[1]),
    };
    let (sin, cos) = math::sin_cos(placed.turn_deg * PI / 180.0);
    [[from, -half], [to, -half], [to, half], [from, half]]
        .map(|[x, y]| [placed.x_mm + x * cos - y * sin, placed.y_mm + x * sin + y * cos])
        .to_vec()
}

/// What lies where it must not, in words.
fn wrong(job: &Job, plan: &Plan) -> Vec<String> {
    let corners: Vec<P> = job.top.outline.iter().map(|p| [p.x, p.y]).collect();
    let (hole, pilot) = (job.grid.hole, job.grid.pilot);
    let mut all = Vec::new();
    for each in &plan.holes {
        let at = [each.x_mm, each.y_mm];
        let dog = matches!(each.kind, HoleKind::Dog | HoleKind::Extra);
        // A dog hole keeps the job's distances, a pilot its own diameter of wood, and off every keep-out.
        let (wood, radius) =
            if dog { (job.grid.edge.max(0.5 * hole + LEAST_WOOD), 0.5 * hole) } else { (1.5 * pilot, 0.5 * pilot) };
        if depth(&corners, at) < wood - ROUNDING {
            all.push(format!("{} {:?} {:.3} mm inside, {wood} wanted", each.name, each.kind, depth(&corners, at)));
        }
        for keep_out in &job.keep_outs {
            let wanted = radius + if dog { keep_out.clearance } else { 0.0 };
            if gap(keep_out, at) < wanted - ROUNDING {
                all.push(format!("{} {:?} {:.3} mm from {}", each.name, each.kind, gap(keep_out, at), keep_out.name));
            }
        }
        for other in plan.holes.iter().filter(|other| matches!(other.kind, HoleKind::Dog | HoleKind::Extra)) {
            let apart = math::hypot(other.x_mm - at[0], other.y_mm - at[1]);
            if other.name != each.name && apart < 0.5 * hole + radius + LEAST_WOOD - ROUNDING {
                all.push(format!("{} {apart:.3} mm from {}", each.name, other.name));
            }
        }
    }
    for setup in &plan.setups {
        for placed in &setup.templates {
            let covers = footprint(plan, placed);
            for keep_out in job.keep_outs.iter().filter(|keep_out| keep_out.side != Side::Below) {
                let into = match keep_out.shape {
                    KeepOutShape::Circle { centre, diameter } => {
                        0.5 * diameter + depth(&covers, [centre.x, centre.y]) > ROUNDING
                    }
                    KeepOutShape::Rect { x, y, length, width } => {
                        area_within(&covers, [x, y, x + length, y + width]) > ROUNDING * length.max(width)
                    }
                };
                if into {
                    all.push(format!("set-up {}: {} lies on {}", setup.number, placed.id, keep_out.name));
                }
            }
        }
    }
    all
}

#[derive(Default)]
struct Seen {
    planned: usize,
    notched: usize,
    above: usize,
    helpers: usize,
    fitted: usize,
    refused: usize,
    faults: Vec<String>,
}

fn look(seeds: impl Iterator<Item = u64>) -> Seen {
    let mut seen = Seen::default();
    for seed in seeds {
        let text = made_sheet(seed);
        let parsed = parse(&text);
        // Notches now and then run into each other: no outline, and the reader says so.
        let Some(job) = parsed.job else { continue };
        let Ok(layout) = lay_out(&job) else { continue };
        match make_plan(&job, &layout, &PlanOptions::default()) {
            Ok(plan) => {
                seen.planned += 1;
                seen.notched += usize::from(job.top.outline.len() > 4);
                seen.above += usize::from(job.keep_outs.iter().any(|keep_out| keep_out.side != Side::Below));
                seen.helpers += usize::from(plan.holes.iter().any(|hole| hole.kind == HoleKind::Helper));
                seen.fitted += usize::from(text.contains("origin = \"fit\""));
                seen.faults.extend(wrong(&job, &plan).into_iter().map(|fault| format!("seed {seed}: {fault}")));
                if let Err(fault) = replay(&job, &plan) {
                    seen.faults.push(format!("seed {seed}: the replay says: {}", fault.message));
                }
            }
            Err(faults) => {
                seen.refused += 1;
                // What stands above is not in the brute closure; without it, a refusal must be a true one.
                let above = job.keep_outs.iter().any(|keep_out| keep_out.side != Side::Below);
                if !above && reachable(&job).is_ok() {
                    seen.faults.push(format!("seed {seed}: refused though reachable: {}", faults[0].message));
                }
                if faults.iter().any(|fault| fault.hint.is_none()) {
                    seen.faults.push(format!("seed {seed}: refused without a way out: {}", faults[0].message));
                }
            }
        }
    }
    seen
}

#[test]
fn nothing_lies_where_it_must_not() {
    let sheets = if std::env::var_os("HOLEFAST_LONG").is_some() { 4 * SHEETS } else { SHEETS };
    let halves = std::thread::scope(|scope| {
        let halves = [0, 1].map(|odd| scope.spawn(move || look((odd..sheets).step_by(2))));
        halves.map(|half| half.join().expect("a thread that panicked has said why"))
    });
    let sum = |of: fn(&Seen) -> usize| halves.iter().map(of).sum::<usize>();
    let (planned, refused) = (sum(|s| s.planned), sum(|s| s.refused));
    let (notched, above) = (sum(|s| s.notched), sum(|s| s.above));
    let (helpers, fitted) = (sum(|s| s.helpers), sum(|s| s.fitted));
    println!(
        "{planned} planned, {refused} refused, of {sheets} sheets; of the planned {notched} are no rectangles, \
         {above} have something above, {helpers} use helpers, {fitted} are laid by fit"
    );
    let faults: Vec<&String> = halves.iter().flat_map(|half| &half.faults).collect();
    assert!(faults.is_empty(), "{} faults: {faults:#?}", faults.len());
    let share = |n: usize, percent: usize| 100 * n >= percent * sheets as usize;
    assert!(share(planned, 50) && share(notched, 25) && share(above, 25) && share(fitted, 10), "too few of a sort");
}

#[test]
fn the_test_itself_sees_what_lies_wrong() {
    let corners = [[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [50.0, 100.0], [50.0, 40.0], [0.0, 40.0]];
    assert!((depth(&corners, [60.0, 50.0]) - 10.0).abs() < 1e-9);
    assert!((depth(&corners, [47.0, 44.0]) + 3.0).abs() < 1e-9);
    assert!(
        (area_within(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]], [5.0, 5.0, 20.0, 20.0]) - 25.0).abs()
            < 1e-9
    );
    // A diamond whose bounding box meets the rectangle, but not it.
    assert_eq!(area_within(&[[0.0, -10.0], [10.0, 0.0], [0.0, 10.0], [-10.0, 0.0]], [6.0, 6.0, 20.0, 20.0]), 0.0);
    // A plan on a free sheet, with a vice put on it afterwards.
    let text = made_sheet(0);
    let kit = text.find("[kit]").unwrap();
    let head = text.find("[[keep_out]]").unwrap_or(kit);
    let mut job = parse(&format!("{}{}", &text[..head], &text[kit..])).job.unwrap();
    let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
    assert_eq!(wrong(&job, &plan), [""; 0]);
    let first = &plan.holes[0];
    let shape = KeepOutShape::Rect { x: first.x_mm + 30.0, y: first.y_mm - 5.0, length: 10.0, width: 10.0 };
    job.keep_outs = vec![KeepOut { name: "vice".to_owned(), shape, clearance: 0.0, side: Side::Above }];
    assert!(wrong(&job, &plan).iter().any(|fault| fault.contains("L1 lies on vice")));
    let round =
        KeepOutShape::Circle { centre: holefast::top::Point::new(first.x_mm, first.y_mm + 25.0), diameter: 20.0 };
    job.keep_outs[0].shape = round;
    job.keep_outs[0].side = Side::Below;
    job.keep_outs[0].clearance = 6.0;
    assert!(wrong(&job, &plan)[0].starts_with(&first.name), "a hole 5 mm from it");
}
