//! The cards of the bench: every set-up in numbered steps that can be followed without the drawing.
//!
//! A card is data (steps, cautions, boxes); how it is set is the paper's or the page's matter.
//! Template positions, pins and holes are read from the plan alone.

use super::figures::{about_length, fine, length, limits, minutes, per_metre, span_of};
use super::labels::edge_name;
use super::openings::{Direction, Seats, direction, parts, seats};
use super::rich::{Rich, bold};
use crate::drawing::{OpeningsPart, body, overhangs};
use crate::job::{Job, Units};
use crate::math;
use crate::plan::{Bore, Place, Placed, Plan, Setup, Stage, Template, TemplateKind, With};
use crate::top::{Layout, row_letters};

/// What a card is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CardKind {
    /// The trial bore in an offcut.
    Trial,
    /// Boring pilots.
    Bore,
    /// A check.
    Check,
    /// A part of the openings.
    Openings,
}

/// A line of a card.
#[derive(Clone, Debug, PartialEq)]
pub enum CardLine {
    /// Something to do and tick off.
    Step(Rich),
    /// A caution, before the act it belongs to.
    Caution(Rich),
}

/// One opening in a list of them.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningLine {
    /// Its place in the order of this card, from 1.
    pub order: u32,
    /// The hole that is opened.
    pub hole: String,
    /// Where the block's locators stand: hole names, the hole itself left out.
    pub on: Vec<String>,
}

/// What a check card says beside its steps.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckWords {
    /// The limit.
    pub limit: Rich,
    /// Boxes to write in.
    pub entries: Vec<String>,
    /// What to do if it does not go, in order.
    pub if_not: Vec<Rich>,
}

/// One card.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// What it is for.
    pub kind: CardKind,
    /// Its set-ups, as indices in the plan.
    pub setups: Vec<usize>,
    /// Its number as printed large: of its set-up, or from–to.
    pub number: String,
    /// Title.
    pub title: String,
    /// Beside the title: which of how many, how long.
    pub aside: Vec<String>,
    /// Steps and cautions in order.
    pub lines: Vec<CardLine>,
    /// Openings only.
    pub openings: Vec<OpeningLine>,
    /// Checks only.
    pub check: Option<CheckWords>,
    /// If a pin will not go.
    pub stuck: Option<Rich>,
    /// What comes next.
    pub next: Option<Rich>,
}

/// The cards of a plan in order of work, without the trial bore.
pub fn cards(job: &Job, layout: &Layout, plan: &Plan) -> Vec<Card> {
    let mut all = Vec::new();
    let mut parts = parts(plan).into_iter().peekable();
    for (index, setup) in plan.setups.iter().enumerate() {
        if setup.stage == Stage::Open && !setup.check {
            // A part stands where its first opening stands.
            if let Some(part) = parts.next_if(|p| p.setups.first() == Some(&index)) {
                all.push(openings_card(job, plan, &part));
            }
        } else {
            all.push(setup_card(job, layout, plan, index));
        }
    }
    let of = all.len();
    for (i, card) in all.iter_mut().enumerate() {
        card.number = (i + 1).to_string();
        let which = format!("set-up {} of {of}", i + 1);
        if card.kind == CardKind::Openings {
            let time = card.aside.pop().unwrap_or_default();
            card.aside.insert(0, format!("{which}, {time}"));
        } else {
            card.aside.insert(0, which);
        }
    }
    let nexts: Vec<Rich> = (0..of)
        .map(|i| match all.get(i + 1) {
            Some(next) => {
                let turned = next.setups.first().and_then(|&i| plan.setups.get(i)).map_or_else(String::new, |s| {
                    s.templates.iter().filter(|t| t.turned_over).map(|t| format!(", {} turned over", t.id)).collect()
                });
                Rich::new(format!("{} {}, {}{turned}.", bold("Next:"), next.number, lower_first(&next.title)))
            }
            None => Rich::new(format!("{} ease the rims, try pins and dogs.", bold("Next:"))),
        })
        .collect();
    for (card, next) in all.iter_mut().zip(nexts) {
        card.next = Some(next);
    }
    all
}

