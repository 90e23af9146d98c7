//! What the place Cut asks of the worker: the best arrangements for an angle and a length, the cuts that
//! stand in the job, the list of parts broken down and set up on the top. Figures and sentences are those of `holefast angle`,
//! `cut` and `parts`: every arrangement is settled and told as the cut that it would be in the job.

mod html;
mod kept;
mod ways;
mod words;

pub use html::Told;

#[cfg(test)]
mod tests;

use std::cell::RefCell;
use std::rc::Rc;

use holefast::breakdown::Effort;
use holefast::cut::{Places, Settled, settle_one};
use holefast::desk::{Desk, SEED};
use holefast::drawing::{Role, Scene, cut_view, key_of, key_sign, parts_view};
use holefast::words::{self as core, cutting};
use holefast::{Fault, FaultKind, Job, Layout, job, parts};
use serde::{Deserialize, Serialize};

use crate::theme::PAGE;
use crate::work::{Refusal, read};

/// What is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum CutAsk {
    /// Arrangements for what was typed, and the job's own cuts.
    Cuts {
        /// The job's text.
        text: String,
        /// What was typed.
        typed: Box<Typed>,
        /// Room for a drawing, mm.
        room: [f64; 2],
    },
    /// The list of parts.
    Parts {
        /// The job's text.
        text: String,
        /// Room for the drawing of the sheets, mm.
        room: [f64; 2],
    },
}

/// A cut as it was typed, each value as its text; what is empty is not said.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Typed {
    /// By the places of [`FIELDS`].
    pub values: [String; 10],
}

/// The fields of a cut: their keys in the job, in the order in which they are read.
pub const FIELDS: [&str; 10] =
    ["angle", "length", "width", "kerf", "at", "kept", "end", "quantity", "tolerance", "rail.cut"];

/// What is answered.
#[derive(Clone, Debug, PartialEq)]
pub enum CutAnswer {
    /// What was found for a question, in full.
    Cuts {
        /// For what was typed.
        found: Found,
        /// The job's own cuts.
        own: Vec<Own>,
        /// Whether its kit lacks a rail, and a fence.
        lacking: [bool; 2],
    },
    /// So many rounds of the search for a breakdown are done.
    Rounds {
        /// So many.
        done: u64,
        /// Of so many.
        of: u64,
    },
    /// So many sorts of cuts are set up on the top.
    SetUp {
        /// So many.
        done: u64,
        /// Of so many.
        of: u64,
    },
    /// The list of parts, broken down.
    Parts(Parts),
    /// It cannot be done.
    Refused(Vec<Wrong>),
}

/// What was found for an angle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// The angle, and the directions that make it.
    pub directions: Vec<String>,
    /// The best few arrangements, best first.
    pub ways: Vec<Way>,
    /// Why there is none, or what of that which was typed cannot be read.
    pub wrong: Vec<Wrong>,
    /// The nearest directions below and above where none is near enough: the angle as it is said, and
    /// the tolerance, degrees, that takes it in.
    pub nearest: Vec<(String, String)>,
}

/// An arrangement.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// Its line of the table: dogs, as it stands, shim, shorter base, where the cut begins.
    pub row: [String; 5],
    /// Its card: name.
    pub title: String,
    /// Angle, pieces.
    pub aside: Vec<String>,
    /// What a line is about, and what is said of that.
    pub lines: Vec<(String, String)>,
    /// What can hurt.
    pub cautions: Vec<String>,
    /// What is worth a second look.
    pub remarks: Vec<Wrong>,
    /// Its drawing.
    pub drawing: Drawing,
    /// The job's text with this cut kept; empty for one that is in it.
    pub text: String,
}

/// A cut of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct Own {
    /// Its name.
    pub name: String,
    /// The fields that ask for such a cut.
    pub typed: Typed,
    /// Its arrangement, or why it has none.
    pub way: Result<Way, Vec<Wrong>>,
}

/// A drawing for the page.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// As SVG.
    pub svg: String,
    /// In a sentence.
    pub about: String,
    /// Its signs and their words.
    pub key: Vec<(String, String)>,
}

