//! Tangents, shims, stops and gradients against values worked out elsewhere, and against geometry
//! solved another way.

use std::f64::consts::PI;

use super::*;
use crate::job::{CutAt, Kept, LineSide};
use crate::math;
use crate::proof::ProvedHoles;
use crate::testing::made::Dice;
use crate::top::Point;

/// Places without names, for lines by index.
fn places(points: &[[f64; 2]]) -> Places {
    let names: Vec<String> = (0..points.len()).map(|i| format!("H{i}")).collect();
    let layout = layout_of(&names, points);
    let size = 2 * points.len();
    let unit: Vec<f64> = (0..size * size).map(|i| if i % (size + 1) == 0 { 1.0 } else { 0.0 }).collect();
    let centres: Vec<Point> = points.iter().map(|p| Point::new(p[0], p[1])).collect();
    Places::proved(&layout, &ProvedHoles { names, centres, covariance: unit, ..ProvedHoles::default() })
}

fn layout_of(names: &[String], points: &[[f64; 2]]) -> crate::top::Layout {
    let mut layout = crate::top::lay_out(&crate::testing::trailer_top()).unwrap();
    layout.holes = names
        .iter()
        .zip(points)
        .map(|(name, p)| crate::top::LaidHole {
            name: name.clone(),
            cell: None,
            centre: Point::new(p[0], p[1]),
            diameter: 20.0,
        })
        .collect();
    layout
}

fn no_play() -> Dogs {
    Dogs { heads: vec![(20.0, u32::MAX)], radius_sd: 0.0, stands_sd: 0.0, fit_known: false }
}

fn point(p: [f64; 2]) -> Point {
    Point::new(p[0], p[1])
}

fn numbers(value: &serde_json::Value) -> [f64; 2] {
    [0, 1].map(|i| value[i].as_f64().unwrap())
}

/// Relative, as the figures are given.
fn near(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * b.abs().max(1e-9)
}

#[test]
fn directions_and_shims_are_those_of_the_reference() {
    let data: serde_json::Value = serde_json::from_str(include_str!("../../tests/data/worked/formulas.json")).unwrap();
    let mut looked_at = 0;
    for case in data["lines"]["cases"].as_array().unwrap() {
        let (a, b, dogs) = (numbers(&case["first"]), numbers(&case["second"]), numbers(&case["dogs_mm"]));
        let board = case["board_mm"].as_f64().unwrap();
        let [r1, r2] = dogs.map(|d| 0.5 * d);
        let offsets = match case["side"].as_str().unwrap() {
            "left" => [r1, r2],
            "right" => [-r1, -r2],
            "left-right" => [r1, -r2 - board],
            "right-left" => [-r1, r2 + board],
            other => panic!("{other}"),
        };
        let direction = direction_of(point(a), point(b), offsets).unwrap();
        assert!(near(direction.to_degrees(), case["direction_deg"].as_f64().unwrap(), 1e-6), "{case}");
        let turn = (direction - math::atan2(b[1] - a[1], b[0] - a[0])) * 1000.0;
        assert!(near(turn, case["turn_mm_per_m"].as_f64().unwrap(), 1e-6), "{case}");
        looked_at += 1;
    }
    for case in data["shims"]["cases"].as_array().unwrap() {
        let places = places(&[numbers(&case["first"]), numbers(&case["second"])]);
        let side = if case["side"] == "left" { LineSide::Left } else { LineSide::Right };
        let line = Line { holes: [0, 1], side, dogs: numbers(&case["dogs_mm"]) };
        let shim = shim_for(&places, &line, case["wanted_deg"].as_f64().unwrap().to_radians());
        assert!(near(shim.thickness, case["thickness_mm"].as_f64().unwrap(), 1e-6), "{case} {shim:?}");
        assert_eq!(["first", "second"][shim.end], case["shim_at"].as_str().unwrap());
        looked_at += 1;
    }
    assert_eq!(looked_at, 10);
}

