//! Cases solved with pencil and paper, put to the tape and to the virtual boards alike.
//!
//! Every kit here has all sources at nil but those of the case; clearances are never quite nil
//! (the least is 0.001 mm), which is why some comparisons allow a part in a thousand.

#![allow(clippy::needless_range_loop, reason = "axis by axis across several arrays")]

use super::Model;
use super::board::Boards;
use super::by_hand::{Writer, bore, common_practice_kit, hole_name, pin};
use super::draws::Draws;
use super::lanes::Lanes;
use super::linear::Linear;
use super::stream::Streams;
use super::tape::Node;
use crate::kit::{Kit, Limits};
use crate::plan::{PinUse, Place, Plan, Stage, With};

/// Clearances of the pins alone: bores of bar and wood, pins of one size, nothing else varies.
fn still_kit(bar_bore: f64, pilot_oversize: f64) -> Kit {
    let mut kit = common_practice_kit();
    kit.bars[0].bore = Limits::exact(bar_bore);
    kit.bars[0].position = 0.0;
    kit.pin.diameter = Limits::exact(3.0);
    kit.pilot_bit.clearance = Limits::exact(0.0);
    kit.pilot_bit.wander = 0.0;
    kit.pilot_bit.oversize = Limits::exact(pilot_oversize);
    kit
}

fn linear_variance(linear: &Linear, terms: &[(Node, f64)]) -> f64 {
    linear.tape.variance(&linear.tape.sensitivity(terms))
}

/// Runs boards of a plan and gives the pilots' deviations (x, y of each hole) to `see`.
fn boards(model: &Model, count: u64, mut see: impl FnMut(&dyn Fn(usize) -> [f64; 2])) {
    let draws = Draws::of(model, &[]);
    let mut boards = Boards::<8>::new(model, model.setup_numbers.len());
    for first in (0..count).step_by(8) {
        boards.make(model, &draws, &Streams::from_first(3, first), true);
        for lane in 0..8 {
            see(&|hole| boards.holes[hole].pilot.map(|p: Lanes<8>| p.0[lane]));
        }
    }
}

/// Row A bored by hand at columns 1 and 5, then a bar pinned on these two bores column 3.
fn one_bar_on_two_pins(kit: &Kit, r: [With; 2]) -> Plan {
    let mut w = Writer::new(kit, 1, 5);
    let lay = || w_place(kit);
    w.setup(Stage::DatumRow, vec![lay()], vec![], vec![bore("L1", 0, hole_name(0, 0)), bore("L1", 4, hole_name(0, 4))]);
    let pins = vec![pin(("L1", 0), hole_name(0, 0), r[0]), pin(("L1", 4), hole_name(0, 4), r[1])];
    w.setup(Stage::Fill, vec![lay()], pins, vec![bore("L1", 2, hole_name(0, 2))]);
    w.plan
}

fn w_place(kit: &Kit) -> crate::plan::Placed {
    Writer::new(kit, 1, 1).place("L1", 0, 0, 0.0, false)
}

/// Variance along and across of the hole bored midway between two pinned ones, to first order and
/// on boards. The two pinned holes were bored through the same bar by hand, so relative to them
/// the midway hole has only the seat.
fn midway(plan: &Plan, kit: &Kit) -> [[f64; 2]; 2] {
    let model = Model::new(kit, plan).unwrap();
    let linear = Linear::of(&model);
    let pilot = |hole: usize| linear.pilots[hole].unwrap();
    let by_tape = [0, 1]
        .map(|axis| linear_variance(&linear, &[(pilot(2)[axis], 1.0), (pilot(0)[axis], -0.5), (pilot(4)[axis], -0.5)]));
    let (mut sums, mut n) = ([0.0; 2], 0.0);
    boards(&model, 40_000, |pilot| {
        n += 1.0;
        for axis in 0..2 {
            let d = pilot(2)[axis] - 0.5 * (pilot(0)[axis] + pilot(4)[axis]);
            sums[axis] += d * d;
        }
    });
    [by_tape, sums.map(|s| s / n)]
}

/// Relative noise of a variance from 40,000 boards, three times over: √(2/40000) · 3.
const NOISE: f64 = 0.022;

