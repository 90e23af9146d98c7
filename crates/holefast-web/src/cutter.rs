//! What is cut, in signals: what was typed, the arrangements that follow it, the job's own cuts and its
//! list of parts. All of it is worked out in workers of its own; answers to what has changed since are
//! dropped.

use std::sync::Arc;

use holefast::job::PartList;
use leptos::prelude::*;

use crate::device;
use crate::hands::Hands;
use crate::thread::Thread;
use crate::words::bore;
use holefast_web_planner::Ask;
use holefast_web_planner::cut::{CutAsk, FIELDS, Told, Typed};

/// A question: the job's text and what was typed.
type Question = (String, Typed);

/// What is known of a question.
#[derive(Clone, Debug, PartialEq)]
pub struct Known {
    of: Question,
    /// What is told of it.
    pub told: Told,
}

/// Which arrangement is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// One of those found.
    Way(usize),
    /// A cut of the job.
    Own(usize),
}

/// What the place Cut goes by. It stays while other places are looked at.
#[derive(Clone, Copy)]
pub struct Cutter {
    /// The job.
    pub hands: Hands,
    /// What was typed.
    pub typed: RwSignal<Typed>,
    /// The last answer.
    pub known: RwSignal<Option<Arc<Known>>>,
    /// What is shown of it.
    pub choice: RwSignal<Choice>,
    /// The list of parts as it is told.
    pub parts: RwSignal<String>,
    /// Rounds of its search that are done, of how many; of nought while it is not searched. Then the
    /// same of its cuts that are set up.
    pub rounds: RwSignal<[u64; 2]>,
    /// True while those are cuts.
    pub setting_up: RwSignal<bool>,
    threads: StoredValue<Threads, LocalStorage>,
}

#[derive(Default)]
struct Threads {
    cuts: Option<Thread>,
    /// What the worker is at.
    asked: Option<Question>,
    /// What is shown when the next answer is there.
    then: Option<Choice>,
    parts: Option<Thread>,
    /// The list that was asked about last.
    list: Option<PartList>,
}

impl Cutter {
    /// A square cut until something else is typed; the first of the job's own where it has any.
    pub fn new(hands: Hands) -> Cutter {
        /// Degrees.
        const FIRST: &str = "90";
        let mut typed = Typed::default();
        typed.values[0] = FIRST.to_owned();
        let has_own = hands.bench.with_untracked(|b| b.laid().is_some_and(|l| !l.job.cuts.is_empty()));
        Cutter {
            hands,
            typed: RwSignal::new(typed),
            known: RwSignal::new(None),
            choice: RwSignal::new(if has_own { Choice::Own(0) } else { Choice::Way(0) }),
            parts: RwSignal::new(String::new()),
            rounds: RwSignal::new([0, 0]),
            setting_up: RwSignal::new(false),
            threads: StoredValue::new_local(Threads::default()),
        }
    }

    fn question(self) -> Option<Question> {
        // A text that cannot be read is not asked about: what was, stays.
        let text = self.hands.bench.with(|b| b.faults().is_empty().then(|| b.text().to_owned()))?;
        Some((text, self.typed.get()))
    }

    /// Follows the job and what is typed, as long as the place is looked at.
    pub fn follow(self) {
        Effect::new(move || {
            if let Some(question) = self.question() {
                self.ask(question);
            }
        });
        let list = self.list();
        Effect::new(move || {
            let Some(list) = list.get() else { return };
            let fresh = self.threads.try_update_value(|t| t.list.replace(list.clone()).as_ref() != Some(&list));
            if fresh == Some(true) {
                self.break_down();
            }
        });
    }

    /// True if what is known is of the job and the fields as they stand.
    pub fn is_fresh(self) -> bool {
        let question = self.question();
        self.known.with(|k| k.as_ref().is_some_and(|k| Some(&k.of) == question.as_ref()))
    }

    fn ask(self, question: Question) {
        let busy = self.threads.with_value(|t| t.asked.is_some());
        if busy || self.known.with_untracked(|k| k.as_ref().is_some_and(|k| k.of == question)) {
            return;
        }
        let ask = CutAsk::Cuts { text: question.0.clone(), typed: Box::new(question.1.clone()), room: room() };
        let sent = self
            .threads
            .try_update_value(|t| {
                if t.cuts.is_none() {
                    t.cuts = Thread::start(move |answer| self.answered(answer));
                }
                let sent = t.cuts.as_ref().is_some_and(|thread| thread.ask(&as_text(ask)));
                t.asked = sent.then(|| question.clone());
                sent
            })
            .unwrap_or(false);
        device::mark("cut asked");
        if !sent {
            self.take(question, None);
        }
    }

    fn answered(self, answer: Option<String>) {
        let Some(question) = self.threads.try_update_value(|t| t.asked.take()).flatten() else { return };
        let answer: Option<Told> = answer.as_deref().and_then(|a| serde_json::from_str(a).ok());
        if answer.is_none() {
            // It cannot run here; the next change tries again.
            self.threads.update_value(|t| t.cuts = None);
        }
        match untrack(|| self.question()) {
            // The job or a field has changed since: this is of no use any more.
            Some(now) if now != question => self.ask(now),
            _ => self.take(question, answer),
        }
    }

