//! What stands in the markup of the place Cut that the core does not say.

/// Over the arrangements.
pub const WAYS: &str = "Arrangements";
/// Over the job's own cuts.
pub const OWN: &str = "Cuts of this job";
/// Heads of the table.
pub const HEADS: [&str; 5] = ["Dogs", "as it stands", "shim", "shorter base", "cut begins"];
/// Over what can hurt.
pub const MIND: &str = "Mind";
/// Over what is offered before any figure.
pub const PROVE: &str = "Prove it first";
/// Keeps an arrangement.
pub const KEEP: &str = "Keep it in the job";
/// Takes a cut out.
pub const TAKE_OUT: &str = "Take it out of the job";
/// Goes from a cut of the job to the fields.
pub const OTHERS: &str = "Look for other holes";
/// Label of a kept cut's name.
pub const NAME: &str = "Name of the cut";
/// Over the cuts of a list of parts.
pub const PARTS_CUTS: &str = "The cuts in their order";

/// Over where fence, rail and stop stand for each of them.
pub const PARTS_ON_TOP: &str = "Fence, rail and stop for each cut";

/// Takes the nearest direction in.
pub fn take_nearest(angle: &str, tolerance: &str) -> String {
    format!("Take {angle}: lines off by up to {tolerance}°")
}

/// Where something stands in the job.
pub fn at_line(line: usize) -> String {
    format!("Line {line}: ")
}

/// Over a kit without a rail.
pub const NO_RAIL: &str = "The kit has no guide rail";
/// What follows from that.
pub const NO_RAIL_MORE: &str = "So room for rail and blade is not looked at, and no stop can be set. Measure yours:";
/// Over a kit without a fence.
pub const NO_FENCE: &str = "The kit has no fence";
/// What follows from that.
pub const NO_FENCE_MORE: &str =
    "So it is taken as long as the holes ask, and touched at the top's face. Measure yours:";
/// Fields of a rail, in the order of the job's keys.
pub const RAIL: [&str; 4] = ["Its length", "From the dogs to the cut", "Run-in", "Run-out"];
/// Fields of a fence.
pub const FENCE: [&str; 2] = ["Its length", "Dogs are touched so high up"];
/// Writes it.
pub const WRITE: &str = "Write it into the job";