#[test]
fn one_bar_on_two_pins_of_equal_clearance() {
    // By hand: r = ½(3.04 − 3) + ½(3.02 − 3) = 0.03. Along: r²/5. Across, midway: the mean of two
    // independent slips of variance 4r²/15 each, so 2r²/15.
    let kit = still_kit(3.04, 0.02);
    let [tape, boards] = midway(&one_bar_on_two_pins(&kit, [With::Pin; 2]), &kit);
    let r2 = 0.03 * 0.03;
    for (axis, by_hand) in [r2 / 5.0, 2.0 * r2 / 15.0].into_iter().enumerate() {
        assert!((tape[axis] / by_hand - 1.0).abs() < 1e-12, "{axis}: {} against {by_hand}", tape[axis]);
        assert!((boards[axis] / by_hand - 1.0).abs() < NOISE, "{axis}: {} against {by_hand}", boards[axis]);
    }
}

#[test]
fn one_bar_on_two_pins_of_unequal_clearance() {
    // r1 = 0.03 as above; a gauge of 2.93 mm at the second leaves r2 = 0.055 + 0.045 = 0.1.
    // By hand, with k = r1/r2 = 0.3 and u = r1 s: the weight √(1 − s²)√(1 − k²s²) expands to
    // √(1 − s²)(1 − k²s²/2 − k⁴s⁴/8 − k⁶s⁶/16 …); moments of the semicircle are 1/4, 1/8, 5/64, 7/128
    // of its area. So E s² = (1/4 − k²/16 − 5k⁴/512 − 7k⁶/2048)/(1 − k²/8 − k⁴/64 − 5k⁶/1024).
    let kit = still_kit(3.04, 0.02);
    let gauge = With::Gauge(Limits::exact(2.93));
    let [tape, boards] = midway(&one_bar_on_two_pins(&kit, [With::Pin, gauge]), &kit);
    let (r1, r2) = (0.03f64, 0.1f64);
    let k2 = (r1 / r2) * (r1 / r2);
    let s2 = (0.25 - k2 / 16.0 - 5.0 * k2 * k2 / 512.0 - 7.0 * k2 * k2 * k2 / 2048.0)
        / (1.0 - k2 / 8.0 - k2 * k2 / 64.0 - 5.0 * k2 * k2 * k2 / 1024.0);
    let along = r1 * r1 * s2;
    let across = 0.25 * ((r1 * r1 - along) / 3.0 + (r2 * r2 - along) / 3.0);
    for (axis, by_hand) in [along, across].into_iter().enumerate() {
        assert!((tape[axis] / by_hand - 1.0).abs() < 1e-5, "{axis}: {} against {by_hand}", tape[axis]);
        assert!((boards[axis] / by_hand - 1.0).abs() < NOISE, "{axis}: {} against {by_hand}", boards[axis]);
    }
}

#[test]
fn each_bored_hole_has_play_wander_and_the_bars_own_place() {
    // By hand, two holes of a bar by hand, apart along x: 2 · (a²/3 + E c²/16 + s²), with
    // a = 0.02, c rectangular in 0.005 … 0.02 (E c² = 0.000175), s = 0.015.
    let kit = common_practice_kit();
    let mut w = Writer::new(&kit, 1, 5);
    let bores = vec![bore("L1", 0, hole_name(0, 0)), bore("L1", 4, hole_name(0, 4))];
    w.setup(Stage::DatumRow, vec![w_place(&kit)], vec![], bores);
    let model = Model::new(&kit, &w.plan).unwrap();
    let linear = Linear::of(&model);
    let by_hand = 2.0 * (0.0004 / 3.0 + 0.000175 / 16.0 + 0.000225);
    let x = |hole: usize| linear.pilots[hole].unwrap()[0];
    let tape = linear_variance(&linear, &[(x(4), 1.0), (x(0), -1.0)]);
    let (mut sum, mut n) = (0.0, 0.0);
    boards(&model, 40_000, |pilot| {
        let d = pilot(4)[0] - pilot(0)[0];
        (sum, n) = (sum + d * d, n + 1.0);
    });
    assert!((tape / by_hand - 1.0).abs() < 1e-12, "{tape} against {by_hand}");
    assert!((sum / n / by_hand - 1.0).abs() < NOISE, "{} against {by_hand}", sum / n);
}

