//! Jobs for tests, built by hand: the trailer top of the examples, and what it is made of.

#[cfg(test)]
pub mod files;

pub mod made;
pub mod reach;

use std::collections::BTreeMap;

use crate::job::{Accuracy, Job, Units};
use crate::kit::{
    Bar, Block, DEFAULT_GIVE, DEFAULT_MINUTES, Dog, Fence, Gauge, Kit, Limits, OpeningBit, PilotBit, Pin, Rail,
};
use crate::top::{
    Count, Grain, Grid, GridOrigin, InPlane, KeepOut, KeepOutShape, Material, Point, Side, Sorption, Top,
};

/// The corners of a rectangular sheet, counter-clockwise.
pub fn rectangle(length: f64, width: f64) -> Vec<Point> {
    [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)].map(Point::from).to_vec()
}

/// A keep-out below the top.
pub fn rail(name: &str, x: f64, y: f64, length: f64, width: f64, clearance: f64) -> KeepOut {
    KeepOut { name: name.to_owned(), shape: KeepOutShape::Rect { x, y, length, width }, clearance, side: Side::Below }
}

/// `count` bars `L` of `holes` holes at `pitch` mm, and what goes with them for 4 mm pilots and
/// 20 mm holes.
pub fn kit(count: u32, holes: u32, pitch: f64) -> Kit {
    Kit {
        bars: vec![Bar {
            name: "L".to_owned(),
            count,
            holes,
            pitch,
            bore: Limits::new(4.0, 4.012),
            position: 0.02,
            turn_over: true,
            width: Some(40.0),
            thickness: Some(8.0),
            beyond: Some(20.0),
        }],
        pin: Pin { diameter: Limits::new(3.992, 4.0), count: 4, length: Some(40.0) },
        gauges: vec![Gauge { diameter: Limits::new(3.882, 3.9), count: 2, length: Some(60.0), assumed: false }],
        pilot_bit: PilotBit {
            diameter: Limits::exact(4.0),
            clearance: Limits::new(0.005, 0.02),
            wander: 0.015,
            oversize: Limits::new(0.02, 0.06),
            length: Some(60.0),
        },
        block: Block {
            reach: [pitch, pitch],
            bore_pin: Limits::new(4.0, 4.012),
            bore_dog: Limits::new(20.0, 20.021),
            position: 0.015,
            step: Some(12.0),
            size: None,
        },
        opening_bit: OpeningBit {
            diameter: Limits::exact(20.0),
            clearance: Limits::new(0.01, 0.03),
            wander: 0.01,
            lean: 0.04_f64.to_radians(),
            oversize: Limits::new(0.0, 0.05),
            length: None,
        },
        dog: Dog { diameter: Limits::new(19.98, 19.993), count: 4, height: Some(25.0), heads: Vec::new() },
        clamp_reach: Some(120.0),
        clamp_opens: Some(150.0),
        clamp_below: None,
        hold_down: None,
        hold_down_high: None,
        rail: None,
        fence: None,
        shims: Vec::new(),
        give: DEFAULT_GIVE,
        minutes: DEFAULT_MINUTES,
    }
}

/// A job on a rectangular sheet of 21 mm plywood: 20 mm holes at `pitch` mm, 45 mm from the edge,
/// as many as fit, centred; nothing in the way.
pub fn job(length: f64, width: f64, pitch: f64) -> Job {
    Job {
        name: "test top".to_owned(),
        units: Units::Mm,
        note: String::new(),
        top: Top {
            length,
            width,
            thickness: 21.0,
            material: Material {
                name: "birch plywood".to_owned(),
                density: Some(700.0),
                modulus: InPlane::NONE,
                movement: InPlane::NONE,
                heat: InPlane::NONE,
                sorption: Sorption::Wood,
                source: "test value".to_owned(),
            },
            grain: Grain::Length,
            load: None,
            free_below: None,
            outline: rectangle(length, width),
        },
        grid: Grid {
            pitch: [pitch, pitch],
            hole: 20.0,
            pilot: 4.0,
            rows: Count::Fit,
            columns: Count::Fit,
            edge: 45.0,
            origin: GridOrigin::Centred,
            skip: Vec::new(),
            only: None,
            extra: Vec::new(),
        },
        keep_outs: Vec::new(),
        supports: Vec::new(),
        kit: Some(kit(2, 12, pitch)),
        climate: None,
        accuracy: Accuracy { square: Some(0.25), confidence: 0.95, cut: None },
        done: Vec::new(),
        spoiled: Vec::new(),
        bench_notes: Vec::new(),
        proof: crate::reading::Proving::default(),
        ticked: Vec::new(),
        cuts: Vec::new(),
        part_list: crate::job::PartList { useful: [300.0, 100.0], ..crate::job::PartList::default() },
        trial: None,
        places: BTreeMap::new(),
    }
}

/// The trailer top of the examples: 7 rows by 14 columns at 100 mm between two trestle rails.
pub fn trailer_top() -> Job {
    let mut job = job(1450.0, 780.0, 100.0);
    job.keep_outs = vec![
        rail("left trestle rail", 402.5, 0.0, 45.0, 780.0, 12.0),
        rail("right trestle rail", 1002.5, 0.0, 45.0, 780.0, 12.0),
    ];
    job
}

/// The trailer top with a guide rail, a fence and shims, as in the examples.
pub fn trailer_top_with_rail() -> Job {
    let mut job = trailer_top();
    if let Some(kit) = &mut job.kit {
        kit.rail = Some(Rail { length: 1500.0, cut: 180.0, run: [80.0, 120.0] });
        kit.fence = Some(Fence { length: 900.0, height: 25.0, thickness: None });
        kit.shims = vec![0.05, 0.1, 0.2, 0.3, 0.5];
    }
    job
}
