//! The planner as a whole: the tried figures of docs/design/prediction.md 9 reproduced, and what each choice is worth.

use super::{PlanOptions, make_plan};
use crate::job::{Job, parse};
use crate::plan::{Plan, Stage};
use crate::predict::Model;
use crate::top::lay_out;

fn read(text: &str) -> Job {
    let parsed = parse(text);
    parsed.job.unwrap_or_else(|| panic!("{:#?}", parsed.faults))
}

fn planned(job: &Job, options: &PlanOptions) -> Plan {
    make_plan(job, &lay_out(job).unwrap(), options).unwrap()
}

/// Standard deviation of square, mm per m, to first order.
fn spread(job: &Job, options: &PlanOptions) -> f64 {
    let plan = planned(job, options);
    1000.0 * Model::new(job.kit.as_ref().unwrap(), &plan).unwrap().quick().square_sd.unwrap()
}

/// The check job, at 20 mm holes on 96 mm (common practice, no source).
fn check_job() -> Job {
    read(include_str!("../../../tests/data/jobs/common-practice-7x14.toml"))
}

const PLAIN: PlanOptions = PlanOptions {
    triangle: Some((8, 6, 10)),
    common_foot: Some(false),
    turn_column_bar: Some(false),
    take_turns: Some(false),
    columns_beyond: Some(false),
    square_again: Some(false),
    first_colour: Some(1),
};

// Source of the figures in the tests below: docs/design/prediction.md 9, "tried" on this very job,
// printed to 0.001 mm/m. A figure agrees within half its last digit and the 3 % that its section 3
// grants the first-order seat.
fn assert_near(found: f64, tried: f64) {
    assert!((found - tried).abs() <= 0.0005 + 0.03 * tried, "{found:.4} for {tried}");
}

#[test]
fn the_usual_arrangement_gives_the_tried_spread() {
    let job = check_job();
    assert_near(spread(&job, &PLAIN), 0.054);
    // The other colour opened first: 0.054 against 0.056.
    assert_near(spread(&job, &PlanOptions { first_colour: Some(0), ..PLAIN }), 0.056);
}

#[test]
fn a_smaller_triangle_costs_what_was_tried() {
    let job = check_job();
    for triangle in [(4, 3, 5), (3, 4, 5)] {
        let found = spread(&job, &PlanOptions { triangle: Some(triangle), ..PLAIN });
        assert!((0.087..=0.103).contains(&found), "3-4-5: {found:.4}, tried 0.09 to 0.10");
    }
    for triangle in [(8, 6, 10), (6, 8, 10)] {
        let found = spread(&job, &PlanOptions { triangle: Some(triangle), ..PLAIN });
        assert!((0.0525..=0.0587).contains(&found), "6-8-10: {found:.4}, tried 0.054 to 0.057");
    }
}

#[test]
fn longer_bars_bring_nine_twelve_fifteen() {
    let mut job = check_job();
    if let Some(kit) = &mut job.kit {
        kit.bars[0].holes = 16;
    }
    for triangle in [(12, 9, 15), (9, 12, 15)] {
        let found = spread(&job, &PlanOptions { triangle: Some(triangle), ..PLAIN });
        assert!((0.0425..=0.0485).contains(&found), "9-12-15: {found:.4}, tried 0.044 to 0.047");
    }
}

#[test]
fn foot_face_and_turns_bring_it_down_for_nothing() {
    let job = check_job();
    let common = PlanOptions { common_foot: Some(true), ..PLAIN };
    let turned = PlanOptions { turn_column_bar: Some(true), ..common };
    let turns = PlanOptions { take_turns: Some(true), ..turned };
    let spreads = [PLAIN, common, turned, turns].map(|options| spread(&job, &options));
    assert!(spreads.windows(2).all(|w| w[1] < w[0]), "{spreads:?}");
    // Tried: all three together bring 0.054 to 0.043.
    assert_near(spreads[3], 0.043);
}