#[test]
fn a_random_walk_of_ten_slides() {
    // A bar of three holes pinned on the last two bores the next, ten times. By hand: with y_k the
    // across place, y_{k+1} − 2 y_k + y_{k−1} = 2 v2 − v1, variance 5 · 4r²/15 = 4r²/3; so after n
    // slides the last hole is off the line of the first two by (4r²/3) · n(n + 1)(2n + 1)/6.
    let kit = still_kit(3.04, 0.02);
    let n = 10u32;
    let mut w = Writer::new(&kit, 1, n + 2);
    let first = w.place("L1", 0, 0, 0.0, false);
    let bores = vec![bore("L1", 0, hole_name(0, 0)), bore("L1", 1, hole_name(0, 1))];
    w.setup(Stage::DatumRow, vec![first], vec![], bores);
    for k in 0..n {
        let lay = w.place("L1", 0, k, 0.0, false);
        let pins = vec![pin(("L1", 0), hole_name(0, k), With::Pin), pin(("L1", 1), hole_name(0, k + 1), With::Pin)];
        w.setup(Stage::DatumRow, vec![lay], pins, vec![bore("L1", 2, hole_name(0, k + 2))]);
    }
    let model = Model::new(&kit, &w.plan).unwrap();
    let linear = Linear::of(&model);
    let y = |hole: u32| linear.pilots[hole as usize].unwrap()[1];
    let ahead = f64::from(n + 1);
    let terms = [(y(n + 1), 1.0), (y(0), ahead - 1.0), (y(1), -ahead)];
    let by_hand = 4.0 * 0.0009 / 3.0 * f64::from(n * (n + 1) * (2 * n + 1)) / 6.0;
    let tape = linear_variance(&linear, &terms);
    assert!((tape / by_hand - 1.0).abs() < 1e-12, "{tape} against {by_hand}");
}

#[test]
fn the_angle_of_a_triangle_from_its_sides() {
    // Row by L1 (A1 through hole 0, A9 through hole 8), column L1 pinned at A1 by hole 0, third
    // side L2 from A9 (hole 0) to L1's hole 6 (hole 10). By hand, the angle between sides a and b
    // opposite c, right-angled: dγ = (c dc − a da − b db)/(ab), with da = δ8 − δ0, db = δ6 − δ0,
    // dc = ε10 − ε0, each δ, ε of variance p²/3 along its bar: hole 0 of L1 is in both a and b.
    // So var γ = p²/3 · (2c² + a² + b² + (a + b)²)/(ab)².
    let mut kit = still_kit(3.0, 0.0);
    kit.bars[0].position = 0.02;
    let mut w = Writer::new(&kit, 7, 9);
    let row = w.place("L1", 0, 0, 0.0, false);
    w.setup(Stage::DatumRow, vec![row], vec![], vec![bore("L1", 0, hole_name(0, 0)), bore("L1", 8, hole_name(0, 8))]);
    let lean = crate::math::atan2(6.0, -8.0).to_degrees();
    let lays = vec![w.place("L1", 0, 0, 90.0, false), w.place("L2", 0, 8, lean, false)];
    let pins = vec![
        pin(("L1", 0), hole_name(0, 0), With::Pin),
        pin(("L2", 0), hole_name(0, 8), With::Pin),
        PinUse { a: Place::feature("L2", "10"), b: Place::feature("L1", "6"), with: With::Pin },
    ];
    w.setup(Stage::SquareColumns, lays, pins, vec![bore("L1", 6, hole_name(6, 0))]);
    let model = Model::new(&kit, &w.plan).unwrap();
    let linear = Linear::of(&model);
    let at = |row: usize, column: usize| linear.pilots[row * 9 + column].unwrap();
    let (a, b, c) = (8.0 * 96.0, 6.0 * 96.0, 10.0 * 96.0);
    // Turn of the column (−x of its far end) less turn of the row (y of its far end).
    let terms = [(at(6, 0)[0], -1.0 / b), (at(0, 0)[0], 1.0 / b), (at(0, 8)[1], -1.0 / a), (at(0, 0)[1], 1.0 / a)];
    let by_hand = 0.0004 / 3.0 * (2.0 * c * c + a * a + b * b + (a + b) * (a + b)) / (a * a * b * b);
    let tape = linear_variance(&linear, &terms);
    let (mut sum, mut n) = (0.0, 0.0);
    boards(&model, 40_000, |pilot| {
        let at = |row: usize, column: usize| pilot(row * 9 + column);
        let angle = -(at(6, 0)[0] - at(0, 0)[0]) / b - (at(0, 8)[1] - at(0, 0)[1]) / a;
        (sum, n) = (sum + angle * angle, n + 1.0);
    });
    // The least clearance, 0.001 mm, is a hundredth of the bars' spread in variance or less.
    assert!((tape / by_hand - 1.0).abs() < 0.01, "{tape} against {by_hand}");
    assert!((sum / n / by_hand - 1.0).abs() < 0.01 + NOISE, "{} against {by_hand}", sum / n);
}

