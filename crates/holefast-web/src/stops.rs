//! The work at the bench as a row of stops: a card is one, of a card of openings each opening. What is
//! done is read from the job's own text and written into it. Pure.

use holefast::job::{DoneAs, mark_done, mark_not_done, tick, untick};
use holefast::plan::{Bit, HoleKind, Place, Plan, Setup};
use holefast::top::Cell;
use holefast::words::{Card, CardKind, cards, trial_card};
use holefast::{Fault, Job};

/// One thing to do and tick off.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// Which of the cards, from 0.
    pub card: usize,
    /// Which of the card's openings, from 0.
    pub opening: Option<usize>,
    /// Its set-up, as an index in the plan; none for the trial bore and for plugging.
    pub setup: Option<usize>,
    /// What it is called in the job's text where that has no other place for it, and on the page.
    pub name: String,
    /// Minutes.
    pub minutes: f64,
    /// Done.
    pub done: bool,
    bored: [Vec<Cell>; 2],
}

/// The cards of a plan, the trial bore before them where none was measured.
pub fn all_cards(job: &Job, plan: &Plan) -> Vec<Card> {
    let trial = if job.trial.is_none() { trial_card(job) } else { None };
    trial.into_iter().chain(cards(job, plan)).collect()
}

/// The stops of these cards, and which of them are done by what the job says now.
///
/// `goes_on` is the plan of what is left, in which checks that are behind are marked.
pub fn stops(now: &Job, plan: &Plan, goes_on: &Plan, cards: &[Card]) -> Vec<Stop> {
    let mut all = Vec::new();
    for (index, card) in cards.iter().enumerate() {
        match card.kind {
            CardKind::Trial => all.push(bare(index, TRIAL.to_owned(), 0.0)),
            CardKind::Plugs => {
                all.push(bare(index, format!("{PLUG} {}", plan.plugged.join(" ")), plan.plugging_minutes()));
            }
            CardKind::Bore | CardKind::Check | CardKind::Openings => {
                let many = card.kind == CardKind::Openings;
                for (n, &setup) in card.setups.iter().enumerate() {
                    let Some(of) = plan.setups.get(setup) else { continue };
                    all.push(stop(index, many.then_some(n), setup, of, plan));
                }
            }
        }
    }
    let begun = !now.done.is_empty();
    for stop in &mut all {
        let is = |cells: &[Cell], as_: DoneAs| cells.iter().all(|c| is_done(now, *c, as_));
        let [pilots, dogs] = &stop.bored;
        let setup = stop.setup.and_then(|i| plan.setups.get(i));
        let behind = setup.is_some_and(|s| s.check && checked(goes_on, s));
        let bored = !(pilots.is_empty() && dogs.is_empty()) && is(pilots, DoneAs::Pilot) && is(dogs, DoneAs::Dog);
        stop.done = bored || behind || now.ticked.contains(&stop.name) || (stop.name == TRIAL && begun);
    }
    all
}

const TRIAL: &str = "trial bore";
const PLUG: &str = "plug";

fn bare(card: usize, name: String, minutes: f64) -> Stop {
    Stop { card, opening: None, setup: None, name, minutes, done: false, bored: Default::default() }
}

fn stop(card: usize, opening: Option<usize>, index: usize, setup: &Setup, plan: &Plan) -> Stop {
    let names = |of: Vec<String>| of.join(" ");
    let name = if setup.check {
        format!("check {}", names(holes_of(setup)))
    } else {
        let bit = if setup.bores.iter().any(|b| b.bit == Bit::Opening) { "open" } else { "bore" };
        format!("{bit} {}", names(setup.bores.iter().map(|b| b.hole.clone()).collect()))
    };
    let bored = [Bit::Pilot, Bit::Opening].map(|bit| {
        let of_bit = setup.bores.iter().filter(|b| b.bit == bit);
        of_bit.filter_map(|b| cell_of(plan, &b.hole)).collect()
    });
    Stop { card, opening, setup: Some(index), name, minutes: setup.minutes, done: false, bored }
}