/// The direction of the line that touches two circles, by Newton's way on the two points of touch:
/// the line between them is square to both radii. Knows nothing of arc sines.
fn by_tangency(a: [f64; 2], b: [f64; 2], offsets: [f64; 2]) -> f64 {
    let start = math::atan2(b[1] - a[1], b[0] - a[0]);
    let mut t = [0, 1].map(|i| start + if offsets[i] > 0.0 { 0.5 * PI } else { -0.5 * PI });
    let r = offsets.map(f64::abs);
    let touch = |t: [f64; 2]| {
        [
            [a[0] + r[0] * math::cos(t[0]), a[1] + r[0] * math::sin(t[0])],
            [b[0] + r[1] * math::cos(t[1]), b[1] + r[1] * math::sin(t[1])],
        ]
    };
    let misfit = |t: [f64; 2]| {
        let [p, q] = touch(t);
        let way = [q[0] - p[0], q[1] - p[1]];
        [0, 1].map(|i| way[0] * math::cos(t[i]) + way[1] * math::sin(t[i]))
    };
    for _ in 0..30 {
        let f = misfit(t);
        let h = 1e-6;
        let column = |i: usize| {
            let (mut up, mut down) = (t, t);
            up[i] += h;
            down[i] -= h;
            let (up, down) = (misfit(up), misfit(down));
            [0, 1].map(|k| (up[k] - down[k]) / (2.0 * h))
        };
        let (c0, c1) = (column(0), column(1));
        let det = c0[0] * c1[1] - c1[0] * c0[1];
        t[0] -= (f[0] * c1[1] - c1[0] * f[1]) / det;
        t[1] -= (c0[0] * f[1] - f[0] * c0[1]) / det;
    }
    let [p, q] = touch(t);
    math::atan2(q[1] - p[1], q[0] - p[0])
}

#[test]
fn a_face_touches_both_dogs_as_newton_finds_it() {
    let mut dice = Dice::new(7);
    for _ in 0..500 {
        let mut unit = |from: f64, to: f64| from + (to - from) * dice.unit();
        let a = [unit(-500.0, 500.0), unit(-500.0, 500.0)];
        let (turn, far) = (unit(-PI, PI), unit(60.0, 1500.0));
        let b = [a[0] + far * math::cos(turn), a[1] + far * math::sin(turn)];
        let sign = [if unit(0.0, 1.0) < 0.5 { 1.0 } else { -1.0 }, if unit(0.0, 1.0) < 0.5 { 1.0 } else { -1.0 }];
        let offsets = [sign[0] * unit(5.0, 20.0), sign[1] * unit(5.0, 20.0)];
        let ours = direction_of(point(a), point(b), offsets).unwrap();
        let off = ours - by_tangency(a, b, offsets);
        let off = off - 2.0 * PI * (off / (2.0 * PI)).round();
        assert!(off.abs() < 1e-9, "{a:?} {b:?} {offsets:?}: {off}");
        // and the shim that a direction asks for brings the face there
        if sign[0] == sign[1] {
            let side = if sign[0] > 0.0 { LineSide::Left } else { LineSide::Right };
            let line = Line { holes: [0, 1], side, dogs: offsets.map(|s| 2.0 * s.abs()) };
            let wanted = ours + unit(-0.01, 0.01);
            let shim = shim_for(&places(&[a, b]), &line, wanted);
            let mut with = offsets;
            with[shim.end] += sign[0] * shim.thickness;
            let off = direction_of(point(a), point(b), with).unwrap() - wanted;
            let off = off - 2.0 * PI * (off / (2.0 * PI)).round();
            assert!(off.abs() < 1e-9 && shim.thickness >= 0.0, "{off} {shim:?}");
        }
    }
    assert_eq!(direction_of(point([0.0, 0.0]), point([30.0, 0.0]), [10.0, -25.0]), None, "dogs in each other");
    assert_eq!(direction_of(point([0.0, 0.0]), point([0.0, 0.0]), [10.0, 10.0]), None, "one place");
}

/// A made pair on five points: fence, rail, stop.
fn made(dice: &mut Dice) -> ([[f64; 2]; 5], Line, Line, Piece, Offsets) {
    let mut unit = |from: f64, to: f64| from + (to - from) * dice.unit();
    let left = unit(0.0, 1.0) < 0.5;
    let up = if left { 1.0 } else { -1.0 };
    let slant = unit(-0.6, 0.6);
    let points = [
        [unit(0.0, 60.0), unit(-20.0, 20.0)],
        [unit(700.0, 1000.0), unit(-90.0, 90.0)],
        [unit(250.0, 330.0), up * unit(100.0, 150.0)],
        [300.0 + 500.0 * slant, up * unit(560.0, 650.0)],
        [unit(900.0, 1100.0), up * unit(30.0, 60.0)],
    ];
    let side = if left { LineSide::Left } else { LineSide::Right };
    let rail_side = if unit(0.0, 1.0) < 0.5 { LineSide::Left } else { LineSide::Right };
    let fence = Line { holes: [0, 1], side, dogs: [20.0, unit(18.0, 20.0)] };
    let rail = Line { holes: [2, 3], side: rail_side, dogs: [unit(18.0, 20.0), 20.0] };
    let at = [CutAt::Fence, CutAt::Middle, CutAt::Far][(unit(0.0, 3.0) as usize).min(2)];
    let kept = if unit(0.0, 1.0) < 0.5 { Kept::Beyond } else { Kept::UnderRail };
    let end = if unit(0.0, 1.0) < 0.3 { 0.5 * PI } else { unit(1.0, 2.1) };
    let piece = Piece { length: unit(100.0, 400.0), at, width: unit(40.0, 90.0), kerf: unit(1.0, 3.0), kept, end };
    (points, fence, rail, piece, Offsets { cut: unit(100.0, 180.0), fence_thickness: unit(0.0, 20.0) })
}