/// A list of parts, broken down.
#[derive(Clone, Debug, PartialEq)]
pub struct Parts {
    /// What `holefast parts` prints.
    pub lines: Vec<String>,
    /// The sheets.
    pub drawing: Drawing,
    /// What `holefast cut` prints of the same list on this top; or why that cannot be told.
    pub top: Result<Vec<String>, Vec<Wrong>>,
    /// What is worth a second look.
    pub remarks: Vec<Wrong>,
}

/// What is wrong, where, and a way out.
#[derive(Clone, Debug, PartialEq)]
pub struct Wrong {
    /// Which of [`FIELDS`] it comes from, if it was typed there.
    pub field: Option<usize>,
    /// Which line of the job, if it stands there.
    pub line: Option<usize>,
    /// What, by how much.
    pub message: String,
    /// A way out.
    pub hint: Option<String>,
}

impl Wrong {
    fn of(fault: Fault, text: &str) -> Wrong {
        let line = fault.span.map(|span| span.line_and_column(text).0);
        let Refusal { message, hint } = Refusal::of(fault);
        Wrong { field: None, line, message, hint }
    }

    fn all(faults: Vec<Fault>, text: &str) -> Vec<Wrong> {
        faults.into_iter().map(|fault| Wrong::of(fault, text)).collect()
    }

    fn typed(field: usize, fault: Fault) -> Wrong {
        Wrong { field: Some(field), line: None, ..Wrong::of(fault, "") }
    }
}

/// A job with all that its cuts go by.
pub(crate) struct Ready {
    pub text: String,
    pub job: Job,
    pub layout: Layout,
    pub places: Rc<Places>,
}

thread_local! {
    /// The last job's text without its cuts, and where its holes are: its plan is not made again for
    /// every angle that is typed and every cut that is kept.
    static LAST: RefCell<Option<(String, Rc<Places>)>> = const { RefCell::new(None) };
}

/// Answers a question; `told` is called with all that is known, as soon as it is.
pub fn answer_cut(ask: CutAsk, told: &dyn Fn(&CutAnswer)) {
    match ask {
        CutAsk::Cuts { text, typed, room } => match ready(&text) {
            Ok(ready) => {
                let found = ways::found(&ready, &typed, room);
                let kit = ready.job.kit.as_ref();
                let lacking = [kit.is_some_and(|k| k.rail.is_none()), kit.is_some_and(|k| k.fence.is_none())];
                told(&CutAnswer::Cuts { found, own: own(&ready, room), lacking });
            }
            Err(faults) => told(&CutAnswer::Refused(Wrong::all(real(faults), &text))),
        },
        CutAsk::Parts { text, room } => {
            let broken = read(&text).and_then(|job| break_down(&job, &text, room, told));
            told(&match broken {
                Ok(parts) => CutAnswer::Parts(parts),
                Err(faults) => CutAnswer::Refused(Wrong::all(real(faults), &text)),
            });
        }
    }
}

fn real(faults: Vec<Fault>) -> Vec<Fault> {
    faults.into_iter().filter(|fault| fault.kind != FaultKind::Remark).collect()
}

/// The job, laid out, and where its holes are: proved where there are readings, else as the plan is
/// foretold to leave them, without a kit as they are wanted. As `holefast angle` and `cut` take them.
fn ready(text: &str) -> Result<Ready, Vec<Fault>> {
    let job = read(text)?;
    let desk = Desk::new(&job);
    let layout = desk.layout()?.clone();
    let uncut = job::remove(text, "cut").unwrap_or_else(|_| text.to_owned()).trim_end().to_owned();
    let last =
        LAST.with_borrow(|last| last.as_ref().filter(|(text, _)| *text == uncut).map(|(_, places)| places.clone()));
    let places = match last {
        Some(places) => places,
        // Readings that cannot be used are shown at Prove; the cuts then go by the plan, and the card says so.
        None => Rc::new(desk.places_if_proved()?.0),
    };
    LAST.set(Some((uncut, places.clone())));
    Ok(Ready { text: text.to_owned(), job, layout, places })
}

fn own(ready: &Ready, room: [f64; 2]) -> Vec<Own> {
    let one = |(index, cut): (usize, &holefast::job::Cut)| Own {
        name: cut.name.clone(),
        typed: kept::typed_of(&ready.job, cut),
        way: match settle_one(&ready.job, &ready.places, index) {
            Ok(settled) => Ok(told(ready, &ready.job, &settled, room)),
            Err(faults) => Err(Wrong::all(real(faults), &ready.text)),
        },
    };
    ready.job.cuts.iter().enumerate().map(one).collect()
}

