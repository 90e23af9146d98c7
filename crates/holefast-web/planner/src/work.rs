//! What the planner is asked and what it answers, as text from thread to thread: a job planned and foretold
//! to first order, and the same plan on virtual boards. Pure: the worker's shell hands texts in and out.
//!
//! Numbers, seed and number of boards are those of `holefast predict`; so are the sentences.

pub use holefast::desk::BOARDS;
use holefast::desk::{Boards, Desk};
use holefast::drawing::spread_view;
use holefast::plan;
use holefast::predict::Block;
use holefast::words::expected;
use holefast::{Fault, FaultKind, Job, Plan, job};
use serde::{Deserialize, Serialize};

use crate::prove::{self, NextTold, Proved};
use crate::theme::PAGE;

/// Said where a question cannot be read.
const NOT_UNDERSTOOD: &str = "the page and its planner are of different versions; load the page anew";

/// Height of the picture of the spread, as a part of its width.
const SPREAD_HEIGHT: f64 = 0.52;

/// What a worker is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Ask {
    /// To plan a job and foretell it to first order.
    Plan {
        /// The job's text.
        text: String,
        /// Width of the picture of the spread, mm.
        width: f64,
    },
    /// To build virtual boards of a plan, and to find what would lessen the spread.
    Boards {
        /// The job's text.
        text: String,
        /// Its plan, as data.
        plan: String,
        /// Width of the picture of the spread, mm.
        width: f64,
        /// How many boards.
        boards: u64,
    },
    /// To adjust a job's readings, then to say which is worth taking next.
    Prove {
        /// The job's text.
        text: String,
        /// Room for the picture, mm.
        room: [f64; 2],
    },
    /// What the place Cut wants to know; answered with [`crate::cut::Told`].
    Cut(Box<crate::cut::CutAsk>),
}

/// What it answers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Answer {
    /// A plan, and what it comes to.
    Planned(Planned),
    /// What a plan comes to, known better.
    Foretold(Foretold),
    /// So many virtual boards are built.
    Built {
        /// So many.
        done: u64,
        /// Of so many.
        of: u64,
    },
    /// It cannot be planned.
    Refused(Vec<Refusal>),
    /// What the readings say.
    Proved(Proved),
    /// Which one is worth taking next.
    Next(NextTold),
}

/// A plan and what it comes to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// The plan, as data.
    pub plan: String,
    /// The plan from the bare sheet, where what is done is the beginning of it: its cards keep their
    /// numbers while the work goes on.
    pub whole: Option<String>,
    /// To first order.
    pub foretold: Foretold,
}

/// What a plan comes to, in sentences.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Foretold {
    /// How square.
    pub expectation: String,
    /// What the figures come from.
    pub basis: String,
    /// True if virtual boards are among it.
    pub has_boards: bool,
    /// How often what is wanted is kept, what holds the work up, what the air does.
    pub beside: Vec<String>,
    /// Out of what, largest first.
    pub budget: Vec<Part>,
    /// What each check is worth.
    pub checks: Vec<String>,
    /// The spread as a picture; none where square is not defined.
    pub spread: Option<String>,
}

/// A part of the spread of square.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// "52 %".
    pub share: String,
    /// Where it comes from.
    pub name: String,
    /// What would lessen it.
    pub lessened_by: Option<String>,
}

/// Why something cannot be planned.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Refusal {
    /// What, by how much.
    pub message: String,
    /// A way out.
    pub hint: Option<String>,
}

/// Answers a question; `tell` is called with all that is known, as soon as it is.
pub fn answer(ask: &str, tell: &dyn Fn(&str)) {
    let told = |answer: &Answer| {
        // Texts and numbers: there is nothing in an answer that could not be written.
        if let Ok(text) = serde_json::to_string(answer) {
            tell(&text);
        }
    };
    let outcome = match serde_json::from_str(ask) {
        Ok(Ask::Plan { text, width }) => planned(&text, width).map(|planned| told(&Answer::Planned(planned))),
        Ok(Ask::Prove { text, room }) => {
            told(&Answer::Proved(prove::proved(&text, room)));
            told(&Answer::Next(prove::worth(&text)));
            Ok(())
        }
        Ok(Ask::Boards { text, plan, width, boards }) => on_boards(&text, &plan, width, boards, &told),
        Ok(Ask::Cut(ask)) => {
            crate::cut::answer_cut(*ask, &|answer| {
                tell(&serde_json::to_string(&crate::cut::Told::of(answer)).unwrap_or_default());
            });
            Ok(())
        }
        Err(_) => Err(vec![Fault::input(NOT_UNDERSTOOD)]),
    };
    if let Err(faults) = outcome {
        told(&Answer::Refused(Refusal::all(faults)));
    }
}