/// The spacer measured on the piece itself: its corners are laid out from the cut, and the stop's
/// distance from the line of its end is taken.
fn spacer_on_the_piece(pair: &Pair, piece: &Piece, offsets: &Offsets, centre: Point) -> f64 {
    let u = pair.fence_face.along;
    let up = pair.fence.sign();
    let n = [-u[1] * up, u[0] * up];
    let v = pair.rail_face.along;
    // X by walking along the cut until the face is met
    let at_side = |p: [f64; 2], f: &Face, off: f64| (f.normal()[0] * p[0] + f.normal()[1] * p[1]) - f.offset - off;
    let cut_off = pair.rail.sign() * offsets.cut;
    let m = pair.rail_face.normal();
    let on_cut = [m[0] * (pair.rail_face.offset + cut_off), m[1] * (pair.rail_face.offset + cut_off)];
    let high = |t: f64| {
        let p = [on_cut[0] + t * v[0], on_cut[1] + t * v[1]];
        at_side(p, &pair.fence_face, up * offsets.fence_thickness)
    };
    let slope = high(1.0) - high(0.0);
    let t = -high(0.0) / slope;
    let x = [on_cut[0] + t * v[0], on_cut[1] + t * v[1]];
    // the kept piece begins a kerf beyond it, square to the cut
    let square = u[0] * m[0] + u[1] * m[1];
    let begin = if piece.kept == Kept::Beyond { piece.kerf / square.abs() } else { 0.0 };
    let w = match piece.at {
        CutAt::Fence => 0.0,
        CutAt::Middle => 0.5 * piece.width,
        CutAt::Far => piece.width,
    };
    // where the cut edge is at that height, and the end a length from there
    let rise = v[0] * n[0] + v[1] * n[1];
    let here = [x[0] + begin * u[0] + v[0] * w / rise, x[1] + begin * u[1] + v[1] * w / rise];
    let end = [here[0] + piece.length * u[0], here[1] + piece.length * u[1]];
    // the end's edge: β from the way back to the cut
    let e = [0, 1].map(|i| -math::cos(piece.end) * u[i] + math::sin(piece.end) * n[i]);
    let out = [0, 1].map(|i| math::sin(piece.end) * u[i] + math::cos(piece.end) * n[i]);
    assert!((e[0] * out[0] + e[1] * out[1]).abs() < 1e-12);
    (centre.x - end[0]) * out[0] + (centre.y - end[1]) * out[1] - 10.0
}

#[test]
fn a_stop_meets_the_piece_as_it_is_cut() {
    let mut dice = Dice::new(11);
    let mut looked_at = 0;
    for _ in 0..300 {
        let (points, fence, rail, piece, offsets) = made(&mut dice);
        let places = places(&points);
        let Some(pair) = Pair::of(&places, fence, rail) else { continue };
        let stop = StopSet::of(&places, &pair, &piece, &offsets, &no_play(), (4, 20.0));
        let expected = spacer_on_the_piece(&pair, &piece, &offsets, places.holes()[4].centre);
        assert!((stop.spacer - expected).abs() < 1e-8, "{piece:?} {} {expected}", stop.spacer);
        looked_at += 1;
    }
    assert!(looked_at > 200, "{looked_at}");
}

/// With unit covariance u² is the square of the gradient: by differences of the whole geometry.
#[test]
fn gradients_are_those_of_the_geometry() {
    let mut dice = Dice::new(13);
    let h = 1e-3;
    for _ in 0..60 {
        let (points, fence, rail, piece, offsets) = made(&mut dice);
        let base = places(&points);
        let Some(pair) = Pair::of(&base, fence, rail) else { continue };
        let stop = StopSet::of(&base, &pair, &piece, &offsets, &no_play(), (4, 20.0));
        let (mut angle, mut length) = (0.0, 0.0);
        for hole in 0..5 {
            for axis in 0..2 {
                let moved = |by: f64| {
                    let mut points = points;
                    points[hole][axis] += by;
                    let places = places(&points);
                    let pair = Pair::of(&places, fence, rail).unwrap();
                    let stop = StopSet::of(&places, &pair, &piece, &offsets, &no_play(), (4, 20.0));
                    // the length that comes out where the spacer stays
                    (pair.angle, piece.length + (stop.spacer / math::sin(piece.end)))
                };
                let (up, down) = (moved(h), moved(-h));
                angle += ((up.0 - down.0) / (2.0 * h)).powf_2();
                length += ((up.1 - down.1) / (2.0 * h)).powf_2();
            }
        }
        let u = pair.u(&base, &no_play()).unwrap();
        assert!(near(u * u, angle, 1e-6), "{} {angle}", u * u);
        let u = stop.u_length.unwrap();
        assert!(near(u * u, length, 1e-6), "{} {length} {piece:?}", u * u);
    }
}

