//! How square a top really is, from readings: adjustment, what each reading is worth, suspects, a
//! verdict.
//!
//! Definitions: docs/design/proof.md. [`prove`] takes a job with its
//! layout; an adjustment that leaves something free or does not settle is a value of the result, a
//! reading that cannot be of this top is a fault. Units: mm, and mm per m for square, pitch, scales
//! and angles.

mod adjusted;
mod bad_hole;
mod candidates;
pub mod chance;
mod gauge;
mod geometry;
mod holes;
mod json;
mod lattice;
mod lines;
mod matrix;
mod model;
mod next;
mod over_time;
mod plausible;
mod prior;
mod report;
mod riding;
mod sampling;
mod sheet;
mod solve;
mod statistics;
#[cfg(test)]
mod tests;
pub mod workshop;

pub use adjusted::{Estimate, NoSquare};
pub use bad_hole::{BadHoleSet, SetLine, bad_hole};
pub use gauge::{After, Gauge};
pub use holes::{ProvedHoles, proved_holes};
pub use lines::{Bend, RightAngle};
pub use next::{MOST_READINGS, Next, Suggestion, next};
pub use over_time::{Drift, OnDate, OverTime, over_time};
pub use plausible::looked_at;
pub use report::{
    Datum, GLOBAL_LEVEL, GlobalTest, HoleProof, InstrumentProof, PointProof, Proof, ProofAsk, ReadingProof,
    SuspectProof, Verdict, VerdictWord, Who, Without, prove,
};
pub use sheet::{CARE, FewReadings, few_readings};
