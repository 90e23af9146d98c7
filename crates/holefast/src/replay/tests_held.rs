//! The small plan of `tests` with every hold, packing and prop written in by hand; and for every rule
//! of dimensions and holding a change that cannot be.

use super::tests::{job as bare_job, lies, locator, plan as bare_plan};
use super::*;
use crate::plan::{Beneath, Hold, HoldBy, Under, from_json, to_json};
use crate::testing;
use crate::top::{KeepOut, KeepOutShape, Point, Side};

/// The block is 240 by 60 mm and 30 high; bars are 40 wide, 8 thick and end 20 beyond their holes.
fn job() -> Job {
    let mut job = bare_job();
    let kit = job.kit.as_mut().unwrap();
    kit.block.size = Some([240.0, 60.0, 30.0]);
    kit.opening_bit.length = Some(110.0);
    job
}

fn clamp(template: &str, x_mm: f64, y_mm: f64) -> Hold {
    Hold { template: template.to_owned(), by: HoldBy::EdgeClamp, x_mm, y_mm }
}

fn hold_down(hole: &str, x_mm: f64, y_mm: f64) -> Hold {
    Hold { by: HoldBy::HoldDown(hole.to_owned()), ..clamp("K1", x_mm, y_mm) }
}

/// Every set-up held. On a sheet of 500 by 400 mm a clamp that reaches 120 mm leaves a middle of
/// 260 by 160 mm; the column bars stand out 220 of their 540 mm, the third sides lie on them.
fn plan() -> Plan {
    let mut plan = bare_plan();
    let packed = |template: &str| Under { template: template.to_owned(), what: Beneath::Packing(8.0) };
    let propped = |template: &str| Under { template: template.to_owned(), what: Beneath::Prop(220.0) };
    let holds = [
        vec![clamp("L1", 150.0, 100.0), clamp("L1", 350.0, 100.0)],
        vec![
            clamp("L1", 100.0, 150.0),
            clamp("L1", 100.0, 350.0),
            clamp("L2", 382.0, 124.0),
            clamp("L2", 220.0, 340.0),
        ],
        vec![
            clamp("L1", 400.0, 150.0),
            clamp("L1", 400.0, 350.0),
            clamp("L2", 118.0, 124.0),
            clamp("L2", 280.0, 340.0),
        ],
        vec![clamp("L2", 150.0, 300.0), clamp("L2", 350.0, 300.0)],
        vec![clamp("L2", 150.0, 300.0), clamp("L2", 350.0, 300.0)],
        vec![clamp("L1", 118.0, 200.0), clamp("L1", 382.0, 200.0)],
        vec![clamp("K1", 150.0, 80.0)],
        vec![clamp("K1", 350.0, 80.0)],
        vec![hold_down("A3", 250.0, 180.0)],
        vec![clamp("K1", 420.0, 150.0)],
        vec![clamp("K1", 150.0, 320.0)],
        vec![clamp("K1", 350.0, 320.0)],
        vec![clamp("K1", 250.0, 80.0)],
        vec![clamp("K1", 450.0, 80.0)],
        vec![clamp("K1", 80.0, 150.0)],
        vec![hold_down("A3", 350.0, 180.0)],
        vec![clamp("K1", 250.0, 320.0)],
        vec![clamp("K1", 420.0, 350.0)],
    ];
    for (setup, hold) in plan.setups.iter_mut().zip(holds) {
        setup.hold = hold;
    }
    for triangle in [1, 2] {
        plan.setups[triangle].under = vec![propped("L1"), packed("L2")];
    }
    plan
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

fn kit(job: &mut Job) -> &mut Kit {
    job.kit.as_mut().unwrap()
}

fn post(side: Side, x: f64, y: f64, diameter: f64) -> KeepOut {
    let shape = KeepOutShape::Circle { centre: Point::new(x, y), diameter };
    KeepOut { shape, side, ..testing::rail("post", 0.0, 0.0, 0.0, 0.0, 0.0) }
}

#[test]
fn the_held_plan_can_be_done_and_nothing_is_left_unlooked_at() {
    let done = replay(&job(), &plan()).unwrap();
    assert_eq!((done.opened, done.not_stated.as_slice()), (12, &[][..]));
    let read = from_json(&to_json(&plan())).unwrap();
    assert!(read == plan());
}

#[test]
fn what_the_kit_does_not_state_is_named_and_not_looked_at() {
    let mut job = job();
    kit(&mut job).bars[0].thickness = None;
    kit(&mut job).bars[0].beyond = None;
    kit(&mut job).opening_bit.length = None;
    // Neither packing nor props nor pins' reach can be told then.
    kit(&mut job).pin.length = Some(1.0);
    kit(&mut job).block.step = None;
    kit(&mut job).gauges[0].length = None;
    (kit(&mut job).clamp_opens, kit(&mut job).dog.height) = (None, None);
    let mut plan = plan();
    plan.setups[1].under.clear();
    let done = replay(&job, &plan).unwrap();
    assert_eq!(
        done.not_stated,
        [
            "bars' thickness",
            "bars' ends",
            "opening bit's length",
            "block's step",
            "gauges' length",
            "how far clamps open",
            "dogs' height"
        ]
    );
}

#[test]
fn a_plan_of_the_bare_contract_is_not_asked_how_it_is_held() {
    let mut plan = plan();
    for setup in &mut plan.setups {
        setup.hold.clear();
        setup.under.clear();
    }
    assert_eq!(replay(&job(), &plan).unwrap().not_stated, ["how bars and block are held"]);
}

#[test]
fn pins_reach_through_bars_and_packing() {
    // A bar of 8 mm and twice the pin's 4 mm (3.996 on average) in the sheet; packed 8 mm up.
    refused(
        |job, _| kit(job).pin.length = Some(20.0),
        "set-up 2: the pin through L2:0 is 20.0 mm long and 4.0 mm too short: 16.0 mm to go through, 8.0 mm in the sheet",
    );
    // Where the sheet is packed by nothing, 16 mm would do.
    let mut job = job();
    kit(&mut job).pin.length = Some(24.0);
    replay(&job, &plan()).unwrap();
    // A thick upper bar on a thin sheet: the joint is what falls short.
    refused(
        |job, plan| {
            let mut thick = kit(job).bars[0].clone();
            (thick.name, thick.thickness, thick.count) = ("M".to_owned(), Some(30.0), 1);
            kit(job).bars[0].count = 2;
            kit(job).bars.push(thick);
            kit(job).pin.length = Some(32.0);
            kit(job).pilot_bit.length = Some(90.0);
            plan.templates = crate::plan::templates(kit(job));
            let triangle = &mut plan.setups[1];
            triangle.templates[1].id = "M1".to_owned();
            triangle.pins[2] = locator("M1:5 L1:4");
            // Its foot is set on the first pin of another bar, so that no packing counts.
            triangle.pins[1] = locator("gauge M1:0 A4");
        },
        "set-up 2: the pin through M1:5 is 32.0 mm long and 2.0 mm too short: 30.0 mm to go through, 4.0 mm in the bar below",
    );
}

#[test]
fn pins_of_the_block_reach_through_its_step_and_gauges_through_bars() {
    // Held over their 4 mm above a step of 20, two diameters in the sheet.
    refused(
        |job, _| (kit(job).block.step, kit(job).pin.length) = (Some(20.0), Some(30.0)),
        "set-up 7: the pin through K1:plus is 30.0 mm long and 2.0 mm too short: 24.0 mm to go through, 8.0 mm in the sheet",
    );
    // A block that ends 2 mm above its step holds a pin over no more than that.
    let mut low = job();
    (kit(&mut low).block.step, kit(&mut low).pin.length) = (Some(28.0), Some(38.0));
    replay(&low, &plan()).unwrap();
    refused(
        |job, _| kit(job).gauges[0].length = Some(12.0),
        "set-up 4: the gauge through L2:0 is 12.0 mm long and 4.0 mm too short: 8.0 mm to go through, 8.0 mm in the sheet",
    );
    // Of two sorts as thick, the longer may be the one that stands there; of one not stated nothing is known.
    let mut two = job();
    kit(&mut two).gauges[0].length = Some(12.0);
    let longer = crate::kit::Gauge { length: Some(16.0), ..kit(&mut two).gauges[0].clone() };
    kit(&mut two).gauges.push(longer);
    replay(&two, &plan()).unwrap();
    kit(&mut two).gauges[1].length = None;
    replay(&two, &plan()).unwrap();
}

#[test]
fn bits_reach_through_guide_and_sheet() {
    // Bar 8, sheet 21, point 0.3 of 4 mm, 20 mm in the chuck.
    refused(
        |job, _| kit(job).pilot_bit.length = Some(50.0),
        "set-up 1: the pilot bit is 50.0 mm long and 0.2 mm too short for A1: 8.0 mm above the sheet, 21.0 mm of sheet, 1.2 mm of point, 20.0 mm in the chuck",
    );
    // Block 30, sheet 21, point 0.3 of 20 mm, 20 mm in the chuck: 77.
    refused(
        |job, _| kit(job).opening_bit.length = Some(75.0),
        "set-up 7: the opening bit is 75.0 mm long and 2.0 mm too short for A1: 30.0 mm above the sheet, 21.0 mm of sheet, 6.0 mm of point, 20.0 mm in the chuck",
    );
}

#[test]
fn two_bars_do_not_lie_in_one_place() {
    // Two fills at once, one along row C and one down column 2, cross at C2 without a pin there.
    refused(
        |job, plan| {
            kit(job).pin.count = 4;
            let mut both = plan.setups[4].clone();
            both.templates = vec![lies("L2", "C1", 0.0), lies("L1", "A3", 90.0)];
            both.pins = ["L2:0 C1", "L2:3 C4", "L1:0 A3", "L1:2 C3"].map(locator).to_vec();
            both.bores.retain(|bore| bore.hole == "C2");
            plan.setups[4].bores.retain(|bore| bore.hole == "C3");
            both.number = 6;
            both.bores[0].hole = "C2".to_owned();
            plan.setups.insert(5, both);
            (1..).zip(&mut plan.setups).for_each(|(n, setup)| setup.number = n);
        },
        "set-up 6: L1 would lie 40.0 mm into L2, and no pin joins them",
    );
}

#[test]
fn free_ends_are_packed_and_propped() {
    refused(
        |_, plan| drop(plan.setups[1].under.pop()),
        "set-up 2: L2 lies on L1 and slopes: nothing is under its free end, 8.0 mm needed",
    );
    refused(
        |_, plan| plan.setups[1].under[1].what = Beneath::Packing(6.0),
        "set-up 2: the free end of L2 is packed 6.0 mm up, it lies 8.0 mm up",
    );
    refused(
        |_, plan| plan.setups[4].under.push(Under { template: "L2".to_owned(), what: Beneath::Packing(5.0) }),
        "set-up 5: the free end of L2 is packed 5.0 mm up, it lies 0.0 mm up",
    );
    // 540 mm long, of which a third may stand out.
    refused(
        |_, plan| drop(plan.setups[1].under.remove(0)),
        "set-up 2: L1 stands out 220.0 mm over the sheet without a prop, at most 180.0 mm may",
    );
    refused(
        |_, plan| plan.setups[1].under[0].what = Beneath::Prop(200.0),
        "set-up 2: L1 is said to stand out 200.0 mm over the sheet, it does by 220.0 mm",
    );
    refused(
        |_, plan| plan.setups[4].under.push(Under { template: "L9".to_owned(), what: Beneath::Prop(200.0) }),
        "set-up 5: something is said to be under L9, which is not placed",
    );
}

#[test]
fn everything_is_held() {
    refused(
        |_, plan| plan.setups[7].hold.clear(),
        "set-up 8: K1 is not held down by anything: a big bit's torque wrecks its pilots",
    );
    refused(|_, plan| plan.setups[1].hold.truncate(2), "set-up 2: L2 is not held down by anything");
    refused(
        |_, plan| drop(plan.setups[5].hold.pop()),
        "set-up 6: L1 is held on one side of what is bored through it only",
    );
    refused(|_, plan| plan.setups[5].hold.push(clamp("L2", 382.0, 200.0)), "set-up 6: L2 is held, and is not placed");
}

#[test]
fn pads_stand_on_their_template_clear_of_bits_and_pins() {
    let at = |n: usize, x: f64, y: f64| {
        move |_: &mut Job, plan: &mut Plan| (plan.setups[n].hold[0].x_mm, plan.setups[n].hold[0].y_mm) = (x, y)
    };
    refused(at(7, f64::NAN, 80.0), "set-up 8: the place where K1 is held is not a number");
    refused(at(7, 350.0, 60.0), "set-up 8: the edge clamp presses 10.0 mm beside K1");
    refused(at(7, 320.0, 80.0), "set-up 8: the edge clamp on K1 stands 28.3 mm from the bit, 35.0 mm needed");
    // The dog in A1 is 19.993 mm thick at most: 15 and half of it.
    refused(at(12, 120.0, 110.0), "set-up 13: the edge clamp on K1 stands 22.4 mm from a pin or dog, 25.0 mm needed");
    refused(at(5, 130.0, 200.0), "set-up 6: the clamp on L1 stands 130.0 mm from the edge, it reaches 120.0 mm");
    refused(
        at(13, 495.0, 80.0),
        "set-up 14: the edge clamp on K1 stands 5.0 mm within the sheet's edge, 10.0 mm needed",
    );
    // Where the third side lies on the column bar, 25 mm from the joint at the latter's end.
    let mut deep = job();
    deep.top.outline = testing::rectangle(500.0, 560.0);
    deep.top.width = 560.0;
    let mut plan = plan();
    plan.setups[1].under.remove(0);
    plan.setups[2].under.remove(0);
    plan.setups[1].hold[1] = clamp("L1", 100.0, 475.0);
    let says = replay(&deep, &plan).unwrap_err().message;
    assert_eq!(says, "set-up 2: the edge clamp on L1 stands 0.0 mm from L2, 10.0 mm needed");
}

#[test]
fn a_clamp_needs_its_reach_and_a_way() {
    refused(|job, _| kit(job).clamp_reach = None, "set-up 1: L1 is held by a clamp, and the kit states none");
    refused(
        |job, _| kit(job).clamp_reach = Some(90.0),
        "set-up 1: the clamp on L1 stands 100.0 mm from the edge, it reaches 90.0 mm",
    );
    // The jaw below is 30 mm wide and comes from (350, 0).
    refused(
        |job, _| job.keep_outs.push(post(Side::Below, 350.0, 20.0, 20.0)),
        "set-up 1: the clamp on L1 has no way to the edge for post",
    );
    // From (118, 232) to the left edge the clamp's 30 mm pass B1, at (100, 200), 17 mm away.
    refused(
        |_, plan| plan.setups[14].hold[0] = clamp("K1", 118.0, 232.0),
        "set-up 15: the arm of the clamp on K1 passes 17.0 mm from the bit, 20.0 mm needed",
    );
    let mut beside = job();
    beside.keep_outs.push(post(Side::Below, 376.0, 20.0, 20.0));
    replay(&beside, &plan()).unwrap();
}

#[test]
fn a_hold_down_stands_in_a_finished_hole_that_is_free() {
    let down = |n: usize, hole: &'static str, x: f64, y: f64| {
        move |_: &mut Job, plan: &mut Plan| plan.setups[n].hold = vec![hold_down(hole, x, y)]
    };
    refused(down(8, "Z9", 250.0, 180.0), "set-up 9: the hole Z9 is not in the plan's list");
    refused(down(8, "A2", 250.0, 180.0), "set-up 9: a hold-down is asked for in A2, which is not opened yet");
    refused(down(12, "A3", 250.0, 110.0), "set-up 13: a hold-down is asked for in A3, in which a dog stands");
    // C2's block lies over C1 and C3; its dogs stand there. A4's lies over A3 with a dog, B3 is free.
    refused(
        down(13, "A1", 450.0, 80.0),
        "set-up 14: the hold-down in A1 would have to reach 350.6 mm to K1, it reaches 150.0 mm",
    );
    refused(
        |job, plan| {
            kit(job).hold_down = Some(90.0);
            plan.setups[8].hold = vec![hold_down("A3", 250.0, 180.0)];
        },
        "set-up 9: the hold-down in A3 would have to reach 94.3 mm to K1, it reaches 90.0 mm",
    );
    refused(
        |job, _| job.keep_outs.push(post(Side::Above, 262.0, 141.0, 10.0)),
        "set-up 9: the hold-down in A3 would pass over post",
    );
    // From A1 up past the bush of B2 to a pad on the far side: the arm would cross the bit.
    refused(
        |job, plan| {
            kit(job).hold_down = Some(250.0);
            plan.setups[8].hold = vec![hold_down("A1", 235.0, 220.0)];
        },
        "set-up 9: the arm of the hold-down in A1 passes 0.0 mm from the bit, 20.0 mm needed",
    );
    // B3 is pinned on one side only and the block's other half covers what it likes: C3 opened
    // before B3 is not under it, B4 is.
    refused(
        |_, plan| {
            plan.setups[15].pins = ["dog K1:minus B2", "point K1:bush B3"].map(locator).to_vec();
            plan.setups[15].hold = vec![hold_down("B4", 350.0, 180.0)];
        },
        "set-up 16: a hold-down is asked for in B4, which K1 covers",
    );
}

