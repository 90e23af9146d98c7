//! What the place Bore and the bench say that the core does not.

/// Where a browser gives no worker.
pub const NO_WORKER: &str = "this browser does not let the page plan beside itself";
/// The way out then.
pub const NO_WORKER_HINT: &str = "load the page anew, or plan with the command line";
/// While the plan is being made.
pub const PLANNING: &str = "Trying the ways to bore it.";
/// While a changed job is planned anew; what is shown is the plan of before.
pub const REPLANNING: &str = "The job has changed: planning anew.";
/// While the job's text cannot be read.
pub const OF_BEFORE: &str = "The job cannot be read as it stands; this is the plan of before.";
/// Over a refusal.
pub const REFUSED: &str = "This cannot be bored as it stands.";
/// Stops the virtual boards.
pub const STOP: &str = "Stop";
/// Builds them (again).
pub const BUILD: &str = "Build virtual boards";
/// Over the picture of the spread.
pub const SPREAD: &str = "How square is spread";
/// Over the set-ups.
pub const SETUPS: &str = "Set-ups";
/// Over the plan's reasons: the ways that were tried, and what they come to.
pub const WHY: &str = "Why this way and not another";
/// Over what the checks are worth.
pub const CHECKS: &str = "What the checks are worth";
/// Opens the bench.
pub const AT_THE_BENCH: &str = "At the bench";
/// Closes it.
pub const CLOSE: &str = "Leave the bench";
/// One stop back.
pub const BACK: &str = "Back";
/// Ticks a stop off.
pub const DONE: &str = "Done";
/// On a check.
pub const IT_WENT: &str = "It went";
/// On a stop that is ticked off.
pub const GO_ON: &str = "Go on";
/// Takes a tick back.
pub const NOT_DONE: &str = "Not done after all";
/// When nothing is left.
pub const ALL_DONE: &str = "All set-ups are done.";
/// Over the list of what follows.
pub const NEXT: &str = "What comes next";
/// Over what to do when something went wrong.
pub const WRONG: &str = "A hole is spoiled";
/// The same on a check.
pub const CHECK_WRONG: &str = "It did not go";
/// Which hole.
pub const WHICH: &str = "Which hole?";
/// Why.
pub const WHY_SPOILED: &str = "What happened (as you like)";
/// The rest of the card.
pub const REST_BORED: &str = "The other holes of this card are bored";
/// Enters it.
pub const SPOIL: &str = "Mark it spoiled and plan anew";
/// Why a check's hole is spoiled, where nothing else is said.
pub const CHECK_DID_NOT_GO: &str = "the check did not go";
/// Where the screen may go dark.
pub const NO_WAKE: &str = "This browser lets the screen go dark.";
/// Beside a card that is done.
pub const TICKED: &str = "done";
/// Over a caution of the bench on a spoiled hole.
pub const SPOILED_CAUTION: &str =
    "Battery or plug out before you look into it. Open nothing next to it until the plan says how to go on.";
/// Where the plan with a spoiled hole is explained.
pub const SPOILED_HEAD: &str = "Planned anew";

/// How many boards are built.
pub fn built(done: u64, of: u64) -> String {
    format!("{done} of {of} virtual boards built")
}

/// What the figures come from.
pub fn from(basis: &str) -> String {
    format!("From {basis}.")
}

/// What is left: "6 h 20 left".
pub fn left(minutes: f64) -> String {
    format!("{} left", holefast::words::minutes(minutes))
}

/// "opening 5 of 49".
pub fn opening_of(n: usize, of: usize) -> String {
    format!("opening {n} of {of}")
}

/// Which hole is opened now, and what the block stands on.
pub fn open_now(hole: &str, on: &[String], hold_down: Option<&str>) -> String {
    let on = if on.is_empty() { String::new() } else { format!(": the block stands on {}", on.join(" and ")) };
    let held = hold_down.map_or_else(String::new, |h| format!(", the hold-down in {h}"));
    format!("Open {hole}{on}{held}.")
}

/// Under the large target.
pub fn then(what: &str) -> String {
    format!("next: {what}")
}

/// Why holes are spoiled where lines lie askew.
pub const LINES_ASKEW: &str = "lines askew, the check did not go";

/// None of a check's holes is out: "None is out: spoil A1 to A14 together".
pub fn askew(holes: &[String]) -> String {
    match holes {
        [first, .., last] => format!("None is out, the lines lie askew: spoil {first} to {last} together"),
        _ => format!("None is out, the lines lie askew: spoil {}", holes.concat()),
    }
}

/// Gives a spoiled hole up.
pub fn go_round(hole: &str) -> String {
    format!("Go round it: leave {hole} out")
}
