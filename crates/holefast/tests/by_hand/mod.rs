//! Plans written by hand for the prediction's tests and benches: the same stages as the bars
//! method, spelled out plainly, sharing nothing with the planner.

#![allow(dead_code, reason = "each test or bench uses its own part")]

use holefast::kit::{Fence, Gauge, Kit, Limits, Pin};
use holefast::plan::{
    Bit, Bore, CheckLimit, HoleKind, PinUse, Place, Placed, Plan, PlanHole, Setup, Stage, With, templates,
};
use holefast::testing;

/// How a plan by hand is arranged.
#[derive(Clone, Copy, Debug)]
pub struct Arrangement {
    pub rows: u32,
    pub columns: u32,
    /// Right triangle in pitches: along the row, along the column, third side.
    pub triangle: [u32; 3],
    /// Second column at the foot of the first triangle, both triangles on the same two row holes.
    pub common_foot: bool,
    /// Column bar turned over for the second column.
    pub turned_over: bool,
    /// Bars and faces taking turns in the rows.
    pub taking_turns: bool,
    /// Colour opened first.
    pub first_colour: u32,
}

impl Arrangement {
    /// Second column at the far end of the reach, no bar turned over, one bar and face for all rows.
    pub fn usual(rows: u32, columns: u32, triangle: [u32; 3]) -> Arrangement {
        Arrangement {
            rows,
            columns,
            triangle,
            common_foot: false,
            turned_over: false,
            taking_turns: false,
            first_colour: 0,
        }
    }

    /// All three improvements.
    pub fn best(rows: u32, columns: u32, triangle: [u32; 3]) -> Arrangement {
        Arrangement {
            common_foot: true,
            turned_over: true,
            taking_turns: true,
            ..Arrangement::usual(rows, columns, triangle)
        }
    }
}

/// The kit of `checks/common-practice-7x14.toml`: common practice, no source.
pub fn common_practice_kit() -> Kit {
    let mut kit = testing::kit(2, 11, 96.0);
    kit.bars[0].bore = Limits::new(3.0, 3.010);
    kit.pin = Pin { diameter: Limits::new(2.994, 3.0), count: 3, length: None };
    kit.gauges[0] = Gauge { diameter: Limits::new(2.886, 2.9), count: 2, length: None, assumed: true };
    kit.pilot_bit.diameter = Limits::exact(3.0);
    kit.block.bore_pin = Limits::new(3.0, 3.010);
    kit.opening_bit.lean = 0.0;
    kit.dog.count = 2;
    kit
}

/// The kit of the trailer top: bars of 12 holes at 100 mm, bit lean, a fence 25 mm high.
pub fn trailer_kit() -> Kit {
    let mut kit = testing::kit(2, 12, 100.0);
    kit.fence = Some(Fence { length: 900.0, height: 25.0, thickness: None });
    kit
}

pub fn hole_name(row: u32, column: u32) -> String {
    let letter = |i: u32| char::from(b'A' + i as u8);
    match row {
        0..26 => format!("{}{}", letter(row), column + 1),
        _ => format!("{}{}{}", letter(row / 26 - 1), letter(row % 26), column + 1),
    }
}

/// Writes set-ups one after another.
pub struct Writer {
    pub plan: Plan,
    pitch: f64,
}

const ORIGIN: [f64; 2] = [75.0, 90.0];

impl Writer {
    pub fn new(kit: &Kit, rows: u32, columns: u32) -> Writer {
        let pitch = kit.bars[0].pitch;
        let holes = (0..rows)
            .flat_map(|row| (0..columns).map(move |column| (row, column)))
            .map(|(row, column)| PlanHole {
                name: hole_name(row, column),
                row: Some(row as i32),
                column: Some(column as i32),
                x_mm: ORIGIN[0] + f64::from(column) * pitch,
                y_mm: ORIGIN[1] + f64::from(row) * pitch,
                kind: HoleKind::Dog,
            })
            .collect();
        Writer {
            plan: Plan {
                holes,
                templates: templates(kit),
                setups: Vec::new(),
                exists: Vec::new(),
                plugged: Vec::new(),
                reasons: Vec::new(),
            },
            pitch,
        }
    }

    pub fn place(&self, id: &str, row: u32, column: u32, turn_deg: f64, turned_over: bool) -> Placed {
        Placed {
            id: id.to_owned(),
            x_mm: ORIGIN[0] + f64::from(column) * self.pitch,
            y_mm: ORIGIN[1] + f64::from(row) * self.pitch,
            turn_deg,
            turned_over,
        }
    }

    pub fn setup(&mut self, stage: Stage, templates: Vec<Placed>, pins: Vec<PinUse>, bores: Vec<Bore>) -> &mut Setup {
        self.plan.setups.push(Setup {
            number: self.plan.setups.len() as u32 + 1,
            stage,
            by_hand: pins.is_empty(),
            check: false,
            minutes: 4.0,
            limit: None,
            pass: None,
            templates,
            pins,
            bores,
            hold: Vec::new(),
            done: false,
            under: Vec::new(),
        });
        self.plan.setups.last_mut().unwrap()
    }
}

pub fn pin(a: (&str, u32), hole: String, with: With) -> PinUse {
    PinUse { a: Place::feature(a.0, &a.1.to_string()), b: Place::Hole(hole), with }
}

pub fn bore(template: &str, feature: u32, hole: String) -> Bore {
    Bore { feature: Place::feature(template, &feature.to_string()), hole, bit: Bit::Pilot }
}

