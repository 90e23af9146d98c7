//! The card of a part of the openings: how the block is laid and held, and the holes in their order.

use super::{Card, CardKind, CardLine, OpeningLine};
use crate::drawing::OpeningsPart;
use crate::job::Job;
use crate::plan::{Place, Plan, Setup, Stage, With};
use crate::words::figures::{length, minutes, span_of};
use crate::words::holding::{Held, held, hold_down_of, of_block};
use crate::words::openings::{Direction, Seats, direction, seats};
use crate::words::rich::{Rich, bold};

/// A part of the openings.
pub fn openings_card(job: &Job, plan: &Plan, part: &OpeningsPart) -> Card {
    let setups: Vec<&Setup> = part.setups.iter().filter_map(|&i| plan.setups.get(i)).collect();
    let all = plan.setups.iter().filter(|s| s.stage == Stage::Open && !s.check && !s.done).count();
    let first = setups.first().copied();
    let openings: Vec<OpeningLine> = setups
        .iter()
        .enumerate()
        .map(|(i, s)| OpeningLine {
            order: (part.first + i) as u32,
            hole: s.bores.first().map_or_else(String::new, |b| b.hole.clone()),
            on: s
                .pins
                .iter()
                .filter(|p| p.with != With::Point)
                .filter_map(|p| match (&p.a, &p.b) {
                    (_, Place::Hole(h)) | (Place::Hole(h), _) => Some(h.clone()),
                    _ => None,
                })
                .collect(),
            hold_down: hold_down_of(s).map(str::to_owned),
        })
        .collect();
    let seat = first.map_or(Seats::Other, seats);
    let way = first.map_or(Direction::Row, direction);
    let pass = first.and_then(|s| s.pass);
    let on = match seat {
        Seats::Pins => "two pins",
        Seats::Dogs => "two dogs",
        Seats::PinAndPoint => "one pin",
        Seats::DogAndPoint => "one dog",
        Seats::Other => "as listed",
    };
    let by = match first.map_or(Held::NotSaid, held) {
        Held::EdgeClamp => ", edge clamp",
        Held::HoldDown => ", hold-down",
        Held::Batten => ", batten",
        Held::Tape => ", tape",
        Held::NotSaid => "",
    };
    let title = match pass {
        Some(pass) => format!("Open, pass {pass}: {}, {on}{by}", way.name()),
        None => format!("Open: {}, {on}{by}", way.name()),
    };
    Card {
        kind: CardKind::Openings,
        setups: part.setups.clone(),
        number: String::new(),
        title,
        aside: vec![
            format!(
                "openings {} of {all}",
                span_of(part.first as u32, (part.first + setups.len()).saturating_sub(1) as u32)
            ),
            format!("about {}", minutes(setups.iter().map(|s| s.minutes).sum())),
        ],
        notes: Vec::new(),
        lines: opening_lines(job, plan, &setups, seat, way, part.first == 1),
        openings,
        check: None,
        stuck: Some(Rich::new(format!(
            "{} clear the chips, turn the block end for end. Do not force it.",
            bold("If a pin or dog will not go:")
        ))),
        next: None,
    }
}

fn opening_lines(job: &Job, plan: &Plan, setups: &[&Setup], seat: Seats, way: Direction, first: bool) -> Vec<CardLine> {
    let step = |text: String| CardLine::Step(Rich::new(text));
    let name = setups.first().and_then(|s| s.templates.first()).map_or("K1", |t| t.id.as_str());
    let id = bold(name);
    let way = match way {
        Direction::Row => "along the row",
        Direction::Column => "along the column",
        Direction::Oblique => "as drawn",
    };
    let mut lines = vec![CardLine::Caution(Rich::new(format!(
        "{} eyes, ears and lungs covered; low speed, side handle, both hands; expect the snatch at breakthrough. Nothing and nobody below.{}",
        bold("Big bit:"),
        // Later parts go on with the same bit.
        if first { " Battery or plug out when changing bits." } else { "" }
    )))];
    lines.push(step(match seat {
        Seats::Pins => {
            format!("Chips out. Lay {id} {way} over the hole, a pin through each of its places into the pilots listed.")
        }
        Seats::Dogs => {
            format!(
                "Chips out. Lay {id} {way} over the hole, a dog through each of its places into the dog holes listed."
            )
        }
        Seats::PinAndPoint => format!(
            "Chips out. Lay {id} {way}: a pin through one place into the pilot listed, the {} in the bush, the pilot bit \
             through it into the hole's own pilot.",
            bold("sleeve")
        ),
        Seats::DogAndPoint => format!(
            "Chips out. Lay {id} {way}: a dog through one place into the dog hole listed, the {} in the bush, the pilot \
             bit through it into the hole's own pilot.",
            bold("sleeve")
        ),
        Seats::Other => format!("Chips out. Lay {id} {way} and locate it in the holes listed."),
    }));
    let draw = match seat {
        Seats::PinAndPoint | Seats::DogAndPoint => " Then take bit and sleeve out and see them in your hand.",
        _ => "",
    };
    let how = of_block(job, plan, name, setups);
    let said = how.is_some();
    let how = how.unwrap_or_else(|| format!("Clamp {id}: the locators locate, the clamps hold."));
    lines.push(step(format!("{how}{draw} Push it: it must not give.")));
    // A plan that somebody else made may not say.
    if let (false, Some(reach)) = (said, job.kit.as_ref().and_then(|k| k.clamp_reach)) {
        let sheet_x = job.top.length;
        let sheet_y = job.top.width;
        let far = setups
            .iter()
            .filter_map(|s| s.bores.first().and_then(|b| plan.hole(&b.hole)))
            .filter(|h| h.x_mm.min(sheet_x - h.x_mm).min(h.y_mm).min(sheet_y - h.y_mm) > reach)
            .count();
        if far > 0 {
            lines.push(step(format!(
                "{far} of them lie beyond the clamps' reach of {}: hold the block with a hold-down in a finished hole \
                 beside it, else with a batten across, screwed where a hole will be; double-sided tape is the last \
                 resort.",
                length(job.units, reach)
            )));
        }
    }
    lines.push(step(
        "Open it right through into the backing. Let the bit stop before you lift. Tick it; then the next.".to_owned(),
    ));
    lines
}
