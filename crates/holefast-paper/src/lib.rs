//! Papers: the drawing as SVG, the shop book as PDF; computes no geometry.
//!
//! Everything here is fed finished scenes and words of the core. Fonts are embedded, nothing is
//! read from the machine, no date is stamped: the same job gives the same bytes.

#[cfg(feature = "book")]
pub mod book;
mod digest;
mod svg;

#[cfg(feature = "book")]
pub use book::{BookOptions, Expectation, Paper, book};
pub use digest::digest;
pub use svg::svg;