/// A whole plan for a full grid.
pub fn plan(kit: &Kit, a: Arrangement) -> Plan {
    let mut w = Writer::new(kit, a.rows, a.columns);
    let reach = kit.bars[0].holes - 1;
    let (last_row, last_column) = (a.rows - 1, a.columns - 1);

    // Datum row, and one slide for what the bar does not reach.
    let first = last_column.min(reach);
    let bores = (0..=first).map(|c| bore("L1", c, hole_name(0, c))).collect();
    let bar = w.place("L1", 0, 0, 0.0, false);
    w.setup(Stage::DatumRow, vec![bar], vec![], bores);
    let slide = last_column - first;
    assert!(slide <= reach / 2, "the plan by hand slides once");
    let slide_row = |w: &mut Writer, stage, id: &str, over, row| {
        let pins = vec![
            pin((id, 0), hole_name(row, slide), With::Pin),
            pin((id, reach - slide), hole_name(row, reach), With::Pin),
        ];
        let bores = (1..=slide).map(|i| bore(id, reach - slide + i, hole_name(row, reach + i))).collect();
        let bar = w.place(id, row, slide, 0.0, over);
        w.setup(stage, vec![bar], pins, bores);
    };
    if slide > 0 {
        slide_row(&mut w, Stage::DatumRow, "L1", false, 0);
    }

    // Two columns, each by its triangle.
    let [k, m, l] = a.triangle;
    let second = if a.common_foot { k } else { first };
    assert!(second <= first && k <= second.max(k) && l <= reach && k <= first);
    let lean = holefast::math::atan2(f64::from(m), f64::from(k)).to_degrees();
    for (column, foot, over) in [(0, k, false), (second, second - k, a.turned_over)] {
        let turn = if foot > column { 180.0 - lean } else { lean };
        let lays = vec![w.place("L1", 0, column, 90.0, over), w.place("L2", 0, foot, turn, false)];
        let pins = vec![
            pin(("L1", 0), hole_name(0, column), With::Pin),
            pin(("L2", 0), hole_name(0, foot), With::Pin),
            PinUse {
                a: Place::feature("L2", &l.to_string()),
                b: Place::feature("L1", &m.to_string()),
                with: With::Pin,
            },
        ];
        let bores = (1..=last_row).map(|r| bore("L1", r, hole_name(r, column))).collect();
        w.setup(Stage::SquareColumns, lays, pins, bores);
    }

    // The far ends joined and checked, with gauges.
    let gauge = With::Gauge(kit.gauges[0].diameter);
    let bar = w.place("L2", last_row, 0, 0.0, false);
    let pins =
        vec![pin(("L2", 0), hole_name(last_row, 0), gauge), pin(("L2", second), hole_name(last_row, second), gauge)];
    let setup = w.setup(Stage::Closing, vec![bar], pins, vec![]);
    setup.check = true;
    setup.limit = Some(CheckLimit { misfit_mm: 0.0, tests_square: 0.0, good_stopped: None });

    // Rows, the far one first.
    for (turn, row) in (1..a.rows).rev().enumerate() {
        let (id, over) = if a.taking_turns {
            ([("L1", false), ("L2", false), ("L1", true), ("L2", true)])[turn % 4]
        } else {
            ("L1", false)
        };
        let stage = if row == last_row { Stage::Closing } else { Stage::Fill };
        let bar = w.place(id, row, 0, 0.0, over);
        let pins =
            vec![pin((id, 0), hole_name(row, 0), With::Pin), pin((id, second), hole_name(row, second), With::Pin)];
        let bores = (1..=first).filter(|&c| c != second).map(|c| bore(id, c, hole_name(row, c))).collect();
        w.setup(stage, vec![bar], pins, bores);
    }
    if slide > 0 {
        for (turn, row) in (1..a.rows).rev().enumerate() {
            let (id, over) = if a.taking_turns {
                ([("L1", false), ("L2", false), ("L1", true), ("L2", true)])[turn % 4]
            } else {
                ("L1", false)
            };
            slide_row(&mut w, Stage::Extend, id, over, row);
        }
    }
    open(&mut w, a.rows, a.columns, a.first_colour);
    w.plan
}

/// Opens all holes in two passes, the block along the row where it can be, else along the column;
/// corners on one neighbour and their own pilot.
fn open(w: &mut Writer, rows: u32, columns: u32, first_colour: u32) {
    for pass in 0..2u8 {
        let with = if pass == 0 { With::Pin } else { With::Dog };
        for row in 0..rows {
            for column in 0..columns {
                if (row + column) % 2 != (first_colour + u32::from(pass)) % 2 {
                    continue;
                }
                let ends_x = column == 0 || column == columns - 1;
                let ends_y = row == 0 || row == rows - 1;
                let on = |place: &str, hole: String, with| PinUse {
                    a: Place::feature("K1", place),
                    b: Place::Hole(hole),
                    with,
                };
                let (turn, pins) = if !ends_x {
                    let (left, right) = (hole_name(row, column - 1), hole_name(row, column + 1));
                    (0.0, vec![on("minus", left, with), on("plus", right, with)])
                } else if !ends_y {
                    let (below, above) = (hole_name(row - 1, column), hole_name(row + 1, column));
                    (90.0, vec![on("minus", below, with), on("plus", above, with)])
                } else {
                    let own = on("bush", hole_name(row, column), With::Point);
                    let neighbour = if column == 0 {
                        on("plus", hole_name(row, 1), with)
                    } else {
                        on("minus", hole_name(row, column - 1), with)
                    };
                    (0.0, vec![neighbour, own])
                };
                let block = w.place("K1", row, column, turn, false);
                let bores = vec![Bore {
                    feature: Place::feature("K1", "bush"),
                    hole: hole_name(row, column),
                    bit: Bit::Opening,
                }];
                w.setup(Stage::Open, vec![block], pins, bores).pass = Some(pass + 1);
            }
        }
    }
}