#[test]
fn three_pins_on_one_bar_keep_it_closer_than_two() {
    // Gauges at the ends (r = 0.1), a pin midway (r = 0.03), which limits the along-slip and the
    // mean of the two across-slips. The walk's moments must agree with seats picked by plain trial.
    let kit = still_kit(3.04, 0.02);
    let mut w = Writer::new(&kit, 1, 7);
    let bores = [0, 2, 4].map(|c| bore("L1", c, hole_name(0, c))).to_vec();
    w.setup(Stage::DatumRow, vec![w_place(&kit)], vec![], bores);
    let gauge = With::Gauge(Limits::exact(2.93));
    let pins = [(0, gauge), (2, With::Pin), (4, gauge)].map(|(c, with)| pin(("L1", c), hole_name(0, c), with)).to_vec();
    w.setup(Stage::Fill, vec![w_place(&kit)], pins, vec![bore("L1", 6, hole_name(0, 6))]);
    let model = Model::new(&kit, &w.plan).unwrap();
    let linear = Linear::of(&model);
    let pilot = |hole: usize| linear.pilots[hole].unwrap();
    // Off the line of the first and third pinned holes, at the seventh.
    let tape = [
        linear_variance(&linear, &[(pilot(6)[0], 1.0), (pilot(4)[0], -1.0)]),
        linear_variance(&linear, &[(pilot(6)[1], 1.0), (pilot(4)[1], -1.5), (pilot(0)[1], 0.5)]),
    ];
    let (mut sums, mut n) = ([0.0; 2], 0.0);
    boards(&model, 8_000, |pilot| {
        let d = [pilot(6)[0] - pilot(4)[0], pilot(6)[1] - 1.5 * pilot(4)[1] + 0.5 * pilot(0)[1]];
        (0..2).for_each(|axis| sums[axis] += d[axis] * d[axis]);
        n += 1.0;
    });
    // Plain trial: u common, v anywhere at the ends, the middle's is their mean.
    let (mut plain, mut kept, mut bound) = ([0.0; 2], 0.0, 0.0);
    for board in 0..400_000 {
        let [a, b, c, _] = super::stream::Stream::new(9, board).uniform4(0, 0).map(|u| 2.0 * u - 1.0);
        let (u, b, c) = (0.03 * a, 0.1 * b, 0.1 * c);
        let within = |v: f64, r: f64| u * u + v * v <= r * r;
        if within(b, 0.1) && within(c, 0.1) {
            if within(0.5 * (b + c), 0.03) {
                let beyond = 1.5 * c - 0.5 * b;
                plain = [plain[0] + u * u, plain[1] + beyond * beyond];
                kept += 1.0;
            } else {
                bound += 1.0;
            }
        }
    }
    assert!(bound > kept, "the third pin binds: {bound} against {kept}");
    for axis in 0..2 {
        let expected = plain[axis] / kept;
        assert!((tape[axis] / expected - 1.0).abs() < 0.05, "{axis}: {} against {expected}", tape[axis]);
        assert!((sums[axis] / n / expected - 1.0).abs() < 0.06, "{axis}: {} against {expected}", sums[axis] / n);
    }
}

/// The same with a second, true bar on the two pins; the first one's fifth hole lies within `position` mm. All of the
/// spread is in that hole, and boards are picked by what it came out as.
fn another_bar_on_two_pins(kit: &Kit, r: [With; 2], position: f64) -> Plan {
    let mut plan = one_bar_on_two_pins(kit, r);
    plan.setups[1].templates[0].id = "L2".to_owned();
    let second = &mut plan.setups[1];
    for place in second.pins.iter_mut().map(|p| &mut p.a).chain(second.bores.iter_mut().map(|b| &mut b.feature)) {
        if let Place::Feature { template, .. } = place {
            *template = "L2".to_owned();
        }
    }
    plan.templates[0].features[4].position_mm = position;
    plan
}