fn batten(template: &str, x_mm: f64, y_mm: f64) -> Hold {
    Hold { by: HoldBy::Batten, ..clamp(template, x_mm, y_mm) }
}

#[test]
fn a_batten_runs_from_edge_to_edge_over_nothing_that_is_used() {
    let mut battened = plan();
    battened.setups[8].hold = vec![batten("K1", 245.0, 200.0)];
    replay(&job(), &battened).unwrap();
    refused(
        |_, plan| plan.setups[8].hold = vec![batten("K1", 230.0, 220.0)],
        "set-up 9: the batten on K1 lies 30.0 mm from what is used of it, 35.0 mm needed",
    );
    // Under its end at the reference edge a jaw needs 30 mm.
    refused(
        |job, plan| {
            plan.setups[8].hold = vec![batten("K1", 245.0, 200.0)];
            job.keep_outs.push(post(Side::Below, 250.0, 25.0, 20.0));
        },
        "set-up 9: the batten on K1 cannot be clamped for post",
    );
    refused(
        |job, plan| {
            plan.setups[8].hold = vec![batten("K1", 245.0, 200.0)];
            job.keep_outs.push(post(Side::Above, 250.0, 355.0, 20.0));
        },
        "set-up 9: the batten on K1 would pass over post",
    );
    // A sheet too wide for any batten: 1700 mm.
    let mut wide = job();
    wide.top.outline = testing::rectangle(500.0, 1700.0);
    wide.top.width = 1700.0;
    let mut plan = plan();
    for n in [1, 2] {
        plan.setups[n].under.remove(0);
        plan.setups[n].hold[1] = Hold { by: HoldBy::Tape, ..plan.setups[n].hold[1].clone() };
        plan.setups[n].hold[3] = Hold { by: HoldBy::Tape, ..plan.setups[n].hold[3].clone() };
    }
    for setup in &mut plan.setups[3..] {
        for hold in &mut setup.hold {
            hold.by = HoldBy::Tape;
        }
    }
    replay(&wide, &plan).unwrap();
    plan.setups[8].hold = vec![batten("K1", 245.0, 200.0)];
    let says = replay(&wide, &plan).unwrap_err().message;
    assert_eq!(says, "set-up 9: the batten on K1 would be 1700 mm long, 1500 mm at most presses in its middle");
}