/// The card before the first: a trial bore in an offcut of the same sheet.
pub fn trial_card(job: &Job) -> Option<Card> {
    let kit = job.kit.as_ref()?;
    let u = job.units;
    let step = |text: String| CardLine::Step(Rich::new(text));
    let bit = limits(u, kit.pilot_bit.diameter);
    let big = limits(u, kit.opening_bit.diameter);
    let bar = kit.bars.first().map_or_else(|| "a bar".to_owned(), |b| bold(&format!("{}1", b.name)));
    Some(Card {
        kind: CardKind::Trial,
        setups: Vec::new(),
        number: "0".to_owned(),
        title: "Trial bore in an offcut".to_owned(),
        aside: vec!["before the first set-up".to_owned(), "once for every sheet and bit".to_owned()],
        lines: vec![
            step(format!(
                "Clamp an offcut of the {} sheet, {} thick, on a backing board.",
                job.top.material.name,
                length(u, job.top.thickness)
            )),
            CardLine::Caution(Rich::new(format!(
                "{} Cover eyes and ears, collect the dust. Nothing and nobody below the board. Battery or plug out \
                 when changing bits.",
                bold("Before boring.")
            ))),
            step(format!(
                "With the {bit} bit bore three pilots through holes 0, 1 and 2 of {bar}. A pin must go into each \
                 under a finger."
            )),
            step(format!(
                "Pin {} in the outer two, clamp it, and open the middle one with the {big} bit: low speed, side \
                 handle. A dog must go in under a hand.",
                bold("K1")
            )),
            step(
                "Measure each hole twice, crosswise. Write down the least and the greatest, and take off the bit's own \
                 diameter, measured with the same caliper."
                    .to_owned(),
            ),
            step(
                "Enter what is left as oversize of pilot_bit and opening_bit in the job, and print this book again."
                    .to_owned(),
            ),
        ],
        openings: Vec::new(),
        check: Some(CheckWords {
            limit: Rich::new(format!(
                "Reckoned with until you measure: pilot {} over the bit, dog hole {}.",
                over(u, kit.pilot_bit.oversize),
                over(u, kit.opening_bit.oversize)
            )),
            entries: vec![
                "pilot, least".to_owned(),
                "pilot, greatest".to_owned(),
                "dog hole, least".to_owned(),
                "dog hole, greatest".to_owned(),
            ],
            if_not: Vec::new(),
        }),
        stuck: Some(Rich::new(format!(
            "{} sharpen or change the bit, bore slower, lift out to clear chips. Do not go on with a bit whose holes \
             do not take the pin.",
            bold("If a pin or dog will not go:")
        ))),
        next: None,
    })
}

fn over(units: Units, l: crate::kit::Limits) -> String {
    if l.min == l.max { fine(units, l.min) } else { format!("{} to {}", bare_fine(units, l.min), fine(units, l.max)) }
}

fn bare_fine(units: Units, mm: f64) -> String {
    let text = fine(units, mm);
    text.split('\u{a0}').next().unwrap_or_default().to_owned()
}

/// A boring or checking set-up.
fn setup_card(job: &Job, layout: &Layout, plan: &Plan, index: usize) -> Card {
    let setup = &plan.setups[index];
    let mut lines = Vec::new();
    for placed in &setup.templates {
        let Some(template) = plan.template(&placed.id).filter(|t| t.kind == TemplateKind::Bar) else { continue };
        for o in overhangs(job, template, placed) {
            lines.push(CardLine::Caution(Rich::new(format!(
                "{} beyond {}, at hip height.",
                bold(&format!("{} stands out {}", o.template, about_length(job.units, o.by_mm))),
                edge_name(o.edge)
            ))));
        }
    }
    if setup.by_hand && !setup.check {
        lines.push(CardLine::Caution(Rich::new(format!(
            "{} Clamp the sheet on a backing board; see that no hand, thigh, trestle or cable is below. Eyes and ears \
             covered, no gloves, no loose sleeves.",
            bold("Before boring.")
        ))));
    }
    placing(job, plan, setup, &mut lines);
    if setup.check {
        check_steps(job, plan, setup, &mut lines);
    } else {
        boring(plan, setup, &mut lines);
    }
    Card {
        kind: if setup.check { CardKind::Check } else { CardKind::Bore },
        setups: vec![index],
        number: String::new(),
        title: title(layout, plan, setup),
        aside: vec![format!("about {}", minutes(setup.minutes))],
        lines,
        openings: Vec::new(),
        check: setup.check.then(|| check_words(job, plan, setup)),
        stuck: stuck(job, setup),
        next: None,
    }
}

