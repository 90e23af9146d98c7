//! holefast, the core: from a job file to a layout, a plan of set-ups, a prediction of how square
//! the top comes out, and the drawings of it all.
//!
//! The core is pure. It reads no file, no clock and no environment, starts no thread and draws no
//! random number of its own: job text, seeds and a way to run blocks in parallel come in as
//! arguments. The command line and the web app call the same functions and add nothing to the
//! numbers.
//!
//! Frame: origin at the reference corner, x along the reference edge, y away from it, seen from
//! the top face. Units: mm and rad, `f64`. Names that leave the core carry their unit (`_mm`,
//! `_deg`); square is in mm per m.
//!
//! The way through: [`job`] reads what the maker has; [`top`] lays the holes out on it;
//! [`plan`] orders the set-ups; [`replay`] checks any plan by the hands' rules; [`predict`] says
//! how square it comes out; [`words`] and [`drawing`] say and show it. [`desk`] goes it once for all who ask.

// Plans written by hand serve the tests in here and those outside alike, by the crate's own name.
#[cfg(test)]
extern crate self as holefast;

pub mod breakdown;
pub mod cut;
pub mod desk;
pub mod drawing;
pub mod fault;
pub mod job;
pub mod kit;
pub mod math;
pub mod measure;
pub mod parts;
pub mod plan;
pub mod predict;
pub mod proof;
pub mod reading;
pub mod replay;
#[cfg(any(test, feature = "testing"))]
pub mod testing;
pub mod top;
pub mod words;

pub use desk::Desk;
pub use fault::{Fault, FaultKind, Span};
pub use job::Job;
pub use plan::Plan;
pub use top::Layout;

/// The version that papers, drawings and data state.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");
