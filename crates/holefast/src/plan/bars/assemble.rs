//! From places and bars without names to a [`Plan`]: names of holes, positions and turns of
//! templates, minutes, numbers.

use std::collections::{BTreeMap, BTreeSet};

use super::kit_bars::BarSet;
use super::lattice::{Lattice, RowColumn, grid_name};
use super::opening::{Held, Opening};
use super::pilots::{Locator, Step, Way};
use crate::kit::{Kit, Limits};
use crate::math::atan2;
use crate::plan::{
    Bit, Bore, HoleKind, PinUse, Place, Placed, Plan, PlanHole, Setup, Stage, Template, TemplateKind, With,
};
use crate::top::{LaidHole, Layout};

/// Templates of the kit, with the block's id at hand.
pub(super) struct Kitted<'a> {
    pub(super) kit: &'a Kit,
    pub(super) bars: &'a BarSet,
    pub(super) templates: &'a [Template],
}

/// Puts a plan together, its checks still without limits.
pub(super) fn assemble(
    lattice: &Lattice,
    layout: &Layout,
    kitted: &Kitted<'_>,
    way: &Way,
    steps: &[Step],
    openings: &[Opening],
) -> Plan {
    let part = &lattice.part;
    let mut bored: BTreeSet<RowColumn> =
        steps.iter().flat_map(|s| &s.bores).map(|b| way.frame.row_column(b.0)).collect();
    bored.extend(part.pilots.iter().chain(&part.dogs));
    bored.extend(openings.iter().map(|o| o.hole));
    bored.extend(part.history_holes.iter().filter_map(|h| h.row.zip(h.column)));
    let (holes, names) = holes(lattice, layout, kitted.kit, &bored);
    let mut setups: Vec<Setup> = part.history.clone();
    setups.extend(steps.iter().map(|s| pilot_setup(lattice, kitted, way, s, &names)));
    setups.extend(openings.iter().map(|o| opening_setup(lattice, kitted, o, &names)));
    setups.extend(extras(layout, kitted.kit).map(|hole| extra_setup(kitted, hole)));
    for (i, setup) in setups.iter_mut().enumerate() {
        setup.number = i as u32 + 1;
    }
    Plan {
        holes,
        templates: kitted.templates.to_vec(),
        setups,
        exists: part.exists(),
        plugged: part.plugged.iter().filter_map(|&p| grid_name(p)).collect(),
        reasons: Vec::new(),
    }
}

/// Extra holes that the kit's big bit makes; others are the maker's own affair, and said.
pub(super) fn extras<'a>(layout: &'a Layout, kit: &'a Kit) -> impl Iterator<Item = &'a LaidHole> {
    layout.holes.iter().filter(|h| h.cell.is_none() && fits_bit(h.diameter, kit))
}

/// True if the opening bit makes a hole of this diameter. Within a twentieth of a millimetre a
/// nominal diameter in inches and one in mm mean the same bit.
pub(super) fn fits_bit(diameter: f64, kit: &Kit) -> bool {
    (diameter - kit.opening_bit.diameter.mean()).abs() < 0.05
}

fn holes(
    lattice: &Lattice,
    layout: &Layout,
    kit: &Kit,
    bored: &BTreeSet<RowColumn>,
) -> (Vec<PlanHole>, BTreeMap<RowColumn, String>) {
    let mut names: BTreeMap<RowColumn, String> =
        lattice.part.history_holes.iter().filter_map(|h| Some((h.row.zip(h.column)?, h.name.clone()))).collect();
    for (&place, name) in &lattice.part.named {
        names.entry(place).or_insert_with(|| name.clone());
    }
    let mut beside = names.keys().filter(|&&p| grid_name(p).is_none()).count();
    let mut holes: Vec<PlanHole> = bored
        .iter()
        .map(|&place| {
            // Helpers beside the grid have no letter and number: x1, x2, ... after their cross.
            let name = names.get(&place).cloned().or_else(|| grid_name(place)).unwrap_or_else(|| {
                beside += 1;
                format!("x{beside}")
            });
            names.insert(place, name.clone());
            let centre = lattice.centre(place);
            let kind = if lattice.wanted().contains(&place) { HoleKind::Dog } else { HoleKind::Helper };
            PlanHole { name, row: Some(place.0), column: Some(place.1), x_mm: centre.x, y_mm: centre.y, kind }
        })
        .collect();
    holes.extend(extras(layout, kit).map(|h| PlanHole {
        name: h.name.clone(),
        row: None,
        column: None,
        x_mm: h.centre.x,
        y_mm: h.centre.y,
        kind: HoleKind::Extra,
    }));
    (holes, names)
}