#[test]
fn the_planner_takes_what_is_within_a_twentieth_of_the_best() {
    let job = check_job();
    let all = PlanOptions { common_foot: Some(true), turn_column_bar: Some(true), take_turns: Some(true), ..PLAIN };
    let best = spread(&job, &all);
    let taken = spread(&job, &PlanOptions::default());
    // A twentieth before the block's seats are mended, which moves square by a hundredth at most.
    assert!(taken <= 1.01 * 1.05 * best, "{taken:.4} for {best:.4}");
    assert!(planned(&job, &PlanOptions::default()).reasons[0].contains("ways tried"));
}

#[test]
fn every_plan_of_an_example_passes_the_replay_and_goes_through_its_data() {
    for text in [
        include_str!("../../../../../examples/trailer-top.toml"),
        include_str!("../../../../../examples/first-top.toml"),
        include_str!("../../../../../examples/press-bench.toml"),
    ] {
        let job = read(text);
        let plan = planned(&job, &PlanOptions::default());
        crate::replay::replay(&job, &plan).unwrap();
        assert!(crate::plan::from_json(&crate::plan::to_json(&plan)).unwrap() == plan);
    }
}

/// Set-ups a board that do not seat, to first order: all, and the block's along the last column.
fn not_seating(job: &Job, options: &PlanOptions) -> (f64, f64) {
    let plan = planned(job, options);
    let quick = Model::new(job.kit.as_ref().unwrap(), &plan).unwrap().quick();
    let last = plan.holes.iter().filter_map(|h| h.column).max();
    let of = |last_only: bool| -> f64 {
        let opens_last = |setup: usize| {
            let bore = &plan.setups[setup].bores[0];
            plan.setups[setup].stage == Stage::Open && plan.hole(&bore.hole).is_some_and(|h| h.column == last)
        };
        quick.does_not_seat.iter().filter(|s| !last_only || opens_last(s.0)).map(|s| s.1).sum()
    };
    (of(false), of(true))
}

#[test]
fn the_block_is_seated_otherwise_where_slides_end_and_square_is_not_spoiled() {
    // Seen before seats were mended: 1.04 set-ups a board, 0.6 of them along column 14, at a spread
    // of 0.0434 mm per m.
    let job = crate::testing::trailer_top();
    let (all, last_column) = not_seating(&job, &PlanOptions::default());
    assert!(last_column < 0.05, "{last_column:.3}");
    assert!(all < 0.45, "{all:.3}");
    let found = spread(&job, &PlanOptions::default());
    assert!(found < 1.05 * 0.0434, "{found:.4}");
    let plan = planned(&job, &PlanOptions::default());
    assert!(
        plan.reasons.iter().any(|r| r.contains("D14") && r.contains("stand on the neighbours at both sides")),
        "{:?}",
        plan.reasons
    );
}

#[test]
fn on_tall_tops_the_triangle_set_again_is_squarer_and_seats_more_often() {
    // 18 rows of 25, bars of 12. Seen before: 0.0454 mm per m and 6.1 set-ups a board that do not
    // seat; since: 0.0310 and 1.1, for 20 minutes more in 15 hours.
    let job = crate::testing::job(2500.0, 1800.0, 100.0);
    let slid_on = PlanOptions { square_again: Some(false), ..PlanOptions::default() };
    let [(plan, all), (slid, slid_all)] =
        [PlanOptions::default(), slid_on].map(|options| (planned(&job, &options), not_seating(&job, &options).0));
    assert!(all < 1.3 && all < 0.25 * slid_all, "{all:.2} for {slid_all:.2}");
    let [square, slid_square] = [PlanOptions::default(), slid_on].map(|options| spread(&job, &options));
    assert!(square < 0.032 && square < 0.75 * slid_square, "{square:.4} for {slid_square:.4}");
    assert!(plan.minutes() - slid.minutes() < 25.0, "{} {}", plan.minutes(), slid.minutes());
    assert!(plan.reasons[0].contains("the triangle set again after every 6 rows"), "{:?}", plan.reasons);
    assert!(!slid.reasons[0].contains("set again"), "{:?}", slid.reasons);
    crate::replay::replay(&job, &plan).unwrap();
}

