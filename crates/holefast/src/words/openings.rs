//! The openings in parts that read as one card each: same pass, same direction of the block, same
//! locators, held in the same way, in the plan's order.

use super::holding::held;
use crate::drawing::OpeningsPart;
use crate::plan::{HoldBy, Place, Plan, Setup, Stage, With};

/// How the block lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Its places along a row.
    Row,
    /// Its places along a column.
    Column,
    /// Neither.
    Oblique,
}

impl Direction {
    /// "along the rows".
    pub fn name(self) -> &'static str {
        match self {
            Direction::Row => "along the rows",
            Direction::Column => "along the columns",
            Direction::Oblique => "as drawn",
        }
    }
}

/// How the block of an opening lies.
pub fn direction(setup: &Setup) -> Direction {
    let turn = setup.templates.first().map_or(0.0, |t| t.turn_deg.rem_euclid(180.0));
    // A hundredth of a degree: written angles are round figures.
    if turn.min(180.0 - turn) < 0.01 {
        Direction::Row
    } else if (turn - 90.0).abs() < 0.01 {
        Direction::Column
    } else {
        Direction::Oblique
    }
}

/// What an opening's block seats on, however many of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seats {
    /// Pins on both sides.
    Pins,
    /// Dogs on both sides.
    Dogs,
    /// One pin, and the hole's own pilot.
    PinAndPoint,
    /// One dog, and the hole's own pilot.
    DogAndPoint,
    /// Anything else.
    Other,
}

/// What an opening's block seats on.
pub fn seats(setup: &Setup) -> Seats {
    let count = |f: fn(With) -> bool| setup.pins.iter().filter(|p| f(p.with)).count();
    let pins = count(|w| matches!(w, With::Pin | With::Gauge(_)));
    let dogs = count(|w| w == With::Dog);
    let points = count(|w| w == With::Point);
    match (pins, dogs, points) {
        (1.., 0, 0) => Seats::Pins,
        (0, 1.., 0) => Seats::Dogs,
        (1.., 0, 1..) => Seats::PinAndPoint,
        (0, 1.., 1..) => Seats::DogAndPoint,
        _ => Seats::Other,
    }
}

/// The openings of a plan in parts, each in the plan's order. A part gathers what is alike even
/// where the plan changes to and fro, but only across set-ups that neither need the moved one's
/// hole as it was nor make a hole it stands on.
pub fn parts(plan: &Plan) -> Vec<OpeningsPart> {
    let mut parts: Vec<(_, OpeningsPart)> = Vec::new();
    for (i, setup) in plan.setups.iter().enumerate().filter(|(_, s)| s.stage == Stage::Open && !s.check && !s.done) {
        let key = (setup.pass, direction(setup) as u8, seats(setup) as u8, held(setup));
        let joins = parts.iter().position(|(k, part): &(_, OpeningsPart)| {
            let last = part.setups.last().copied().unwrap_or(i);
            *k == key && plan.setups[last + 1..i].iter().all(|between| independent(setup, between))
        });
        match joins {
            Some(n) => parts[n].1.setups.push(i),
            None => parts.push((key, OpeningsPart { setups: vec![i], first: 0 })),
        }
    }
    let mut first = 1;
    parts
        .into_iter()
        .map(|(_, part)| {
            let part = OpeningsPart { first, ..part };
            first += part.setups.len();
            part
        })
        .collect()
}

/// True if two set-ups may change places.
fn independent(a: &Setup, b: &Setup) -> bool {
    let stands_on = |s: &Setup, hole: &str| {
        s.pins.iter().any(|p| [&p.a, &p.b].into_iter().any(|place| *place == Place::hole(hole)))
            || s.hold.iter().any(|h| matches!(&h.by, HoldBy::HoldDown(other) if other == hole))
    };
    a.bores.iter().all(|bore| !stands_on(b, &bore.hole)) && b.bores.iter().all(|bore| !stands_on(a, &bore.hole))
}
