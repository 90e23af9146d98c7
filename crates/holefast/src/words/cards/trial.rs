//! The card before the first: a trial bore in an offcut, whose measures replace assumed ones.

use super::{Card, CardKind, CardLine, CheckWords};
use crate::job::{Job, NoteAt};
use crate::words::figures::{length, limits};
use crate::words::holding::oversize_in_use;
use crate::words::rich::{Rich, bold};

/// What the three pictures of the trial bore show, by the steps of its card.
pub const TRIAL_PICTURES: [&str; 3] =
    ["step 2: three pilots through the bar", "step 3: the middle one opened", "step 4: each measured twice, crosswise"];
/// Under a pilot that is measured.
pub const TRIAL_PILOT: &str = "pilot";
/// Under the dog hole that is measured.
pub const TRIAL_DOG_HOLE: &str = "dog hole";

/// What the drawing of the trial bore shows.
pub fn about_trial() -> &'static str {
    "An offcut, three times. Three pilots are bored through the bar. The guide block stands on pins in the outer two, \
     and the middle one is opened. Every hole is measured twice, crosswise."
}

/// The bar of the trial and its holes, from 0, through which the pilots stand as far apart as the
/// block reaches; `None` where no bar has such holes.
pub fn trial_places(job: &Job) -> Option<(String, [usize; 3])> {
    let kit = job.kit.as_ref()?;
    let reach = kit.block.reach[0];
    kit.bars.iter().find_map(|bar| {
        let apart = (reach / bar.pitch).round();
        let fits = apart >= 1.0 && (apart * bar.pitch - reach).abs() < SAME_PLACE && 2.0 * apart < f64::from(bar.holes);
        fits.then(|| (format!("{}1", bar.name), [0, apart as usize, 2 * apart as usize]))
    })
}

/// Places nearer to each other than this are one, mm: a scribed line is as wide.
const SAME_PLACE: f64 = 0.1;

/// The card before the first: a trial bore in an offcut of the same sheet.
pub fn trial_card(job: &Job) -> Option<Card> {
    let kit = job.kit.as_ref()?;
    let u = job.units;
    let step = |text: String| CardLine::Step(Rich::new(text));
    let bit = limits(u, kit.pilot_bit.diameter);
    let big = limits(u, kit.opening_bit.diameter);
    let through = match trial_places(job) {
        Some((id, [a, b, c])) => format!("holes {a}, {b} and {c} of\u{a0}{}", bold(&id)),
        None => format!("a bar, {} apart, as far as the block reaches", length(u, kit.block.reach[0])),
    };
    Some(Card {
        kind: CardKind::Trial,
        setups: Vec::new(),
        number: "0".to_owned(),
        title: "Trial bore in an offcut".to_owned(),
        aside: vec!["before card\u{a0}1".to_owned(), "once for every sheet and bit".to_owned()],
        notes: job.bench_notes.iter().filter(|n| n.at == NoteAt::Card(0)).map(|n| n.text.clone()).collect(),
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
                "Clamp the bar on the offcut. With the {bit} bit bore three pilots through {through}. A pin must go into \
                 each under a finger."
            )),
            step(format!(
                "Pin {} in the outer two, clamp it, and open the middle one with the {big} bit: low speed, side \
                 handle, both hands, let the bit stop before you lift. A dog must go in under a hand.",
                bold("K1")
            )),
            step(
                "Measure each hole twice, crosswise, and write every diameter down; where the jaws do not go in, try the shanks \
                 of drills a tenth apart. Measure the bits with the same \
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
            askew: Vec::new(),
        }),
        stuck: Some(Rich::new(format!(
            "{} sharpen or change the bit, bore slower, lift out to clear chips. Do not go on with a bit whose holes \
             do not take the pin.",
            bold("If a pin or dog will not go:")
        ))),
        next: None,
    })
}
