//! Every test of the papers that stands outside them, in one program.

#[path = "../../holefast/src/testing/files.rs"]
mod files;

mod book;
mod code;
mod pages;
mod pdf;
mod svg;
