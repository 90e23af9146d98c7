//! Cut: an angle and a length typed, the best few arrangements as a table, the chosen one drawn and told,
//! and kept in the job; the job's own cuts and its list of parts. The worker sets all of that as markup;
//! here it is put in its place, and what is touched in it is heard.

mod ask;

use holefast::words as core;
use leptos::prelude::*;
use wasm_bindgen::JsCast as _;

use crate::cutter::{Choice, Cutter, field};
use crate::device;
use crate::words::cut as words;

/// The place.
#[component]
pub fn CutPlace(cutter: Cutter) -> impl IntoView {
    cutter.follow();
    let shown = move |part: usize| cutter.shown(part).unwrap_or_default();
    let tables =
        Memo::new(move |_| cutter.known.with(|k| k.as_ref().map(|k| k.told.tables.clone()).unwrap_or_default()));
    let stale = move || !cutter.is_fresh();
    // Which is chosen is marked in the tables as they stand, so that the keyboard stays where it is.
    // What stands in place of a target that is gone gets the keyboard.
    let next = StoredValue::new("");
    Effect::new(move || {
        tables.track();
        cutter.choice.track();
        device::later(move || {
            mark(cutter.choice.get_untracked());
            next.try_update_value(|next| refocus(std::mem::take(next)));
        });
    });
    let touched = move |event: web_sys::MouseEvent| next.set_value(touched(cutter, &event));
    let renamed = move |event: web_sys::Event| {
        renamed(cutter, &event);
        next.set_value("other-holes");
    };
    view! {
        <section class="panel ask" aria-label=words::ASKED><ask::Asked cutter/></section>
        <section class="draw cut-draw" aria-label=words::DRAWN on:click=touched>
            <Pending cutter/>
            <div class:stale=stale inner_html=move || shown(0)></div>
            <div inner_html=tables></div>
        </section>
        <section class="panel cut-card" aria-label=words::CARD on:click=touched on:change=renamed>
            <div id="card" class:stale=stale inner_html=move || shown(1)></div>
        </section>
        <List cutter/>
    }
}

/// Marks the line that is shown.
fn mark(choice: Choice) {
    let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
    let find = |css: &str| document.query_selector(css).ok().flatten();
    // Nothing hangs on a mark that cannot be set but its colour.
    if let Some(before) = find(".way[aria-pressed=true]") {
        let _ = before.set_attribute("aria-pressed", "false");
    }
    let now = match choice {
        Choice::Way(n) => format!("[data-choice=way{n}]"),
        Choice::Own(n) => format!("[data-choice=own{n}]"),
    };
    if let Some(now) = find(&now) {
        let _ = now.set_attribute("aria-pressed", "true");
    }
}

/// Gives the keyboard to this, if nothing has it.
fn refocus(id: &str) {
    let Some(document) = web_sys::window().and_then(|w| w.document()) else { return };
    let lost = document.active_element().is_none_or(|e| e.tag_name() == "BODY");
    let there = document.get_element_by_id(id).and_then(|e| e.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(there) = there.filter(|_| lost) {
        // Refused, the keyboard begins at the top again.
        let _ = there.focus();
    }
}

/// What was touched in the tables or on the card; what is to have the keyboard where that goes.
fn touched(cutter: Cutter, event: &web_sys::MouseEvent) -> &'static str {
    let target = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok());
    let Some(button) = target.and_then(|t| t.closest("button").ok().flatten()) else { return "" };
    if let Some(choice) = button.get_attribute("data-choice") {
        let of = |word: &str| choice.strip_prefix(word).and_then(|n| n.parse().ok());
        if let Some(choice) = of("way").map(Choice::Way).or(of("own").map(Choice::Own)) {
            cutter.choice.set(choice);
        }
    } else if let Some(tolerance) = button.get_attribute("data-tolerance") {
        cutter.type_in(field("tolerance"), &tolerance);
    } else {
        match (button.id().as_str(), cutter.choice.get_untracked()) {
            ("keep-cut", Choice::Way(n)) => {
                cutter.keep(n);
                return "cut-name";
            }
            ("take-out", Choice::Own(n)) => {
                cutter.hands.change(|b| b.remove(&format!("cut[{n}]")));
                return "cut-angle";
            }
            ("other-holes", Choice::Own(_)) => {
                cutter.like();
                return "cut-angle";
            }
            _ => {}
        }
    }
    ""
}

/// Another name for a cut of the job.
fn renamed(cutter: Cutter, event: &web_sys::Event) {
    let typed = event_target_value(event);
    if let (Choice::Own(n), false) = (cutter.choice.get_untracked(), typed.trim().is_empty()) {
        cutter.hands.change(|b| b.set_text(&format!("cut[{n}].name"), typed.trim()));
    }
}

/// What is going on, and why nothing can be shown.
#[component]
fn Pending(cutter: Cutter) -> impl IntoView {
    let bench = cutter.hands.bench;
    let told = move || match () {
        () if bench.with(|b| !b.faults().is_empty()) => Some(words::OF_BEFORE),
        () if cutter.is_fresh() => None,
        () => Some(words::LOOKING),
    };
    let fault = move || {
        bench.with(|b| {
            b.faults().first().map(|f| {
                let line = f.span.map(|span| words::at_line(span.line_and_column(b.text()).0)).unwrap_or_default();
                let hint = f.hint.as_deref().map_or_else(String::new, core::sentence);
                (format!("{line}{}", core::sentence(&f.message)), hint)
            })
        })
    };
    let refused = move || cutter.known.with(|k| k.as_ref().map(|k| k.told.refused.clone()).unwrap_or_default());
    view! {
        <p id="cut-pending" class="line" role="status">{told}</p>
        <div role="alert">{move || fault().map(|(message, hint)| {
            view! { <div class="note"><b>{message}</b>{hint}</div> }.into_any()
        })}</div>
        <div id="cut-refused" role="alert" inner_html=refused></div>
    }
}

/// The list of parts, where the job has one: progress and stop, then what came of it.
#[component]
fn List(cutter: Cutter) -> impl IntoView {
    let list = cutter.list();
    let there = Memo::new(move |_| list.with(Option::is_some));
    let state = move || {
        let [done, of] = cutter.rounds.get();
        let label = if cutter.setting_up.get() { words::set_up(done, of) } else { words::rounds(done, of) };
        if of > 0 {
            return view! {
                <div class="boards">
                    <progress id="rounds" max=of.to_string() value=done.to_string() aria-label=label></progress>
                    <button id="stop-parts" class="btn" on:click=move |_| cutter.stop()>{words::STOP}</button>
                </div>
            }
            .into_any();
        }
        view! {
            <p class="row"><button id="break-down" class="btn" on:click=move |_| cutter.break_down()>{words::BREAK_DOWN}</button></p>
        }
        .into_any()
    };
    move || {
        there.get().then(|| {
            view! {
                <section class="draw cut-parts" aria-label=words::PARTS>
                    <h2>{words::PARTS}</h2>
                    {state}
                    <div id="parts" inner_html=move || cutter.parts.get()></div>
                </section>
            }
            .into_any()
        })
    }
}
