//! What the place Cut says that the core does not.

/// Labels of the parts of the place.
pub const ASKED: &str = "Angle and length";
/// The same.
pub const DRAWN: &str = "Drawing and arrangements";
/// The same.
pub const CARD: &str = "How it is set up";
/// The two fields that come first.
pub const ANGLE: &str = "Angle to the fence";
/// What the angle's field takes.
pub const ANGLE_TAKES: &str =
    "Degrees (67.5), rise over run (1:12), two lengths (85 mm over 150 mm), or a frame (8 sides). Square is 90.";
/// The other.
pub const LENGTH: &str = "Length at the fence";
/// The same where the length is taken elsewhere.
pub const LENGTH_ELSEWHERE: &str = "Length of the piece";
/// Over what need not be said.
pub const MORE: &str = "More about the piece";
/// Labels.
pub const WIDTH: &str = "Width of the work";
/// The same.
pub const KERF: &str = "Kerf";
/// The same.
pub const AT: &str = "Length is taken";
/// Where: as the job names it, and as people do.
pub const ATS: [(&str, &str); 3] = [("", "at the fence"), ("middle", "in the middle"), ("far", "at the far edge")];
/// Label.
pub const KEPT: &str = "Piece that is kept";
/// Which: as the job names it, and as people do.
pub const KEPTS: [(&str, &str); 3] = [("", "either"), ("under rail", "under the rail"), ("beyond", "beyond the kerf")];
/// Labels.
pub const END: &str = "Angle of its other end";
/// The same.
pub const PIECES: &str = "Pieces";
/// The same.
pub const TOLERANCE: &str = "Lines may be off by";
/// The same.
pub const AWAY: &str = "From the rail's dogs to the cut";
/// What holds where that is left empty.
pub const AS_KIT: &str = "as the kit says";
/// While the worker is at it.
pub const LOOKING: &str = "Looking for holes that make it.";
/// While the job's text cannot be read.
pub const OF_BEFORE: &str =
    "The job cannot be read as it stands; what is shown is of before. Undo takes the change back.";
/// Over the directions.
pub const DIRECTIONS: &str = "Directions of the grid";
/// Over the list of parts.
pub const PARTS: &str = "List of parts";
/// Breaks it down.
pub const BREAK_DOWN: &str = "Break it down";
/// Stops that.
pub const STOP: &str = "Stop";
/// How far the search for a breakdown is.
pub fn rounds(done: u64, of: u64) -> String {
    format!("{done} of {of} rounds")
}
/// How far the cuts are set up on the top.
pub fn set_up(done: u64, of: u64) -> String {
    format!("{done} of {of} sorts of cuts set up on the top")
}

/// Where something stands in the job.
pub fn at_line(line: usize) -> String {
    format!("Line {line}: ")
}