/// The message and hint of a refusal.
fn refused(change: impl FnOnce(&mut Job)) -> (String, String) {
    let mut job = crate::testing::trailer_top();
    change(&mut job);
    let faults = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap_err();
    (faults[0].message.clone(), faults[0].hint.clone().unwrap())
}

#[test]
fn a_refusal_says_the_limit_and_what_would_work() {
    let (message, hint) = refused(|job| job.kit = None);
    assert!(message.contains("needs a [kit]") && hint.contains("holefast new"));

    let (message, hint) = refused(|job| job.kit.as_mut().unwrap().bars[0].count = 1);
    assert!(message.contains("two bars") && message.contains("has 1") && hint.contains("count = 2"), "{message}");

    let (message, hint) = refused(|job| job.kit.as_mut().unwrap().bars[0].holes = 5);
    assert!(message.contains("has 5 holes") && message.contains("takes 6") && hint.contains("6 holes"), "{message}");

    let (message, hint) = refused(|job| job.kit.as_mut().unwrap().pin.count = 1);
    assert!(message.contains("two pins") && hint.contains("three pins are better"), "{message}");

    let (message, hint) = refused(|job| job.kit.as_mut().unwrap().dog.count = 0);
    assert!(message.contains("has none") && hint.contains("two are better"), "{message}");
}

#[test]
fn what_is_offered_instead_of_an_unreachable_hole_works() {
    // A wall wider than any bar cuts the right end off.
    let mut job = crate::testing::job(3000.0, 780.0, 100.0);
    job.keep_outs.push(crate::testing::rail("saw's path", 1000.0, 0.0, 1300.0, 780.0, 12.0));
    let layout = lay_out(&job).unwrap();
    let faults = make_plan(&job, &layout, &PlanOptions::default()).unwrap_err();
    let hint = faults[0].hint.clone().unwrap();
    let skip = hint.split("skip = [").nth(1).unwrap().trim_end_matches(']');
    for name in skip.split(", ") {
        job.grid.skip.push(crate::top::CellRange::parse(name.trim_matches('"')).unwrap());
    }
    let plan = planned(&job, &PlanOptions::default());
    crate::replay::replay(&job, &plan).unwrap();
}

#[test]
fn two_pins_and_a_drill_shank_make_a_triangle() {
    let mut job = crate::testing::trailer_top();
    job.kit.as_mut().unwrap().pin.count = 2;
    let plan = planned(&job, &PlanOptions::default());
    crate::replay::replay(&job, &plan).unwrap();
    assert!(plan.reasons.iter().any(|r| r.contains("shank holds the third")), "{:?}", plan.reasons);
}

#[test]
fn narrow_tops_are_planned_with_helpers_or_refused_with_a_way_out() {
    let mut helped = 0;
    for rows in [2, 3] {
        for columns in 2..=9 {
            // Room for four more places each way, or none for a single one.
            for spare in [800.0, 0.0] {
                let of = |holes: i32| 100.0 * f64::from(holes - 1) + 100.0 + spare;
                let mut job = crate::testing::job(of(columns), of(rows), 100.0);
                job.grid.rows = crate::top::Count::Number(rows as u32);
                job.grid.columns = crate::top::Count::Number(columns as u32);
                let what = format!("{rows} x {columns}, {spare} mm to spare");
                let layout = lay_out(&job).unwrap();
                assert_eq!(layout.holes.len(), (rows * columns) as usize, "{what}");
                match make_plan(&job, &layout, &PlanOptions::default()) {
                    Ok(plan) => {
                        crate::replay::replay(&job, &plan).unwrap_or_else(|f| panic!("{what}: {f:?}"));
                        helped += usize::from(plan.holes.iter().any(|h| h.kind == crate::plan::HoleKind::Helper));
                    }
                    Err(faults) => {
                        // A foot stands three pitches off: on the grid from four columns on, else on helpers.
                        assert!(spare == 0.0 && columns < 4, "{what}: {faults:?}");
                        assert!(faults[0].hint.as_deref().is_some_and(|h| h.contains("helper")), "{what}: {faults:?}");
                    }
                }
            }
        }
    }
    assert!(helped >= 4, "{helped}");
}