/// Steps that place and pin every template.
fn placing(job: &Job, plan: &Plan, setup: &Setup, lines: &mut Vec<CardLine>) {
    let mut placed_before: Vec<&str> = Vec::new();
    let mut first = true;
    for placed in &setup.templates {
        let face = if placed.turned_over { "turned over" } else { "face up" };
        let id = bold(&placed.id);
        let holes = hole_pins(setup, &placed.id);
        let joints: Vec<(&str, &str, &str, With)> = setup
            .pins
            .iter()
            .filter_map(|p| joint(p.a_b(), &placed.id).map(|(own, other, feature)| (own, other, feature, p.with)))
            .filter(|(_, other, _, _)| placed_before.contains(other))
            .collect();
        let clear = if first && !setup.pins.is_empty() { "Chips out of every hole. " } else { "" };
        first = false;
        let text = if holes.is_empty() && joints.is_empty() {
            by_hand(job, plan, placed, &id, face)
        } else if holes.is_empty() {
            format!("{id} {face}: lay it over.")
        } else {
            let mut said = "";
            let at: Vec<String> = holes
                .iter()
                .map(|(feature, hole, with)| {
                    let again = verb(*with) == said;
                    said = verb(*with);
                    let verb = if again { String::new() } else { format!("{said} ") };
                    format!("{verb}its {} at {}", feature_name(feature), bold(hole))
                })
                .collect();
            let pack = match joints.first() {
                Some((_, lower, _, _)) => packing(job, plan, lower, holes.first().map(|(_, hole, _)| *hole)),
                None => String::new(),
            };
            format!("{clear}{id} {face}: {}.{pack}", and(&at))
        };
        lines.push(CardLine::Step(Rich::new(text)));
        for (own, other, feature, with) in &joints {
            let tail = if setup.pins.len() > 2 { fingers(setup.pins.len()) } else { String::new() };
            let what = capital(verb(*with));
            lines.push(CardLine::Step(Rich::new(format!(
                "{what} {} of {id} to {} of {}.{tail}",
                feature_name(own),
                feature_name(feature),
                bold(other)
            ))));
        }
        placed_before.push(&placed.id);
    }
    if setup.templates.len() == 1 && setup.pins.len() > 1 && !setup.check {
        lines.push(CardLine::Step(Rich::new(format!(
            "{} Let the bar float between its pins: do not press it home at one end.",
            fingers(setup.pins.len()).trim_start()
        ))));
    }
}

/// Where a template without locators is laid: its first and last hole by measure.
fn by_hand(job: &Job, plan: &Plan, placed: &Placed, id: &str, face: &str) -> String {
    let u = job.units;
    let (s, c) = math::sin_cos(placed.turn_deg.to_radians());
    let last = plan.template(&placed.id).and_then(|t| t.features.last()).map_or(0.0, |f| f.x_mm);
    let (x1, y1) = (placed.x_mm + c * last, placed.y_mm + s * last);
    if s.abs() < 1e-6 {
        format!(
            "Lay {id} {face} along the reference edge: all its holes {} from that edge, measured at both ends, hole 0 \
             {} from the left end.",
            bold(&length(u, placed.y_mm)),
            bold(&length(u, placed.x_mm))
        )
    } else if c.abs() < 1e-6 {
        format!(
            "Lay {id} {face} away from the reference edge: all its holes {} from the left end, measured at both ends, \
             hole 0 {} from the reference edge.",
            bold(&length(u, placed.x_mm)),
            bold(&length(u, placed.y_mm))
        )
    } else {
        format!(
            "Lay {id} {face}: hole 0 {} from the left end and {} from the reference edge, its last hole {} and {}.",
            bold(&length(u, placed.x_mm)),
            bold(&length(u, placed.y_mm)),
            bold(&length(u, x1)),
            bold(&length(u, y1))
        )
    }
}

