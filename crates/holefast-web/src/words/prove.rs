//! What the place Prove says that the core does not.

use holefast::job::MeasuringTool;
use holefast::reading::ReadingKind;

/// While the readings are being adjusted.
pub const PROVING: &str = "Looking at the readings.";
/// While the text of the job has a slip.
pub const OF_BEFORE: &str = "The job's text has a slip; this is of the job before it.";
/// Where a browser gives no worker.
pub const NO_WORKER: &str =
    "This browser does not let the page prove beside itself: load it anew, or prove with the command line.";
/// Where nothing was read.
pub const NOTHING_READ: &str = "Nothing read yet.";
/// What two readings do.
pub const NOTHING_READ_MORE: &str =
    "Two crossed diagonals, read with the same thing, say how square a top is; its sides do not.";
/// Where there is nothing to read with.
pub const NO_INSTRUMENT: &str = "Say below what you measure with; then the reading that tells most is named here.";
/// How holes are chosen.
pub const HOW: &str = "Tap the holes of a reading in their order, or type their names.";
/// Over the form.
pub const ENTER: &str = "A reading";
/// Enters it.
pub const ENTER_IT: &str = "Enter";
/// Empties the chosen holes.
pub const OTHER_HOLES: &str = "Other holes";
/// Label of the kind.
pub const KIND: &str = "What was read";
/// Label of the instrument.
pub const WITH: &str = "With";
/// The choice of none.
pub const WITHOUT: &str = "nothing listed: its own uncertainty";
/// Label of that.
pub const ITS_U: &str = "Standard uncertainty";
/// Label of what a distance was read over.
pub const OVER: &str = "Read over";
/// Label of the pins' diameter.
pub const DIAMETER: &str = "Their diameter";
/// Label of where a gap shows.
pub const GAP_AT: &str = "The gap shows";
/// Over the suggestion.
pub const NEXT: &str = "Worth reading next";
/// While it is looked for.
pub const LOOKING: &str = "Looking for the reading that tells most.";
/// Takes a suggestion into the form.
pub const TAKE: &str = "Read this";
/// Over the list.
pub const READINGS: &str = "Readings";
/// Where there is none.
pub const NO_READINGS: &str = "None yet.";
/// Over the table of what each is worth.
pub const WORTH: &str = "What each reading is worth";
/// Over the table of what each would leave.
pub const LEAVES: &str = "What other readings would leave";
/// Over the instruments.
pub const INSTRUMENTS: &str = "What it is measured with";
/// Where figures come from.
pub const BEGINS: &str =
    "New ones begin with common figures. Read one thing ten times: the spread of that is a better one.";
/// Label of the choice.
pub const ADD: &str = "One more";
/// Adds it.
pub const ADD_IT: &str = "Add";
/// Label of what is known before.
pub const PRIOR: &str = "Known before a reading";
/// What may be known.
pub const PRIORS: [(&str, &str); 3] = [
    ("scatter", "each hole's own scatter"),
    ("prediction", "what the plan promises: it was followed"),
    ("none", "nothing"),
];
/// What a distance was read over: value, words.
pub const OVERS: [(&str, &str); 3] =
    [("centres", "centre to centre"), ("outer", "pins, their far faces"), ("inner", "pins, their near faces")];
/// Where the gap of a board that was turned over shows: value, words.
pub const GAPS: [(&str, &str); 2] = [("fence", "at the fence"), ("far", "at the far edge")];
/// Of the test cuts.
pub const CAUTION: &str =
    "Cut as the saw's maker says: work and strip held, hands clear, the saw stopped before a strip is taken away.";

/// A kind in words.
pub fn kind(kind: ReadingKind) -> &'static str {
    match kind {
        ReadingKind::Distance => "a distance",
        ReadingKind::Offset => "a hole beside a line",
        ReadingKind::Angle => "a try square's gap",
        ReadingKind::FiveCut => "five cuts",
        ReadingKind::TurnOver => "a board turned over",
        ReadingKind::Went => "a bar that went in",
        ReadingKind::DidNotGo => "a bar that did not go",
        ReadingKind::Place => "places of many holes",
    }
}

/// The values that a kind has: key, label, whether it may be left empty.
pub fn values(kind: ReadingKind) -> &'static [(&'static str, &'static str)] {
    match kind {
        ReadingKind::Distance => &[("value", "It reads")],
        ReadingKind::Offset => &[("value", "Gap, positive to the left of the line")],
        ReadingKind::Angle => {
            &[("gap", "Gap, positive if open at the toe"), ("length", "Taken so far from the corner")]
        }
        ReadingKind::FiveCut => {
            &[("strip", "Strip at the fence's end"), ("strip", "Strip at the other end"), ("length", "Strip's length")]
        }
        ReadingKind::TurnOver => &[("gap", "Gap"), ("length", "Over this length")],
        ReadingKind::Went | ReadingKind::DidNotGo => {
            &[("length", "Between the bar's holes"), ("play", "Most play that lets it in")]
        }
        ReadingKind::Place => &[],
    }
}

/// A tool in words.
pub fn tool(tool: MeasuringTool) -> &'static str {
    match tool {
        MeasuringTool::Tape => "tape of class II",
        MeasuringTool::LongCaliper => "long caliper",
        MeasuringTool::PinchRod => "pinch rod, tried on both diagonals",
        MeasuringTool::Bar => "bar, pinned across",
        MeasuringTool::Straightedge => "straightedge and feeler",
        MeasuringTool::TrySquare => "try square and feeler",
    }
}

/// Takes the reading of this number out.
pub fn take_out(number: usize) -> String {
    format!("Take {number} out")
}
