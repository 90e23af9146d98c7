//! The safety page: cautions by kind of work, as specific as the job lets them be. The same ones
//! stand on the cards where they are needed.

use super::figures::length;
use super::numbers::CardNumbers;
use crate::drawing::overhangs;
use crate::job::Job;
use crate::plan::{Plan, TemplateKind};
use crate::top::{Layout, sag};

/// Above this two people lift, kg (common practice, no source).
const TWO_PEOPLE_KG: f64 = 20.0;

/// A heading with its cautions.
#[derive(Clone, Debug, PartialEq)]
pub struct Caution {
    /// What they are about.
    pub head: String,
    /// Sentences.
    pub lines: Vec<String>,
}

/// The cautions of a job.
pub fn cautions(job: &Job, layout: &Layout, plan: &Plan) -> Vec<Caution> {
    let weight_kg = layout.weight.as_ref().map(|w| w.whole);
    let make = |head: &str, lines: Vec<String>| Caution { head: head.to_owned(), lines };
    let mdf = job.top.material.name.to_lowercase().contains("mdf");
    let dust = if mdf {
        "MDF dust is the finest there is: extraction at the bit, a mask of the class local rules ask, vacuum, never blow."
    } else {
        "Wood dust harms lungs: extraction at the bit, a mask of the class local rules ask, vacuum, never blow."
    };
    let mut all = vec![
        make(
            "Eyes, ears, lungs",
            vec![
                "Cover eyes and ears for every hole, the small ones too.".to_owned(),
                dust.to_owned(),
                "No gloves, loose sleeves, rings or hair near a turning bit.".to_owned(),
            ],
        ),
        make(
            "Boring",
            vec![
                format!(
                    "The sheet is clamped and backed. The bit comes out {} below the top: no hand, thigh, trestle, \
                     cable or van floor there.",
                    length(job.units, job.top.thickness)
                ),
                "Battery or plug out when changing bits.".to_owned(),
                "Clear the chips before each pin. Count the pins back after every set-up.".to_owned(),
                "Where a hole is bored in which a pin stood: draw the pin, see it in your hand, then drill. A bit on \
                 a hardened pin shatters."
                    .to_owned(),
            ],
        ),
        make(
            "The big bit",
            vec![
                format!(
                    "{} across: low speed, side handle, both hands, feet apart. Expect the snatch at breakthrough.",
                    length(job.units, job.grid.hole)
                ),
                "The block is always clamped: a big bit's torque on two small pins wrecks the pilots, and the block \
                 comes round with it."
                    .to_owned(),
                "Let the bit stop before you lift it or reach for chips.".to_owned(),
            ],
        ),
    ];
    let card_numbers = CardNumbers::of(plan);
    let mut out: Vec<String> = Vec::new();
    for (index, setup) in plan.setups.iter().enumerate().filter(|(_, s)| !s.done) {
        for placed in &setup.templates {
            let Some(template) = plan.template(&placed.id).filter(|t| t.kind == TemplateKind::Bar) else { continue };
            if !overhangs(job, template, placed).is_empty() {
                out.extend(card_numbers.number(index).map(|n| n.to_string()));
            }
        }
    }
    let mut bars = vec!["Bars are steel at hip height: walk round them, and keep children out.".to_owned()];
    if !out.is_empty() {
        out.dedup();
        let on = if out.len() == 1 { "card" } else { "cards" };
        bars.push(format!(
            "On {on} {} a bar stands out over the edge; the card says how far. Hang a rag on its end.",
            out.join(", ")
        ));
    }
    all.push(make("Bars that stand out", bars));
    let mut lift = Vec::new();
    match weight_kg {
        Some(kg) if kg > TWO_PEOPLE_KG => {
            lift.push(format!("The sheet weighs about {kg:.0}\u{a0}kg: two people lift and turn it."));
        }
        Some(kg) => lift.push(format!(
            "The sheet weighs about {kg:.0}\u{a0}kg; above {TWO_PEOPLE_KG:.0}\u{a0}kg two people lift. Clear the way \
             before you turn it."
        )),
        None => lift.push(format!(
            "The sheet's weight is not known here: weigh it. Above {TWO_PEOPLE_KG:.0}\u{a0}kg two people lift."
        )),
    }
    if let Some(kg) = sag(job, layout).ok().and_then(|sag| sag.tips_at) {
        lift.push(format!(
            "On its supports the top tips when more than {kg:.0}\u{a0}kg rest on an end that overhangs: clamp it down \
             or prop that end before you bore or lean there."
        ));
    }
    all.push(make("Lifting and tipping", lift));
    if !job.cuts.is_empty() {
        all.push(make("Cutting", super::cutting::CUTTING.map(str::to_owned).to_vec()));
    }
    all.push(make(
        "Who works",
        vec![
            "Learners under supervision. Stop when tired: the last holes are the ones that go wrong.".to_owned(),
            "None of this replaces the tool makers' instructions, local rules or training.".to_owned(),
        ],
    ));
    all
}
