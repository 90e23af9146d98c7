//! Lay out: the drawing that can be touched, and the panel with figures, conflicts and values.

mod board;
mod fields;
mod keep_outs;
mod table;

pub use fields::{Field, exact};
use holefast::words as core;
use leptos::prelude::*;

use crate::hands::Hands;
use crate::{EXAMPLE, drawing, words};

/// The place.
#[component]
pub fn LayOut(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    view! {
        <section class="draw" aria-label="Drawing">
            <board::Board hands/>
            <Chosen hands/>
        </section>
        <section class="panel" aria-label="Figures and values">
            <Show when=move || bench.with(|b| b.text() == EXAMPLE)><p class="soft">{words::EXAMPLE}</p></Show>
            <Figures hands/>
            <Conflicts hands/>
            <fields::Fields hands/>
            <fields::Troubles hands/>
            <keep_outs::KeepOuts hands/>
            <Gives hands/>
            <table::Table hands/>
            <Text hands/>
        </section>
    }
}

#[component]
fn Chosen(hands: Hands) -> impl IntoView {
    let Hands { bench, chosen, .. } = hands;
    view! {
        <div class="sel" aria-live="polite">
            {move || chosen.get().map(|cell| {
                let told = bench.with(|b| drawing::told(b, cell));
                let wanted = bench.with(|b| b.is_wanted(cell));
                view! {
                    <p id="chosen">{told}</p>
                    <button class="btn" on:click=move |_| hands.toggle(cell)>{words::toggle(wanted)}</button>
                }
            })}
        </div>
    }
}

#[component]
fn Figures(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let figures = move || {
        bench.with(|b| {
            b.laid().map(|l| {
                let weight = l.layout.weight.as_ref().map(|w| format!("{:.1}", w.bored));
                (l.layout.holes.len(), l.layout.conflicts.len(), weight)
            })
        })
    };
    view! {
        <p class="figs" id="figures">{move || figures().map(|(holes, conflicts, weight)| view! {
            <span><b id="holes">{holes}</b>" holes"</span>
            {(conflicts > 0).then(|| view! { <span class="bad"><b id="conflicts">{conflicts}</b>" in conflict"</span> })}
            {weight.map(|kg| view! { <span><b>{kg}</b>" kg"</span> })}
        })}</p>
    }
}

#[component]
fn Conflicts(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    // So many are shown one by one; the rest are counted.
    const SHOWN: usize = 4;
    let told = move || {
        bench.with(|b| {
            let all = b.laid().map(|l| l.layout.conflicts.clone()).unwrap_or_default();
            let more = all.len().saturating_sub(SHOWN);
            let first: Vec<_> =
                all.into_iter().take(SHOWN).map(|c| (c.hole.cell, c.fault.message, c.fault.hint)).collect();
            (first, more)
        })
    };
    view! {
        {move || { let (first, more) = told(); view! {
            {first.into_iter().map(|(cell, message, hint)| view! {
                <div class="note">
                    <b>{core::sentence(&message)}</b>
                    {hint.map(|h| view! { <span>{core::sentence(&h)}</span> })}
                    {cell.map(|cell| view! {
                        <p class="row"><button class="btn" on:click=move |_| hands.toggle(cell)>
                            {format!("Leave {cell} out")}
                        </button></p>
                    })}
                </div>
            }).collect_view()}
            {(more > 0).then(|| view! { <p>{format!("and {more} more")}</p> })}
        }}}
    }
}

#[component]
fn Gives(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let lines = move || bench.with(|b| b.laid().map(|l| core::layout::lines(&l.job, &l.layout)).unwrap_or_default());
    view! {
        <h2>{words::GIVES}</h2>
        <ul id="gives" class="gives">
            {move || lines().into_iter().map(|line| view! { <li>{core::sentence(&line)}</li> }).collect_view()}
        </ul>
    }
}

#[component]
fn Text(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let typed = move |event: web_sys::Event| {
        hands.write(event_target_value(&event));
    };
    view! {
        <details id="text"><summary>{words::TEXT}</summary>
            <textarea id="job" aria-label=words::TEXT spellcheck="false" rows="24" on:change=typed
                prop:value=move || bench.with(|b| b.text().to_owned())></textarea>
        </details>
    }
}