impl Refusal {
    /// What stands in the way; remarks do not.
    pub(crate) fn all(faults: Vec<Fault>) -> Vec<Refusal> {
        faults.into_iter().filter(|f| f.kind != FaultKind::Remark).map(Refusal::of).collect()
    }

    pub(crate) fn of(fault: Fault) -> Refusal {
        Refusal { message: fault.message, hint: fault.hint }
    }
}

pub(crate) fn read(text: &str) -> Result<Job, Vec<Fault>> {
    let parsed = job::parse(text);
    match parsed.job {
        Some(job) if parsed.faults.iter().all(|f| f.kind == FaultKind::Remark) => Ok(job),
        _ => Err(parsed.faults),
    }
}

/// Plans a job and foretells it to first order.
pub fn planned(text: &str, width: f64) -> Result<Planned, Vec<Fault>> {
    let job = read(text)?;
    let desk = Desk::new(&job);
    let plan = desk.plan()?;
    let whole = if plan.setups.iter().any(|s| s.done) && plan.plugged.is_empty() {
        let mut bare = job.clone();
        bare.done.clear();
        bare.spoiled.clear();
        let bare = Desk::new(&bare);
        let whole = bare.plan()?;
        goes_on_from(plan, whole).then(|| plan::to_json(whole))
    } else {
        None
    };
    let prediction = desk.prediction(Boards::NONE, &|_, _| Vec::new())?;
    let foretold = foretold(&job, plan, &prediction, &[], width);
    Ok(Planned { plan: plan::to_json(plan), whole, foretold })
}

/// True if a plan is made of the set-ups of another, in whatever order.
fn goes_on_from(plan: &Plan, whole: &Plan) -> bool {
    let same =
        |a: &plan::Setup, b: &plan::Setup| (&a.templates, &a.pins, &a.bores) == (&b.templates, &b.pins, &b.bores);
    plan.setups.len() == whole.setups.len() && plan.setups.iter().all(|s| whole.setups.iter().any(|w| same(s, w)))
}

/// Finds what would lessen the spread, then builds boards, and tells both.
fn on_boards(text: &str, plan: &str, width: f64, boards: u64, told: &dyn Fn(&Answer)) -> Result<(), Vec<Fault>> {
    let job = read(text)?;
    let desk = Desk::with_plan(&job, plan::from_json(plan).map_err(|fault| vec![fault])?);
    let plan = desk.plan()?;
    let lessenings = desk.lessenings()?;
    let first = desk.prediction(Boards::NONE, &|_, _| Vec::new())?;
    told(&Answer::Foretold(foretold(&job, plan, &first, &lessenings, width)));
    let run = |blocks: usize, work: &(dyn Fn(usize) -> Block + Sync)| -> Vec<Block> {
        (0..blocks)
            .map(|n| {
                let block = work(n);
                told(&Answer::Built { done: (n + 1) as u64 * boards / blocks as u64, of: boards });
                block
            })
            .collect()
    };
    let prediction = desk.prediction(Boards::of(boards), &run)?;
    told(&Answer::Foretold(foretold(&job, plan, &prediction, &lessenings, width)));
    Ok(())
}

