//! What the page knows of the book maker: what it is doing, how that ended, which page of the book is looked
//! at. Pure; the worker's messages come in, the page shows what they make of it.

/// A stage of the making.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The module is made ready.
    Opening,
    /// Layout and plan.
    Planning,
    /// Virtual boards.
    Boards,
    /// The pages.
    Setting,
}

impl Stage {
    /// By its name in the worker's messages.
    pub fn named(name: &str) -> Option<Stage> {
        Some(match name {
            "opening" => Stage::Opening,
            "planning" => Stage::Planning,
            "boards" => Stage::Boards,
            "setting" => Stage::Setting,
            _ => return None,
        })
    }
}

/// Why it ended without a book.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The file could not be fetched.
    Network,
    /// The server no longer has the maker of this version of the page.
    Gone,
    /// What came cannot be opened.
    Broken,
    /// The maker broke off, or could not be started.
    Breakdown,
}

impl Why {
    /// By its name in the worker's messages; whatever has none is a breakdown.
    pub fn named(name: &str) -> Why {
        match name {
            "network" => Why::Network,
            "gone" => Why::Gone,
            "broken" => Why::Broken,
            _ => Why::Breakdown,
        }
    }
}

/// A fault or a remark about the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// Line of the job's text.
    pub line: Option<u32>,
    /// What it is.
    pub message: String,
    /// The way out.
    pub hint: Option<String>,
}

/// A book that was made.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Book {
    /// Address of its PDF within the page.
    pub address: String,
    /// Its pages, as drawings.
    pub pages: Vec<String>,
}

/// A message of the worker.
#[derive(Clone, Debug, PartialEq)]
pub enum Heard {
    /// A stage, what of it is done, of how much (0 where nobody knows).
    Making(Stage, f64, f64),
    /// What is to be said of the job beside its book.
    Remarks(Vec<Told>),
    /// Why the job has no book.
    Faults(Vec<Told>),
    /// The book.
    Made(Book),
    /// It ended without.
    Ended(Why),
}

/// What is being done, or how it ended.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Doing {
    /// Nothing was asked for.
    #[default]
    Nothing,
    /// Asked for; nothing heard yet.
    Asked,
    /// The book is made: stage, done, of how much.
    Making(Stage, f64, f64),
    /// A book.
    Made(Book),
    /// The job has no book: why.
    Refused(Vec<Told>),
    /// It ended without.
    Ended(Why),
}

/// What the page knows of the book maker.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Maker {
    /// What it does.
    pub doing: Doing,
    /// Remarks about the job of the last book.
    pub remarks: Vec<Told>,
    /// The job's text that the last book was asked for.
    pub text: String,
    /// Which of its pages is looked at, from 0.
    pub page: usize,
}

impl Maker {
    /// True while something is being done that can be stopped.
    pub fn is_busy(&self) -> bool {
        matches!(self.doing, Doing::Asked | Doing::Making(..))
    }

    /// A book of this text is asked for. Returns the address of the book before, which is of no use any more.
    pub fn ask(&mut self, text: &str) -> Option<String> {
        self.remarks.clear();
        text.clone_into(&mut self.text);
        match std::mem::replace(&mut self.doing, Doing::Asked) {
            Doing::Made(before) => Some(before.address),
            _ => None,
        }
    }

    /// The book, where there is one.
    pub fn book(&self) -> Option<&Book> {
        match &self.doing {
            Doing::Made(book) => Some(book),
            _ => None,
        }
    }

    /// Turns so many pages on, or back; not past the first or the last.
    pub fn turn(&mut self, pages: isize) {
        let last = self.book().map_or(0, |book| book.pages.len().saturating_sub(1));
        self.page = self.page.saturating_add_signed(pages).min(last);
    }

    /// What was being done is stopped.
    pub fn stop(&mut self) {
        if self.is_busy() {
            self.doing = Doing::Nothing;
        }
    }

    /// Takes a message in. True if the work that was asked for has ended.
    pub fn hear(&mut self, heard: Heard) -> bool {
        self.doing = match heard {
            Heard::Remarks(remarks) => {
                self.remarks = remarks;
                return false;
            }
            Heard::Making(stage, done, of) => Doing::Making(stage, done, of),
            Heard::Faults(faults) => Doing::Refused(faults),
            Heard::Made(book) => {
                self.page = self.page.min(book.pages.len().saturating_sub(1));
                Doing::Made(book)
            }
            Heard::Ended(why) => Doing::Ended(why),
        };
        !self.is_busy()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn book(address: &str, pages: usize) -> Book {
        Book { address: address.to_owned(), pages: vec![String::new(); pages] }
    }

    #[test]
    fn a_book_is_asked_for_made_and_looked_through() {
        let mut maker = Maker::default();
        assert_eq!(maker.ask("a job"), None);
        assert!(maker.is_busy() && maker.book().is_none());
        assert!(!maker.hear(Heard::Making(Stage::Opening, 0.0, 0.0)));
        let remark = Told { line: Some(3), message: "A remark.".to_owned(), hint: None };
        assert!(!maker.hear(Heard::Remarks(vec![remark.clone()])));
        assert!(maker.hear(Heard::Made(book("blob:1", 3))));
        assert_eq!(maker.remarks, [remark]);
        let mut seen = Vec::new();
        for step in [-1, 1, 1, 1, -1] {
            maker.turn(step);
            seen.push(maker.page);
        }
        assert_eq!(seen, [0, 1, 2, 2, 1]);
        // The next one takes the place of the first, and hands its address back; a shorter one has its last page open.
        assert_eq!(maker.ask("another job").as_deref(), Some("blob:1"));
        assert!(maker.remarks.is_empty() && maker.is_busy());
        maker.hear(Heard::Made(book("blob:2", 1)));
        assert_eq!(maker.page, 0);
    }

    #[test]
    fn what_was_stopped_or_ended_can_be_asked_for_again() {
        let mut maker = Maker::default();
        maker.ask("a job");
        maker.hear(Heard::Making(Stage::Boards, 1024.0, 20_000.0));
        maker.stop();
        assert_eq!(maker.doing, Doing::Nothing);
        maker.ask("a job");
        assert!(maker.hear(Heard::Ended(Why::named("network"))));
        assert_eq!(maker.doing, Doing::Ended(Why::Network));
        maker.stop();
        assert_eq!(maker.doing, Doing::Ended(Why::Network), "what has ended cannot be stopped");
        assert_eq!(Why::named("never heard of"), Why::Breakdown);
        assert_eq!(Stage::named("never heard of"), None);
    }
}
