//! The maker's own notes: on which cards each stands, and which have no card to stand on.

use super::numbers::CardNumbers;
use crate::fault::Fault;
use crate::job::{BenchNote, Job, NoteAt};
use crate::plan::Plan;

/// The notes of the card with this number (0 is the trial bore), in the job's order.
pub fn notes_on(job: &Job, plan: &Plan, numbers: &CardNumbers, card: usize) -> Vec<String> {
    let here = |note: &&BenchNote| stands_on(note, plan, numbers, card);
    job.bench_notes.iter().filter(here).map(|note| note.text.clone()).collect()
}

fn stands_on(note: &BenchNote, plan: &Plan, numbers: &CardNumbers, card: usize) -> bool {
    let setups = || {
        let on = card.checked_sub(1).and_then(|i| numbers.cards().get(i));
        on.into_iter().flat_map(|c| c.setups()).filter_map(|&i| plan.setups.get(i))
    };
    match &note.at {
        NoteAt::Card(number) => *number as usize == card,
        NoteAt::Stage(stage) => setups().any(|s| s.stage.name() == *stage),
        NoteAt::Hole(hole) => setups().any(|s| s.bores.iter().any(|b| b.hole == *hole)),
    }
}

/// A remark for every note that stands on no card of this plan.
pub fn astray(job: &Job, plan: &Plan) -> Vec<Fault> {
    let numbers = CardNumbers::of(plan);
    let last = numbers.cards().len();
    job.bench_notes
        .iter()
        .filter(|note| !(0..=last).any(|card| stands_on(note, plan, &numbers, card)))
        .map(|note| {
            let (what, hint) = match &note.at {
                NoteAt::Card(number) => (
                    format!("this bench note is for card {number}; the plan has {last} cards"),
                    "cards are counted anew whenever the plan changes: a stage or a hole stays where it is",
                ),
                NoteAt::Stage(stage) => (
                    format!("this bench note is for a stage that this plan does not have: {stage}"),
                    "holefast plan lists the stages",
                ),
                NoteAt::Hole(hole) => (
                    format!("this bench note is for hole {hole}, which this plan does not bore"),
                    "holefast show tells which holes there are",
                ),
            };
            Fault::remark(what).hint(hint).at(note.span)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{PlanOptions, Stage, make_plan};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    #[test]
    fn a_note_stands_on_its_cards_and_nowhere_else() {
        let mut job = trailer_top();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let note = |at, text: &str| BenchNote { at, text: text.to_owned(), span: None };
        job.bench_notes = vec![
            note(NoteAt::Card(0), "trial"),
            note(NoteAt::Card(3), "third"),
            note(NoteAt::Stage("square columns"), "columns"),
            note(NoteAt::Hole("D5".to_owned()), "knot"),
            note(NoteAt::Card(400), "lost"),
            note(NoteAt::Hole("Z99".to_owned()), "lost too"),
        ];
        let numbers = CardNumbers::of(&plan);
        let on = |card| notes_on(&job, &plan, &numbers, card);
        assert_eq!(on(0), ["trial"]);
        let mut knots = 0;
        for card in crate::words::cards(&job, &plan) {
            let number: usize = card.number.parse().unwrap();
            let setups = || card.setups.iter().map(|&i| &plan.setups[i]);
            assert_eq!(card.notes, on(number));
            assert_eq!(on(number).contains(&"third".to_owned()), number == 3);
            let columns = setups().any(|s| s.stage == Stage::SquareColumns);
            assert_eq!(on(number).contains(&"columns".to_owned()), columns, "card {number}");
            knots += usize::from(on(number).contains(&"knot".to_owned()));
        }
        assert_eq!(knots, 2, "once where its pilot is bored, once where it is opened");
        let told: Vec<String> = astray(&job, &plan).into_iter().map(|f| f.message).collect();
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].contains("card 400") && told[1].contains("Z99"), "{told:?}");
    }
}
