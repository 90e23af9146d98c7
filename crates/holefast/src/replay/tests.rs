//! A small plan written by hand that can be done, and for every rule a change that cannot.

use super::*;
use crate::kit::Limits;
use crate::plan::{Bore, Feature, PinUse, Place, Placed, PlanHole, Stage, TemplateKind, from_json, templates, to_json};
use crate::testing;
use crate::top::{Cell, Count, ExtraHole, GridOrigin, KeepOut, KeepOutShape, Point, Side};

const GAUGE: Limits = Limits::new(3.882, 3.9);

/// 3 rows by 4 columns at 100 mm, `A1` at [100, 100], two bars of six holes, three pins.
pub(super) fn job() -> Job {
    let mut job = testing::job(500.0, 400.0, 100.0);
    job.grid.rows = Count::Number(3);
    job.grid.columns = Count::Number(4);
    job.grid.origin = GridOrigin::At(Point::new(100.0, 100.0));
    let mut kit = testing::kit(2, 6, 100.0);
    kit.pin.count = 3;
    kit.dog.count = 2;
    job.kit = Some(kit);
    job
}

fn place(text: &str) -> Place {
    match text.split_once(':') {
        Some((template, feature)) => Place::feature(template, feature),
        None => Place::hole(text),
    }
}

/// Centre of a place of the grid.
fn at(cell: &str) -> (f64, f64) {
    let cell = Cell::parse(cell).unwrap();
    (100.0 + 100.0 * f64::from(cell.column), 100.0 + 100.0 * f64::from(cell.row))
}

pub(super) fn lies(id: &str, origin_on: &str, turn_deg: f64) -> Placed {
    let (x_mm, y_mm) = at(origin_on);
    Placed { id: id.to_owned(), x_mm, y_mm, turn_deg, turned_over: false }
}

/// `L1:0 A1` is a pin, with `dog`, `gauge` or `point` before it that.
pub(super) fn locator(text: &str) -> PinUse {
    let words: Vec<&str> = text.split(' ').collect();
    let (with, ends) = match words[0] {
        "dog" => (With::Dog, &words[1..]),
        "gauge" => (With::Gauge(GAUGE), &words[1..]),
        "point" => (With::Point, &words[1..]),
        _ => (With::Pin, &words[..]),
    };
    PinUse { a: place(ends[0]), b: place(ends[1]), with }
}

pub(super) fn bore(text: &str, bit: Bit) -> Bore {
    let (feature, hole) = text.split_once(' ').unwrap();
    Bore { feature: place(feature), hole: hole.to_owned(), bit }
}

fn setup(stage: Stage, templates: &[Placed], pins: &[&str], pilots: &[&str]) -> Setup {
    Setup {
        number: 0,
        stage,
        by_hand: pins.is_empty(),
        check: pilots.is_empty(),
        minutes: 5.0,
        limit: None,
        pass: None,
        templates: templates.to_vec(),
        pins: pins.iter().map(|text| locator(text)).collect(),
        bores: pilots.iter().map(|text| bore(text, Bit::Pilot)).collect(),
        hold: Vec::new(),
        done: false,
        under: Vec::new(),
    }
}

fn opening(pass: u8, hole: &str, turn_deg: f64, pins: &[&str]) -> Setup {
    Setup {
        check: false,
        by_hand: pins.is_empty(),
        pass: Some(pass),
        bores: vec![bore(&format!("K1:bush {hole}"), Bit::Opening)],
        ..setup(Stage::Open, &[lies("K1", hole, turn_deg)], pins, &[])
    }
}

