//! Hand on: what leaves this device, and what comes to it.

use leptos::prelude::*;
use wasm_bindgen::JsCast as _;

use crate::hands::Hands;
use crate::{device, drawing, words};

/// The place.
#[component]
pub fn HandOn(hands: Hands) -> impl IntoView {
    let width = device::drawing_width();
    let svg = move || hands.bench.with(|b| drawing::plain(b, width));
    view! {
        <section class="draw" aria-label="Drawing"><div class="drawing" inner_html=svg></div></section>
        <section class="panel" aria-label=words::HAND_ON>
            <Files hands/>
            <super::book::Book hands/>
        </section>
    }
}

#[component]
fn Files(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let opened = move |event: web_sys::Event| {
        let input = event.target().and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok());
        let Some(file) = input.and_then(|i| i.files()).and_then(|f| f.get(0)) else { return };
        wasm_bindgen_futures::spawn_local(async move {
            if let Ok(text) = wasm_bindgen_futures::JsFuture::from(file.text()).await
                && let Some(text) = text.as_string()
            {
                hands.write(text);
            }
        });
    };
    let save = move |_| {
        let (name, text) = bench.with_untracked(|b| {
            let name = b.laid().map_or_else(|| "job".to_owned(), |l| file_name(&l.job.name));
            (format!("{name}.toml"), b.text().to_owned())
        });
        let _ = device::hand_over(&name, &text);
    };
    view! {
        <h2 class="first">{words::JOB_FILE}</h2>
        <p>{words::JOB_FILE_HOLDS}</p>
        <p class="row">
            <label class="btn" for="open">{words::OPEN}<input id="open" class="file" type="file" accept=".toml,text/plain" on:change=opened/></label>
            <button class="btn" id="save" on:click=save>{words::SAVE}</button>
        </p>
    }
}

/// A job's name as a file's: letters and figures, everything else a hyphen.
pub(super) fn file_name(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let parts: Vec<&str> = plain.split('-').filter(|p| !p.is_empty()).take(8).collect();
    if parts.is_empty() { "job".to_owned() } else { parts.join("-") }
}
