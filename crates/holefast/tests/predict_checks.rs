//! What a check is worth, by brute force: plain boards whose holes are really displaced, whose
//! columns are really turned, and the boards counted that it stops.

use crate::by_hand::{Arrangement, Writer, common_practice_kit, hole_name, pin, plan};
use crate::plain_board::{Board, Slip};
use holefast::kit::{Kit, Limits};
use holefast::plan::{PinUse, Plan, Setup, Stage, With};
use holefast::predict::{Ask, CheckWorth, Model, one_after_another, predict};

const BOARDS: u64 = 2_500;
const PITCH: f64 = 96.0;

/// Step of the displacements tried, mm.
const STEP: f64 = 0.02;

/// Noise of a displacement at which 95 % of so many boards fail, three times over, mm: for a normal
/// misfit of 0.1 mm it is 0.1 · √(0.05 · 0.95/2500)/0.103 = 0.004 mm.
const NOISE: f64 = 0.012;

fn check(kit: &Kit, id: &str, row: u32, column: u32, turn: f64, pins: Vec<PinUse>) -> Setup {
    let mut w = Writer::new(kit, 7, 14);
    let bar = w.place(id, row, column, turn, false);
    let setup = w.setup(Stage::Closing, vec![bar], pins, vec![]);
    setup.check = true;
    setup.clone()
}

/// The check job with four checks, none of them gentle: across the far ends, along the diagonal of
/// the triangle, on three holes of the far row, and along the other diagonal, which tells of square.
fn checked_plan(kit: &Kit) -> Plan {
    let mut plan = plan(kit, Arrangement::usual(7, 14, [8, 6, 10]));
    let gauge = With::Gauge(kit.gauges[0].diameter);
    let thinner = With::Gauge(Limits::new(2.91, 2.92));
    let closing = plan.setups.iter().position(|s| s.check).unwrap();
    plan.setups[closing].pins[1].with = With::Pin;
    let lean = holefast::math::atan2(6.0, -8.0).to_degrees();
    let diagonal = vec![pin(("L2", 0), hole_name(0, 8), thinner), pin(("L2", 10), hole_name(6, 0), With::Pin)];
    plan.setups.insert(closing + 1, check(kit, "L2", 0, 8, lean, diagonal));
    // After the far row is bored.
    let three = [(0, gauge), (5, With::Pin), (10, thinner)].map(|(c, with)| pin(("L1", c), hole_name(6, c), with));
    plan.setups.insert(closing + 3, check(kit, "L1", 6, 0, 0.0, three.to_vec()));
    let thick = With::Gauge(Limits::new(2.998, 3.0));
    let other = vec![pin(("L2", 0), hole_name(0, 0), thick), pin(("L2", 10), hole_name(6, 8), thick)];
    plan.setups.insert(closing + 4, check(kit, "L2", 0, 0, 180.0 - lean, other));
    for (i, setup) in plan.setups.iter_mut().enumerate() {
        setup.number = i as u32 + 1;
    }
    plan
}

/// The amounts tried, mm, with either sign: one run of slips each.
fn runs(check: &Setup, most: f64, moves: impl Fn(f64) -> Vec<(String, [f64; 2])>) -> [Vec<Slip>; 2] {
    let n = (most / STEP) as i32;
    [STEP, -STEP].map(|step| (0..=n).map(|i| Slip { setup: check.number, moves: moves(step * f64::from(i)) }).collect())
}

/// One hole displaced along a line.
fn of_hole(check: &Setup, hole: &str, line: [f64; 2], most: f64) -> [Vec<Slip>; 2] {
    runs(check, most, |d| vec![(hole.to_owned(), [d * line[0], d * line[1]])])
}

/// A frame column turned about its hole in row A, so that its hole in the far row moves so far.
fn of_column(check: &Setup, column: u32, most: f64) -> [Vec<Slip>; 2] {
    runs(check, most, |d| (1..7).map(|row| (hole_name(row, column), [-d * f64::from(row) / 6.0, 0.0])).collect())
}

/// Least amount, mm, at which one of the runs stops 95 % of plain boards.
fn least_stopped(kit: &Kit, plan: &Plan, runs: Vec<Vec<Slip>>) -> f64 {
    let lengths: Vec<usize> = runs.iter().map(Vec::len).collect();
    let slips: Vec<Slip> = runs.into_iter().flatten().collect();
    let mut stopped = vec![0.0; slips.len()];
    for seed in 1..=BOARDS {
        let mut board = Board::new(kit, plan, seed);
        board.slips = &slips;
        board.build();
        assert_eq!(board.slipped.len(), slips.len());
        for (count, goes) in stopped.iter_mut().zip(&board.slipped) {
            *count += if *goes { 0.0 } else { 1.0 / BOARDS as f64 };
        }
    }
    let mut least = f64::INFINITY;
    let mut from = 0;
    for length in lengths {
        let share = &stopped[from..from + length];
        if let Some(i) = share.iter().position(|s| *s >= 0.95).filter(|i| *i > 0) {
            let between = (0.95 - share[i - 1]) / (share[i] - share[i - 1]);
            least = least.min(STEP * (i as f64 - 1.0 + between));
        }
        from += length;
    }
    least
}