    fn take(self, of: Question, answer: Option<Told>) {
        device::measured("cut found", "cut asked");
        let told = answer.unwrap_or_else(|| Told { refused: no_worker(), ..Told::default() });
        let (ways, own) = (told.ways.len(), told.own.len());
        self.known.set(Some(Arc::new(Known { of, told })));
        if let Some(then) = self.threads.try_update_value(|t| t.then.take()).flatten() {
            self.choice.set(then);
        }
        // What was looked at may be gone.
        let there = match self.choice.get_untracked() {
            Choice::Way(n) => n < ways.max(1),
            Choice::Own(n) => n < own,
        };
        if !there {
            self.choice.set(Choice::Way(0));
        }
    }

    /// A part of what is shown: its drawing, its card, the job's text with it kept.
    pub fn shown(self, part: usize) -> Option<String> {
        let choice = self.choice.get();
        self.known.with(|known| {
            let told = &known.as_ref()?.told;
            let all = match choice {
                Choice::Way(n) => told.ways.get(n),
                Choice::Own(n) => told.own.get(n),
            };
            all?.get(part).cloned()
        })
    }

    /// Another text in a field of a cut.
    pub fn type_in(self, field: usize, text: &str) {
        let text = text.trim().to_owned();
        if self.typed.with_untracked(|t| t.values[field] != text) {
            self.choice.set(Choice::Way(0));
            self.typed.update(|t| t.values[field] = text);
        }
    }

    /// What is wrong with what was typed in a field.
    pub fn wrong_at(self, field: usize) -> String {
        self.known.with(|k| k.as_ref().and_then(|k| k.told.wrong.get(field).cloned()).unwrap_or_default())
    }

    /// The fields as they ask for a cut like the one that is shown.
    pub fn like(self) {
        let Some(values) = untrack(|| self.shown(2)) else { return };
        self.choice.set(Choice::Way(0));
        self.typed.update(|t| {
            for (field, value) in t.values.iter_mut().zip(values.split('\n')) {
                *field = value.to_owned();
            }
        });
    }

    /// Keeps an arrangement in the job, as it is shown.
    pub fn keep(self, way: usize) {
        let Some(known) = self.known.get_untracked().filter(|_| untrack(|| self.is_fresh())) else { return };
        if let Some(text) = known.told.ways.get(way).and_then(|way| way.get(2)) {
            self.threads.update_value(|t| t.then = Some(Choice::Own(known.told.own.len())));
            self.hands.write(text.clone());
        }
    }

    /// Breaks the list of parts down, and sets its cuts up on the top.
    pub fn break_down(self) {
        let text = self.hands.bench.with_untracked(|b| b.text().to_owned());
        let ask = as_text(CutAsk::Parts { text, room: room() });
        let thread = Thread::start(move |answer| self.heard(answer)).filter(|thread| thread.ask(&ask));
        let running = thread.is_some();
        // One that was at work on another list ends here.
        self.threads.update_value(|t| t.parts = thread);
        self.setting_up.set(false);
        self.rounds.set([0, u64::from(running)]);
        self.parts.set(if running { String::new() } else { no_worker() });
    }

    fn heard(self, answer: Option<String>) {
        let told: Option<Told> = answer.as_deref().and_then(|a| serde_json::from_str(a).ok());
        match told {
            Some(told) if told.rounds[1] > 0 => self.rounds.set(told.rounds),
            Some(told) if told.set_up[1] > 0 => {
                self.setting_up.set(true);
                self.rounds.set(told.set_up);
            }
            told => {
                self.stop();
                self.parts.set(told.map_or_else(no_worker, |told| format!("{}{}", told.parts, told.refused)));
            }
        }
    }

    /// Stops breaking down and setting up.
    pub fn stop(self) {
        if let Some(thread) = self.threads.try_update_value(|t| t.parts.take()).flatten() {
            thread.end();
        }
        self.rounds.set([0, 0]);
    }

    /// The list of parts as it stands in the job, where it has one.
    pub fn list(self) -> Memo<Option<PartList>> {
        Memo::new(move |_| {
            let has = |list: &PartList| !list.parts.is_empty() || !list.stock.is_empty();
            self.hands.bench.with(|b| b.laid().map(|l| l.job.part_list.clone()).filter(has))
        })
    }
}

/// Which field a key is.
pub fn field(key: &str) -> usize {
    FIELDS.iter().position(|field| *field == key).unwrap_or(0)
}

/// Room for a drawing, mm.
fn room() -> [f64; 2] {
    /// Height as a part of width: on a phone the table must still be seen.
    const HEIGHT: [f64; 2] = [0.8, 0.66];
    let width = device::drawing_width();
    [width, HEIGHT[usize::from(device::is_wide())] * width]
}

fn as_text(ask: CutAsk) -> String {
    // Texts and numbers: there is nothing in it that could not be written.
    serde_json::to_string(&Ask::Cut(Box::new(ask))).unwrap_or_default()
}

fn no_worker() -> String {
    let [message, hint] = [bore::NO_WORKER, bore::NO_WORKER_HINT].map(holefast::words::sentence);
    format!("<div class=\"note\"><b>{message}</b>{hint}</div>")
}
