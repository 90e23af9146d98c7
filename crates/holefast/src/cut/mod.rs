//! Cutting on the finished top: which holes carry fence, guide rail and stop for an angle and a
//! length, how far out the cut can be, and what shim mends it.
//!
//! A fence or rail lies against the dogs in two holes. Where those holes are, and how well that is
//! known, comes in as [`Places`], from the plan, from its prediction or from a proof; everything
//! else follows from tangents to circles (`docs/conventions.md`). Frame and units as everywhere: mm
//! and rad; what is read by people is in degrees and mm per m.

mod around;
mod clear;
mod contract;
mod directions;
mod dogs;
mod fixed;
mod groups;
mod line;
mod lines;
mod pair;
mod places;
mod search;
mod shim;
mod shortlist;
mod sizes;
mod sketch;
mod stop;
mod tested;
mod wanted;

pub use clear::{Blocked, LEAST_DOG_CLEARANCE, Room, USUAL_KERF, is_free, kept_of, room_for};
pub(crate) use contract::{ArrangementJson, TestJson, arrangement_json, test_json};
pub use contract::{angle_to_json, cuts_to_json};
pub use directions::{Direction, DirectionPair, Nearest};
pub use dogs::Dogs;
pub use fixed::{Settled, USUAL_TOLERANCE, settle, settle_one};
pub use line::{Face, Line, direction_of};
pub use pair::Pair;
pub use places::{Basis, Place, Places};
pub use search::{Arrangement, Found, MOST_ARRANGEMENTS, Search, search, search_for};
pub use shim::{Shim, Shims, from_stock, shim_for};
pub use sketch::Sketch;
pub use stop::{MOST_SPACER, Offsets, Piece, StopSet, has_kit_stop, kit_lengths, kit_stop};
pub use tested::Tested;
pub use wanted::{mitre, wanted_angle, wanted_length};

/// mm per m in a rad.
pub(crate) const PER_METRE: f64 = 1000.0;

#[cfg(test)]
mod tests_fixed;
#[cfg(test)]
mod tests_formulas;
#[cfg(test)]
mod tests_plain;
#[cfg(test)]
mod tests_search;
#[cfg(test)]
mod tests_simulated;
#[cfg(test)]
mod tests_tested;
#[cfg(test)]
mod tests_worked;
