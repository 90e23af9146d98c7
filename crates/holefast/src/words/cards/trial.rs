//! The card before the first: a trial bore in an offcut, whose measures replace assumed ones.

use super::{Card, CardKind, CardLine, CheckWords};
use crate::job::{Job, Units};
use crate::kit::Limits;
use crate::words::figures::{fine, length, limits};
use crate::words::rich::{Rich, bold};

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
        aside: vec!["before the first card".to_owned(), "once for every sheet and bit".to_owned()],
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

fn over(units: Units, l: Limits) -> String {
    if l.min == l.max { fine(units, l.min) } else { format!("{} to {}", bare_fine(units, l.min), fine(units, l.max)) }
}

fn bare_fine(units: Units, mm: f64) -> String {
    let text = fine(units, mm);
    text.split('\u{a0}').next().unwrap_or_default().to_owned()
}
