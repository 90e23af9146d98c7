//! What the readings say, as long as somebody looks: the job is proved anew in a worker after every
//! change, and what that is said of a job that has changed since is dropped.

use std::sync::Arc;

use holefast_web_planner::{Answer, Ask, NextTold, Proved};
use leptos::prelude::*;

use crate::hands::Hands;
use crate::thread::Thread;

/// The proof in signals. It lives as long as its place is shown.
#[derive(Clone, Copy)]
pub struct Prover {
    /// What the readings say; of a job of a moment ago while `fresh` is false.
    pub proved: RwSignal<Option<Arc<Proved>>>,
    /// Which reading is worth taking next; none while that is being found.
    pub next: RwSignal<Option<Arc<NextTold>>>,
    /// True if `proved` is of the job as it stands.
    pub fresh: RwSignal<bool>,
    /// True if this browser gives no worker.
    pub stuck: RwSignal<bool>,
    room: [f64; 2],
    state: StoredValue<State, LocalStorage>,
}

#[derive(Default)]
struct State {
    thread: Option<Thread>,
    /// What the worker is at.
    asked: Option<String>,
    /// What it is to be at.
    wanted: String,
}

impl Prover {
    /// Proves the job that is in hand, drawn within this room, mm, and goes on doing so.
    pub fn new(hands: Hands, room: [f64; 2]) -> Prover {
        let prover = Prover {
            proved: RwSignal::new(None),
            next: RwSignal::new(None),
            fresh: RwSignal::new(false),
            stuck: RwSignal::new(false),
            room,
            state: StoredValue::new_local(State::default()),
        };
        Effect::new(move || {
            // A text that cannot be read is not proved: what was, stays.
            if let Some(text) = hands.bench.with(|b| b.faults().is_empty().then(|| b.text().to_owned())) {
                prover.want(text);
            }
        });
        // Dropped with its place; a worker of its own ends with it.
        on_cleanup(move || prover.state.update_value(|s| s.thread = None));
        prover
    }

    fn want(self, text: String) {
        self.state.update_value(|s| s.wanted = text);
        self.fresh.set(false);
        self.ask();
    }

    fn ask(self) {
        let sent = self.state.try_update_value(|s| {
            if s.asked.is_some() {
                return true;
            }
            if s.thread.is_none() {
                s.thread = Thread::start(move |answer| self.heard(answer));
            }
            let ask = Ask::Prove { text: s.wanted.clone(), room: self.room };
            // Texts and numbers: there is nothing in it that could not be written.
            let ask = serde_json::to_string(&ask).unwrap_or_default();
            let sent = s.thread.as_ref().is_some_and(|thread| thread.ask(&ask));
            s.asked = sent.then(|| s.wanted.clone());
            sent
        });
        self.stuck.set(sent == Some(false));
    }

    fn heard(self, answer: Option<String>) {
        let is_of_now = self.state.with_value(|s| s.asked.as_ref() == Some(&s.wanted));
        match answer.as_deref().and_then(|a| serde_json::from_str(a).ok()) {
            Some(Answer::Proved(proved)) if is_of_now => {
                self.next.set(None);
                self.proved.set(Some(Arc::new(proved)));
                self.fresh.set(true);
            }
            Some(Answer::Proved(_)) => {}
            Some(Answer::Next(next)) => {
                self.state.update_value(|s| s.asked = None);
                if is_of_now {
                    self.next.set(Some(Arc::new(next)));
                } else {
                    self.ask();
                }
            }
            // It cannot run here, or is of another version; the next change tries again.
            _ => {
                self.state.update_value(|s| (s.asked, s.thread) = (None, None));
                self.stuck.set(true);
            }
        }
    }
}