/// The upper bar lies on the lower: pack its other end level.
fn packing(job: &Job, plan: &Plan, lower: &str, at: Option<&str>) -> String {
    let thickness = plan.template(lower).and_then(|t: &Template| body(job.kit.as_ref(), t).thickness);
    let place = at.map_or_else(String::new, |hole| format!(" at {}", bold(hole)));
    match thickness {
        Some(t) => format!(" Pack it {} up{place}, so that it lies level.", length(job.units, t)),
        None => format!(" Pack it up{place} by the thickness of {lower}, so that it lies level."),
    }
}

/// Clamping and boring; holes where a pin stands come last, after their caution.
fn boring(plan: &Plan, setup: &Setup, lines: &mut Vec<CardLine>) {
    let pinned = |bore: &Bore| setup.pins.iter().any(|p| p.a == bore.feature || p.b == bore.feature);
    let what = match setup.templates.len() {
        1 => "the bar",
        2 => "both bars",
        _ => "all bars",
    };
    let mut clamp = format!("Clamp {what}; do not let it creep. ");
    for placed in &setup.templates {
        let free: Vec<&Bore> =
            setup.bores.iter().filter(|b| template_of(&b.feature) == Some(&placed.id) && !pinned(b)).collect();
        if free.is_empty() {
            continue;
        }
        lines.push(CardLine::Step(Rich::new(format!(
            "{clamp}Bore {} through {} of\u{a0}{}.",
            hole_list(&free),
            features_used(plan, &free),
            bold(&placed.id)
        ))));
        clamp.clear();
    }
    for bore in setup.bores.iter().filter(|b| pinned(b)) {
        let Place::Feature { template, feature } = &bore.feature else { continue };
        if !clamp.is_empty() {
            lines.push(CardLine::Step(Rich::new(format!("{}.", clamp.trim_end().trim_end_matches('.')))));
            clamp.clear();
        }
        lines.push(CardLine::Caution(Rich::new(format!(
            "{} draw the pin, see it in your hand, then drill: a bit on a hardened pin shatters.",
            bold(&format!("Before {}:", bore.hole))
        ))));
        lines.push(CardLine::Step(Rich::new(format!(
            "Bore {} where the pin stood, through {} of\u{a0}{}.",
            bold(&bore.hole),
            feature_name(feature),
            bold(template)
        ))));
    }
    match setup.pins.len() {
        0 => {}
        1 => lines.push(CardLine::Step(Rich::new("Count the pin back."))),
        n => lines.push(CardLine::Step(Rich::new(format!("Count the pins back: {n}.")))),
    }
}

fn check_steps(job: &Job, plan: &Plan, setup: &Setup, lines: &mut Vec<CardLine>) {
    let gauge = setup.pins.iter().find_map(|p| match p.with {
        With::Gauge(l) => Some(l),
        _ => None,
    });
    let with = match gauge {
        Some(l) => format!("Gauge: a pin or drill shank {} across. ", limits(job.units, l)),
        None => String::new(),
    };
    lines.push(CardLine::Step(Rich::new(format!(
        "{with}{} must stand at once, each put in under a finger, none forced. Nothing is bored here.",
        if setup.pins.len() == 2 { "Both".to_owned() } else { format!("All {}", setup.pins.len()) }
    ))));
    let _ = plan;
}

