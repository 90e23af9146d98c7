//! What people read about a top: names, figures, and the cards of the bench, in one catalogue.
//!
//! All sentences of the core's cards and drawings stand here, ready to be translated; numbers are
//! set in the job's units with a no-break space before the unit. Papers and web app show the same
//! words. Messages of faults stay with what finds them.

mod cards;
mod cautions;
pub mod cutting;
pub mod expected;
mod figures;
pub mod holding;
mod labels;
pub mod layout;
pub mod next;
mod notes;
mod numbers;
pub mod on_top;
mod openings;
pub mod outline;
pub mod parts;
pub mod proof;
mod rich;
mod sentence;
pub mod sheet;
pub mod test_cuts;

pub use cards::{
    Card, CardKind, CardLine, CheckWords, OpeningLine, TRIAL_DOG_HOLE, TRIAL_PICTURES, TRIAL_PILOT, about_trial, cards,
    trial_card, trial_places,
};
pub use cautions::{Caution, cautions};
pub use figures::{
    about_length, bare_length, fine, length, limits, minutes, per_metre, share, shares_of_hundred, span_of,
};
pub use holding::{clamps_at_once, needs_sleeve};
pub use labels::{
    about_map, about_openings, about_setup, about_top, conflict_label, edge_name, joint_label, keep_out_name, key_name,
    overhang_label, overhang_short, pitches,
};
pub use notes::{astray, notes_on};
pub use numbers::{CardNumbers, OnCard};
pub use openings::parts;
pub use rich::{Rich, Run, bold};
pub use sentence::{sentence, sentence_start};