/// A cut in words and drawn, as `holefast cut` does it; `job` is the one that holds it.
pub(crate) fn told(ready: &Ready, job: &Job, settled: &Settled, room: [f64; 2]) -> Way {
    let card = cutting::cut_card(job, &ready.places, settled);
    let scene = cut_view(job, &ready.layout, &ready.places, settled, room);
    Way {
        row: row(job, &ready.places, settled, &card),
        title: card.title,
        aside: card.aside,
        lines: card.lines.into_iter().map(|(what, text)| (what.to_owned(), text)).collect(),
        cautions: card.cautions,
        remarks: Wrong::all(settled.remarks.clone(), &ready.text),
        drawing: drawn(&scene),
        text: String::new(),
    }
}

/// The line of the table: what the card says, in short.
fn row(job: &Job, places: &Places, settled: &Settled, card: &cutting::CutCard) -> [String; 5] {
    /// What stands where there is nothing to tell.
    const NOTHING: &str = "\u{2013}";
    let line = |what: &str| card.lines.iter().find(|(name, _)| *name == what).map(|(_, text)| text.as_str());
    let up_to = |text: &str, mark: &str| text.split(mark).next().unwrap_or_default().to_owned();
    let pair = &settled.pair;
    let [fence, rail] = [&pair.fence, &pair.rail].map(|line| {
        let [a, b] = line.holes.map(|hole| places.holes()[hole].name.as_str());
        format!("{a}\u{2013}{b}")
    });
    let base = pair.fence_face.base.min(pair.rail_face.base);
    [
        format!("{fence}, rail {rail}"),
        line("Angle").map_or_else(|| NOTHING.to_owned(), |text| up_to(text, ", ")),
        line("Shim").map_or_else(|| NOTHING.to_owned(), |text| up_to(text, " between ")),
        core::length(job.units, base),
        settled
            .room
            .as_ref()
            .map_or_else(|| NOTHING.to_owned(), |room| format!("{} in", core::about_length(job.units, room.meets.y))),
    ]
}

fn drawn(scene: &Scene) -> Drawing {
    let sign = |role: Role| (holefast_paper::svg(&key_sign(role), &PAGE), core::key_name(role).to_owned());
    Drawing {
        svg: holefast_paper::svg(scene, &PAGE),
        about: scene.about.clone(),
        key: key_of(scene).into_iter().filter(|role| *role != Role::ReferenceCorner).map(sign).collect(),
    }
}

/// Sets the list's cuts up on the top, as `holefast cut` does.
fn set_up(ready: &Ready, list: &parts::CutList, told: &dyn Fn(&CutAnswer)) -> Vec<String> {
    let top = parts::on_top::on_top(&ready.job, &ready.places, list, &mut |now| {
        told(&CutAnswer::SetUp { done: now.answered as u64, of: now.of.max(1) as u64 });
        true
    });
    match top {
        Some(top) => core::on_top::lines(&ready.job, &ready.places, list, &top),
        None => vec![core::on_top::NO_RAIL.to_owned()],
    }
}

/// Breaks the list of parts down, as `holefast parts` does.
fn break_down(job: &Job, text: &str, room: [f64; 2], told: &dyn Fn(&CutAnswer)) -> Result<Parts, Vec<Fault>> {
    /// Told so often at most; a page has other things to do.
    const TOLD: u64 = 50;
    let rounds = parts::usual_rounds(job);
    let step = (rounds / TOLD).max(1);
    let mut next = 0;
    let list = parts::break_down(job, Effort { rounds, seed: SEED }, &mut |now| {
        if now.rounds >= next {
            told(&CutAnswer::Rounds { done: now.rounds.min(rounds), of: rounds });
            next = now.rounds + step;
        }
        true
    })?;
    Ok(Parts {
        lines: core::parts::lines(job, &list),
        drawing: drawn(&parts_view(job, &list, room)),
        top: ready(text).map(|ready| set_up(&ready, &list, told)).map_err(|faults| Wrong::all(real(faults), text)),
        remarks: Wrong::all(list.remarks, text),
    })
}
