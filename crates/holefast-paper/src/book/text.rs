//! The book's own words: everything on its pages that is not a card of the core.

use std::collections::BTreeSet;

use holefast::Fault;
use holefast::words::{bold, shares_of_hundred};
pub use holefast::words::{sentence, sentence_start};

use crate::page::Remark;

/// Subtitle of the cover.
pub const BOOK: &str = "Shop book";
/// Titles of the pages.
pub const SUMMARY: &str = "The work on one page";
/// Kit page.
pub const KIT: &str = "Kit and material";
/// Safety page.
pub const SAFETY: &str = "Before you start: safety";
/// What to do with the safety page.
pub const SAFETY_HOW: &str = "Read this once before you begin. Each card repeats the warnings for that step.";
/// Map of the passes.
pub const ORDER: &str = "Order of opening";
/// Budget.
pub const BUDGET: &str = "What the accuracy is made of";
/// Finishing.
pub const FINISHING: &str = "Finishing";
/// Reading sheet.
pub const READINGS: &str = "Readings";
pub const TEST_CUTS: &str = "Test cuts";
pub const PROVE_THE_ARRANGEMENT: &str = "For a cut that matters prove the lines it is made on, not the whole grid: a test cut \
    tells of fence and rail as they stand, dogs, shims and saw included, and of the rest of the grid much less.";
pub const FIRST_THESE: &str = "First these, two and two.";
pub const AS_MADE: &str = "Write every reading as it is made, even one that looks wrong.";
pub const WITH_WHAT_EVERY_SHOP_HAS: &str = "The job states no instrument, so a stick that compares to 0.1 mm and the kit's \
    bars are taken; one of them is enough to begin with.";
pub const WITH_WHAT_THE_JOB_STATES: &str = "They are the best of each instrument of the job; one of them is enough to begin \
    with.";
/// Beside the title on the second half of a card whose text is long.
pub const CONTINUED: &str = "continued";
/// At the end of its first half.
pub const GOES_ON: &str = "Goes on: take the other half too.";
/// Columns of the summary's table.
pub const STAGES: [&str; 4] = ["cards", "stage", "what is done", "time, about"];
/// Heading over what must not be passed by.
pub const BEFORE_YOU_GO_ON: &str = "Before you go on";
/// The first of it.
pub const TRIAL_FIRST: &str =
    "Make the trial bore (card 0) first: what it measures replaces the figures that were taken from memory.";
/// Heading over what is marked before the work.
pub const MARK_HEAD: &str = "Mark before you begin";
/// Marks that the cards count on.
pub const MARK: [&str; 3] = [
    "Every bar: its name, \u{201c}up\u{201d} on one face, and 0 at the hole it is counted from. The cards say \
     \u{201c}face up\u{201d} or \u{201c}turned over\u{201d}; turned over, hole 0 stays where the drawing has it.",
    "Every fifth hole of a bar, so that a hole is found without counting.",
    "The guide block: its name and an arrow along its places. The sheet: its reference edge and the corner at its left.",
];
/// Heading over the sheet's figures.
pub const THE_SHEET: &str = "The sheet";
/// Heading over the plan's reasons.
pub const WHY: &str = "Why this plan";
/// Heading over the maker's notes.
pub const NOTES: &str = "Notes";

/// Under the code on the cover.
pub const CODE: &str = "This job, for a phone";
/// In its place.
pub const NO_CODE: &str =
    "The job is too long for a code that reads from paper: hand it on as a file, or as a link from the page.";

/// What to expect, in one sentence.
pub fn expect(within: &str, confidence: f64) -> String {
    format!("Expect this top to come out square within {within}, {}.", shares_of_hundred(confidence))
}

/// Where the checks stand.
pub fn checks_on(cards: &[String]) -> String {
    let (word, them) = if cards.len() == 1 { ("card", "it") } else { ("cards", "each") };
    format!("Checks stand on {word} {}: bore nothing further until {them} goes.", bold(&cards.join(", ")))
}