fn worth(kit: &Kit, plan: &Plan, boards: u64) -> Vec<CheckWorth> {
    let ask = Ask { boards, seed: 1, checks: true, lines: Vec::new(), square_limit: None };
    predict(&Model::new(kit, plan).unwrap(), &ask, &one_after_another).unwrap().checks
}

#[test]
fn what_a_check_stops_is_what_it_stops_when_holes_are_displaced() {
    let kit = common_practice_kit();
    let plan = checked_plan(&kit);
    let ours = worth(&kit, &plan, 40_000);
    let checks: Vec<&Setup> = plan.setups.iter().filter(|s| s.check).collect();
    let (row, diagonal) = ([1.0, 0.0], [-0.8, 0.6]);
    let three = [0, 5, 10].map(|column| hole_name(6, column));
    // Three pins on one bar: the core looks at 256 boards there, of three times the noise.
    for (which, names, line, noise) in [
        (0, &[hole_name(6, 0), hole_name(6, 10)][..], row, NOISE),
        (1, &[hole_name(0, 8), hole_name(6, 0)], diagonal, NOISE),
        (2, &three, row, 3.0 * NOISE),
        (3, &[hole_name(0, 0), hole_name(6, 8)], [0.8, 0.6], NOISE),
    ] {
        let runs = names.iter().flat_map(|name| of_hole(checks[which], name, line, 0.6)).collect();
        let brute = least_stopped(&kit, &plan, runs);
        let found = ours[which].stops_hole_mm.unwrap();
        println!("check {}: a hole {found:.3} mm out, by brute force {brute:.3}", checks[which].number);
        assert!((found - brute).abs() < noise, "{found} against {brute}");
    }
    // A column's far hole has to move by as much across the far ends; along the diagonal, which
    // its move meets aslant, by more.
    for (which, columns, slant) in [(0, &[0, 10][..], 1.0), (1, &[0], 0.8)] {
        let runs = columns.iter().flat_map(|&column| of_column(checks[which], column, 0.6)).collect();
        let brute = least_stopped(&kit, &plan, runs) / (6.0 * PITCH) * 1000.0;
        let found = ours[which].stops_lean_mm_per_m.unwrap();
        println!("check {}: a column {found:.3} mm/m askew, by brute force {brute:.3}", checks[which].number);
        assert!((found - brute).abs() < NOISE / slant / (6.0 * PITCH) * 1000.0, "{found} against {brute}");
    }
}

#[test]
fn what_goes_and_what_square_would_be_without_a_check() {
    let kit = common_practice_kit();
    let plan = checked_plan(&kit);
    let ours = worth(&kit, &plan, 40_000);
    let boards = 10_000u64;
    let n = boards as f64;
    let made: Vec<(f64, Vec<bool>)> = (1..=boards)
        .map(|seed| {
            let mut board = Board::new(&kit, &plan, seed);
            board.build();
            (board.square(), board.checks)
        })
        .collect();
    let mut without = Vec::new();
    for (which, worth) in ours.iter().enumerate() {
        assert!(worth.counts);
        let goes = made.iter().filter(|(_, goes)| goes[which]).count() as f64 / n;
        let se = (goes * (1.0 - goes) * (1.0 / n + 1.0 / 40_000.0)).sqrt();
        let others: Vec<f64> =
            made.iter().filter(|(_, g)| (0..4).all(|c| c == which || g[c])).map(|(square, _)| *square).collect();
        let k = others.len() as f64;
        let mean = others.iter().sum::<f64>() / k;
        let sd = (others.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / (k - 1.0)).sqrt();
        let found = worth.square_sd_without.unwrap();
        println!("check {}: goes {:.4} and {goes:.4}; without it {found:.4} and {sd:.4}", worth.setup, worth.goes);
        // The triangle's own diagonal repeats its set-up and always goes; three pins nearly so.
        assert!([1, 2].contains(&which) || (0.02..0.99).contains(&goes), "a check that tells nothing: {goes}");
        assert!((worth.goes - goes).abs() <= 4.0 * se, "{} against {goes}", worth.goes);
        // A standard deviation of k boards is known to 1/√(2k) of itself, ours four times as well.
        without.push(found);
        assert!((found / sd - 1.0).abs() < 4.0 * (0.5 / k * 1.25).sqrt(), "{found} against {sd}");
    } // The other diagonal is what narrows square.
    assert!(without[3] > 1.04 * without[0], "{without:?}");
}
