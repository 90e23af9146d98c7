//! The holes of a reading, and how people are told which reading is meant.

use super::{Reading, What};

/// Every hole that a reading touches, each once, in the order it names them.
pub fn holes_of(what: &What) -> Vec<&str> {
    let named: Vec<&String> = match what {
        What::Distance { between, .. } | What::Gauge { between, .. } => between.iter().collect(),
        What::Offset { of, from, .. } => std::iter::once(of).chain(from).collect(),
        What::Angle { lines, .. } => lines.iter().flatten().collect(),
        What::FiveCut { fence, rail, .. } | What::TurnOver { fence, rail, .. } => fence.iter().chain(rail).collect(),
        What::Place { holes, .. } => holes.iter().collect(),
    };
    let mut once: Vec<&str> = Vec::with_capacity(named.len());
    for name in named {
        if !once.contains(&name.as_str()) {
            once.push(name);
        }
    }
    once
}

/// The same names where they stand, as often as they stand there.
pub(crate) fn holes_of_mut(what: &mut What) -> Vec<&mut String> {
    match what {
        What::Distance { between, .. } | What::Gauge { between, .. } => between.iter_mut().collect(),
        What::Offset { of, from, .. } => std::iter::once(of).chain(from).collect(),
        What::Angle { lines, .. } => lines.iter_mut().flatten().collect(),
        What::FiveCut { fence, rail, .. } | What::TurnOver { fence, rail, .. } => {
            fence.iter_mut().chain(rail).collect()
        }
        What::Place { holes, .. } => holes.iter_mut().collect(),
    }
}

/// A reading by its holes: `A1 to G9`, `C6 from the line C1 to C14`.
pub fn between_words(reading: &Reading) -> String {
    let line = |[a, b]: &[String; 2]| format!("{a} to {b}");
    match &reading.what {
        What::Distance { between, .. } | What::Gauge { between, .. } => line(between),
        What::Offset { of, from, .. } => format!("{of} from the line {}", line(from)),
        What::Angle { lines: [a, b], .. } => format!("angle of {} and {}", line(a), line(b)),
        What::FiveCut { fence, rail, .. } => format!("five cuts, fence {}, rail {}", line(fence), line(rail)),
        What::TurnOver { fence, rail, .. } => format!("turned over, fence {}, rail {}", line(fence), line(rail)),
        What::Place { holes, .. } => match &holes[..] {
            [one] => format!("place of {one}"),
            [first, .., last] => format!("places of {} holes, {first} to {last}", holes.len()),
            [] => "places of no hole".to_owned(),
        },
    }
}
