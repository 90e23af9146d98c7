//! The cards of the bench: every set-up in numbered steps that can be followed without the drawing.
//!
//! A card is data (steps, cautions, boxes); how it is set is the paper's or the page's matter.
//! Template positions, pins and holes are read from the plan alone.

mod check;
mod opening;
mod phrases;
mod plugs;
mod setup;
mod title;
mod trial;

pub(super) use title::title;
pub use trial::{TRIAL_DOG_HOLE, TRIAL_PICTURES, TRIAL_PILOT, about_trial, trial_card, trial_places};

use super::notes::notes_on;
use super::numbers::{CardNumbers, OnCard};
use super::rich::{Rich, bold};
use super::sentence::lower_first;
use crate::job::Job;
use crate::plan::{Plan, Stage};
use opening::openings_card;
use plugs::plugs_card;
use setup::setup_card;

/// What a card is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CardKind {
    /// The trial bore in an offcut.
    Trial,
    /// Plugging of spoiled holes.
    Plugs,
    /// Boring pilots.
    Bore,
    /// A check.
    Check,
    /// A part of the openings.
    Openings,
}

/// A line of a card.
#[derive(Clone, Debug, PartialEq)]
pub enum CardLine {
    /// Something to do and tick off.
    Step(Rich),
    /// A caution, before the act it belongs to.
    Caution(Rich),
}

/// One opening in a list of them.
#[derive(Clone, Debug, PartialEq)]
pub struct OpeningLine {
    /// Its place in the order of this card, from 1.
    pub order: u32,
    /// The hole that is opened.
    pub hole: String,
    /// Where the block's locators stand: hole names, the hole itself left out.
    pub on: Vec<String>,
    /// The finished hole in which a hold-down stands for it.
    pub hold_down: Option<String>,
}

/// What a check card says beside its steps.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckWords {
    /// The limit.
    pub limit: Rich,
    /// Boxes to write in.
    pub entries: Vec<String>,
    /// What to do if it does not go, in order.
    pub if_not: Vec<Rich>,
    /// The holes to plug where none is out and the lines lie askew: all of the later set-up.
    pub askew: Vec<String>,
}

/// One card.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// What it is for.
    pub kind: CardKind,
    /// Its set-ups, as indices in the plan; none where nothing of the plan is done on it.
    pub setups: Vec<usize>,
    /// Its number as printed large ([`super::CardNumbers`]); 0 for the trial bore.
    pub number: String,
    /// Title.
    pub title: String,
    /// Beside the title: which of how many, how long.
    pub aside: Vec<String>,
    /// The maker's own notes.
    pub notes: Vec<String>,
    /// Steps and cautions in order.
    pub lines: Vec<CardLine>,
    /// Openings only.
    pub openings: Vec<OpeningLine>,
    /// Checks only.
    pub check: Option<CheckWords>,
    /// If a pin will not go.
    pub stuck: Option<Rich>,
    /// What comes next.
    pub next: Option<Rich>,
}

/// The cards of a plan in order of work, without the trial bore.
pub fn cards(job: &Job, plan: &Plan) -> Vec<Card> {
    let numbers = CardNumbers::of(plan);
    let of = numbers.cards().len();
    let first = plan.setups.iter().position(|s| !s.done && !s.check && s.stage != Stage::Open);
    let mut all: Vec<Card> = numbers
        .cards()
        .iter()
        .map(|on| match on {
            OnCard::Plugs => plugs_card(job, plan),
            OnCard::One(index) => setup_card(job, plan, *index, first == Some(*index)),
            OnCard::Openings(part) => openings_card(job, plan, part),
        })
        .collect();
    for (i, card) in all.iter_mut().enumerate() {
        card.number = (i + 1).to_string();
        card.notes = notes_on(job, plan, &numbers, i + 1);
        let which = format!("card {} of {of}", i + 1);
        if card.kind == CardKind::Openings {
            let time = card.aside.pop().unwrap_or_default();
            card.aside.insert(0, format!("{which}, {time}"));
        } else {
            card.aside.insert(0, which);
        }
    }
    let nexts: Vec<Rich> = (0..of)
        .map(|i| match all.get(i + 1) {
            Some(next) => {
                let turned = next.setups.first().and_then(|&i| plan.setups.get(i)).map_or_else(String::new, |s| {
                    s.templates.iter().filter(|t| t.turned_over).map(|t| format!(", {} turned over", t.id)).collect()
                });
                Rich::new(format!("{} card\u{a0}{}, {}{turned}.", bold("Next:"), next.number, lower_first(&next.title)))
            }
            None => Rich::new(format!("{} ease the rims, try pins and dogs.", bold("Next:"))),
        })
        .collect();
    for (card, next) in all.iter_mut().zip(nexts) {
        card.next = Some(next);
    }
    all
}