/// The plan: a datum row, two columns by a triangle of 3, 4 and 5 pitches, a check across the far
/// ends, two fills, twelve openings.
pub(super) fn plan() -> Plan {
    let names = (0..3).flat_map(|row| (0..4).map(move |column| Cell::new(row, column)));
    let holes = names.map(|cell| PlanHole {
        name: cell.to_string(),
        row: Some(cell.row as i32),
        column: Some(cell.column as i32),
        x_mm: at(&cell.to_string()).0,
        y_mm: at(&cell.to_string()).1,
        kind: HoleKind::Dog,
    });
    let mut setups = vec![
        setup(Stage::DatumRow, &[lies("L1", "A1", 0.0)], &[], &["L1:0 A1", "L1:1 A2", "L1:2 A3", "L1:3 A4"]),
        setup(
            Stage::SquareColumns,
            &[lies("L1", "A1", 90.0), lies("L2", "A4", 126.869898)],
            &["L1:0 A1", "L2:0 A4", "L2:5 L1:4"],
            &["L1:1 B1", "L1:2 C1"],
        ),
        setup(
            Stage::SquareColumns,
            &[lies("L1", "A4", 90.0), lies("L2", "A1", 53.130102)],
            &["L1:0 A4", "L2:0 A1", "L2:5 L1:4"],
            &["L1:1 B4", "L1:2 C4"],
        ),
        setup(Stage::Closing, &[lies("L2", "C1", 0.0)], &["gauge L2:0 C1", "gauge L2:3 C4"], &[]),
        setup(Stage::Fill, &[lies("L2", "C1", 0.0)], &["L2:0 C1", "L2:3 C4"], &["L2:1 C2", "L2:2 C3"]),
        setup(Stage::Fill, &[lies("L1", "B1", 0.0)], &["L1:0 B1", "L1:3 B4"], &["L1:1 B2", "L1:2 B3"]),
        opening(1, "A1", 0.0, &["K1:plus A2", "point K1:bush A1"]),
        opening(1, "A3", 0.0, &["K1:minus A2", "K1:plus A4"]),
        opening(1, "B2", 0.0, &["K1:minus B1", "K1:plus B3"]),
        opening(1, "B4", 90.0, &["K1:minus A4", "K1:plus C4"]),
        opening(1, "C1", 0.0, &["K1:plus C2", "point K1:bush C1"]),
        opening(1, "C3", 0.0, &["K1:minus C2", "K1:plus C4"]),
        opening(2, "A2", 0.0, &["dog K1:minus A1", "dog K1:plus A3"]),
        opening(2, "A4", 0.0, &["dog K1:minus A3", "point K1:bush A4"]),
        opening(2, "B1", 90.0, &["dog K1:minus A1", "dog K1:plus C1"]),
        opening(2, "B3", 0.0, &["dog K1:minus B2", "dog K1:plus B4"]),
        opening(2, "C2", 0.0, &["dog K1:minus C1", "dog K1:plus C3"]),
        opening(2, "C4", 90.0, &["dog K1:minus B4", "point K1:bush C4"]),
    ];
    for (n, setup) in (1..).zip(&mut setups) {
        setup.number = n;
    }
    Plan {
        holes: holes.collect(),
        templates: templates(job().kit.as_ref().unwrap()),
        setups,
        exists: Vec::new(),
        plugged: Vec::new(),
        reasons: Vec::new(),
    }
}

/// Refuses the plan after a change, with exactly this message.
#[track_caller]
fn refused(change: impl FnOnce(&mut Job, &mut Plan), message: &str) {
    let (mut job, mut plan) = (job(), plan());
    change(&mut job, &mut plan);
    match replay(&job, &plan) {
        Ok(done) => panic!("replayed: {done:?}, expected: {message}"),
        Err(fault) => assert_eq!(fault.message, message),
    }
}

fn gap_in_fill(plan: &mut Plan) -> &mut Setup {
    &mut plan.setups[5]
}

#[test]
fn the_plan_can_be_done() {
    let done = replay(&job(), &plan()).unwrap();
    let not_stated = vec!["opening bit's length", "block's size", "how bars and block are held"];
    assert_eq!(done, Replayed { setups: 18, checks: 1, pilots: 12, helpers: 0, opened: 12, most_pins: 3, not_stated });
}

#[test]
fn the_plan_can_be_done_after_a_way_through_json() {
    let read = from_json(&to_json(&plan())).unwrap();
    assert_eq!(replay(&job(), &read), replay(&job(), &plan()));
}

#[test]
fn kit_and_numbers() {
    refused(|job, _| job.kit = None, "the job has no kit, so nothing can be bored");
    refused(|_, plan| plan.holes[0].x_mm = f64::NAN, "the place of A1 is not a number");
    refused(|_, plan| plan.setups[2].number = 7, "set-up 7 stands where number 3 belongs");
    refused(|_, plan| plan.setups[2].minutes = -1.0, "set-up 3: -1 minutes is not a time");
    refused(
        |_, plan| plan.setups[2].templates[0].turn_deg = f64::INFINITY,
        "set-up 3: the place of L1 is not a number",
    );
    refused(|_, plan| plan.templates[0].features[1].y_mm = f64::NAN, "L1:1 has a place that is not a number");
}