/// The holes that a set-up's locators stand in.
pub fn holes_of(setup: &Setup) -> Vec<String> {
    let hole = |place: &Place| match place {
        Place::Hole(name) => Some(name.clone()),
        Place::Feature { .. } => None,
    };
    setup.pins.iter().filter_map(|p| hole(&p.b).or_else(|| hole(&p.a))).collect()
}

/// The place of the grid of a hole that `[[done]]` can name.
fn cell_of(plan: &Plan, hole: &str) -> Option<Cell> {
    let known = plan.hole(hole)?;
    (known.kind == HoleKind::Dog && known.row.is_some()).then(|| Cell::parse(hole)).flatten()
}

/// True if the job says that this place is so far, and sound.
fn is_done(job: &Job, cell: Cell, as_: DoneAs) -> bool {
    let named = |how: DoneAs| job.done.iter().any(|d| d.as_ == how && d.holes.iter().any(|r| r.contains(cell)));
    let far = named(DoneAs::Dog) || (as_ == DoneAs::Pilot && named(DoneAs::Pilot));
    far && job.spoiled.iter().all(|s| s.hole != cell.to_string())
}

/// True if the plan of what is left has this check behind it.
fn checked(goes_on: &Plan, check: &Setup) -> bool {
    goes_on.setups.iter().any(|s| s.done && s.check && s.pins == check.pins)
}

impl Stop {
    /// The job's text with this stop done.
    pub fn mark(&self, text: &str) -> Result<String, Fault> {
        let [pilots, dogs] = &self.bored;
        if pilots.is_empty() && dogs.is_empty() {
            return tick(text, &self.name);
        }
        let text = mark_done(text, pilots, DoneAs::Pilot)?;
        mark_done(&text, dogs, DoneAs::Dog)
    }

    /// The job's text with this stop not done.
    pub fn unmark(&self, text: &str, plan: &Plan) -> Result<String, Fault> {
        let [pilots, dogs] = &self.bored;
        let text = untick(text, &self.name)?;
        // Of an opening over a plug there was no pilot.
        let piloted = |cell: &Cell| {
            let name = cell.to_string();
            plan.setups.iter().flat_map(|s| &s.bores).any(|b| b.hole == name && b.bit == Bit::Pilot)
                || plan.exists.iter().any(|e| e.hole == name && !e.dog)
        };
        let (had, had_none): (Vec<Cell>, Vec<Cell>) = dogs.iter().partition(|cell| piloted(cell));
        let text = mark_not_done(&text, &had, DoneAs::Dog, true)?;
        let text = mark_not_done(&text, &had_none, DoneAs::Dog, false)?;
        mark_not_done(&text, pilots, DoneAs::Pilot, false)
    }

    /// The holes that are bored here, grid and others.
    pub fn bores(&self, plan: &Plan) -> Vec<String> {
        let setup = self.setup.and_then(|i| plan.setups.get(i));
        setup.map_or_else(Vec::new, |s| s.bores.iter().map(|b| b.hole.clone()).collect())
    }
}

/// The job's text with a hole spoiled; what was ticked off of it, plugs and checks, is to be done again.
pub fn spoil(text: &str, job: &Job, hole: &str, why: &str) -> Result<String, Fault> {
    let mut text = holefast::job::spoil(text, hole, why)?;
    for ticked in job.ticked.iter().filter(|t| t.split(' ').any(|word| word == hole)) {
        text = untick(&text, ticked)?;
    }
    Ok(text)
}

/// Minutes of what is not done.
pub fn minutes_left(stops: &[Stop]) -> f64 {
    stops.iter().filter(|s| !s.done).map(|s| s.minutes).sum()
}

/// The stop to go to: the one of that name, else the first that is not done, else the last.
pub fn at(stops: &[Stop], name: Option<&str>) -> Option<usize> {
    let named = name.and_then(|name| stops.iter().position(|s| s.name == name));
    named.or_else(|| stops.iter().position(|s| !s.done)).or_else(|| stops.len().checked_sub(1))
}