fn pilot_setup(
    lattice: &Lattice,
    kitted: &Kitted<'_>,
    way: &Way,
    step: &Step,
    names: &BTreeMap<RowColumn, String>,
) -> Setup {
    let corner = lattice.centre(way.frame.corner);
    let id = |lay: usize| kitted.bars.bars[step.lays[lay].bar].0.as_str();
    let name = |place| names.get(&way.frame.row_column(place)).map_or("", String::as_str);
    let templates = step
        .lays
        .iter()
        .map(|lay| {
            let (x, y) = way.frame.vector(lay.hole_0[0], lay.hole_0[1]);
            let (dx, dy) = way.frame.vector(lay.towards[0], lay.towards[1]);
            Placed {
                id: kitted.bars.bars[lay.bar].0.clone(),
                x_mm: corner.x + x,
                y_mm: corner.y + y,
                turn_deg: turn_deg(dy, dx),
                turned_over: lay.over,
            }
        })
        .collect();
    let pins = step
        .locators
        .iter()
        .enumerate()
        .map(|(i, locator)| {
            let with = match (step.gauge, kitted.kit.gauges.first()) {
                (Some(g), Some(gauge)) if g == i => With::Gauge(gauge.diameter),
                _ => With::Pin,
            };
            match *locator {
                Locator::Hole { lay, hole, place } => {
                    PinUse { a: Place::feature(id(lay), &hole.to_string()), b: Place::hole(name(place)), with }
                }
                Locator::Joint { a, a_hole, b, b_hole } => PinUse {
                    a: Place::feature(id(a), &a_hole.to_string()),
                    b: Place::feature(id(b), &b_hole.to_string()),
                    with,
                },
            }
        })
        .collect();
    let bores: Vec<Bore> = step
        .bores
        .iter()
        .map(|&(place, lay, hole)| Bore {
            feature: Place::feature(id(lay), &hole.to_string()),
            hole: name(place).to_owned(),
            bit: Bit::Pilot,
        })
        .collect();
    let minutes = kitted.kit.minutes;
    // A check clamps and bores nothing: half a set-up's time.
    let time = if step.check {
        0.5 * minutes.setup
    } else {
        minutes.setup * step.lays.len() as f64 + minutes.pilot * bores.len() as f64
    };
    Setup {
        number: 0,
        stage: step.stage,
        by_hand: step.by_hand,
        check: step.check,
        minutes: time,
        limit: None,
        pass: None,
        templates,
        pins,
        bores,
        hold: Vec::new(),
        done: false,
        under: Vec::new(),
    }
}

fn opening_setup(
    lattice: &Lattice,
    kitted: &Kitted<'_>,
    opening: &Opening,
    names: &BTreeMap<RowColumn, String>,
) -> Setup {
    let block = block_id(kitted.templates);
    let name = |place: RowColumn| names.get(&place).map_or("", String::as_str);
    let second_reach = !opening.along_row && kitted.kit.block.reach[0] != kitted.kit.block.reach[1];
    let sides = if second_reach { ["minus_c", "plus_c"] } else { ["minus", "plus"] };
    let mut pins: Vec<PinUse> = Vec::new();
    for (side, held) in sides.into_iter().zip(opening.held) {
        let a = Place::feature(block, side);
        match held {
            Held::Pin(place) => pins.push(PinUse { a, b: Place::hole(name(place)), with: With::Pin }),
            Held::Dog(place) => pins.push(PinUse { a, b: Place::hole(name(place)), with: With::Dog }),
            Held::Point => {}
        }
    }
    if pins.len() < 2 {
        pins.push(PinUse { a: Place::feature(block, "bush"), b: Place::hole(name(opening.hole)), with: With::Point });
    }
    let centre = lattice.centre(opening.hole);
    Setup {
        number: 0,
        stage: Stage::Open,
        by_hand: false,
        check: false,
        minutes: kitted.kit.minutes.opening,
        limit: None,
        pass: Some(opening.pass),
        templates: vec![Placed {
            id: block.to_owned(),
            x_mm: centre.x,
            y_mm: centre.y,
            turn_deg: if opening.along_row { 0.0 } else { 90.0 },
            turned_over: false,
        }],
        pins,
        bores: vec![Bore {
            feature: Place::feature(block, "bush"),
            hole: name(opening.hole).to_owned(),
            bit: Bit::Opening,
        }],
        hold: Vec::new(),
        done: false,
        under: Vec::new(),
    }
}

/// An extra hole stands on nothing: the block is set to a marked cross by eye and clamped.
fn extra_setup(kitted: &Kitted<'_>, hole: &LaidHole) -> Setup {
    let block = block_id(kitted.templates);
    Setup {
        number: 0,
        stage: Stage::Open,
        by_hand: true,
        check: false,
        minutes: kitted.kit.minutes.setup + kitted.kit.minutes.opening,
        limit: None,
        pass: None,
        templates: vec![Placed {
            id: block.to_owned(),
            x_mm: hole.centre.x,
            y_mm: hole.centre.y,
            turn_deg: 0.0,
            turned_over: false,
        }],
        pins: Vec::new(),
        bores: vec![Bore { feature: Place::feature(block, "bush"), hole: hole.name.clone(), bit: Bit::Opening }],
        hold: Vec::new(),
        done: false,
        under: Vec::new(),
    }
}

fn block_id(templates: &[Template]) -> &str {
    templates.iter().find(|t| t.kind == TemplateKind::Block).map_or("K1", |t| t.id.as_str())
}

/// Degrees from +x, 0 up to 360; the four main directions exactly.
fn turn_deg(dy: f64, dx: f64) -> f64 {
    let turn = match (dx == 0.0, dy == 0.0) {
        (_, true) => {
            if dx < 0.0 {
                180.0
            } else {
                0.0
            }
        }
        (true, false) => {
            if dy < 0.0 {
                270.0
            } else {
                90.0
            }
        }
        _ => atan2(dy, dx).to_degrees(),
    };
    if turn < 0.0 { turn + 360.0 } else { turn }
}

/// Radial clearance of a check's end at mean diameters, mm: in the bar's hole and in the pilot.
pub(super) fn end_clearance(kit: &Kit, bar_bore: Limits, with: Limits) -> f64 {
    let pilot = kit.pilot_bit.diameter.mean() + kit.pilot_bit.oversize.mean();
    let half = |bore: f64| (0.5 * (bore - with.mean())).max(0.0);
    (half(bar_bore.mean()) + half(pilot)).max(crate::predict::LEAST_CLEARANCE)
}
