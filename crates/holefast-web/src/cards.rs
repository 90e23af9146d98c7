//! The cards as the page draws them: which scene belongs to which, laid out for the room there is. Pure.

use holefast::drawing::{OpeningsPart, Role, Scene, key_of, key_sign, openings_view, setup_view, top_view, trial_view};
use holefast::words::{self, Card, CardKind};
use holefast::{Job, Layout, Plan};

use crate::stops::{Stop, all_cards};
use holefast_web_planner::Planned;
use holefast_web_planner::theme::PAGE;

/// A plan as it is shown: with the job it was made for, and its cards.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// The job.
    pub job: Job,
    /// Its layout.
    pub layout: Layout,
    /// The plan whose cards are shown: the whole one, as long as the work goes on in it.
    pub plan: Plan,
    /// The plan of what is left.
    pub left: Plan,
    /// The cards, the trial bore first where none was measured.
    pub cards: Vec<Card>,
}

impl Shown {
    /// Reads an answer; `None` if text or plan is none, which no worker of this version answers.
    pub fn of(text: &str, planned: &Planned) -> Option<Shown> {
        let job = holefast::job::parse(text).job?;
        let layout = holefast::top::lay_out(&job).ok()?;
        let left = holefast::plan::from_json(&planned.plan).ok()?;
        let plan = match &planned.whole {
            Some(whole) => holefast::plan::from_json(whole).ok()?,
            None => left.clone(),
        };
        let cards = all_cards(&job, &plan);
        Some(Shown { job, layout, plan, left, cards })
    }

    /// The drawing of a whole card.
    pub fn card_scene(&self, card: &Card, room: [f64; 2]) -> Option<Scene> {
        match (card.kind, card.setups.first()) {
            (CardKind::Trial, _) => trial_view(&self.job, &self.plan, room),
            (CardKind::Openings, _) => {
                let first = card.openings.first().map_or(1, |o| o.order as usize);
                let part = OpeningsPart { setups: card.setups.clone(), first };
                Some(openings_view(&self.job, &self.layout, &self.plan, &part, room))
            }
            (CardKind::Bore | CardKind::Check, Some(&index)) => {
                Some(setup_view(&self.job, &self.layout, &self.plan, index, room))
            }
            _ => Some(top_view(&self.job, &self.layout, room)),
        }
    }

    /// The drawing of a stop: of an opening that one alone, cropped to what matters.
    pub fn stop_scene(&self, stop: &Stop, room: [f64; 2]) -> Option<Scene> {
        match stop.setup {
            Some(index) => Some(setup_view(&self.job, &self.layout, &self.plan, index, room)),
            None => self.cards.get(stop.card).and_then(|card| self.card_scene(card, room)),
        }
    }
}

/// A scene as SVG for the page; `name` is its own on the page, so that two drawings do not cut each
/// other off.
pub fn drawn(scene: &Scene, name: &str) -> String {
    let svg = holefast_paper::svg(scene, &PAGE);
    named(&svg, name)
}

/// A drawing whose clip has a name of its own.
pub fn named(svg: &str, name: &str) -> String {
    svg.replace("id=\"part\"", &format!("id=\"part-{name}\"")).replace("url(#part)", &format!("url(#part-{name})"))
}

/// The signs of a drawing with their words; the reference corner is known by now.
pub fn keys(scene: &Scene) -> Vec<(String, &'static str)> {
    key_of(scene)
        .into_iter()
        .filter(|role| *role != Role::ReferenceCorner)
        .map(|role| (drawn(&key_sign(role), &format!("key-{role:?}")), words::key_name(role)))
        .collect()
}

#[cfg(test)]
mod tests {
    use holefast::words::CardKind;

    use super::*;
    use crate::stops::stops;

    #[test]
    fn every_card_and_every_stop_has_a_drawing_that_says_what_it_shows() {
        let planned = holefast_web_planner::planned(crate::EXAMPLE, 90.0).unwrap();
        let shown = Shown::of(crate::EXAMPLE, &planned).unwrap();
        assert_eq!(shown.cards[0].kind, CardKind::Trial);
        for card in &shown.cards {
            let scene = shown.card_scene(card, [90.0, 70.0]).unwrap();
            assert!(!scene.about.is_empty() && !scene.items.is_empty(), "{}", card.title);
        }
        let stops = stops(&shown.job, &shown.plan, &shown.left, &shown.cards);
        let opening = stops.iter().find(|s| s.opening == Some(3)).unwrap();
        let scene = shown.stop_scene(opening, [90.0, 70.0]).unwrap();
        let hole = &shown.cards[opening.card].openings[3].hole;
        assert!(scene.texts().any(|(_, t)| t == hole), "{hole} is named");
        let svg = drawn(&scene, "x");
        assert!(svg.contains("id=\"part-x\"") && svg.contains("url(#part-x)") && !svg.contains("\"part\""));
    }
}
