//! The card of a set-up with bars: how they are placed, pinned, clamped and bored through.
//!
//! What a check says beside its steps stands in `check`.

use super::check::{check_steps, check_words};
use super::phrases::{feature_name, features_used, fingers, hole_list, hole_pins, joint, template_of, verb};
use super::title::title;
use super::{Card, CardKind, CardLine};
use crate::drawing::{body, overhangs};
use crate::job::Job;
use crate::math;
use crate::plan::{Bore, Place, Placed, Plan, Setup, Template, TemplateKind, With};
use crate::words::figures::{about_length, length, minutes};
use crate::words::holding::{is_propped, of_bar, props};
use crate::words::labels::edge_name;
use crate::words::rich::{Rich, bold};
use crate::words::sentence::{and, sentence_start};

/// The first step of the first card with bars.
const MARKED: &str = "Bars marked as on the kit page: name, \u{201c}up\u{201d}, hole\u{a0}0.";

/// A boring or checking set-up; `first` if it is the first card that bores into the sheet.
pub fn setup_card(job: &Job, plan: &Plan, index: usize, first: bool) -> Card {
    let setup = &plan.setups[index];
    let mut lines = Vec::new();
    for placed in &setup.templates {
        let Some(template) = plan.template(&placed.id).filter(|t| t.kind == TemplateKind::Bar) else { continue };
        // What is propped is told with its prop.
        for o in overhangs(job, template, placed).into_iter().filter(|_| !is_propped(setup, &placed.id)) {
            lines.push(CardLine::Caution(Rich::new(format!(
                "{} beyond {}, where people walk.",
                bold(&format!("{} stands out {}", o.template, about_length(job.units, o.by_mm))),
                edge_name(o.edge)
            ))));
        }
    }
    lines.extend(props(job, plan, setup).iter().map(|said| CardLine::Caution(Rich::new(said))));
    if !setup.check {
        let rest = if first {
            "Clamp the sheet on a backing board; see that no hand, thigh, trestle or cable is below. Eyes and ears \
             covered, no gloves, no loose sleeves."
        } else {
            "Backed, nothing and nobody below, eyes and ears covered."
        };
        lines.push(CardLine::Caution(Rich::new(format!("{} {rest}", bold("Before boring.")))));
    }
    if first {
        lines.push(CardLine::Step(Rich::new(MARKED)));
    }
    placing(job, plan, setup, &mut lines);
    if setup.check {
        check_steps(job, setup, &mut lines);
    } else {
        boring(job, plan, setup, &mut lines);
    }
    Card {
        kind: if setup.check { CardKind::Check } else { CardKind::Bore },
        setups: vec![index],
        number: String::new(),
        title: title(plan, setup),
        aside: vec![format!("about {}", minutes(setup.minutes))],
        notes: Vec::new(),
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
            .filter_map(|p| joint(p, &placed.id).map(|(own, other, feature)| (own, other, feature, p.with)))
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
            let what = sentence_start(verb(*with));
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
            "Lay {id} {face} along the reference edge: all its holes {} from that edge, measured at both ends, and \
             its hole 0 at {} from the left end.",
            bold(&length(u, placed.y_mm)),
            bold(&length(u, placed.x_mm))
        )
    } else if c.abs() < 1e-6 {
        format!(
            "Lay {id} {face} away from the reference edge: all its holes {} from the left end, measured at both ends, \
             and its hole 0 at {} from the reference edge.",
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
        Some(t) => format!(" Pack it {} up{place} and under its clamps, so that it lies level.", length(job.units, t)),
        None => format!(" Pack it up{place} and under its clamps by the thickness of {lower}, so that it lies level."),
    }
}

/// Clamping and boring; holes where a pin stands come last, after their caution.
fn boring(job: &Job, plan: &Plan, setup: &Setup, lines: &mut Vec<CardLine>) {
    let pinned = |bore: &Bore| setup.pins.iter().any(|p| p.a == bore.feature || p.b == bore.feature);
    let what = match setup.templates.len() {
        1 => "the bar",
        2 => "both bars",
        _ => "all bars",
    };
    let mut clamp = format!("Clamp {what}; do not let it creep. ");
    let holds: Vec<String> = setup.templates.iter().filter_map(|t| of_bar(job, plan, setup, &t.id)).collect();
    if !holds.is_empty() {
        lines.push(CardLine::Step(Rich::new(format!("{} Do not let it creep.", holds.join(" ")))));
        clamp.clear();
    }
    for placed in &setup.templates {
        let free: Vec<&Bore> =
            setup.bores.iter().filter(|b| template_of(&b.feature) == Some(&placed.id) && !pinned(b)).collect();
        if free.is_empty() {
            continue;
        }
        lines.push(CardLine::Step(Rich::new(format!(
            "{clamp}Bore {} through {} of\u{a0}{}.",
            hole_list(&free),
            features_used(&free),
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
        let both = setup.pins.iter().find_map(|p| {
            let (own, other, its) = joint(p, template)?;
            (own == feature)
                .then(|| format!(" and {} of\u{a0}{}: the bit goes through both bars", feature_name(its), bold(other)))
        });
        lines.push(CardLine::Step(Rich::new(format!(
            "Bore {} where the pin stood, through {} of\u{a0}{}{}.",
            bold(&bore.hole),
            feature_name(feature),
            bold(template),
            both.unwrap_or_default()
        ))));
    }
    match setup.pins.len() {
        0 => {}
        1 => lines.push(CardLine::Step(Rich::new("Count the pin back."))),
        n => lines.push(CardLine::Step(Rich::new(format!("Count the pins back: {n}.")))),
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
