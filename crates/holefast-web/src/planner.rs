//! The plan that follows the job: every change is planned anew in a worker, answers to what has changed
//! since are dropped, and virtual boards are built in a second worker that can be stopped.

use std::sync::Arc;

use leptos::prelude::*;

use crate::bench::Bench;
use crate::device;
use crate::hands::Hands;
use crate::thread::Thread;
use crate::words::bore as words;
use holefast_web_planner::{Answer, Ask, BOARDS, Foretold, Planned, Refusal};

/// What is known of a job: its plan, or why there is none.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    /// The job's text, ticks left out.
    pub text: String,
    /// What came of it.
    pub outcome: Result<Planned, Vec<Refusal>>,
}

/// The plan in signals.
#[derive(Clone, Copy)]
pub struct Planner {
    /// The last answer.
    pub known: RwSignal<Option<Arc<Known>>>,
    /// What virtual boards say of that plan.
    pub better: RwSignal<Option<Foretold>>,
    /// Boards that are built, of how many, while they are.
    pub built: RwSignal<Option<(u64, u64)>>,
    /// The job's text as it is to be planned.
    pub wanted: Memo<String>,
    threads: StoredValue<Threads, LocalStorage>,
}

#[derive(Default)]
struct Threads {
    planning: Option<Thread>,
    /// What the worker is at.
    asked: Option<String>,
    boards: Option<Thread>,
}

impl Planner {
    /// Plans the job that is in hand, and goes on doing so.
    pub fn new(hands: Hands) -> Planner {
        let planner = Planner {
            known: RwSignal::new(None),
            better: RwSignal::new(None),
            built: RwSignal::new(None),
            wanted: Memo::new(move |before: Option<&String>| {
                // A text that cannot be read is not planned: what was, stays.
                let text = hands.bench.with(|b| b.faults().is_empty().then(|| without_ticks(b)));
                text.unwrap_or_else(|| before.cloned().unwrap_or_default())
            }),
            threads: StoredValue::new_local(Threads::default()),
        };
        Effect::new(move || {
            planner.wanted.track();
            planner.ask();
        });
        planner
    }

    /// True if what is known is of the job as it stands.
    pub fn is_fresh(self) -> bool {
        self.wanted.with(|text| self.known.with(|k| k.as_ref().is_some_and(|k| k.text == *text)))
    }

    fn ask(self) {
        let text = self.wanted.get_untracked();
        let busy = self.threads.with_value(|t| t.asked.is_some());
        let known = self.known.with_untracked(|k| k.as_ref().is_some_and(|k| k.text == text));
        if busy || known || text.is_empty() {
            return;
        }
        let ask = Ask::Plan { text: text.clone(), width: picture_width() };
        let sent = self
            .threads
            .try_update_value(|t| {
                if t.planning.is_none() {
                    t.planning = Thread::start(move |answer| self.answered(answer));
                }
                let sent = t.planning.as_ref().is_some_and(|thread| thread.ask(&as_text(&ask)));
                t.asked = sent.then(|| text.clone());
                sent
            })
            .unwrap_or(false);
        device::mark("plan asked");
        if !sent {
            self.take(text, Err(no_worker()));
        }
    }

    fn answered(self, answer: Option<String>) {
        let asked = self.threads.try_update_value(|t| t.asked.take()).flatten();
        let Some(text) = asked else { return };
        let answer = answer.as_deref().and_then(|a| serde_json::from_str(a).ok());
        if answer.is_none() {
            // It cannot run here; the next change tries again.
            self.threads.update_value(|t| t.planning = None);
        }
        if text != self.wanted.get_untracked() {
            // The job has changed since: this is of no use any more.
            self.ask();
            return;
        }
        device::measured("planned", "plan asked");
        match answer {
            Some(Answer::Planned(planned)) => self.take(text, Ok(planned)),
            Some(Answer::Refused(why)) => self.take(text, Err(why)),
            _ => self.take(text, Err(no_worker())),
        }
    }

    fn take(self, text: String, outcome: Result<Planned, Vec<Refusal>>) {
        self.stop();
        self.better.set(None);
        self.known.set(Some(Arc::new(Known { text, outcome })));
    }

    /// Builds virtual boards of the plan that is known.
    pub fn build(self) {
        let Some(known) = self.known.get_untracked() else { return };
        let Ok(planned) = &known.outcome else { return };
        let ask = Ask::Boards {
            text: known.text.clone(),
            plan: planned.plan.clone(),
            width: picture_width(),
            boards: BOARDS,
        };
        let thread = Thread::start(move |answer| self.heard(answer)).filter(|t| t.ask(&as_text(&ask)));
        if thread.is_some() {
            self.built.set(Some((0, BOARDS)));
        }
        // One that was at work on another plan ends here.
        self.threads.update_value(|t| t.boards = thread);
    }

    fn heard(self, answer: Option<String>) {
        match answer.as_deref().and_then(|a| serde_json::from_str(a).ok()) {
            Some(Answer::Built { done, of }) => self.built.set(Some((done, of))),
            Some(Answer::Foretold(foretold)) => {
                let whole = foretold.has_boards;
                self.better.set(Some(foretold));
                if whole {
                    self.stop();
                }
            }
            // Without boards the figures to first order stand.
            _ => self.stop(),
        }
    }

    /// Stops building; what is known stays.
    pub fn stop(self) {
        self.built.set(None);
        if let Some(thread) = self.threads.try_update_value(|t| t.boards.take()).flatten() {
            thread.end();
        }
    }
}

/// Ticks say nothing that a plan hangs on.
fn without_ticks(bench: &Bench) -> String {
    let text = bench.text();
    let ticked = bench.laid().is_some_and(|l| !l.job.ticked.is_empty());
    let plain = ticked.then(|| holefast::job::remove(text, "bench").ok()).flatten();
    plain.unwrap_or_else(|| text.to_owned())
}

fn as_text(ask: &Ask) -> String {
    // Texts and numbers: there is nothing in it that could not be written.
    serde_json::to_string(ask).unwrap_or_default()
}

fn no_worker() -> Vec<Refusal> {
    vec![Refusal { message: words::NO_WORKER.to_owned(), hint: Some(words::NO_WORKER_HINT.to_owned()) }]
}

/// Width of the picture of the spread: the panel's on a desk, the screen's on a phone, mm.
fn picture_width() -> f64 {
    const PANEL: f64 = 92.0;
    device::drawing_width().min(PANEL)
}
