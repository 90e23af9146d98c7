//! Which readings are worth taking, in words, and what to know about measuring a top.

use crate::job::Job;
use crate::measure::format;
use crate::proof::{BadHoleSet, MOST_READINGS, Next, Suggestion, VerdictWord};
use crate::reading::ReadingKind;

/// What is suggested, line by line.
pub fn lines(next: &Next) -> Vec<String> {
    let mut out = said(next);
    out.push(TABLE.to_owned());
    out.extend(table(&rows(next)));
    out.push(WHY.to_owned());
    out
}

/// Said over the table.
pub const TABLE: &str = "What each would leave of square's standard uncertainty, mm per metre, the best first:";

/// What to know about measuring a top.
pub const WHY: &str = "Why: two crossed diagonals fix square, and the sides add nothing to it. Read both with the same stick and compare: what is wrong with the stick falls out. A bar pinned across both diagonals is the best gauge in the shop.";

/// What is suggested in sentences: where it stands, what to take next, how many.
pub fn said(next: &Next) -> Vec<String> {
    let mut out = Vec::new();
    out.push(match (&next.square, &next.verdict) {
        (None, _) => "Square is free so far: nothing that is known fixes it.".to_owned(),
        (Some(square), Some(verdict)) if verdict.word == VerdictWord::Undecided => format!(
            "Undecided so far: square is {} mm per metre, and {} is wanted.",
            format::with_uncertainty(square.value, square.u, "(k = 1)").trim_end(),
            format::number(verdict.limit, 3)
        ),
        (Some(square), Some(verdict)) => format!(
            "Decided already: {} within {} mm per metre ({}). A reading more would guard against a slip.",
            verdict.word.name(),
            format::number(verdict.limit, 3),
            format::with_uncertainty(square.value, square.u, "mm per metre, k = 1")
        ),
        (Some(square), None) => format!(
            "Square is {} so far; the job does not say how it is wanted.",
            format::with_uncertainty(square.value, square.u, "mm per metre (k = 1)")
        ),
    });
    if let Some(best) = next.suggestions.first() {
        out.push(format!("Take next: {}.", suggestion(best)));
        if let Some(quick) = next.suggestions.iter().find(|s| s.rank_by_minutes == Some(1))
            && quick != best
        {
            out.push(format!("Most for the minutes: {}.", suggestion(quick)));
        }
    }
    out.extend(count(next));
    out
}

/// The same for the reading sheet, one by one.
pub const REASONS: [&str; 3] = [
    "Cross the long diagonals: two that cross fix square by themselves, and the sides add nothing to it.",
    "Compare rather than measure: read both with the same stick, and what is wrong with the stick falls out of the difference.",
    "The bars are the best gauge in the shop: one pinned across both diagonals says as much as a good caliper of its length.",
];

fn count(next: &Next) -> Option<String> {
    let verdict = next.verdict.as_ref();
    if verdict.is_some_and(|v| v.word != VerdictWord::Undecided) {
        return None;
    }
    match (next.readings_needed, next.u_needed) {
        (Some(n), _) => Some(format!(
            "If square stays where it is, {} decide{} it.",
            if n == 1 { "1 reading more".to_owned() } else { format!("{n} readings more") },
            if n == 1 { "s" } else { "" }
        )),
        (None, Some(u)) => Some(format!(
            "If square stays where it is, {MOST_READINGS} readings more do not decide it: its standard uncertainty would have to fall below {} mm per metre.",
            format::fixed(u, 3)
        )),
        (None, None) => None,
    }
}

fn verb(kind: ReadingKind) -> &'static str {
    match kind {
        ReadingKind::Went | ReadingKind::DidNotGo => "try",
        ReadingKind::FiveCut => "five cuts with",
        ReadingKind::TurnOver => "turn over a board cut on",
        ReadingKind::Angle => "hold",
        _ => "read",
    }
}

/// `A1 to G9 and A9 to G1, with long caliper (3 minutes)`.
fn suggestion(s: &Suggestion) -> String {
    let minutes = s.minutes.map_or(String::new(), |m| format!(", {} minutes", format::number(m, 1)));
    let word = s.word.map_or(String::new(), |w| match w {
        VerdictWord::Undecided => ", still undecided then".to_owned(),
        word => format!(", {} then if it stays where it is", word.name()),
    });
    format!("{} {} with {} (leaves {}{minutes}{word})", verb(s.kind), holes(s), s.with, format::fixed(s.u_after, 3))
}

fn holes(s: &Suggestion) -> String {
    let one = |reading: &Vec<[String; 2]>| match &reading[..] {
        [[a, b]] => format!("{a} to {b}"),
        lines => lines.iter().map(|[a, b]| format!("{a} to {b}")).collect::<Vec<_>>().join(" against "),
    };
    s.readings.iter().map(one).collect::<Vec<_>>().join(" and ")
}

/// The table of what is suggested: its heads, then a row for each.
pub fn rows(next: &Next) -> Vec<[String; 5]> {
    let mut rows = vec![["with", "read", "leaves", "minutes", "readings to a verdict"].map(str::to_owned)];
    for s in &next.suggestions {
        rows.push([
            s.with.clone(),
            holes(s),
            format::fixed(s.u_after, 3),
            s.minutes.map_or("not stated".to_owned(), |m| format::number(m, 1)),
            match s.needed {
                Some(0) => "none".to_owned(),
                Some(n) => n.to_string(),
                None if next.u_needed.is_none() => String::new(),
                None => format!("more than {MOST_READINGS}"),
            },
        ]);
    }
    rows
}

fn table(rows: &[[String; 5]]) -> Vec<String> {
    let width = |k: usize| rows.iter().map(|r| r[k].chars().count()).max().unwrap_or(0);
    let widths = [0, 1, 2, 3, 4].map(width);
    let line = |row: &[String; 5]| {
        let cells = row.iter().zip(widths).map(|(cell, w)| format!("{cell}{}", " ".repeat(w - cell.chars().count())));
        cells.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    rows.iter().map(line).collect()
}

/// The set that finds a bad hole, line by line.
pub fn bad_hole_lines(set: &BadHoleSet, job: &Job) -> Vec<String> {
    let minutes = set.minutes.map_or(String::new(), |m| format!(", {} minutes", format::number(m, 1)));
    let lead = if set.kind == ReadingKind::Offset {
        format!(
            "To find a bad hole, lay {} along every line below, dogs in its first and last hole, and read the gap at every hole between: {} readings{minutes}.",
            set.with, set.readings
        )
    } else {
        format!("To find a bad hole, read these distances with {}: {} readings{minutes}.", set.with, set.readings)
    };
    let mut out = vec![lead];
    if let Some([middle, worst]) = set.found {
        let say = |mm: f64| format::length((mm * 100.0).ceil() / 100.0, job.units);
        out.push(format!(
            "A hole that lies {} out would then be found and named 8 times in 10, the worst seen one at {}.",
            say(middle),
            say(worst)
        ));
    }
    if !set.not_seen.is_empty() {
        out.push(format!("Not seen both ways: {}.", set.not_seen.join(", ")));
    }
    for line in &set.lines {
        let read: Vec<String> = line.read.iter().map(|holes| holes.join(" to ")).collect();
        out.push(format!("{} to {}: {}", line.line[0], line.line[1], read.join(", ")));
    }
    out
}