#[test]
fn templates_are_the_kits() {
    refused(|_, plan| plan.templates[0].id = "M1".to_owned(), "the kit has no template M1");
    refused(|_, plan| plan.templates[1].id = "L1".to_owned(), "the template L1 is listed twice");
    refused(|_, plan| plan.templates[2].kind = TemplateKind::Bar, "the kit's K1 is a block");
    refused(|_, plan| drop(plan.templates[0].features.pop()), "L1 has 5 features in the plan, 6 in the kit");
    refused(
        |_, plan| plan.templates[0].features[2].x_mm = 201.0,
        "L1:2 is not as in the kit: x 201 mm, the kit's is 200 mm",
    );
    let other: fn(&mut Feature) = |feature| feature.bore_mm = Some(Limits::exact(4.0));
    refused(|_, plan| other(&mut plan.templates[0].features[2]), "L1:2 is not as in the kit: another bore for pins");
    refused(
        |_, plan| plan.templates[2].features[1].bore_dog_mm = None,
        "K1:minus is not as in the kit: another bore for dogs",
    );
    refused(
        |_, plan| plan.templates[0].features[2].position_mm = 0.01,
        "L1:2 is not as in the kit: position 0.01 mm, the kit's is 0.02 mm",
    );
    refused(
        |_, plan| plan.templates[0].features[2].name = "x".to_owned(),
        "L1:x is not as in the kit: the kit calls it 2",
    );
}

#[test]
fn holes_are_the_layouts() {
    refused(|_, plan| plan.holes[1].name = "A1".to_owned(), "the hole A1 is listed twice");
    refused(|_, plan| plan.holes[1].name = "A:2".to_owned(), "\"A:2\" is not a hole's name");
    refused(
        |_, plan| plan.holes[1].x_mm += 0.5,
        "A2 is listed 0.500 mm from its place in the layout, [200.000, 100.000] mm",
    );
    refused(
        |_, plan| plan.holes[1].kind = HoleKind::Helper,
        "A2 is a dog hole of the grid in the layout, in the plan it is not",
    );
    refused(|_, plan| plan.holes[1].column = Some(3), "A2 is listed with a row and column that are not its own");
    refused(|job, _| job.grid.columns = Count::Number(3), "A4 is not a hole of the layout");
    refused(
        |job, _| job.keep_outs.push(testing::rail("rail", 390.0, 0.0, 20.0, 150.0, 5.0)),
        "A4 is not a hole of the layout",
    );
    refused(|job, _| job.grid.edge = 5.0, "edge = 5 mm leaves -5 mm of wood beside a hole of 20 mm, 3 wanted");
}

/// A helper in the list of holes.
fn helper(x_mm: f64, y_mm: f64) -> PlanHole {
    PlanHole { name: "H1".to_owned(), row: None, column: None, x_mm, y_mm, kind: HoleKind::Helper }
}

#[test]
fn helpers_stay_on_the_sheet_and_clear() {
    refused(
        |_, plan| plan.holes.push(helper(5.0, 100.0)),
        "the pilot of H1 has 3.00 mm of wood to the top's edge, 4.00 wanted",
    );
    refused(
        |_, plan| plan.holes.push(helper(-10.0, 100.0)),
        "the pilot of H1 has -12.00 mm of wood to the top's edge, 4.00 wanted",
    );
    for side in [Side::Above, Side::Below] {
        refused(
            |job, plan| {
                plan.holes.push(helper(451.0, 100.0));
                job.keep_outs.push(testing::rail("rail", 452.0, 0.0, 20.0, 400.0, 5.0));
                job.keep_outs[0].side = side;
            },
            "the pilot of H1 goes 1.00 mm into rail",
        );
    }
    refused(|_, plan| plan.holes.push(helper(110.0, 100.0)), "A1 and H1 cut 2.00 mm into each other");
    refused(
        |_, plan| plan.holes.push(PlanHole { row: Some(0), column: Some(-1), ..helper(20.0, 100.0) }),
        "H1 is listed 20.000 mm from row 0, column -1 of the grid",
    );
    refused(|_, plan| plan.holes.push(helper(450.0, 100.0)), "H1 is listed and never bored");
}