#[test]
fn clamps_open_wide_enough_and_have_room_below() {
    // Sheet 21, bar 8 packed 8 up; the block is 30 high.
    refused(
        |job, _| kit(job).clamp_opens = Some(35.0),
        "set-up 2: the clamp of the edge clamp on L2 opens 35.0 mm, 37.0 mm needed",
    );
    refused(
        |job, plan| {
            kit(job).clamp_opens = Some(120.0);
            plan.setups[8].hold = vec![batten("K1", 245.0, 200.0)];
        },
        "set-up 9: the clamp of the batten on K1 opens 120.0 mm, 121.0 mm needed",
    );
    refused(
        |job, _| (kit(job).clamp_below, job.top.free_below) = (Some(70.0), Some(45.0)),
        "set-up 1: the clamp of the edge clamp on L1 takes 70.0 mm below the sheet, 45.0 mm is free",
    );
    let mut job = job();
    (kit(&mut job).clamp_below, job.top.free_below) = (Some(70.0), Some(70.0));
    kit(&mut job).clamp_opens = Some(51.0);
    replay(&job, &plan()).unwrap();
}

#[test]
fn hold_downs_are_high_enough_and_nothing_lies_over_a_dog_that_stands_out() {
    refused(
        |job, _| kit(job).hold_down_high = Some(29.0),
        "set-up 9: the hold-down in A3 presses 29.0 mm above the sheet at most, K1 is 30.0 mm high",
    );
    let proud = |job: &mut Job| kit(job).dog.height = Some(40.0);
    let mut clear = job();
    proud(&mut clear);
    replay(&clear, &plan()).unwrap();
    // From beside the dog in B4 to A4: the arm's edge passes 9.3 mm from its middle.
    let to_a4 = |plan: &mut Plan| plan.setups[15].hold = vec![hold_down("A4", 375.0, 200.0)];
    let mut low = plan();
    to_a4(&mut low);
    replay(&job(), &low).unwrap();
    refused(
        |job, plan| {
            proud(job);
            to_a4(plan);
        },
        "set-up 16: the hold-down on K1 would lie over a dog, which stands 10.0 mm out above it",
    );
    // The near way to the left edge is barred, the other lies over the dog in A1.
    let around = |job: &mut Job, plan: &mut Plan| {
        kit(job).clamp_reach = Some(160.0);
        job.keep_outs.push(post(Side::Below, 20.0, 150.0, 20.0));
        plan.setups[14].hold = vec![clamp("K1", 100.0, 150.0)];
        plan.setups[1..3].iter_mut().flat_map(|setup| &mut setup.hold).for_each(|hold| hold.by = HoldBy::Tape);
    };
    let (mut over, mut low) = (job(), plan());
    around(&mut over, &mut low);
    replay(&over, &low).unwrap();
    refused(
        |job, plan| {
            proud(job);
            around(job, plan);
        },
        "set-up 15: the edge clamp on K1 would lie over a dog, which stands 10.0 mm out above it",
    );
}
