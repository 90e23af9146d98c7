//! A plan in outline: the choice in a sentence or two, then the stages with their cards and minutes.
//!
//! The cards say how each set-up is done; this says what the work amounts to.

use super::figures::{minutes, span_of};
use super::holding::counts;
use super::numbers::{CardNumbers, OnCard};
use crate::job::Job;
use crate::kit::Minutes;
use crate::plan::{Bit, Plan, Setup, Stage};

/// What a stage of the plan amounts to; of the openings, one pass.
#[derive(Clone, Debug, PartialEq)]
pub struct StageLine {
    /// Its cards, first and last.
    pub cards: [usize; 2],
    /// What it is called.
    pub name: String,
    /// What is done in it: "14 pilots", "1 check".
    pub amount: String,
    /// Minutes.
    pub minutes: f64,
}

/// The stages of a plan in order of work.
pub fn stages(plan: &Plan) -> Vec<StageLine> {
    let numbers = CardNumbers::of(plan);
    let first_of = |card: &OnCard| card.setups().first().and_then(|&i| plan.setups.get(i)).map(|s| (s.stage, s.pass));
    let mut next = 1;
    let mut all = Vec::new();
    for run in numbers.cards().chunk_by(|a, b| first_of(a) == first_of(b)) {
        let setups: Vec<&Setup> = run.iter().flat_map(OnCard::setups).filter_map(|&i| plan.setups.get(i)).collect();
        let cards = [next, next + run.len() - 1];
        next += run.len();
        if run.first() == Some(&OnCard::Plugs) {
            let n = plan.plugged.len();
            let amount = format!("{n} {}", word(n, "hole"));
            all.push(StageLine { cards, name: "plug".to_owned(), amount, minutes: plan.plugging_minutes() });
            continue;
        }
        let Some((stage, pass)) = run.first().and_then(first_of) else { continue };
        let name = match (stage, pass) {
            (Stage::Open, Some(1)) => "open, first pass".to_owned(),
            (Stage::Open, Some(2)) => "open, second pass".to_owned(),
            (stage, _) => stage.name().to_owned(),
        };
        let bored = |bit| setups.iter().flat_map(|s| &s.bores).filter(|b| b.bit == bit).count();
        let counted = [
            (bored(Bit::Pilot), "pilot"),
            (bored(Bit::Opening), "dog hole"),
            (setups.iter().filter(|s| s.check).count(), "check"),
        ];
        let mut amount: Vec<String> =
            counted.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {}", word(*n, what))).collect();
        amount.extend(counts(&setups));
        let minutes = setups.iter().map(|s| s.minutes).sum();
        all.push(StageLine { cards, name, amount: amount.join(", "), minutes });
    }
    all
}

/// Returns the lines that `holefast plan` prints.
pub fn lines(job: &Job, plan: &Plan) -> Vec<String> {
    let mut lines: Vec<String> = plan.reasons.clone();
    let rows: Vec<[String; 3]> = stages(plan)
        .into_iter()
        .map(|stage| {
            let [first, last] = stage.cards;
            let of = if first == last { "card " } else { "cards" };
            let amount = format!("{}, {}", stage.amount, minutes(stage.minutes));
            [format!("{of} {}", span_of(first as u32, last as u32)), stage.name, amount]
        })
        .collect();
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let (first, second) = (width(0), width(1));
    lines.extend(rows.iter().map(|[cards, name, amount]| format!("{cards:<first$}  {name:<second$}  {amount}")));
    lines.push(total(plan));
    lines.extend(job.kit.as_ref().map(|kit| kit.minutes).filter(|m| m.assumed).map(minutes_assumed));
    lines
}

/// The times that were reckoned with where the job states none.
pub fn minutes_assumed(minutes: Minutes) -> String {
    format!(
        "Times are assumed: {} minutes a set-up, {} a pilot, {} an opening; write your own under [kit.minutes].",
        minutes.setup, minutes.pilot, minutes.opening
    )
}

/// "25 cards for 117 set-ups, 3 of them checks: 11 h 40".
pub fn total(plan: &Plan) -> String {
    let cards = CardNumbers::of(plan).cards().len();
    let left = || plan.setups.iter().filter(|s| !s.done);
    let (setups, checks) = (left().count(), left().filter(|s| s.check).count());
    let of_them = match checks {
        0 => String::new(),
        1 => ", 1 of them a check".to_owned(),
        n => format!(", {n} of them checks"),
    };
    format!(
        "{cards} {} for {setups} {}{of_them}: {}",
        word(cards, "card"),
        word(setups, "set-up"),
        minutes(plan.minutes())
    )
}

fn word(n: usize, word: &str) -> String {
    if n == 1 { word.to_owned() } else { format!("{word}s") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{PlanOptions, make_plan};
    use crate::testing::trailer_top;
    use crate::top::lay_out;

    #[test]
    fn every_set_up_stands_in_one_line_and_the_amounts_add_up() {
        let job = trailer_top();
        let plan = make_plan(&job, &lay_out(&job).unwrap(), &PlanOptions::default()).unwrap();
        let lines = lines(&job, &plan);
        let stages: Vec<&String> = lines.iter().filter(|l| l.starts_with("card ") || l.starts_with("cards ")).collect();
        let mut next = 1;
        for line in &stages {
            let numbers: Vec<u32> = line
                .trim_start_matches("cards")
                .trim_start_matches("card")
                .split_whitespace()
                .map_while(|w| if w == "to" { Some(None) } else { w.parse().ok().map(Some) })
                .flatten()
                .collect();
            assert_eq!(numbers[0], next, "{line}");
            next = numbers[numbers.len() - 1] + 1;
        }
        assert_eq!(next as usize, CardNumbers::of(&plan).cards().len() + 1);
        let minutes: f64 = super::stages(&plan).iter().map(|s| s.minutes).sum();
        assert!((minutes - plan.minutes()).abs() < 1e-9, "{minutes} of {}", plan.minutes());
        let opened: u32 = stages
            .iter()
            .filter_map(|l| l.split_once(" dog hole").map(|(before, _)| before.rsplit(' ').next().unwrap()))
            .map(|n| n.parse::<u32>().unwrap())
            .sum();
        assert_eq!(opened, 98);
    }
}
