//! The web app: the page with its places. The numbers are the core's, the drawing is the scene
//! that papers draw; here is only what a person touches.

mod awake;
pub mod bench;
mod browser;
pub mod cards;
pub mod cutter;
mod device;
pub mod drawing;
pub mod grip;
pub mod hands;
pub mod look;
pub mod maker;
mod maker_worker;
mod page;
pub mod place;
pub mod planner;
pub mod prover;
pub mod shelf;
pub mod stops;
mod thread;
pub mod words;

use wasm_bindgen::prelude::wasm_bindgen;

/// The example that the first visit opens.
pub const EXAMPLE: &str = include_str!("../../../examples/trailer-top.toml");

/// Opens the page. Nothing starts by itself.
#[wasm_bindgen]
pub async fn open_page() {
    let start = shelf::Start::look().await;
    leptos::mount::mount_to_body(move || page::Page(page::PageProps { start }));
}
