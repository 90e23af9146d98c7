//! The card before the first: a trial bore in an offcut, whose measures replace assumed ones.

use super::{Card, CardKind, CardLine, CheckWords};
use crate::job::Job;
use crate::words::figures::{length, limits};
use crate::words::holding::oversize_in_use;
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
                "Measure each hole twice, crosswise, and write every diameter down. Measure the bits with the same \
                 caliper: if one is not what the kit says, correct its diameter in the job."
                    .to_owned(),
            ),
            step(
                "Enter the diameters under [trial] in the job, as pilot and dog, and print this book again: what was \
                 measured takes the place of oversize."
                    .to_owned(),
            ),
        ],
        openings: Vec::new(),
        check: Some(CheckWords {
            limit: Rich::new(oversize_in_use(job).unwrap_or_default()),
            entries: vec![
                "pilots across".to_owned(),
                "dog hole across".to_owned(),
                "pin went in".to_owned(),
                "dog went in".to_owned(),
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
