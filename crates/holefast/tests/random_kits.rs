//! Kits with dimensions on made tops: what the planner plans, the replay checker can do, and what it
//! refuses for want of length the checker refuses too.

// Minutes of work: native only. What is computed there is what is computed everywhere.
#![cfg(not(target_family = "wasm"))]

use std::collections::BTreeMap;

use holefast::job::{Job, parse};
use holefast::plan::{HoldBy, PlanOptions, Stage, make_plan};
use holefast::replay::replay;
use holefast::testing::made::{Dice, made_top};
use holefast::top::{KeepOut, KeepOutShape, Side, lay_out};

/// So many tops; with HOLEFAST_LONG set five times as many.
const TOPS: u64 = 60;

/// Gives a made job's kit dimensions, some of them too small, and now and then leaves one out.
fn with_dimensions(job: &mut Job, dice: &mut Dice) {
    let pitch = job.grid.pitch;
    if dice.chance(15) {
        let (x, y) = (job.top.length * dice.unit(), job.top.width * dice.unit());
        let shape = KeepOutShape::Rect { x, y, length: 30.0, width: 30.0 };
        job.keep_outs.push(KeepOut { name: "lamp".into(), shape, clearance: 0.0, side: Side::Above });
    }
    let thickness = job.top.thickness;
    let Some(kit) = &mut job.kit else { return };
    let thick = 5.0 + 10.0 * dice.unit();
    let alike = dice.chance(70);
    for bar in &mut kit.bars {
        bar.thickness = Some(if alike { thick } else { 5.0 + 10.0 * dice.unit() });
        bar.width = dice.chance(95).then(|| (0.3 + 0.2 * dice.unit()) * bar.pitch.min(100.0));
        bar.beyond = dice.chance(95).then(|| 15.0 + 10.0 * dice.unit());
    }
    let short = |dice: &mut Dice| if dice.chance(8) { 0.6 } else { 1.3 };
    kit.pin.length = dice.chance(90).then(|| short(dice) * (2.0 * 15.0 + 10.0));
    kit.pilot_bit.length = dice.chance(90).then(|| short(dice) * (15.0 + thickness + 22.0));
    kit.opening_bit.length = dice.chance(90).then(|| short(dice) * (45.0 + thickness + 28.0));
    kit.block.size = dice
        .chance(90)
        .then(|| [2.0 * pitch[0].max(pitch[1]) + 50.0, 40.0 + 30.0 * dice.unit(), 30.0 + 15.0 * dice.unit()]);
    kit.clamp_reach = dice.chance(90).then(|| 60.0 + 150.0 * dice.unit());
    kit.block.step = dice.chance(80).then(|| 20.0 * dice.unit());
    for gauge in &mut kit.gauges {
        gauge.length = dice.chance(80).then(|| short(dice) * 25.0);
    }
    kit.dog.height = dice.chance(80).then(|| 15.0 + 60.0 * dice.unit());
    kit.clamp_opens = dice.chance(80).then(|| thickness + 20.0 + 120.0 * dice.unit());
    kit.clamp_below = dice.chance(80).then(|| 40.0 + 40.0 * dice.unit());
    job.top.free_below = dice.chance(50).then(|| if dice.chance(15) { 30.0 } else { 80.0 });
    kit.hold_down_high = dice.chance(50).then(|| if dice.chance(15) { 30.0 } else { 50.0 });
    kit.hold_down = match dice.whole(0, 3) {
        0 => Some(0.0),
        1 => Some(80.0 + 120.0 * dice.unit()),
        _ => None,
    };
}

#[test]
fn what_is_planned_can_be_held_and_reached_and_what_is_refused_cannot() {
    let tops = if std::env::var_os("HOLEFAST_LONG").is_some() { 5 * TOPS } else { TOPS };
    let (mut planned, mut short) = (0, 0);
    let mut held: BTreeMap<&str, u32> = BTreeMap::new();
    for seed in 0..tops {
        let mut job = parse(&made_top(seed)).job.expect("made tops are read");
        with_dimensions(&mut job, &mut Dice::new(seed ^ 0x6b17));
        let Ok(layout) = lay_out(&job) else { continue };
        match make_plan(&job, &layout, &PlanOptions::default()) {
            Ok(plan) => {
                planned += 1;
                let done = replay(&job, &plan);
                assert!(done.is_ok(), "seed {seed}: planned, and the replay says: {:?}", done.err());
                for setup in plan.setups.iter().filter(|s| s.stage == Stage::Open) {
                    let by = setup.hold.first().map_or("not said", |hold| match hold.by {
                        HoldBy::EdgeClamp => "edge clamp",
                        HoldBy::HoldDown(_) => "hold-down",
                        HoldBy::Batten => "batten",
                        HoldBy::Tape => "tape",
                    });
                    *held.entry(by).or_default() += 1;
                }
            }
            Err(faults) if faults.iter().any(|f| f.message.contains(" long and takes ")) => {
                // Planned with long pins and bits, the same work is refused by the replay with the short ones.
                let mut long = job.clone();
                let kit = long.kit.as_mut().expect("made tops have a kit");
                kit.gauges.iter_mut().for_each(|gauge| gauge.length = None);
                (kit.pin.length, kit.pilot_bit.length, kit.opening_bit.length) = (None, None, None);
                let Ok(plan) = make_plan(&long, &layout, &PlanOptions::default()) else { continue };
                let says = replay(&job, &plan).expect_err("too short").message;
                assert!(says.contains("too short"), "seed {seed}: {says}");
                short += 1;
            }
            Err(_) => {}
        }
    }
    println!("{planned} of {tops} planned, {short} refused as too short; openings held by {held:?}");
    assert!(planned > tops / 2 && short > tops / 20);
    assert_eq!(held.len(), 5, "some way of holding never came up: {held:?}");
}
