//! What is typed: the angle, the length, and what need not be said; what a kit lacks for cutting.

use holefast::job::Units;
use holefast::measure::format::unit_name;
use holefast::words as core;
use leptos::prelude::*;
use wasm_bindgen::JsCast as _;

use crate::cutter::{Cutter, field};
use crate::words::cut as words;
use holefast_web_planner::cut::Told;

/// Fields, what the angle means, what is missing.
#[component]
pub fn Asked(cutter: Cutter) -> impl IntoView {
    let elsewhere = move || cutter.typed.with(|t| !t.values[field("at")].is_empty());
    let length = move || if elsewhere() { words::LENGTH_ELSEWHERE } else { words::LENGTH };
    let told = move |get: fn(&Told) -> &String| {
        cutter.known.with(|k| k.as_ref().map(|k| get(&k.told).clone()).unwrap_or_default())
    };
    let directions = move || told(|t| &t.directions);
    view! {
        <div class="fields">
            {input(cutter, "angle", Said::Plain(words::ANGLE), "°")}
            {input(cutter, "length", Said::Now(Signal::derive(length)), "")}
        </div>
        <p id="cut-means" class="line" class:stale=move || !cutter.is_fresh()
            inner_html=move || told(|t| &t.means)></p>
        {wrong(cutter, "angle")}{wrong(cutter, "length")}
        <p class="line" id="angle-takes">{words::ANGLE_TAKES}</p>
        <details id="more"><summary>{words::MORE}</summary>
            <div class="fields">
                {input(cutter, "width", Said::Plain(words::WIDTH), "")}
                {input(cutter, "kerf", Said::Plain(words::KERF), "")}
                {select(cutter, "at", words::AT, words::ATS)}
                {select(cutter, "kept", words::KEPT, words::KEPTS)}
                {input(cutter, "end", Said::Plain(words::END), "°")}
                {input(cutter, "quantity", Said::Plain(words::PIECES), "none")}
                {input(cutter, "tolerance", Said::Plain(words::TOLERANCE), "°")}
                {input(cutter, "rail.cut", Said::Plain(words::AWAY), "")}
            </div>
        </details>
        // Told outside, where they are seen while that is closed.
        {["width", "kerf", "at", "kept", "end", "quantity", "tolerance", "rail.cut"]
            .into_iter().map(|key| wrong(cutter, key)).collect_view()}
        <details id="directions" hidden=move || directions().is_empty()><summary>{words::DIRECTIONS}</summary>
            <ul class="gives" inner_html=directions></ul></details>
        <div id="lacking" inner_html=move || told(|t| &t.lacking) on:click=move |event| write(cutter, &event)></div>
        {move || cutter.hands.trouble.get().map(|f| view! {
            <p class="note" role="alert"><b>{core::sentence(&f.message)}</b>{f.hint.map(|h| core::sentence(&h))}</p>
        }.into_any())}
    }
}

/// A label.
enum Said {
    Plain(&'static str),
    Now(Signal<&'static str>),
}

fn id(key: &str) -> String {
    format!("cut-{}", key.replace('.', "-"))
}

/// A field; without a unit of its own it is a length.
fn input(cutter: Cutter, key: &'static str, label: Said, unit: &'static str) -> AnyView {
    let at = field(key);
    let units = move || cutter.hands.bench.with(|b| b.laid().map_or(Units::Mm, |l| l.job.units));
    let unit = move || match unit {
        "none" => "",
        "" => unit_name(units()),
        unit => unit,
    };
    let label = match label {
        Said::Plain(label) => label.into_any(),
        Said::Now(label) => (move || label.get()).into_any(),
    };
    let bad = move || (!cutter.wrong_at(at).is_empty()).then_some("true");
    let told = format!("{}-wrong", id(key));
    view! {
        <label for=id(key)>{label}<span class="in" class:bad=move || bad().is_some()>
            <input id=id(key) type="text" inputmode=if key == "angle" { "text" } else { "decimal" } autocomplete="off"
                placeholder=if key == "rail.cut" { words::AS_KIT } else { "" }
                aria-invalid=bad aria-describedby=told
                prop:value=move || cutter.typed.with(|t| t.values[at].clone())
                on:change=move |event| cutter.type_in(at, &event_target_value(&event))/>
            <i>{unit}</i></span></label>
    }
    .into_any()
}

fn select(
    cutter: Cutter,
    key: &'static str,
    label: &'static str,
    choices: [(&'static str, &'static str); 3],
) -> AnyView {
    let at = field(key);
    let option = move |(value, said): (&'static str, &'static str)| {
        let chosen = move || cutter.typed.with(|t| t.values[at] == value);
        view! { <option value=value prop:selected=chosen>{said}</option> }.into_any()
    };
    view! {
        <label for=id(key)>{label}<span class="in"><select id=id(key) aria-describedby=format!("{}-wrong", id(key))
            on:change=move |event| cutter.type_in(at, &event_target_value(&event))>
            {choices.into_iter().map(option).collect_view()}
        </select></span></label>
    }
    .into_any()
}

/// What is wrong with a field, beside it.
fn wrong(cutter: Cutter, key: &'static str) -> AnyView {
    let at = field(key);
    view! {
        <div id=format!("{}-wrong", id(key)) class="note fieldnote" role="alert" inner_html=move || cutter.wrong_at(at)></div>
    }
    .into_any()
}

/// Writes a tool of the kit by what was typed in its fields.
fn write(cutter: Cutter, event: &web_sys::MouseEvent) {
    let target = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok());
    let Some(key) = target.and_then(|t| t.get_attribute("data-tool")) else { return };
    let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
    let typed = |n: usize| {
        let field = document.get_element_by_id(&format!("{key}-{n}"))?;
        Some(field.dyn_into::<web_sys::HtmlInputElement>().ok()?.value())
    };
    let all: Vec<String> = (0..4).map_while(typed).collect();
    cutter.hands.change(|b| b.add_tool(&key, &all));
}