fn check_words(job: &Job, plan: &Plan, setup: &Setup) -> CheckWords {
    let u = job.units;
    let mut limit = String::new();
    if let Some(l) = setup.limit {
        limit = format!("{} It goes up to {} of misfit", bold("Limit."), bold(&fine(u, l.misfit_mm)));
        if l.tests_square.is_finite() && l.tests_square > 0.0 {
            limit += &format!(", so it really tests square to {}", bold(&per_metre(l.tests_square)));
        }
        limit += ".";
        if let Some(stopped) = l.good_stopped {
            limit += &format!(" It stops {} of good tops.", few(stopped));
        }
    }
    let mut if_not = vec![
        Rich::new("Clear the chips from every hole and from under the bar; try again."),
        Rich::new("Swap the gauges, then turn the bar over. Goes now: go on, and note it."),
    ];
    let ends: Vec<_> = setup
        .pins
        .iter()
        .filter_map(|p| match (&p.a, &p.b) {
            (_, Place::Hole(h)) | (Place::Hole(h), _) => plan.hole(h),
            _ => None,
        })
        .collect();
    if let (1, [a, b]) = (setup.templates.len(), ends.as_slice()) {
        let apart = math::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
        let pin = job.kit.as_ref().map_or(job.grid.pilot, |k| k.pin.diameter.mean());
        if_not.push(Rich::new(format!(
            "Measure over the outsides of two pins in {} and {}: {} is right.",
            bold(&a.name),
            bold(&b.name),
            bold(&fine_length(u, apart + pin)),
        )));
    } else {
        if_not.push(Rich::new("Measure the holes over pins, against the bar: find the one that is out."));
    }
    if_not.push(Rich::new(
        "Plug the hole that is out with a glued dowel, let it dry, seat the bar of its own set-up again and rebore; \
         then check again. Open nothing before it goes.",
    ));
    CheckWords {
        limit: Rich::new(limit),
        entries: vec!["it went".into(), "it did not".into(), "over pins".into()],
        if_not,
    }
}

/// A length for a caliper: hundredths of a mm, thousandths of an inch.
fn fine_length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{mm:.2}\u{a0}mm"),
        Units::Inch => format!("{:.3}\u{a0}in", mm / 25.4),
    }
}

fn few(share: f64) -> String {
    let per_thousand = 1000.0 * share;
    if per_thousand < 0.5 {
        "fewer than 1 in 1000".to_owned()
    } else if per_thousand < 10.0 {
        format!("{per_thousand:.0} in 1000")
    } else {
        format!("{:.0} in 100", 100.0 * share)
    }
}

fn stuck(job: &Job, setup: &Setup) -> Option<Rich> {
    if setup.pins.is_empty() || setup.check {
        return None;
    }
    let id = &setup.templates.last()?.id;
    let turns = job
        .kit
        .as_ref()
        .is_some_and(|k| k.bars.iter().any(|b| b.turn_over && (1..=b.count).any(|n| format!("{}{n}", b.name) == *id)));
    let turn = if turns { format!(", turn {id} over") } else { String::new() };
    Some(Rich::new(format!("{} clear the chips, swap pins{turn}. Do not force it.", bold("If a pin will not go:"))))
}

/// "Square columns: column 1".
fn title(layout: &Layout, plan: &Plan, setup: &Setup) -> String {
    let cells: Vec<(i32, i32)> = if setup.check {
        setup
            .pins
            .iter()
            .filter_map(|p| match (&p.a, &p.b) {
                (_, Place::Hole(h)) | (Place::Hole(h), _) => plan.hole(h),
                _ => None,
            })
            .filter_map(|h| Some((h.row?, h.column?)))
            .collect()
    } else {
        setup.bores.iter().filter_map(|b| plan.hole(&b.hole)).filter_map(|h| Some((h.row?, h.column?))).collect()
    };
    let names: Vec<String> = if setup.check {
        setup
            .pins
            .iter()
            .filter_map(|p| match &p.b {
                Place::Hole(h) => Some(h.clone()),
                Place::Feature { .. } => None,
            })
            .collect()
    } else {
        setup.bores.iter().map(|b| b.hole.clone()).collect()
    };
    let same = |f: fn(&(i32, i32)) -> i32| {
        let first = cells.first().map(f)?;
        cells.iter().all(|c| f(c) == first).then_some(first)
    };
    let ends = |names: &[String]| match (names.first(), names.last()) {
        (Some(a), Some(b)) if a != b => format!("{a} to {b}"),
        (Some(a), _) => a.clone(),
        _ => String::new(),
    };
    let place = match (same(|c| c.0), same(|c| c.1)) {
        (Some(row), None) if row >= 0 => format!("row {}, {}", row_letters(row as u32), ends(&names)),
        (None, Some(column)) if column >= 0 => format!("column {}", column + 1),
        _ => ends(&names),
    };
    let _ = layout;
    if setup.check {
        format!("Check: {}", ends(&names))
    } else {
        let stage = match setup.stage {
            Stage::DatumRow => "Datum row",
            Stage::SquareColumns => "Square columns",
            Stage::Closing => "Closing",
            Stage::Fill => "Fill",
            Stage::Extend => "Extend",
            Stage::Open => "Open",
        };
        let place = if setup.stage == Stage::DatumRow { ends(&names) } else { place };
        format!("{stage}: {place}")
    }
}