/// The next stop that is not done, after this one and then from the beginning.
pub fn next(stops: &[Stop], from: usize) -> Option<usize> {
    let open = |i: &usize| stops.get(*i).is_some_and(|s| !s.done);
    (from + 1..stops.len()).find(open).or_else(|| (0..from).find(open))
}

#[cfg(test)]
mod tests {
    use holefast::plan::{PlanOptions, make_plan};
    use holefast::top::lay_out;

    use super::*;

    fn planned(text: &str) -> (Job, Plan) {
        let job = holefast::job::parse(text).job.unwrap();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        (job, plan)
    }

    #[test]
    fn every_set_up_is_a_stop_and_the_work_ends_with_all_of_them_done() {
        let (job, whole) = planned(crate::EXAMPLE);
        let cards = all_cards(&job, &whole);
        let first = stops(&job, &whole, &whole, &cards);
        assert_eq!(first.iter().filter(|s| s.setup.is_some()).count(), whole.setups.len());
        assert!((minutes_left(&first) - whole.minutes()).abs() < 1e-9);
        let mut names: Vec<&String> = first.iter().map(|s| &s.name).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), first.len(), "each has a name of its own");
        // Ticked one after the other, each is done when it is ticked and not before.
        let mut text = crate::EXAMPLE.to_owned();
        for (i, stop) in first.iter().enumerate() {
            let now = holefast::job::parse(&text).job.unwrap();
            let seen = stops(&now, &whole, &whole, &cards);
            assert_eq!(at(&seen, None), Some(i), "{}", stop.name);
            text = stop.mark(&text).unwrap();
        }
        let now = holefast::job::parse(&text).job.unwrap();
        let seen = stops(&now, &whole, &whole, &cards);
        assert!(seen.iter().all(|s| s.done), "{:?}", seen.iter().find(|s| !s.done));
        assert_eq!((minutes_left(&seen), next(&seen, 3), at(&seen, None)), (0.0, None, Some(seen.len() - 1)));
        // And taken back from the last to the first, nothing is left of it in the text.
        for stop in first.iter().rev() {
            text = stop.unmark(&text, &whole).unwrap();
        }
        assert_eq!(text, crate::EXAMPLE);
    }

    #[test]
    fn a_spoiled_hole_brings_its_plug_and_its_check_back() {
        let (job, whole) = planned(crate::EXAMPLE);
        let cards = all_cards(&job, &whole);
        let first = stops(&job, &whole, &whole, &cards);
        let check = first.iter().position(|s| s.name.starts_with("check ")).unwrap();
        let mut text = crate::EXAMPLE.to_owned();
        for stop in &first[..=check] {
            text = stop.mark(&text).unwrap();
        }
        let hole = first[check].name.split(' ').nth(1).unwrap();
        let now = holefast::job::parse(&text).job.unwrap();
        let text = spoil(&text, &now, hole, "the check did not go").unwrap();
        let (job, plan) = planned(&text);
        assert_eq!(plan.plugged, [hole]);
        let cards = all_cards(&job, &plan);
        let seen = stops(&job, &plan, &plan, &cards);
        assert_eq!(seen[at(&seen, None).unwrap()].name, format!("plug {hole}"));
        // Plugged and bored again it is spoiled no longer, and the own plan goes on.
        let mut text = text;
        for stop in seen.iter().filter(|s| s.name.starts_with("plug ") || s.bores(&plan) == [hole]) {
            if !text.contains(&format!("open {hole}")) && !stop.name.starts_with("open ") {
                text = stop.mark(&text).unwrap();
            }
        }
        let now = holefast::job::parse(&text).job.unwrap();
        assert!(now.spoiled.is_empty(), "{text}");
        let seen = stops(&now, &whole, &whole, &all_cards(&now, &whole));
        assert!(!seen.iter().find(|s| s.name == first[check].name).unwrap().done, "the check is made again");
    }
}