#[test]
fn a_helper_is_bored_and_never_opened() {
    // On a longer sheet a helper at A5 gives the corner A4 a second neighbour.
    let mut job = job();
    job.top.outline = testing::rectangle(600.0, 400.0);
    let mut plan = plan();
    plan.holes.push(PlanHole { row: Some(0), column: Some(4), ..helper(500.0, 100.0) });
    plan.setups[0].bores.push(bore("L1:4 H1", Bit::Pilot));
    plan.setups[13].pins[1] = locator("K1:plus H1");
    let done = replay(&job, &plan).unwrap();
    assert_eq!((done.pilots, done.helpers, done.opened), (13, 1, 12));
    plan.setups.push(Setup {
        number: 19,
        templates: vec![Placed { x_mm: 500.0, y_mm: 100.0, ..lies("K1", "A1", 0.0) }],
        pins: vec![locator("dog K1:minus A4"), locator("point K1:bush H1")],
        bores: vec![bore("K1:bush H1", Bit::Opening)],
        ..plan.setups[13].clone()
    });
    let says = replay(&job, &plan).unwrap_err().message;
    assert_eq!(says, "set-up 19: H1 is opened, and is a pilot that stays one");
}

#[test]
fn templates_are_placed_once_and_the_right_way_up() {
    refused(|_, plan| gap_in_fill(plan).templates.clear(), "set-up 6: no template is placed");
    refused(
        |_, plan| {
            let twice = gap_in_fill(plan).templates[0].clone();
            gap_in_fill(plan).templates.push(twice);
        },
        "set-up 6: L1 is placed twice, and there is one of it",
    );
    refused(
        |_, plan| gap_in_fill(plan).templates[0].id = "L9".to_owned(),
        "set-up 6: the template L9 is not in the plan's list",
    );
    refused(|_, plan| plan.setups[7].templates[0].turned_over = true, "set-up 8: K1 lies turned over, and may not");
    refused(
        |job, plan| {
            job.kit.as_mut().unwrap().bars[0].turn_over = false;
            gap_in_fill(plan).templates[0].turned_over = true;
        },
        "set-up 6: L1 lies turned over, and may not",
    );
    // A bar's holes lie on its own axis, so turned over it fits as well.
    let mut over = plan();
    gap_in_fill(&mut over).templates[0].turned_over = true;
    replay(&job(), &over).unwrap();
}

#[test]
fn what_stands_above_keeps_bars_and_block_off() {
    let above =
        |shape: KeepOutShape| KeepOut { shape, side: Side::Above, ..testing::rail("post", 0.0, 0.0, 0.0, 0.0, 0.0) };
    let post = |x: f64, y: f64| above(KeepOutShape::Circle { centre: Point::new(x, y), diameter: 20.0 });
    let board = |x: f64, y: f64| above(KeepOutShape::Rect { x, y, length: 10.0, width: 20.0 });
    // The datum bar covers y = 80 to 120; the post reaches down to 118.
    refused(|job, _| job.keep_outs.push(post(150.0, 128.0)), "set-up 1: L1 would lie 2.0 mm into post");
    refused(|job, _| job.keep_outs.push(board(145.0, 118.0)), "set-up 1: L1 would lie 2.0 mm into post");
    // The third side from [400, 100] to [100, 500] passes [250, 300]; 29.4 mm from [250, 251].
    refused(|job, _| job.keep_outs.push(post(250.0, 251.0)), "set-up 2: L2 would lie 0.6 mm into post");
    let mut below = job();
    below.keep_outs.push(KeepOut { side: Side::Below, ..post(150.0, 128.0) });
    replay(&below, &plan()).unwrap();
}