/// A part of the openings.
fn openings_card(job: &Job, plan: &Plan, part: &OpeningsPart) -> Card {
    let setups: Vec<&Setup> = part.setups.iter().filter_map(|&i| plan.setups.get(i)).collect();
    let all = plan.setups.iter().filter(|s| s.stage == Stage::Open && !s.check).count();
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
        })
        .collect();
    let seat = first.map_or(Seats::Other, seats);
    let way = first.map_or(Direction::Row, direction);
    let pass = first.and_then(|s| s.pass);
    let on = match seat {
        Seats::Pins => "on two pins",
        Seats::Dogs => "on two dogs",
        Seats::PinAndPoint => "on one pin",
        Seats::DogAndPoint => "on one dog",
        Seats::Other => "as listed",
    };
    let title = match pass {
        Some(pass) => format!("Open, pass {pass}: block {}, {on}", way.name()),
        None => format!("Open: block {}, {on}", way.name()),
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
        lines: opening_lines(job, plan, &setups, seat, way),
        openings,
        check: None,
        stuck: Some(Rich::new(format!(
            "{} clear the chips, swap them, turn the block end for end. Do not force it.",
            bold("If a pin or dog will not go:")
        ))),
        next: None,
    }
}

fn opening_lines(job: &Job, plan: &Plan, setups: &[&Setup], seat: Seats, way: Direction) -> Vec<CardLine> {
    let step = |text: String| CardLine::Step(Rich::new(text));
    let id = bold(setups.first().and_then(|s| s.templates.first()).map_or("K1", |t| t.id.as_str()));
    let way = match way {
        Direction::Row => "along the row",
        Direction::Column => "along the column",
        Direction::Oblique => "as drawn",
    };
    let mut lines = vec![CardLine::Caution(Rich::new(format!(
        "{} low speed, side handle, both hands; expect the snatch at breakthrough. Nothing and nobody below. Battery \
         or plug out when changing bits.",
        bold("Big bit:")
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
            "Chips out. Lay {id} {way}: a pin through one place into the pilot listed, the pilot bit through the bush \
             into the hole's own pilot."
        ),
        Seats::DogAndPoint => format!(
            "Chips out. Lay {id} {way}: a dog through one place into the dog hole listed, the pilot bit through the \
             bush into the hole's own pilot."
        ),
        Seats::Other => format!("Chips out. Lay {id} {way} and locate it in the holes listed."),
    }));
    let draw = match seat {
        Seats::PinAndPoint | Seats::DogAndPoint => " Then take the pilot bit out of the bush and see it in your hand.",
        _ => "",
    };
    lines.push(step(format!("Clamp {id}: the locators locate, the clamps hold.{draw}")));
    if let Some(reach) = job.kit.as_ref().and_then(|k| k.clamp_reach) {
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
        "Open it right through into the backing. Let the bit stop before you lift. Tick it, then the next in the list."
            .to_owned(),
    ));
    lines
}

