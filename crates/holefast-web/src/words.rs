//! Everything the page says that the core does not.

/// Under the title while the job is an example.
pub const EXAMPLE: &str = "This is an example. Start with the length and width of your own top.";
/// When the job stands on the device.
pub const SAVED: &str = "Saved on this device";
/// When it does not.
pub const NOT_SAVED: &str = "Not saved on this device: save the job as a file";
/// Buttons.
pub const UNDO: &str = "Undo";
/// The other way.
pub const REDO: &str = "Redo";
/// Label of what is handed on.
pub const HAND_ON: &str = "Hand on";
/// Over opening and saving.
pub const JOB_FILE: &str = "Job file";
/// What it is good for.
pub const JOB_FILE_HOLDS: &str = "It holds the whole job as text; the command line reads the same file.";
/// Reads a job file.
pub const OPEN: &str = "Open a job file";
/// Writes it.
pub const SAVE: &str = "Save as a file";
/// Under the drawing.
pub const HOW: &str =
    "Tap a hole to leave it out or bring it back. Arrow keys go from hole to hole, Enter leaves out or brings back.";
/// Fields.
pub const TOP_AND_GRID: &str = "Top and grid";
/// Fields, by path in the job.
pub const FIELDS: [(&str, &str); 5] = [
    ("top.length", "Length"),
    ("top.width", "Width"),
    ("top.thickness", "Thickness"),
    ("grid.pitch", "Pitch"),
    ("grid.edge", "Least to the edge"),
];
/// Over the figures.
pub const GIVES: &str = "What that gives";
/// Over the table of holes.
pub const TABLE: &str = "The same as a table";
/// Over the job's text.
pub const TEXT: &str = "The job as text";
/// Over the faults.
pub const FAULTS: &str = "The text cannot be read as it stands; the drawing is that of before.";
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
