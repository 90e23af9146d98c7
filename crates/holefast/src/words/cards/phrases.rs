//! Small pieces that the cards' sentences are put together from: lists of holes and features, pins.

use crate::plan::{Bore, PinUse, Place, Setup, With};
use crate::words::rich::bold;
use crate::words::sentence::and;

/// Bold hole names, parted by spaces.
pub fn hole_list(bores: &[&Bore]) -> String {
    bores.iter().map(|b| bold(&b.hole)).collect::<Vec<_>>().join(" ")
}

/// "its holes 1 to 5", "its hole 3", "its holes 1, 3, 5".
pub fn features_used(bores: &[&Bore]) -> String {
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
pub fn hole_pins<'a>(setup: &'a Setup, id: &str) -> Vec<(&'a str, &'a str, With)> {
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
pub fn joint<'a>(pin: &'a PinUse, id: &str) -> Option<(&'a str, &'a str, &'a str)> {
    match (&pin.a, &pin.b) {
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

pub fn template_of(place: &Place) -> Option<&String> {
    match place {
        Place::Feature { template, .. } => Some(template),
        Place::Hole(_) => None,
    }
}

pub fn feature_name(feature: &str) -> String {
    if feature.bytes().all(|b| b.is_ascii_digit()) {
        format!("hole\u{a0}{feature}")
    } else {
        format!("place {feature}")
    }
}

pub fn verb(with: With) -> &'static str {
    match with {
        With::Pin | With::Dog | With::Point => "pin",
        With::Gauge(_) => "gauge",
    }
}

/// "All three pins go in under a finger."
pub fn fingers(n: usize) -> String {
    match n {
        2 => " Both pins go in under a finger.".to_owned(),
        3 => " All three pins go in under a finger.".to_owned(),
        4 => " All four pins go in under a finger.".to_owned(),
        n => format!(" All {n} pins go in under a finger."),
    }
}
