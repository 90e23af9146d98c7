//! Papers: pages laid out as scenes, scenes written as SVG and PDF, the job as a link and its QR code;
//! computes no geometry of the top.
//!
//! Everything here is fed finished scenes and words of the core. Fonts are embedded, nothing is
//! read from the machine, no date is stamped: the same job gives the same bytes.

#[cfg(feature = "book")]
pub mod book;
pub mod code;
mod digest;
pub mod link;
#[cfg(feature = "book")]
pub mod page;
#[cfg(feature = "book")]
pub mod pdf;
mod svg;

#[cfg(feature = "book")]
pub use book::{Book, BookOptions, Expectation, ListPages, MorePages, Paper, Site, book, book_with_more};
pub use code::Code;
pub use digest::digest;
pub use svg::svg;
