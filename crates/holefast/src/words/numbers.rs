//! One count for people: which card a set-up stands on, in the book and wherever a set-up is named.
//!
//! A plan numbers every clamping, 98 of them for 98 openings; nobody at a bench counts so. Openings
//! that are alike share a card, everything else has one of its own, and cards are numbered from 1;
//! where spoiled holes are plugged, that is the first.
//! The plan's own numbers stand in its data only, and in what is said about somebody else's data.

use super::openings::parts;
use crate::drawing::OpeningsPart;
use crate::plan::{Plan, Stage};

/// What stands on one card; set-ups as indices in the plan.
#[derive(Clone, Debug, PartialEq)]
pub enum OnCard {
    /// Spoiled holes, plugged before anything is bored.
    Plugs,
    /// A set-up of its own.
    One(usize),
    /// Openings that are alike.
    Openings(OpeningsPart),
}

impl OnCard {
    /// The set-ups on this card, as indices in the plan, in order of work.
    pub fn setups(&self) -> &[usize] {
        match self {
            OnCard::Plugs => &[],
            OnCard::One(index) => std::slice::from_ref(index),
            OnCard::Openings(part) => &part.setups,
        }
    }
}

/// The cards of a plan in order of work, and where each set-up stands among them.
#[derive(Clone, Debug, PartialEq)]
pub struct CardNumbers {
    cards: Vec<OnCard>,
    /// By index of the set-up: its card, counted from 0.
    card_of: Vec<Option<usize>>,
}

impl CardNumbers {
    /// Counts the cards of a plan.
    pub fn of(plan: &Plan) -> CardNumbers {
        let mut cards = if plan.plugged.is_empty() { Vec::new() } else { vec![OnCard::Plugs] };
        let mut parts = parts(plan).into_iter().peekable();
        // What is done needs no card.
        for (index, setup) in plan.setups.iter().enumerate().filter(|(_, s)| !s.done) {
            if setup.stage != Stage::Open || setup.check {
                cards.push(OnCard::One(index));
            } else if let Some(part) = parts.next_if(|p| p.setups.first() == Some(&index)) {
                // a part stands where its first opening stands
                cards.push(OnCard::Openings(part));
            }
        }
        let mut card_of = vec![None; plan.setups.len()];
        for (number, card) in cards.iter().enumerate() {
            for &index in card.setups() {
                card_of[index] = Some(number);
            }
        }
        CardNumbers { cards, card_of }
    }

    /// The cards in order of work.
    pub fn cards(&self) -> &[OnCard] {
        &self.cards
    }

    /// The number of the card, from 1, on which the set-up with this index in the plan stands.
    pub fn number(&self, index: usize) -> Option<usize> {
        self.card_of.get(index).copied().flatten().map(|card| card + 1)
    }

    /// "12", or "22, hole E3" where its card has many; `setup` is the plan's own number.
    pub fn place(&self, plan: &Plan, setup: u32) -> Option<String> {
        let index = plan.setups.iter().position(|s| s.number == setup)?;
        let number = self.number(index)?;
        let many = self.cards[number - 1].setups().len() > 1;
        Some(match plan.setups[index].bores.first().filter(|_| many) {
            Some(bore) => format!("{number}, hole\u{a0}{}", bore.hole),
            None => number.to_string(),
        })
    }

    /// "card 12", or "card 22, hole E3"; `setup` is the plan's own number.
    pub fn name(&self, plan: &Plan, setup: u32) -> String {
        match self.place(plan, setup) {
            Some(place) => format!("card\u{a0}{place}"),
            // a number that the plan does not have
            None => format!("set-up\u{a0}{setup}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{PlanOptions, make_plan};
    use crate::testing::trailer_top;
    use crate::top::lay_out;
    use crate::words::cards;

    #[test]
    fn the_cards_carry_these_numbers_and_every_set_up_stands_on_one() {
        let job = trailer_top();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let numbers = CardNumbers::of(&plan);
        let cards = cards(&job, &plan);
        assert!(cards.len() < plan.setups.len() / 3, "{} cards", cards.len());
        let mut seen = vec![0; plan.setups.len()];
        for card in &cards {
            for &index in &card.setups {
                seen[index] += 1;
                assert_eq!(numbers.number(index).unwrap().to_string(), card.number);
                let place = numbers.place(&plan, plan.setups[index].number).unwrap();
                let hole = plan.setups[index].bores.first().map_or("", |b| b.hole.as_str());
                let whole = if card.setups.len() > 1 {
                    format!("{}, hole\u{a0}{hole}", card.number)
                } else {
                    card.number.clone()
                };
                assert_eq!(place, whole);
            }
        }
        assert!(seen.iter().all(|&n| n == 1), "{seen:?}");
        assert_eq!(numbers.name(&plan, 1), "card\u{a0}1");
        assert_eq!(numbers.name(&plan, 9999), "set-up\u{a0}9999");
    }
}
