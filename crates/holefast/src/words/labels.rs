//! Short words in drawings, and what a drawing shows in a sentence.

use super::cards::title;
use super::figures::{about_length, bare_length, length};
use super::openings::direction;
use crate::drawing::{Edge, OpeningsPart, Overhang, Role};
use crate::job::Job;
use crate::plan::{Place, Plan, Setup};
use crate::top::{Conflict, KeepOut, Layout, Side};

/// "left trestle rail, below".
pub fn keep_out_name(keep_out: &KeepOut) -> String {
    let side = match keep_out.side {
        Side::Below => "below",
        Side::Above => "above",
        Side::Both => "above and below",
    };
    format!("{}, {side}", keep_out.name)
}

/// "V1: 2.5 mm, 12 wanted".
pub fn conflict_label(job: &Job, conflict: &Conflict) -> String {
    let wanted = bare_length(job.units, conflict.wanted);
    if conflict.clearance < 0.0 {
        let by = length(job.units, -conflict.clearance);
        format!("{}: {by} into it, {wanted} clear wanted", conflict.hole.name)
    } else {
        format!("{}: {}, {wanted} wanted", conflict.hole.name, length(job.units, conflict.clearance))
    }
}

/// "hole 10 on hole 6".
pub fn joint_label(upper: &str, lower: &str) -> String {
    format!("hole {upper} on hole {lower}")
}

/// "8 pitches".
pub fn pitches(n: u32) -> String {
    if n == 1 { "1\u{a0}pitch".to_owned() } else { format!("{n}\u{a0}pitches") }
}

/// "the far edge".
pub fn edge_name(edge: Edge) -> &'static str {
    match edge {
        Edge::Reference => "the reference edge",
        Edge::Far => "the far edge",
        Edge::Left => "the left end",
        Edge::Right => "the right end",
    }
}

/// "L1, 430 mm beyond the far edge".
pub fn overhang_label(job: &Job, overhang: &Overhang) -> String {
    let edge = edge_name(overhang.edge);
    format!("{}, {} beyond {edge}", overhang.template, about_length(job.units, overhang.by_mm))
}

/// The same in short, where there is no room: "L1, 430 mm out".
pub fn overhang_short(job: &Job, overhang: &Overhang) -> String {
    format!("{}, {} out", overhang.template, about_length(job.units, overhang.by_mm))
}

/// What the whole top shows.
pub fn about_top(job: &Job, layout: &Layout) -> String {
    format!(
        "{}: seen from above, reference edge at the bottom. {} holes in {} rows and {} columns, pitch {} by {}.",
        job.name,
        layout.holes.len(),
        layout.rows,
        layout.columns,
        length(job.units, layout.pitch[0]),
        length(job.units, layout.pitch[1]),
    )
}

/// What a set-up shows.
pub fn about_setup(plan: &Plan, setup: &Setup) -> String {
    let mut parts = Vec::new();
    for placed in &setup.templates {
        let on: Vec<String> = setup
            .pins
            .iter()
            .filter_map(|p| match (&p.a, &p.b) {
                (Place::Feature { template, .. }, Place::Hole(hole)) if *template == placed.id => Some(hole.clone()),
                _ => None,
            })
            .collect();
        if on.is_empty() {
            parts.push(format!("{} laid", placed.id));
        } else {
            parts.push(format!("{} on {}", placed.id, on.join(" and ")));
        }
    }
    let bored: Vec<&str> = setup.bores.iter().map(|b| b.hole.as_str()).collect();
    let bored = if bored.is_empty() { String::new() } else { format!(" Bored now: {}.", bored.join(", ")) };
    format!("{}. {}.{bored}", title(plan, setup), parts.join(", "))
}

/// What a part of the openings shows.
pub fn about_openings(plan: &Plan, part: &OpeningsPart) -> String {
    let holes: Vec<&str> = part
        .setups
        .iter()
        .filter_map(|&i| plan.setups.get(i))
        .flat_map(|s| &s.bores)
        .map(|b| b.hole.as_str())
        .collect();
    let way = part.setups.first().and_then(|&i| plan.setups.get(i)).map_or("", |s| direction(s).name());
    format!("Opened now, block {way}: {}.", holes.join(", "))
}

/// What the map of the passes shows.
pub fn about_map(plan: &Plan) -> String {
    let count = |pass| plan.setups.iter().filter(|s| s.pass == Some(pass) && !s.done).count();
    format!("Order of opening: {} holes in the first pass, {} in the second.", count(1), count(2))
}

/// What a sign of the key means on a card; empty for roles that need no word.
pub fn key_name(role: Role) -> &'static str {
    match role {
        Role::HoleWanted => "hole wanted",
        Role::Pilot => "pilot bored before",
        Role::Opened => "opened before",
        Role::Helper => "helper pilot",
        Role::BoreNow => "bore now",
        Role::Pin => "pin",
        Role::Gauge => "gauge",
        Role::Dog => "dog",
        Role::Sleeve => "pilot bit in its sleeve",
        Role::Held => "held here",
        Role::Plugged => "spoiled, to be plugged",
        Role::Block => "guide block",
        Role::Fence => "fence",
        Role::GuideRail => "guide rail",
        Role::CutLine => "cut",
        Role::Piece => "kept piece",
        Role::Waste => "waste",
        Role::Deviation => "deviation, enlarged",
        Role::Ellipse => "how well it is known",
        Role::Reading => "read",
        Role::Conflict => "in conflict",
        Role::KeepOutBelow => "keep clear, below",
        Role::KeepOutAbove => "keep clear, above",
        Role::ReferenceCorner => "reference corner",
        _ => "",
    }
}
