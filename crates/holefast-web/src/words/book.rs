//! What the page says of the shop book and its maker.

use crate::maker::{Doing, Stage, Told, Why};

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
/// Opens it to be printed.
pub const PRINT: &str = "Open to print";
/// What the pages are, for those who do not see them.
pub const PAGES: &str = "Pages of the book";
/// Turns back.
pub const BACK: &str = "Previous page";
/// Turns on.
pub const ON: &str = "Next page";
/// When the book is there.
pub const MADE: &str = "Your book is ready. Look through it, then save or print it at full size.";
/// When the job was changed since.
pub const OLDER: &str = "The job has changed since this book was made.";
/// Over why there is no book.
pub const REFUSED: &str = "This job has no book yet:";
/// Over remarks.
pub const REMARKS: &str = "To know about this job:";
/// Where in the book.
pub fn page_of(page: usize, of: usize) -> String {
    format!("Page {page} of {of}")
}

/// The line under the buttons; empty where there is nothing to say.
pub fn doing(doing: &Doing) -> String {
    match doing {
        Doing::Nothing => String::new(),
        Doing::Asked => "Beginning".to_owned(),
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
        Why::Network => "The book maker could not be fetched. Try again when there is a network; your job is safe.",
        Why::Gone => {
            "The server has a newer version and no longer the book maker of this one. Close this page everywhere and open \
             it again; your job is safe."
        }
        Why::Broken => "The book maker came damaged. Try again.",
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
