//! What the page knows of the book maker: whether it is on this device, what it is doing, how that
//! ended. Pure; the worker's messages come in, the page shows what they make of it.

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
    /// The device keeps nothing, or has no room.
    Store,
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
            "store" => Why::Store,
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

/// Whether the maker is on this device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// It is.
    Here,
    /// It can be.
    NotHere,
    /// The browser keeps nothing here: a private window, or an address that is not secure.
    Never,
}

/// A message of the worker.
#[derive(Clone, Debug, PartialEq)]
pub enum Heard {
    /// Whether the maker is on this device; bytes of its file.
    Kept(Kept, f64),
    /// Bytes fetched, of how many.
    Fetching(f64, f64),
    /// A stage, what of it is done, of how much (0 where nobody knows).
    Making(Stage, f64, f64),
    /// What is to be said of the job beside its book.
    Remarks(Vec<Told>),
    /// Why the job has no book.
    Faults(Vec<Told>),
    /// The book, at this address within the page.
    Made(String),
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
    /// The maker comes: bytes of it here, of how many.
    Fetching(f64, f64),
    /// The book is made: stage, done, of how much.
    Making(Stage, f64, f64),
    /// A book, at this address within the page.
    Made(String),
    /// The job has no book: why.
    Refused(Vec<Told>),
    /// It ended without.
    Ended(Why),
}

/// What the page knows of the book maker.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Maker {
    /// Whether it is on this device; `None` before that was found out.
    pub kept: Option<Kept>,
    /// Bytes of its file, as fetched.
    pub bytes: f64,
    /// What it does.
    pub doing: Doing,
    /// Remarks about the job of the last book.
    pub remarks: Vec<Told>,
    /// The job's text that the last book was asked for.
    pub text: String,
}

impl Maker {
    /// True while something is being done that can be stopped.
    pub fn is_busy(&self) -> bool {
        matches!(self.doing, Doing::Asked | Doing::Fetching(..) | Doing::Making(..))
    }

    /// A book of this text is asked for. Returns the address of the book before, which is of no use any more.
    pub fn ask(&mut self, text: &str) -> Option<String> {
        self.remarks.clear();
        text.clone_into(&mut self.text);
        self.begin()
    }

    /// Something is asked for. Returns the address of the book before, which is of no use any more.
    pub fn begin(&mut self) -> Option<String> {
        match std::mem::replace(&mut self.doing, Doing::Asked) {
            Doing::Made(before) => Some(before),
            _ => None,
        }
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
            Heard::Kept(kept, bytes) => {
                (self.kept, self.bytes) = (Some(kept), bytes);
                // While a book is being made this is said on the way.
                if matches!(self.doing, Doing::Making(..)) {
                    return false;
                }
                if self.is_busy() { Doing::Nothing } else { return true }
            }
            Heard::Remarks(remarks) => {
                self.remarks = remarks;
                return false;
            }
            Heard::Fetching(done, of) => Doing::Fetching(done, of),
            Heard::Making(stage, done, of) => Doing::Making(stage, done, of),
            Heard::Faults(faults) => Doing::Refused(faults),
            Heard::Made(address) => Doing::Made(address),
            Heard::Ended(why) => Doing::Ended(why),
        };
        !self.is_busy()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_first_book_is_fetched_kept_and_made() {
        let mut maker = Maker::default();
        assert!(maker.hear(Heard::Kept(Kept::NotHere, 8.6e6)));
        assert_eq!((maker.kept, maker.is_busy()), (Some(Kept::NotHere), false));
        assert_eq!(maker.ask("a job"), None);
        assert!(maker.is_busy());
        assert!(!maker.hear(Heard::Fetching(1e6, 8.6e6)));
        assert!(!maker.hear(Heard::Making(Stage::Opening, 0.0, 0.0)));
        assert!(!maker.hear(Heard::Kept(Kept::Here, 8.6e6)));
        assert_eq!((maker.kept, &maker.doing), (Some(Kept::Here), &Doing::Making(Stage::Opening, 0.0, 0.0)));
        let remark = Told { line: Some(3), message: "A remark.".to_owned(), hint: None };
        assert!(!maker.hear(Heard::Remarks(vec![remark.clone()])));
        assert!(maker.hear(Heard::Made("blob:1".to_owned())));
        assert_eq!(maker.remarks, [remark]);
        // The next one takes the place of the first, and hands its address back.
        assert_eq!(maker.ask("another job").as_deref(), Some("blob:1"));
        assert!(maker.remarks.is_empty() && maker.is_busy());
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

    #[test]
    fn keeping_it_ends_when_it_is_kept() {
        let mut maker = Maker::default();
        maker.begin();
        maker.hear(Heard::Fetching(0.0, 8.6e6));
        assert!(maker.hear(Heard::Kept(Kept::Here, 8.6e6)));
        assert_eq!((maker.kept, &maker.doing), (Some(Kept::Here), &Doing::Nothing));
    }
}