#[test]
fn locators_need_what_they_stand_in() {
    let swap = |n: usize, pin: usize, text: &'static str| {
        move |_: &mut Job, plan: &mut Plan| plan.setups[n].pins[pin] = locator(text)
    };
    refused(swap(5, 0, "L1:0 Z9"), "set-up 6: the hole Z9 is not in the plan's list");
    refused(swap(5, 0, "L1:7 B1"), "set-up 6: L1 has no feature 7");
    refused(swap(5, 0, "L2:0 B1"), "set-up 6: L2:0 is used, but L2 is not placed");
    refused(swap(5, 0, "B1 L1:0"), "set-up 6: B1 stands where a template's feature belongs");
    refused(swap(5, 0, "L1:1 B2"), "set-up 6: a pin is asked for in B2, which does not exist yet");
    refused(swap(7, 0, "K1:minus A1"), "set-up 8: a pin is asked for in A1, which is already opened");
    refused(swap(7, 0, "dog K1:minus A2"), "set-up 8: a dog is asked for in A2, which is still a pilot");
    refused(swap(7, 0, "K1:bush A3"), "set-up 8: a pin is asked for in K1:bush, which has no bore for it");
    refused(swap(5, 0, "dog L1:0 B1"), "set-up 6: a dog is asked for in B1, which is still a pilot");
    refused(swap(5, 1, "L1:2 B1"), "set-up 6: B1 is used by two locators, and has room for one");
    refused(swap(5, 1, "L1:0 B4"), "set-up 6: L1:0 is used by two locators, and has room for one");
    refused(swap(1, 2, "L1:5 L1:4"), "set-up 2: L1:5 and L1:4 are on the same template");
    refused(swap(1, 2, "dog L2:5 L1:4"), "set-up 2: a dog joins L2:5 to L1:4");
    refused(swap(6, 1, "point K1:minus A1"), "set-up 7: the point stands in K1:minus, which is not the block's bush");
    refused(swap(6, 1, "point K1:bush A2"), "set-up 7: A2 is used by two locators, and has room for one");
    refused(swap(7, 0, "point K1:bush A1"), "set-up 8: a point is asked for in A1, which is already opened");
    refused(swap(6, 0, "point K1:bush B1"), "set-up 7: the point stands in B1, which is not opened in this set-up");
}

#[test]
fn a_gauge_may_stand_in_where_pins_run_short() {
    let (mut job, mut plan) = (job(), plan());
    job.kit.as_mut().unwrap().pin.count = 2;
    plan.setups[1].pins[2] = locator("gauge L2:5 L1:4");
    plan.setups[2].pins[2] = locator("gauge L2:5 L1:4");
    assert_eq!(replay(&job, &plan).unwrap().most_pins, 2);
}

#[test]
fn locators_meet() {
    refused(
        |_, plan| gap_in_fill(plan).templates[0].x_mm += 0.25,
        "set-up 6: the pin through L1:0 misses B1 by 0.25 mm",
    );
    refused(
        |_, plan| plan.setups[1].templates[1].turn_deg = 126.8,
        "set-up 2: the pin through L2:5 misses L1:4 by 0.61 mm",
    );
    refused(
        |_, plan| plan.setups[1].pins[2] = locator("L2:5 L1:3"),
        "set-up 2: the pin through L2:5 misses L1:3 by 100.00 mm",
    );
    let mut near = plan();
    gap_in_fill(&mut near).templates[0].x_mm += 0.009;
    replay(&job(), &near).unwrap();
}

#[test]
fn locators_enter_their_bores() {
    refused(
        |job, _| job.kit.as_mut().unwrap().pin.diameter = Limits::exact(4.05),
        "set-up 2: the pin is at least 4.050 mm thick and does not enter L1:0, which is at most 4.012 mm wide",
    );
    refused(
        |job, _| {
            let kit = job.kit.as_mut().unwrap();
            kit.pilot_bit.diameter = Limits::exact(3.5);
        },
        "set-up 2: the pin is at least 3.992 mm thick and does not enter A1, which is at most 3.560 mm wide",
    );
    refused(
        |job, _| job.kit.as_mut().unwrap().dog.diameter = Limits::exact(20.04),
        "set-up 13: the dog is at least 20.040 mm thick and does not enter K1:minus, which is at most 20.021 mm wide",
    );
}

#[test]
fn no_more_than_the_kit_has() {
    refused(|job, _| job.kit.as_mut().unwrap().pin.count = 2, "set-up 2: 3 pins are used at once, the kit has 2");
    refused(|job, _| job.kit.as_mut().unwrap().dog.count = 1, "set-up 13: 2 dogs are used at once, the kit has 1");
    refused(
        |job, _| job.kit.as_mut().unwrap().gauges[0].count = 1,
        "set-up 4: 2 gauges of 3.882 to 3.900 mm are used at once, the kit has 1",
    );
    refused(
        |job, _| job.kit.as_mut().unwrap().gauges[0].diameter = Limits::exact(3.8),
        "set-up 4: the kit has no gauge of 3.882 to 3.900 mm",
    );
}