trait Square {
    fn powf_2(self) -> f64;
}
impl Square for f64 {
    fn powf_2(self) -> f64 {
        self * self
    }
}

#[test]
fn turning_and_shifting_everything_changes_nothing() {
    let mut dice = Dice::new(17);
    for _ in 0..50 {
        let (points, fence, rail, piece, offsets) = made(&mut dice);
        let (turn, dx, dy) = (2.0 * PI * dice.unit(), 900.0 * dice.unit(), -700.0 * dice.unit());
        let (sin, cos) = math::sin_cos(turn);
        let moved = points.map(|[x, y]| [cos * x - sin * y + dx, sin * x + cos * y + dy]);
        let both = [points, moved].map(|points| {
            let places = places(&points);
            let pair = Pair::of(&places, fence, rail)?;
            let stop = StopSet::of(&places, &pair, &piece, &offsets, &no_play(), (4, 20.0));
            Some([pair.angle, pair.u(&places, &no_play())?, stop.spacer, stop.across, stop.u_length?])
        });
        match both {
            [Some(a), Some(b)] => {
                for (a, b) in a.iter().zip(&b) {
                    assert!((a - b).abs() < 1e-9, "{a} {b}");
                }
            }
            [None, None] => {}
            _ => panic!("one of them is none"),
        }
    }
}

#[test]
fn shims_come_from_the_stock() {
    let stock = [0.05, 0.1, 0.2, 0.3, 0.5];
    assert!(from_stock(&stock, 0.0).is_empty());
    assert!(from_stock(&stock, 0.02).is_empty());
    assert_eq!(from_stock(&stock, 0.3), [0.3]);
    assert_eq!(from_stock(&stock, 0.66), [0.5, 0.1, 0.05]);
    assert_eq!(from_stock(&stock, 8.0), [0.5, 0.3, 0.2]);
    assert!(from_stock(&[], 1.0).is_empty());
    // one shim rather than two that do no better
    assert_eq!(from_stock(&[0.1, 0.2, 0.3], 0.3), [0.3]);
}

#[test]
fn an_angle_is_read_as_people_say_it() {
    use crate::job::Units::{Inch, Mm};
    for (text, units, degrees) in [
        ("22.5", Mm, 22.5),
        ("22,5°", Mm, 22.5),
        ("67.5 deg", Mm, 67.5),
        ("1:12", Mm, 4.763641690726177),
        ("1 in 12", Inch, 4.763641690726177),
        ("1 over 1", Mm, 45.0),
        ("85 mm over 150 mm", Inch, 29.538782259558218),
        ("3 in over 76.2 mm", Mm, 45.0),
        ("100:0", Mm, 90.0),
        ("octagon", Mm, 67.5),
        ("6 sides", Mm, 60.0),
        ("5-sided", Mm, 54.0),
    ] {
        let read = wanted_angle(text, units).unwrap_or_else(|e| panic!("{text}: {e:?}")).to_degrees();
        assert!((read - degrees).abs() < 1e-9, "{text}: {read}");
    }
    for (text, message) in [
        ("0", "0° is no angle of a cut: it must lie between 0° and 180°"),
        ("180", "180° is no angle of a cut: it must lie between 0° and 180°"),
        ("-5", "-5° is no angle of a cut: it must lie between 0° and 180°"),
        ("NaN", "NaN° is no angle of a cut: it must lie between 0° and 180°"),
        ("steep", "\"steep\" is no angle"),
        ("0:12", "\"0:12\" is no slope: the rise must be more than nought, the run not less"),
        ("2 sides", "a frame of 2 sides has no mitre"),
    ] {
        let fault = wanted_angle(text, Mm).unwrap_err();
        assert_eq!(fault.message, message);
        assert!(fault.hint.is_some());
    }
    assert!((mitre(67.5f64.to_radians()).to_degrees() - 22.5).abs() < 1e-12);
}
