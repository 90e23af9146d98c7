//! Everything the page says that the core does not.

pub mod book;
pub mod bore;
pub mod cut;
pub mod prove;
pub mod shelf;

use holefast::job::Units;

use crate::grip::Touch;

/// Under the title while the job is an example.
pub const EXAMPLE: &str = "This is an example. Start with the length and width of your own top.";
/// Buttons.
pub const UNDO: &str = "Undo";
/// The other way.
pub const REDO: &str = "Redo";
/// Label of the button that switches units.
pub fn switch_units(now: Units) -> &'static str {
    match now {
        Units::Mm => "mm: switch to inches",
        Units::Inch => "in: switch to mm",
    }
}
/// Label of what is handed on.
pub const HAND_ON: &str = "Hand on";
/// Over opening and saving.
pub const JOB_FILE: &str = "Job file";
/// What it is good for.
pub const JOB_FILE_HOLDS: &str = "It holds the whole job as text; the command line reads the same file. Files that the job names are opened with it.";
/// Reads a job file.
pub const OPEN: &str = "Open a job file";
/// Places of holes were chosen, and no job that names them.
pub const PLACES_ALONE: &str = "places of holes belong to a job, and no job was chosen with them";
/// The way out.
pub const PLACES_ALONE_HINT: &str = "choose the job file and the files it names together";
/// Writes it.
pub const SAVE: &str = "Save as a file";
/// Label of the drawing.
pub const SEEN_FROM_ABOVE: &str = "The top, seen from above";
/// Label of what touching changes.
pub const TOUCHING_CHANGES: &str = "Touching the drawing changes";
/// What touching changes.
pub fn touching(touch: Touch) -> &'static str {
    match touch {
        Touch::Holes => "Holes",
        Touch::KeepOuts => "Keep-outs",
        Touch::Sheet => "Sheet",
    }
}
/// Under the drawing: how it is changed.
pub fn how(touch: Touch) -> &'static str {
    match touch {
        Touch::Holes => {
            "Tap a hole to leave it out or bring it back, draw over many for all of them. Arrow keys go from hole to \
             hole, Enter does the same."
        }
        Touch::KeepOuts => {
            "Draw a rectangle where nothing may be bored. One that is there is moved by its middle and sized by its \
             sides. All of them stand as fields under Keep-outs."
        }
        Touch::Sheet => {
            "Pull the far end or the far side to size the sheet, the cross on A1 to move the grid. All of it can be \
             typed, too."
        }
    }
}
/// Label of the buttons for a nearer look.
pub const LOOK: &str = "Look";
/// Labels of those buttons.
pub const FURTHER: &str = "Look from further away";
/// The other way.
pub const NEARER: &str = "Look nearer";
/// Back to all of it.
pub const WHOLE: &str = "Whole top";
/// Fields.
pub const TOP_AND_GRID: &str = "Top and grid";
/// Where the grid stands: as the job names it, and as people do.
pub const ORIGINS: [(&str, &str); 3] =
    [("centred", "in the middle"), ("fit", "where most holes go"), ("at", "with A1 as below")];
/// A count that was fitted.
pub fn fitted(found: u32) -> String {
    format!("{found}, fitted")
}
/// Over the keep-outs.
pub const KEEP_OUTS: &str = "Keep-outs";
/// Adds one.
pub const ADD_KEEP_OUT: &str = "Add a keep-out";
/// Over the figures.
pub const GIVES: &str = "What that gives";
/// Over the table of holes.
pub const TABLE: &str = "The same as a table";
/// Over the job's text.
pub const TEXT: &str = "The job as text";
/// Over the faults.
pub fn faults(drawn: bool) -> &'static str {
    if drawn {
        "The text cannot be read as it stands; the drawing is that of before."
    } else {
        "The text cannot be read as it stands, so nothing is drawn. It is all there, under \u{201c}The job as text\u{201d}."
    }
}
/// A hole's state for those who hear it.
pub fn state(wanted: bool, possible: bool) -> &'static str {
    match (wanted, possible) {
        (false, _) => "left out",
        (true, true) => "wanted",
        (true, false) => "in conflict",
    }
}
/// Leave out or bring back.
pub fn toggle(wanted: bool) -> &'static str {
    if wanted { "Leave out" } else { "Bring back" }
}