#[test]
fn templates_are_held() {
    refused(
        |_, plan| drop(gap_in_fill(plan).pins.pop()),
        "set-up 6: L1 is not held: 1 of 3 movements (along, across, turn of each) are left free",
    );
    refused(
        |_, plan| drop(plan.setups[1].pins.pop()),
        "set-up 2: L1 is not held: 1 of 3 movements (along, across, turn of each) are left free",
    );
    refused(
        |_, plan| drop(plan.setups[1].pins.remove(1)),
        "set-up 2: L1 with L2 is not held: 2 of 6 movements (along, across, turn of each) are left free",
    );
    refused(
        |_, plan| {
            plan.setups[1].pins.clear();
        },
        "set-up 2: L1 is not held: 3 of 3 movements (along, across, turn of each) are left free",
    );
    refused(
        |_, plan| plan.setups[6].pins.truncate(1),
        "set-up 7: K1 is not held: 1 of 3 movements (along, across, turn of each) are left free",
    );
    refused(
        |_, plan| drop(plan.setups[3].pins.pop()),
        "set-up 4: L2 is not held: 1 of 3 movements (along, across, turn of each) are left free",
    );
    refused(
        |_, plan| {
            let triangle = &mut plan.setups[1];
            triangle.check = true;
            triangle.bores.clear();
        },
        "set-up 2: L1 with L2 is offered up on no more pins than locate it",
    );
}

#[test]
fn a_flat_triangle_holds_nothing_across() {
    // L2 in line with L1: A1, the join and A4 on one line leave the middle free to move across.
    refused(
        |_, plan| {
            plan.setups[1].templates = vec![lies("L1", "A1", 0.0), lies("L2", "A4", 180.0)];
            plan.setups[1].pins[2] = locator("L2:1 L1:2");
        },
        "set-up 2: L1 with L2 is not held: 1 of 6 movements (along, across, turn of each) are left free",
    );
}

#[test]
fn by_hand_only_where_nothing_is_known() {
    refused(
        |_, plan| {
            gap_in_fill(plan).by_hand = true;
            gap_in_fill(plan).pins.clear();
        },
        "set-up 6: it is placed by hand, though A1 exists to locate it on",
    );
    refused(|_, plan| gap_in_fill(plan).by_hand = true, "set-up 6: it is placed by hand and has locators");
    refused(|_, plan| plan.setups[3].by_hand = true, "set-up 4: a check is placed by hand, and checks nothing so");
    refused(
        |_, plan| plan.setups[0].templates.push(lies("L2", "A1", 90.0)),
        "set-up 1: 2 templates are placed by hand at once",
    );
    refused(
        |_, plan| plan.setups[0].by_hand = false,
        "set-up 1: L1 is not held: 3 of 3 movements (along, across, turn of each) are left free",
    );
}

#[test]
fn bores_by_the_rules() {
    refused(|_, plan| plan.setups[3].bores.push(bore("L2:1 C2", Bit::Pilot)), "set-up 4: a check bores C2");
    refused(|_, plan| gap_in_fill(plan).bores.clear(), "set-up 6: nothing is bored and nothing checked");
    refused(
        |_, plan| gap_in_fill(plan).bores.push(bore("L1:0 B1", Bit::Pilot)),
        "set-up 6: the pilot B1 is bored, and was bored before",
    );
    refused(
        |_, plan| gap_in_fill(plan).bores[0] = bore("L1:2 B2", Bit::Pilot),
        "set-up 6: L1:2 misses B2 by 100.00 mm",
    );
    refused(
        |_, plan| gap_in_fill(plan).bores[0] = bore("L1:1 Z1", Bit::Pilot),
        "set-up 6: the hole Z1 is not in the plan's list",
    );
    refused(
        |_, plan| plan.setups[7].bores[0] = bore("K1:bush A3", Bit::Pilot),
        "set-up 8: the pilot A3 is bored through K1:bush",
    );
    refused(
        |_, plan| gap_in_fill(plan).bores[0] = bore("L1:1 B2", Bit::Opening),
        "set-up 6: B2 is opened through L1:1",
    );
    refused(
        |_, plan| plan.setups[7].bores[0] = bore("K1:minus A3", Bit::Opening),
        "set-up 8: A3 is opened through K1:minus",
    );
    refused(|_, plan| plan.setups[7].stage = Stage::Fill, "set-up 8: an opening pass is given in the stage fill");
    refused(
        |_, plan| {
            plan.setups[7].stage = Stage::Fill;
            plan.setups[7].pass = None;
        },
        "set-up 8: A3 is opened in the stage fill",
    );
    refused(|_, plan| plan.setups[7].pass = Some(3), "set-up 8: opening pass 3, there are 1 and 2");
    refused(
        |_, plan| {
            let again = Setup { number: 19, ..opening(2, "A2", 0.0, &["dog K1:minus A1", "dog K1:plus A3"]) };
            plan.setups.push(again);
        },
        "set-up 19: A2 is opened twice",
    );
    refused(|_, plan| drop(gap_in_fill(plan).bores.remove(0)), "set-up 9: B2 is opened, and has no pilot yet");
    refused(
        |job, _| job.kit.as_mut().unwrap().opening_bit.diameter = Limits::exact(19.0),
        "set-up 7: A1 is to be 20.00 mm wide, the opening bit is 19.00 mm",
    );
}

