//! A plan in outline: the choice in a sentence or two, then the stages with their set-ups and minutes.
//!
//! The cards say how each set-up is done; this says what the work amounts to.

use crate::plan::{Bit, Plan, Setup, Stage};

/// Returns the lines that `holefast plan` prints.
pub fn lines(plan: &Plan) -> Vec<String> {
    let mut lines: Vec<String> = plan.reasons.clone();
    let runs: Vec<&[Setup]> = plan.setups.chunk_by(|a, b| a.stage == b.stage && a.pass == b.pass).collect();
    let names: Vec<[String; 3]> = runs.iter().filter_map(|run| stage(run)).collect();
    let width = |column: usize| names.iter().map(|n| n[column].chars().count()).max().unwrap_or(0);
    let (first, second) = (width(0), width(1));
    lines.extend(names.iter().map(|[setups, name, amount]| format!("{setups:<first$}  {name:<second$}  {amount}")));
    let (setups, checks) = (plan.setups.len(), plan.setups.iter().filter(|s| s.check).count());
    let of_them = if checks == 0 { String::new() } else { format!(", {checks} of them {}", word(checks, "check")) };
    lines.push(format!("{setups} {}{of_them}: {}", word(setups, "set-up"), minutes(plan.minutes())));
    lines
}

/// Which set-ups, what they are, and what they amount to.
fn stage(run: &[Setup]) -> Option<[String; 3]> {
    let (first, last) = (run.first()?, run.last()?);
    let name = match (first.stage, first.pass) {
        (Stage::Open, Some(1)) => "open, first pass".to_owned(),
        (Stage::Open, Some(2)) => "open, second pass".to_owned(),
        (stage, _) => stage.name().to_owned(),
    };
    let bored = |bit| run.iter().flat_map(|s| &s.bores).filter(|b| b.bit == bit).count();
    let counted = [
        (bored(Bit::Pilot), "pilot"),
        (bored(Bit::Opening), "dog hole"),
        (run.iter().filter(|s| s.check).count(), "check"),
    ];
    let mut amount: Vec<String> =
        counted.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {}", word(*n, what))).collect();
    amount.push(minutes(run.iter().map(|s| s.minutes).sum()));
    let of = if first.number == last.number { "set-up " } else { "set-ups" };
    Some([format!("{of} {}", span_of(first.number, last.number)), name, amount.join(", ")])
}

fn word(n: usize, word: &str) -> String {
    if n == 1 { word.to_owned() } else { format!("{word}s") }
}

fn minutes(m: f64) -> String {
    format!("{m:.0} minutes")
}
fn span_of(first: u32, last: u32) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
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
        let lines = lines(&plan);
        let stages: Vec<&String> = lines.iter().filter(|l| l.starts_with("set-up")).collect();
        let mut next = 1;
        for line in &stages {
            let numbers: Vec<u32> = line
                .trim_start_matches("set-ups")
                .trim_start_matches("set-up")
                .split_whitespace()
                .map_while(|w| if w == "to" { Some(None) } else { w.parse().ok().map(Some) })
                .flatten()
                .collect();
            assert_eq!(numbers[0], next, "{line}");
            next = numbers[numbers.len() - 1] + 1;
        }
        assert_eq!(next as usize, plan.setups.len() + 1);
        let opened: u32 = stages
            .iter()
            .filter_map(|l| l.split_once(" dog hole").map(|(before, _)| before.rsplit(' ').next().unwrap()))
            .map(|n| n.parse::<u32>().unwrap())
            .sum();
        assert_eq!(opened, 98);
    }
}
