//! What the page shows, in signals, and the one way to change it: every change is made, saved at once,
//! and told where it could not be.

use holefast::Fault;
use holefast::top::Cell;
use leptos::prelude::*;

use crate::bench::Bench;
use crate::shelf::{Shelf, Start};

/// What the page shows and how it is changed. Every change goes through here: made, saved at once,
/// told if it could not be.
#[derive(Clone, Copy)]
pub struct Hands {
    /// The job, its layout, its past.
    pub bench: RwSignal<Bench>,
    /// The hole that was touched last.
    pub chosen: RwSignal<Option<Cell>>,
    /// Why the last change could not be made.
    pub trouble: RwSignal<Option<Fault>>,
    /// The jobs on this device, this one among them.
    pub shelf: Shelf,
}

impl Hands {
    /// The job that was open on this device, or the example.
    pub fn new(start: Start) -> Hands {
        let (shelf, text) = Shelf::new(start);
        let bench = Bench::new(&text);
        let hands =
            Hands { bench: RwSignal::new(bench), chosen: RwSignal::new(None), trouble: RwSignal::new(None), shelf };
        shelf.listen(hands);
        hands
    }

    /// A change of the job; why not, where it could not be made.
    pub fn change(self, work: impl FnOnce(&mut Bench) -> Result<(), Fault>) {
        let before = self.bench.with_untracked(|b| b.text().to_owned());
        let outcome = self.bench.try_update(work).unwrap_or(Ok(()));
        self.trouble.set(outcome.err());
        self.bench.with_untracked(|b| {
            if b.text() != before {
                self.shelf.save(b.text());
            }
        });
    }

    /// A change that is shown while a finger pulls; a step once it is kept.
    pub fn try_on(self, text: Result<String, Fault>) {
        match text {
            Ok(text) => {
                self.bench.update(|b| b.try_on(text));
                self.trouble.set(None);
            }
            Err(why) => self.trouble.set(Some(why)),
        }
    }

    /// What was tried is kept, and saved.
    pub fn keep_tried(self) {
        if self.bench.try_update(Bench::keep_tried) == Some(true) {
            self.bench.with_untracked(|b| self.shelf.save(b.text()));
        }
    }

    /// What was tried is given up.
    pub fn drop_tried(self) {
        self.bench.update(Bench::drop_tried);
    }

    /// Another text for the job.
    pub fn write(self, text: String) {
        self.change(|b| {
            b.change(text);
            Ok(())
        });
    }

    /// One step back.
    pub fn undo(self) {
        self.change(|b| {
            b.undo();
            Ok(())
        });
    }

    /// The step that was taken back, again.
    pub fn redo(self) {
        self.change(|b| {
            b.redo();
            Ok(())
        });
    }

    /// Leaves a hole out, or brings it back.
    pub fn toggle(self, cell: Cell) {
        self.chosen.set(Some(cell));
        self.change(|b| b.toggle(cell));
    }
}
