//! What the page says of the shop book and its maker.

use crate::maker::{Doing, Kept, Stage, Told, Why};

/// Over the part.
pub const BOOK: &str = "Shop book";
/// What it is.
pub const WHAT: &str = "A card for every set-up, to print and to take to the bench. The same book as the command line's, made on this device.";
/// Label of the choice of paper.
pub const PAPER: &str = "Paper";
/// Papers, by the name that the maker knows.
pub const PAPERS: [(&str, &str); 2] = [("a4", "A4"), ("letter", "Letter")];
/// Makes it.
pub const MAKE: &str = "Make the shop book";
/// Breaks off.
pub const STOP: &str = "Stop";
/// Hands it over.
pub const SAVE: &str = "Save the book";
/// When the book is there.
pub const MADE: &str = "The book is made.";
/// When the job was changed since.
pub const OLDER: &str = "The job has changed since this book was made.";
/// Over why there is no book.
pub const REFUSED: &str = "This job has no book yet:";
/// Over remarks.
pub const REMARKS: &str = "To know about this job:";
/// Accepts the offer.
pub const KEEP: &str = "Keep the book maker on this device";
/// Declines it.
pub const NOT_NOW: &str = "Not now";
/// Takes it off.
pub const FORGET: &str = "Take the book maker off this device";

/// A size as a person reads it: a tenth of a megabyte.
pub fn size(bytes: f64) -> String {
    format!("{:.1}\u{a0}MB", bytes / 1e6)
}

/// The offer of the first visit, and why.
pub fn offer(bytes: f64) -> String {
    format!(
        "Keep the book maker on this device for use without a network? It is {}; without it the book maker is fetched \
         when you first make a book.",
        size(bytes)
    )
}

/// Whether the maker is here.
pub fn kept(kept: Kept, bytes: f64) -> String {
    let size = size(bytes);
    match kept {
        Kept::Here => format!("The book maker is on this device ({size}): books are made without a network."),
        Kept::NotHere => {
            format!("The book maker is not on this device yet: {size}, fetched and kept when you first make a book.")
        }
        Kept::Never => {
            format!("This browser keeps nothing of this page: the book maker, {size}, is fetched for every book.")
        }
    }
}

/// The line under the buttons; empty where there is nothing to say.
pub fn doing(doing: &Doing) -> String {
    match doing {
        Doing::Nothing => String::new(),
        Doing::Asked => "Beginning".to_owned(),
        Doing::Fetching(_, of) => format!("Fetching the book maker, {}", size(*of)),
        Doing::Making(stage, ..) => stage_name(*stage).to_owned(),
        Doing::Made(_) => MADE.to_owned(),
        Doing::Refused(_) => REFUSED.to_owned(),
        Doing::Ended(why) => ended(*why).to_owned(),
    }
}

fn stage_name(stage: Stage) -> &'static str {
    match stage {
        Stage::Opening => "Making the book maker ready",
        Stage::Planning => "Trying the ways to bore it",
        Stage::Boards => "Building virtual boards",
        Stage::Setting => "Setting the pages",
    }
}

fn ended(why: Why) -> &'static str {
    match why {
        Why::Network => {
            "The book maker is not on this device, and it cannot be fetched: there is no network, or the server does not \
             answer. Try again when there is one; the job is safe."
        }
        Why::Gone => {
            "The server has a newer version and no longer the book maker of this one. Close this page everywhere and open \
             it again; the job is safe."
        }
        Why::Broken => "The book maker came damaged. Try again.",
        Why::Store => {
            "This browser keeps nothing so large here: it has no room, or does not allow it. Books can be made as long as \
             there is a network."
        }
        Why::Breakdown => {
            "The book maker broke off, perhaps for want of memory on this device. Try again with other pages closed; the \
             command line makes the same book from the job file."
        }
    }
}

/// A fault or a remark in one line, its place first.
pub fn told(told: &Told) -> String {
    let place = told.line.map_or_else(String::new, |line| format!("Line {line}: "));
    format!("{place}{}", told.message)
}