#[test]
fn everything_wanted_is_made() {
    refused(|_, plan| drop(plan.setups.pop()), "C4 is bored as a pilot and never opened");
    refused(|_, plan| drop(plan.holes.pop()), "set-up 3: the hole C4 is not in the plan's list");
}

#[test]
fn an_extra_hole_is_opened_by_hand_in_one_go() {
    let (mut job, mut plan) = (job(), plan());
    job.grid.extra.push(ExtraHole { name: "V1".to_owned(), centre: Point::new(460.0, 300.0), diameter: 20.0 });
    plan.holes.push(PlanHole {
        name: "V1".to_owned(),
        row: None,
        column: None,
        x_mm: 455.0,
        y_mm: 300.0,
        kind: HoleKind::Extra,
    });
    job.grid.extra[0].centre.x = 455.0;
    assert_eq!(replay(&job, &plan).unwrap_err().message, "V1 is wanted and never bored");
    plan.setups.push(Setup {
        number: 19,
        templates: vec![Placed { x_mm: 455.0, y_mm: 300.0, ..lies("K1", "A1", 0.0) }],
        bores: vec![bore("K1:bush V1", Bit::Opening)],
        ..opening(1, "A1", 0.0, &[])
    });
    assert_eq!(replay(&job, &plan).unwrap().opened, 13);
    job.grid.extra[0].diameter = 35.0;
    job.grid.edge = 30.0;
    assert_eq!(
        replay(&job, &plan).unwrap_err().message,
        "set-up 19: V1 is to be 35.00 mm wide, the opening bit is 20.00 mm"
    );
}

#[test]
fn a_pin_is_drawn_and_the_hole_bored_where_it_stood() {
    let (mut job, mut plan) = (job(), plan());
    job.top.outline = testing::rectangle(500.0, 600.0);
    plan.holes.push(PlanHole { row: Some(4), column: Some(0), ..helper(100.0, 500.0) });
    plan.setups[1].bores.push(bore("L1:4 H1", Bit::Pilot));
    assert_eq!(replay(&job, &plan).unwrap().helpers, 1);
}

#[test]
fn a_part_bored_top_goes_on_from_what_exists() {
    let (mut job, mut plan) = (job(), plan());
    let done = |job: &mut Job, range: &str, as_| {
        job.done.push(crate::job::Done {
            holes: vec![crate::top::CellRange::parse(range).unwrap()],
            as_,
            scatter: None,
            helpers: Vec::new(),
        });
    };
    done(&mut job, "A1:A4", DoneAs::Pilot);
    let says = replay(&job, &plan).unwrap_err().message;
    assert_eq!(says, "set-up 1: it is placed by hand, though A1 exists to locate it on");
    plan.setups.remove(0);
    (1..).zip(&mut plan.setups).for_each(|(n, setup)| setup.number = n);
    assert_eq!(replay(&job, &plan).unwrap().pilots, 8);
    job.spoiled.push(crate::job::Spoiled { hole: "A4".to_owned(), why: "bit wandered".to_owned() });
    let says = replay(&job, &plan).unwrap_err().message;
    assert_eq!(says, "set-up 1: a pin is asked for in A4, which does not exist yet");
    job.spoiled.clear();
    done(&mut job, "A4", DoneAs::Dog);
    let says = replay(&job, &plan).unwrap_err().message;
    assert_eq!(says, "set-up 1: a pin is asked for in A4, which is already opened");
}