fn foretold(
    job: &Job,
    plan: &Plan,
    prediction: &holefast::predict::Prediction,
    lessenings: &[holefast::predict::Lessening],
    width: f64,
) -> Foretold {
    let confidence = job.accuracy.confidence;
    let part = |line: expected::BudgetLine| Part {
        share: line.share,
        name: line.name.to_owned(),
        lessened_by: line.lessened_by,
    };
    let room = [width.clamp(60.0, 300.0), SPREAD_HEIGHT * width.clamp(60.0, 300.0)];
    Foretold {
        expectation: expected::expectation(prediction, confidence),
        basis: expected::basis(prediction.boards, prediction.seed),
        has_boards: prediction.boards > 0,
        beside: expected::beside(prediction, plan),
        budget: expected::budget(prediction, lessenings, job.units).into_iter().map(part).collect(),
        // Without boards their shares are of none.
        checks: if prediction.boards > 0 { expected::checks(prediction, plan, job.units) } else { Vec::new() },
        spread: spread_view(prediction, confidence, room).map(|scene| holefast_paper::svg(&scene, &PAGE)),
    }
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;

    use holefast::job::{DoneAs, mark_done, set, spoil};
    use holefast::top::CellRange;

    use super::*;

    const TOP: &str = include_str!("../../../../examples/trailer-top.toml");

    fn all(ask: &Ask) -> Vec<Answer> {
        let heard = RefCell::new(Vec::new());
        answer(&serde_json::to_string(ask).unwrap(), &|text| {
            heard.borrow_mut().push(serde_json::from_str(text).unwrap());
        });
        heard.into_inner()
    }

    fn plan_of(text: &str) -> Planned {
        match all(&Ask::Plan { text: text.to_owned(), width: 90.0 }).pop() {
            Some(Answer::Planned(planned)) => planned,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn the_answer_says_what_the_command_line_prints() {
        let planned = plan_of(TOP);
        let boards = 3000;
        let ask = Ask::Boards { text: TOP.to_owned(), plan: planned.plan.clone(), width: 90.0, boards };
        let answers = all(&ask);
        let built: Vec<u64> = answers
            .iter()
            .filter_map(|a| if let Answer::Built { done, .. } = a { Some(*done) } else { None })
            .collect();
        assert_eq!(built, [1000, 2000, 3000], "three blocks");
        let Some(Answer::Foretold(told)) = answers.last() else { panic!("{answers:?}") };
        // As `holefast predict` puts it together.
        let job = read(TOP).unwrap();
        let desk = Desk::with_plan(&job, plan::from_json(&planned.plan).unwrap());
        let plan = desk.plan().unwrap();
        let prediction = desk.prediction(Boards::of(boards), &holefast::predict::one_after_another).unwrap();
        let lessenings = desk.lessenings().unwrap();
        let printed = expected::lines(&prediction, plan, &lessenings, job.accuracy.confidence, job.units);
        let mut said = vec![told.expectation.clone()];
        said.extend(told.beside.clone());
        said.push(format!("{}:", expected::MADE_OF));
        for part in &told.budget {
            said.push(format!("{:>7}  {}", part.share, part.name));
            said.extend(part.lessened_by.iter().map(|by| format!("         {by}")));
        }
        said.extend(told.checks.clone());
        assert_eq!(said, printed);
        assert_eq!(told.basis, "3000 virtual boards, seed 1");
        assert!(told.spread.as_deref().is_some_and(|svg| svg.starts_with("<svg")));
    }

    #[test]
    fn a_top_that_was_begun_keeps_the_cards_of_its_whole_plan() {
        assert_eq!(plan_of(TOP).whole, None);
        let first = plan::from_json(&plan_of(TOP).plan).unwrap();
        let bored: Vec<_> = first.setups[0].bores.iter().filter_map(|b| holefast::top::Cell::parse(&b.hole)).collect();
        let begun = mark_done(TOP, &bored, DoneAs::Pilot).unwrap();
        let planned = plan_of(&begun);
        assert_eq!(plan::from_json(planned.whole.as_deref().unwrap()).unwrap(), first);
        // Spoiled, it is another plan.
        let spoiled = spoil(&begun, &bored[1].to_string(), "").unwrap();
        let planned = plan_of(&spoiled);
        assert_eq!(planned.whole, None);
        assert_eq!(plan::from_json(&planned.plan).unwrap().plugged, [bored[1].to_string()]);
        // And what nobody knows the making of is no beginning of it.
        let strange: Vec<_> = CellRange::parse("C4:E7").unwrap().cells().collect();
        assert_eq!(plan_of(&mark_done(TOP, &strange, DoneAs::Pilot).unwrap()).whole, None);
    }

    #[test]
    fn what_cannot_be_planned_is_told() {
        let too_few = set(TOP, "kit.bar[0].count", &holefast::job::Setting::Number(1.0)).unwrap();
        for (text, said) in [(too_few.as_str(), ""), ("holefast = 1", "name"), ("a = [", "")] {
            match all(&Ask::Plan { text: text.to_owned(), width: 90.0 }).as_slice() {
                [Answer::Refused(why)] => {
                    assert!(why.iter().any(|r| r.message.contains(said) && !r.message.is_empty()), "{why:?}");
                }
                other => panic!("{text}: {other:?}"),
            }
        }
        let heard = RefCell::new(String::new());
        answer("nonsense", &|text| *heard.borrow_mut() = text.to_owned());
        assert!(heard.borrow().contains("Refused"));
    }
}