/// Where a pin binds most often.
pub fn binds_on(card: &str, share: &str) -> String {
    format!("A pin binds most often on {card} ({share} of tops): clear chips, swap pins; do not force it.")
}

/// Bars and pins to have at hand.
pub fn kit_in_short(bars: usize, pins: u32) -> String {
    format!("{bars} bars, {pins} pins, one guide block")
}

/// Before the number of a cut's card.
pub const CUT_NUMBER: &str = "C";
/// Title of the pages of the list of parts.
pub const PARTS: &str = "List of parts";
/// Title of the pages of its cuts.
pub const PARTS_CUTS: &str = "List of parts: the cuts in order";
/// Heads of the table of cuts: number, what, how, and a place to tick.
pub const PARTS_HEAD: [&str; 4] = ["cut", "what is cut", "how, on this top", "done"];
/// Heads of the table of what comes out.
pub const PARTS_OUT_HEAD: [&str; 6] =
    ["part", "length within", "width within", "sides square within", "tolerance", "kept"];
/// How a drawing of sheets is read.
pub const PARTS_DRAWN: &str = "The thick edge is the reference edge. The figure at a cut is its place in the order; hatched \
    is left over. The cuts of each sheet stand on the pages after the settings.";
/// What the stars of the order mean.
pub const PARTS_STAR: &str = "At a star fence or stop is set again. Every cut is measured from an edge that is sawn already; \
    that edge lies against the fence, its end against the stop.";
/// Over the ends that are cut from the blanks.
pub const PARTS_ENDS: &str = "Ends that are not square, from the blanks";

/// Title of a setting's card, beside its letter.
pub const SETTING: &str = "Setting of fence and rail";

/// What a long list leaves out of the book.
pub fn sheets_left_out(shown: usize, all: usize) -> String {
    format!("The book shows the first {shown} of {all} sheets; holefast cut prints the cuts of all of them.")
}

/// Before a note of the maker's own on a card.
pub const NOTE: &str = "Note:";
/// Over a list of openings. Where it is changed, the book's tests look for its last words.
pub const LIST: &str = "In this order; the block stands on the holes named beside each.";
/// The same where hold-downs hold the block.
pub const LIST_HELD: &str =
    "In this order; under each, where its hold-down stands. The block stands on the holes named beside each.";

/// Under an opening in the list.
pub fn hold_down(hole: &str) -> String {
    format!("hold-down\u{a0}{hole}")
}

/// What a check is worth: what it catches, and how many tops pass it where the limit does not say.
pub fn worth(passed: Option<&str>, caught: &str) -> String {
    let catches = if caught.is_empty() { String::new() } else { format!(" It catches {caught} 95 times in 100.") };
    passed.map_or_else(String::new, |passed| format!(" It lets {passed} of tops pass.")) + &catches
}

/// Heading before the list of a check.
pub const IF_NOT: &str = "If it does not go";

/// Heading of the cover's last part.
pub const USE_HEAD: &str = "How to use this book";
/// How to use it.
pub const USE: [&str; 5] = [
    "Print at full size, not fitted to the page. Hold a rule to the bar beside a drawing: if it is true, so is the paper.",
    "Read the safety page, lay out the kit, make the trial bore. Then one card after the other, in order; tick each step.",
    "Two cards stand on a page: cut along the dotted line, and take to the bench only the one you are at.",
    "Do not go past a check that does not go. Its card says what to do.",
    "If a hole is spoiled or the kit changes, enter it in the job and print the book again: the figures at the foot of each page \
     tell one version from another.",
];

/// What is never counted, where the caller says nothing.
pub const LEFT_OUT: [&str; 3] = ["swarf under a bar", "a bar bent by its clamps", "a slip"];

/// The frame, in the foot of every page.
pub const FRAME: &str = "x along the reference edge, from its corner; seen from above";
/// The same on a card.
pub const CARD_FRAME: &str = "seen from above, reference edge towards you";

/// The same on the trial bore's card.
pub const TRIAL_FRAME: &str = "an offcut, seen from above; it has no reference edge";

