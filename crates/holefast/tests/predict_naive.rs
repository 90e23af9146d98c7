//! The core's virtual boards against plain ones (`plain_board`): spread, quantiles, what goes, what
//! does not seat, and what pressing bars home does.

use crate::by_hand::{Arrangement, common_practice_kit, plan, trailer_kit};
use crate::plain_board::{Board, Press};
use holefast::kit::{Kit, Limits};
use holefast::plan::{Plan, With};
use holefast::predict::{Ask, Model, one_after_another, predict};

fn compare(what: &str, kit: &Kit, plan: &Plan, boards: u32) {
    let n = f64::from(boards);
    let (mut square, mut unseated, mut any, mut goes) = (Vec::new(), 0.0, 0.0, 0.0);
    for seed in 1..=boards {
        let mut board = Board::new(kit, plan, u64::from(seed));
        board.build();
        square.push(board.square());
        unseated += f64::from(board.unseated);
        any += f64::from(u32::from(board.unseated > 0));
        goes += f64::from(u32::from(board.checks.iter().all(|g| *g)));
    }
    let mean = square.iter().sum::<f64>() / n;
    let sd = (square.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / (n - 1.0)).sqrt();
    square.sort_by(f64::total_cmp);
    let at = |share: f64| square[(share * n) as usize];

    let ask = Ask { boards: 40_000, seed: 1, checks: false, lines: Vec::new(), square_limit: None };
    let ours = predict(&Model::new(kit, plan).unwrap(), &ask, &one_after_another).unwrap();
    let with_checks = Ask { checks: true, ..ask };
    let checked = predict(&Model::new(kit, plan).unwrap(), &with_checks, &one_after_another).unwrap();
    let s = ours.square.sample.unwrap();
    // Four standard errors of the smaller sample, and of ours beside it.
    let room = 4.0 * (1.0 / n + 1.0 / 40_000.0f64).sqrt();
    println!("{what}: sd {sd:.4} and {:.4}, goes {:.4} and {:.4}", s.sd, goes / n, checked.checks[0].goes);
    assert!((s.sd / sd - 1.0).abs() < room / 2f64.sqrt(), "{what}: sd {} against {sd}", s.sd);
    assert!((s.mean - mean).abs() < room * sd, "{what}: mean {} against {mean}", s.mean);
    // A quantile at 2.5 % of a normal has a standard error of 2.67 sd/√n.
    for (ours, plain) in [(s.q025, at(0.025)), (s.q975, at(0.975))] {
        assert!((ours - plain).abs() < 2.67 * room * sd, "{what}: quantile {ours} against {plain}");
    }
    let share = |ours: f64, plain: f64, what: &str| {
        let se = (plain.max(1.0 / n) * (1.0 - plain).max(1.0 / n)).sqrt();
        assert!((ours - plain).abs() < room * se, "{what}: {ours} against {plain}");
    };
    share(checked.checks[0].goes, goes / n, &format!("{what}: goes"));
    let seat = ours.does_not_seat.unwrap();
    share(seat.boards, any / n, &format!("{what}: boards that do not seat"));
    // A count a board: its variance is near its mean, and set-ups share causes (half as much again).
    let per_board = unseated / n;
    assert!((seat.setups_per_board - per_board).abs() < 1.5 * room * per_board.sqrt(), "{what}: {per_board}");
}

#[test]
fn the_plain_board_agrees_on_a_small_top_with_everything_mixed() {
    let kit = common_practice_kit();
    let mut plan = plan(&kit, Arrangement::best(3, 4, [3, 4, 5]));
    // The check on one gauge and one pin, so that a good share of boards fails it.
    let check = plan.setups.iter_mut().find(|s| s.check).unwrap();
    check.pins[1].with = With::Pin;
    compare("3 × 4", &kit, &plan, 20_000);
}

#[test]
fn the_plain_board_agrees_on_the_check_job() {
    let kit = common_practice_kit();
    compare("7 × 14", &kit, &plan(&kit, Arrangement::usual(7, 14, [8, 6, 10])), 4_000);
}

#[test]
fn the_plain_board_agrees_on_locating_pins_and_tight_fits() {
    let mut kit = trailer_kit();
    // Tight pilots: many boards do not seat and are forced.
    kit.pilot_bit.oversize = Limits::new(0.0, 0.02);
    kit.give = 0.01;
    let mut plan = plan(&kit, Arrangement::best(5, 9, [6, 8, 10]));
    for pin in plan.setups.iter_mut().filter(|s| s.check).flat_map(|s| &mut s.pins) {
        pin.with = With::Pin;
    }
    compare("5 × 9", &kit, &plan, 8_000);
}

/// Mean and standard deviation of square over plain boards, mm per m.
fn plain_square(kit: &Kit, plan: &Plan, press: Press, boards: u64) -> [f64; 2] {
    let square: Vec<f64> = (1..=boards)
        .map(|seed| {
            let mut board = Board::new(kit, plan, seed);
            board.press = press;
            board.build();
            board.square()
        })
        .collect();
    let n = boards as f64;
    let mean = square.iter().sum::<f64>() / n;
    [mean, (square.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / (n - 1.0)).sqrt()]
}

// Source: docs/design/prediction.md 9, "tried": pressing a bar home at one end makes 0.079 mm/m of 0.054.
#[test]
fn pressing_bars_home_at_one_end_spoils_the_averaging() {
    let kit = common_practice_kit();
    let plan = plan(&kit, Arrangement { first_colour: 1, ..Arrangement::usual(7, 14, [8, 6, 10]) });
    let model = Model::new(&kit, &plan).unwrap();
    let (afloat, home) = (model.square_sd_mm_per_m().unwrap(), model.square_sd_pressed_home_mm_per_m().unwrap());
    assert!((afloat - 0.054).abs() < 0.0005 && (home - 0.079).abs() < 0.0005, "{afloat:.4} becomes {home:.4}");
    // Plain boards: 6,000 tell a standard deviation to 0.9 %; first order runs up to 7 % over them.
    let sd = |press| plain_square(&kit, &plan, press, 6_000)[1];
    let [floats, first, second] = [Press::Nothing, Press::Home(0), Press::Home(1)].map(sd);
    println!("first order {afloat:.4} becomes {home:.4}; boards {floats:.4}, {first:.4} and {second:.4} by the end");
    for (what, ratio) in [("afloat", afloat / floats), ("pressed home", home / first.max(second))] {
        assert!((0.98..1.08).contains(&ratio), "{what}: {ratio:.3}");
    }
    // Pushed along the same way until either pin stops it, a row still takes part of both columns:
    // it costs less, but every row is off to the same side and square is no longer nil in the mean.
    let [mean, along] = plain_square(&kit, &plan, Press::Along, 6_000);
    println!("pushed along: {along:.4}, mean {mean:.4}");
    assert!(floats < along && along < first.min(second), "{along:.4}");
    assert!(mean.abs() > 5.0 * along / 6_000f64.sqrt(), "{mean:.4}");
}
