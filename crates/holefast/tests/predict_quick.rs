//! The planner's quick figures on plans written by hand.

use crate::by_hand::{Arrangement, common_practice_kit, plan};
use holefast::plan::{Place, Plan, With};
use holefast::predict::Model;

fn square_sd(a: Arrangement) -> f64 {
    let kit = common_practice_kit();
    let quick = Model::new(&kit, &plan(&kit, a)).unwrap().quick();
    1000.0 * quick.square_sd.unwrap()
}

// Source: docs/design/prediction.md 9, "tried" figures for checks/common-practice-7x14.toml, mm/m
#[test]
fn tried_figures_of_square_come_out() {
    let usual = Arrangement::usual(7, 14, [8, 6, 10]);
    let other = Arrangement { first_colour: 1, ..usual };
    let best = Arrangement { first_colour: 1, ..Arrangement::best(7, 14, [8, 6, 10]) };
    let rounded = |a| (1000.0 * square_sd(a)).round() as i32;
    assert_eq!((rounded(usual), rounded(other)), (56, 54), "the colour opened first");
    let figure = |a| square_sd(a);
    for (what, a, least, most) in [
        ("3-4-5 lying", Arrangement::usual(7, 14, [4, 3, 5]), 0.0895, 0.1005),
        ("3-4-5 standing", Arrangement::usual(7, 14, [3, 4, 5]), 0.0895, 0.1005),
        ("common foot, turned over, taking turns", best, 0.0425, 0.0435),
    ] {
        assert!((least..most).contains(&figure(a)), "{what}: {:.4}", figure(a));
    }
    for (what, a) in [
        ("common foot", Arrangement { common_foot: true, ..other }),
        ("turned over", Arrangement { turned_over: true, ..other }),
        ("taking turns", Arrangement { taking_turns: true, ..other }),
    ] {
        assert!(figure(a) < figure(other), "{what}: {:.4} against {:.4}", figure(a), figure(other));
        println!("{what}: {:.4}", figure(a));
    }
}

#[test]
fn names_that_do_not_resolve_are_faults() {
    let kit = common_practice_kit();
    let good = plan(&kit, Arrangement::usual(3, 4, [3, 4, 5]));
    assert!(Model::new(&kit, &good).is_ok());
    type Spoil = fn(&mut Plan);
    let cases: [(&str, Spoil); 8] = [
        ("template L9 is not among", |p| p.setups[1].templates[0].id = "L9".to_owned()),
        ("L1 has no feature 77", |p| p.setups[1].bores[0].feature = Place::feature("L1", "77")),
        ("hole Q9 is not among", |p| p.setups[1].bores[0].hole = "Q9".to_owned()),
        ("C1 is located on before it is bored", |p| p.setups[1].pins[0].b = Place::hole("C1")),
        ("the pilot of A1 is bored already", |p| p.setups[1].bores[0].hole = "A1".to_owned()),
        ("nothing locates L1", |p| p.setups[0].by_hand = false),
        ("the locators leave L1 loose", |p| drop(p.setups[1].pins.pop())),
        ("a dog cannot stand in A1", |p| p.setups[1].pins[0].with = With::Dog),
    ];
    for (what, spoil) in cases {
        let mut bad = good.clone();
        spoil(&mut bad);
        let faults = Model::new(&kit, &bad).unwrap_err();
        assert!(faults.iter().any(|f| f.message.contains(what)), "{what}: {faults:?}");
    }
}
