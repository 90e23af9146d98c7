//! The web app: the page that lays a top out. The numbers are the core's, the drawing is the scene
//! that papers draw; here is only what a person touches.

pub mod bench;
mod device;
pub mod drawing;
mod page;
pub mod words;

use wasm_bindgen::prelude::wasm_bindgen;

/// The example that the first visit opens.
pub const EXAMPLE: &str = include_str!("../../../examples/trailer-top.toml");

/// Starts the page.
#[wasm_bindgen(start)]
pub fn start() {
    leptos::mount::mount_to_body(page::Page);
}
