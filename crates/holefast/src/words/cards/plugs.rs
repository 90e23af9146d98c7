//! The card before all others where holes are spoiled: each is plugged, so that it is wood again.

use super::{Card, CardKind, CardLine};
use crate::job::{DoneAs, Job};
use crate::plan::Plan;
use crate::top::Cell;
use crate::words::figures::{length, minutes};
use crate::words::rich::{Rich, bold};
use crate::words::sentence::and;

/// The card on which spoiled holes are plugged.
pub fn plugs_card(job: &Job, plan: &Plan) -> Card {
    let step = |text: String| CardLine::Step(Rich::new(text));
    // What was opened takes a plug as wide as a dog hole, what was a pilot a dowel as thin as that.
    let (wide, narrow): (Vec<&String>, Vec<&String>) = plan.plugged.iter().partition(|hole| was_opened(job, hole));
    let named = |holes: &[&String]| and(&holes.iter().map(|h| bold(h)).collect::<Vec<_>>());
    let mut lines = vec![CardLine::Caution(Rich::new(format!(
        "{} Clamp the sheet on a backing board, nothing and nobody below. Eyes and ears covered. Battery or plug out \
         when changing bits.",
        bold("Before boring.")
    )))];
    if !narrow.is_empty() {
        let bit = job.kit.as_ref().map_or_else(String::new, |k| {
            format!(", {} or a little more", length(job.units, k.pilot_bit.diameter.max))
        });
        lines.push(step(format!(
            "{}: clean the hole out to the size of a hardwood dowel that fills it{bit}, square to the face.",
            named(&narrow)
        )));
    }
    if !wide.is_empty() {
        let size = length(job.units, job.grid.hole);
        lines.push(step(format!(
            "{}: a plug of {size} or a little more, cut from an offcut of the same sheet or turned from hardwood; open \
             the hole to fit it, so that it goes in under light taps.",
            named(&wide)
        )));
    }
    lines.push(step(
        "Glue all round the wall of the hole, not only on the plug; tap it in through the whole thickness of the sheet, \
         wipe off what comes out."
            .to_owned(),
    ));
    lines.push(step("Let it dry overnight: a bit pulls a plug out of soft glue.".to_owned()));
    lines.push(step(
        "Saw and plane it flush on both faces: bars and block lie on it. Lay a rule over it: no light either side."
            .to_owned(),
    ));
    Card {
        kind: CardKind::Plugs,
        setups: Vec::new(),
        number: String::new(),
        title: format!("Plug {}", plan.plugged.join(", ")),
        aside: vec![format!("about {}, and the glue's night", minutes(plan.plugging_minutes()))],
        notes: Vec::new(),
        lines,
        openings: Vec::new(),
        check: None,
        stuck: None,
        next: None,
    }
}

/// True if the job says that this hole was a dog hole when it was spoiled.
fn was_opened(job: &Job, hole: &str) -> bool {
    let Some(cell) = Cell::parse(hole) else { return false };
    let last = job.done.iter().rfind(|done| done.holes.iter().any(|range| range.contains(cell)));
    last.is_some_and(|done| done.as_ == DoneAs::Dog)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Done, Spoiled};
    use crate::plan::{PlanOptions, make_plan};
    use crate::testing::trailer_top;
    use crate::top::{CellRange, lay_out};
    use crate::words::{CardNumbers, OnCard, cards};

    #[test]
    fn plugging_is_the_first_card_and_its_time_counts() {
        let mut job = trailer_top();
        let layout = lay_out(&job).unwrap();
        let own = make_plan(&job, &layout, &PlanOptions::default()).unwrap();
        let cells = |name: &str| CellRange::parse(name).into_iter().collect();
        for bore in &own.setups[0].bores {
            job.done.push(Done { holes: cells(&bore.hole), as_: DoneAs::Pilot, scatter: None, helpers: Vec::new() });
        }
        let spoiled = own.setups[0].bores[1].hole.clone();
        job.spoiled.push(Spoiled { hole: spoiled.clone(), why: "bit wandered".to_owned() });
        let plan = make_plan(&job, &layout, &PlanOptions::default()).unwrap();
        let cards = cards(&job, &plan);
        assert_eq!((cards[0].kind, cards[0].number.as_str()), (CardKind::Plugs, "1"));
        assert_eq!(cards[0].title, format!("Plug {spoiled}"));
        assert_eq!(CardNumbers::of(&plan).cards()[0], OnCard::Plugs);
        assert_eq!(CardNumbers::of(&plan).number(plan.setups.iter().position(|s| !s.done).unwrap()), Some(2));
        let left: f64 = plan.setups.iter().filter(|s| !s.done).map(|s| s.minutes).sum();
        assert!((plan.minutes() - left - crate::plan::PLUGGING).abs() < 1e-9);
        // A pilot takes a dowel, a dog hole a plug of its own width.
        let says = |card: &Card, words: &str| {
            card.lines.iter().any(|l| match l {
                CardLine::Step(t) | CardLine::Caution(t) => t.plain().contains(words),
            })
        };
        assert!(says(&cards[0], "dowel") && !says(&cards[0], "a plug of 20"));
        job.done.push(Done { holes: cells(&spoiled), as_: DoneAs::Dog, scatter: None, helpers: Vec::new() });
        let card = plugs_card(&job, &plan);
        assert!(says(&card, "a plug of 20") && !says(&card, "dowel that fills"));
    }
}