#[test]
fn the_pose_is_forced_where_the_holes_are_too_far_apart() {
    // Bars of two lengths do it: the row is bored through a bar whose fifth hole is 0.2 mm too far
    // out, and another, true bar is pinned on it. By hand, g = −0.2 with r1 = r2 = 0.03: the misfit
    // is shared, u = 0.03 + ½(0.2 − 0.06) = 0.1, so the true bar's first hole lies 0.1 mm beyond
    // the wooden one, across-slips nil, and the midway hole 0.1 mm from the row's own middle less
    // half the excess: all the same place in the middle.
    let kit = still_kit(3.04, 0.02);
    let plan = another_bar_on_two_pins(&kit, [With::Pin; 2], 0.2);
    let model = Model::new(&kit, &plan).unwrap();
    let draws = Draws::of(&model, &[]);
    let mut boards = Boards::<8>::new(&model, 2);
    let (mut forced, mut seated) = (0, 0);
    for first in (0..4000).step_by(8) {
        boards.make(&model, &draws, &Streams::from_first(1, first), true);
        for lane in 0..8 {
            let pilot = |hole: usize| boards.holes[hole].pilot.map(|p| p.0[lane]);
            let (a, m, b) = (pilot(0), pilot(2), pilot(4));
            // Turn of the row by hand: along and across it, to first order in the turn.
            let turn = (b[1] - a[1]) / 384.0;
            let far = b[0] - a[0];
            let slip = m[0] - a[0];
            let unseated = boards.unseated.0[lane] > 0.0;
            // Metal bar, wooden holes: each pin may be forced by 0.03.
            assert_eq!(unseated, far.abs() > 0.06 + 2.0 * 0.03, "{far}");
            if far.abs() > 0.06 {
                forced += 1;
                assert!((slip - 0.5 * far).abs() < 1e-9, "{slip} {far}");
                assert!((m[1] - a[1] - 192.0 * turn).abs() < 1e-9);
            } else {
                seated += 1;
                assert!(slip.abs() <= 0.03 + 1e-12 && (slip - far).abs() <= 0.03 + 1e-12);
            }
        }
    }
    assert!(forced > 500 && seated > 500, "{forced} forced, {seated} seated");
}

#[test]
fn a_misfit_is_shared_by_what_each_pin_has_to_spare() {
    // As above, a thinner gauge at the second hole: r1 = 0.03, r2 = 0.1. By hand, with the second hole further out
    // by g: up to g = 0.13 both pins find room, the first one's slip u within 0.03 and the second one's u − g within
    // 0.1; beyond, the first takes its 0.03 and half of what is too much, the second its 0.1 and the other half.
    let kit = still_kit(3.04, 0.02);
    let gauge = With::Gauge(Limits::exact(2.93));
    let plan = another_bar_on_two_pins(&kit, [With::Pin, gauge], 0.3);
    let model = Model::new(&kit, &plan).unwrap();
    let draws = Draws::of(&model, &[]);
    let mut boards = Boards::<8>::new(&model, 2);
    let (mut forced, mut seated) = (0, 0);
    for first in (0..4000).step_by(8) {
        boards.make(&model, &draws, &Streams::from_first(1, first), true);
        for lane in 0..8 {
            let pilot = |hole: usize| boards.holes[hole].pilot.map(|p| p.0[lane]);
            let (far, slip) = (pilot(4)[0] - pilot(0)[0], pilot(2)[0] - pilot(0)[0]);
            if far.abs() > 0.13 {
                forced += 1;
                let by_hand = (0.03 + 0.5 * (far.abs() - 0.13)).copysign(far);
                assert!((slip - by_hand).abs() < 1e-9, "{slip} where {by_hand} for {far}");
            } else {
                seated += 1;
                assert!(slip.abs() <= 0.03 + 1e-12 && (slip - far).abs() <= 0.1 + 1e-12, "{slip} {far}");
            }
        }
    }
    assert!(forced > 500 && seated > 500, "{forced} forced, {seated} seated");
}
