//! The one drawing: a scene of lines, circles and text, made once here and shown alike on paper,
//! in SVG files, on screen and in DXF.
//!
//! Places are mm in the top's frame; signs, text and line weights are mm on the paper and keep
//! their size when the scale changes, so a scene is made for a given [`View`]. State is told by
//! shape first, colour second: a [`Role`] says what a thing is, [`Style`] how that looks. Turning
//! a scene into a file is the paper crate's work, and no writer computes geometry.

mod bars;
mod cut_view;
mod hatch;
mod key;
mod labels;
mod marks;
mod openings_view;
mod parts_view;
mod proof_view;
mod scene;
mod setup_view;
mod spread_view;
mod state;
mod style;
mod top_view;
mod trial_view;
mod verdict_view;

pub use bars::{Body, Edge, Overhang, body, overhangs};
pub use cut_view::{cut_view, setting_view};
pub use key::{key_of, key_sign};
pub use openings_view::{OpeningsPart, openings_map, openings_view};
pub use parts_view::{parts_view, sheets_view};
pub use proof_view::proof_view;
pub use scene::{Anchor, At, CLIP_BLEED, Item, Margin, Role, Scene, Shape, View};
pub use setup_view::setup_view;
pub use spread_view::spread_view;
pub use state::{Existing, HoleState, holes_before};
pub use style::{Ink, Style, Theme, size, text_width};
pub use top_view::{part_view, top_part, top_view, wider_view};
pub use trial_view::trial_view;
pub use verdict_view::verdict_view;
