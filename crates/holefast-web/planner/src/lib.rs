//! The planner of the web app: a module of its own that a worker runs, so that the page, which comes
//! first over a shop's weak network, is small. The page
//! takes from here what is asked and answered, never the planning itself.

pub mod cut;
mod prove;
pub mod theme;
mod work;

pub use prove::{NextTold, Picture, Proved, Wanted};
pub use work::{Answer, Ask, BOARDS, Foretold, Part, Planned, Refusal, answer, planned};

/// Answers a worker's question; `tell` is called with each answer.
#[cfg(feature = "door")]
#[wasm_bindgen::prelude::wasm_bindgen(js_name = answer)]
pub fn answer_in_worker(ask: &str, tell: &js_sys::Function) {
    answer(ask, &|text| {
        // A page that has gone away hears nothing.
        let _ = tell.call1(&wasm_bindgen::JsValue::NULL, &text.into());
    });
}
