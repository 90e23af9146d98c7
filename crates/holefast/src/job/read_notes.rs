//! Reads `[[bench_note]]`: what the maker wants to read on a card, told by the card's number, by
//! the stage, or by a hole. Whether such a card exists is known when there is a plan.

use super::read::{Reader, Table};
use super::read_rest::hole;
use super::tree::Value;
use super::{BenchNote, NoteAt};
use crate::fault::Fault;
use crate::top::Grid;

/// A plan of so many cards is nobody's; the largest grid that is read has fewer.
const MOST_CARDS: u32 = 100_000;

/// The stages by their names, as plans and papers call them; plans stand on jobs, so the names stand
/// here once more and a test holds the two lists together.
const STAGES: [&str; 6] = ["datum row", "square columns", "closing", "fill", "extend", "open"];

/// Reads `[[bench_note]]`.
pub(super) fn bench_notes(reader: &mut Reader, root: &Table<'_>, grid: Option<&Grid>) -> Option<Vec<BenchNote>> {
    let extra = grid.map_or(&[][..], |grid| &grid.extra);
    let mut out = Some(Vec::new());
    for table in reader.tables(root, "bench_note", "bench_note") {
        let text = if reader.need(&table, "text") { reader.text(&table, "text") } else { None };
        let written: Vec<&str> = ["card", "stage", "hole"].into_iter().filter(|k| table.get(k).is_some()).collect();
        let at = match written[..] {
            ["card"] => reader.whole(&table, "card", 0, MOST_CARDS).map(NoteAt::Card),
            ["stage"] => reader.word(&table, "stage", &STAGES.map(|name| (name, name))).map(NoteAt::Stage),
            ["hole"] => hole(reader, &table, "hole", extra).map(NoteAt::Hole),
            [] => {
                let fault = Fault::input("this bench note says neither card, stage nor hole");
                reader.fault(table.span, fault.hint("name one of them; a note on the whole job is `note`, at its top"));
                None
            }
            [first, second, ..] => {
                let fault = Fault::input(format!("this bench note says both {first} and {second}"));
                reader.fault(table.place(second), fault.hint("keep one; write the note twice if it belongs to both"));
                None
            }
            _ => None,
        };
        match (at, text, &mut out) {
            (Some(at), Some(text), Some(all)) => {
                all.push(BenchNote { at, text: text.trim().to_owned(), span: Some(table.span) });
            }
            _ => out = None,
        }
    }
    out
}

/// Reads `[bench]`: what was ticked off. Which of it the plan knows is the bench's matter.
pub(super) fn ticked(reader: &mut Reader, root: &Table<'_>) -> Vec<String> {
    if root.get("bench").is_none() {
        return Vec::new();
    }
    let Some(table) = reader.table(root, "bench", "bench") else { return Vec::new() };
    let Some(items) = reader.list(&table, "ticked", "a list of texts") else { return Vec::new() };
    let mut out = Vec::new();
    for item in items {
        match &item.value {
            Value::Text(text) => out.push(text.clone()),
            other => {
                let message = format!("bench.ticked must be a list of texts, this is {}", other.shown());
                reader.fault(item.span, Fault::input(message).hint("the bench of the web app writes it"));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::Stage;

    #[test]
    fn the_stages_are_called_as_the_plan_calls_them() {
        assert_eq!(STAGES, Stage::ALL.map(Stage::name));
    }
}