/// Steps after the last hole.
pub const FINISH: [&str; 7] = [
    "Ease both rims of every hole: a light chamfer, by hand or with a countersink turned slowly. Sharp rims splinter \
     and hold dogs.",
    "Vacuum every hole, from above and from below. Never blow.",
    "Try a dog in every hole. It goes in under a hand and does not rock. Tick the hole on the drawing.",
    "Mark the reference corner and edge under the top, with this job's digest: later readings are counted from them.",
    "Finish the faces, both alike, so that the sheet stays flat. Keep finish out of the holes, or wipe it out with a \
     dry rag on a stick.",
    "Try pins and dogs again after the finish: it narrows holes. Ease what binds with fine paper round a dowel, a few \
     turns.",
    "Take a few readings on the sheet in this book before first use: a dated proof is what later drift is seen by.",
];

/// For MDF before the finish.
pub const FINISH_MDF: &str = "Seal the walls of the holes: thin shellac or thinned varnish on a bottle brush, two coats, sanded lightly \
     between. Bare MDF swells and crumbles in a hole.";
/// For everything else.
pub const FINISH_WOOD: &str =
    "Seal the walls of the holes if the top is used damp: one thin coat. Plywood needs none indoors, MDF always.";

/// Title of the page of what the readings prove.
pub const PROVED: &str = "What is proved";
/// Beside it.
pub const PROVED_FROM: &str = "from the job's readings";
/// Title of the table of readings.
pub const WORTH: &str = "What each reading is worth";
/// Over the table.
pub const WORTH_HOW: &str = "A reading that lies more than about three of its own spreads off is looked at again. The \
                             smallest slip found is what a misreading would have to be to show.";

/// What to do about what should not happen.
pub const BUG: &str = "This is a bug in holefast. Please report it and send the job file.";

/// What there is to say of the pages themselves.
pub fn remark(remark: &Remark) -> Fault {
    match remark {
        Remark::Shortened(whole) => {
            Fault::remark(format!("\u{201c}{whole}\u{201d} is too long for a line of the book and is shortened there"))
                .hint("It is printed in full elsewhere in the book.")
        }
        Remark::TooTall(what) => {
            Fault::remark(format!("{what} is taller than its page and runs over the end of it")).hint(BUG)
        }
    }
}

/// So many characters are named; of more it is said how many.
const NAMED: usize = 8;

/// What characters the type of the papers does not have.
pub fn lacking(characters: &BTreeSet<char>) -> Option<Fault> {
    let named: Vec<String> = characters.iter().take(NAMED).map(|c| character(*c)).collect();
    let more = characters.len().saturating_sub(NAMED);
    let more = if more == 0 { String::new() } else { format!(" and {more} more characters") };
    (!named.is_empty()).then(|| {
        Fault::remark(format!("the book's font has no {}{more}; a square is printed instead", named.join(", ")))
            .hint("Most Latin, Greek and Cyrillic letters can be printed.")
    })
}

/// Where a character is from: first and last of Unicode's blocks of these scripts (from memory).
const SCRIPTS: [(u32, u32, &str); 9] = [
    (0x0590, 0x05FF, "Hebrew"),
    (0x0600, 0x077F, "Arabic"),
    (0x0900, 0x097F, "Devanagari"),
    (0x0E00, 0x0E7F, "Thai"),
    (0x3040, 0x309F, "Hiragana"),
    (0x30A0, 0x30FF, "Katakana"),
    (0x3400, 0x9FFF, "Chinese"),
    (0xAC00, 0xD7AF, "Hangul"),
    (0x1F300, 0x1FAFF, "picture"),
];

/// A character as it is looked up.
fn character(c: char) -> String {
    let code = u32::from(c);
    let script = SCRIPTS.iter().find(|(first, last, _)| (*first..=*last).contains(&code));
    let script = script.map_or_else(String::new, |(.., name)| format!("{name} "));
    format!("{script}\u{201c}{c}\u{201d} (U+{code:04X})")
}