/// Bold hole names, parted by spaces.
fn hole_list(bores: &[&Bore]) -> String {
    bores.iter().map(|b| bold(&b.hole)).collect::<Vec<_>>().join(" ")
}

/// "its holes 1 to 5", "its hole 3", "its holes 1, 3, 5".
fn features_used(plan: &Plan, bores: &[&Bore]) -> String {
    let _ = plan;
    let names: Vec<&str> = bores
        .iter()
        .filter_map(|b| match &b.feature {
            Place::Feature { feature, .. } => Some(feature.as_str()),
            Place::Hole(_) => None,
        })
        .collect();
    match names.as_slice() {
        [] => "the bar".to_owned(),
        [one] => feature_name(one),
        _ => format!("holes {}", and(&runs_of(&names))),
    }
}

/// Numbers with runs of three and more drawn together: "1 to 7", "9", "10".
fn runs_of(names: &[&str]) -> Vec<String> {
    let mut parts: Vec<Vec<&str>> = Vec::new();
    for &name in names {
        let number: Option<i64> = name.parse().ok();
        let follows = parts.last().and_then(|p| {
            let last: i64 = p.last()?.parse().ok()?;
            let step = number? - last;
            let before: Option<i64> = p.len().checked_sub(2).and_then(|i| p[i].parse().ok());
            Some(step.abs() == 1 && before.is_none_or(|b| last - b == step))
        });
        match parts.last_mut() {
            Some(part) if follows == Some(true) => part.push(name),
            _ => parts.push(vec![name]),
        }
    }
    parts
        .into_iter()
        .flat_map(|part| match part.as_slice() {
            [first, .., last] if part.len() > 2 => vec![format!("{first} to {last}")],
            _ => part.iter().map(|n| (*n).to_owned()).collect(),
        })
        .collect()
}

/// Pins of a template in holes: feature, hole, with.
fn hole_pins<'a>(setup: &'a Setup, id: &str) -> Vec<(&'a str, &'a str, With)> {
    setup
        .pins
        .iter()
        .filter_map(|p| match (&p.a, &p.b) {
            (Place::Feature { template, feature }, Place::Hole(hole))
            | (Place::Hole(hole), Place::Feature { template, feature })
                if template == id =>
            {
                Some((feature.as_str(), hole.as_str(), p.with))
            }
            _ => None,
        })
        .collect()
}

/// For a pin between two templates, seen from one: its own feature, the other template, its feature.
fn joint<'a>((a, b): (&'a Place, &'a Place), id: &str) -> Option<(&'a str, &'a str, &'a str)> {
    match (a, b) {
        (Place::Feature { template: ta, feature: fa }, Place::Feature { template: tb, feature: fb }) => {
            if ta == id {
                Some((fa, tb, fb))
            } else if tb == id {
                Some((fb, ta, fa))
            } else {
                None
            }
        }
        _ => None,
    }
}

impl crate::plan::PinUse {
    /// Both ends.
    fn a_b(&self) -> (&Place, &Place) {
        (&self.a, &self.b)
    }
}

fn template_of(place: &Place) -> Option<&String> {
    match place {
        Place::Feature { template, .. } => Some(template),
        Place::Hole(_) => None,
    }
}

fn feature_name(feature: &str) -> String {
    if feature.bytes().all(|b| b.is_ascii_digit()) {
        format!("hole\u{a0}{feature}")
    } else {
        format!("place {feature}")
    }
}

fn verb(with: With) -> &'static str {
    match with {
        With::Pin | With::Dog | With::Point => "pin",
        With::Gauge(_) => "gauge",
    }
}

/// "All three pins go in under a finger."
fn fingers(n: usize) -> String {
    match n {
        2 => " Both pins go in under a finger.".to_owned(),
        3 => " All three pins go in under a finger.".to_owned(),
        4 => " All four pins go in under a finger.".to_owned(),
        n => format!(" All {n} pins go in under a finger."),
    }
}

fn and(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

fn lower_first(title: &str) -> String {
    let mut chars = title.chars();
    chars.next().map_or_else(String::new, |c| c.to_lowercase().chain(chars).collect())
}
