//! The set-ups as cards, with the words and drawings of the book's, and why this way and not another.

use holefast::words::outline;
use leptos::prelude::*;

use super::{Bored, card};
use crate::words::bore as words;

/// Every card, closed; opened it shows its drawing and its steps.
#[component]
pub fn SetUps(bored: Bored) -> impl IntoView {
    let Bored { shown, stops, .. } = bored;
    let list = move || {
        let shown = shown.get()?;
        let all = (0..shown.cards.len()).map(|index| view! { <OneCard bored index/> }).collect_view();
        Some(all)
    };
    let total = move || shown.with(|s| s.as_ref().map(|s| outline::total(&s.left)));
    let assumed = move || {
        let kit = shown.get()?.job.kit.as_ref().map(|kit| kit.minutes)?;
        kit.assumed.then(|| outline::minutes_assumed(kit))
    };
    let reasons = move || shown.with(|s| s.as_ref().map(|s| s.left.reasons.clone()).unwrap_or_default());
    // Read once here, so that the ticks of all cards come from one list.
    let _ = stops;
    view! {
        <h2>{words::WHY}</h2>
        <ul id="reasons" class="gives">
            {move || reasons().into_iter().map(|r| view! { <li>{r}</li> }).collect_view()}
        </ul>
        <h2>{words::SETUPS}</h2>
        <p id="total">{total}</p>
        <p class="line">{assumed}</p>
        <div id="cards">{list}</div>
    }
}

#[component]
fn OneCard(bored: Bored, index: usize) -> impl IntoView {
    let Bored { shown, stops, .. } = bored;
    let open = RwSignal::new(false);
    let card = move || shown.with(|s| s.as_ref().and_then(|s| s.cards.get(index).cloned()));
    let done = Memo::new(move |_| stops.with(|all| all.iter().filter(|s| s.card == index).all(|s| s.done)));
    view! {
        {move || card().map(|c| view! {
            <details class="card" data-card=c.number.clone() on:toggle=move |event| {
                open.set(event_target::<web_sys::Element>(&event).has_attribute("open"));
            }>
                <summary><b class="no">{c.number.clone()}</b><span>{c.title.clone()}
                    <small>{c.aside.join(", ")}</small></span>
                    <Show when=move || done.get()><b class="tick">{words::TICKED}</b></Show></summary>
                <Show when=move || open.get()>
                    {move || shown.get().zip(card()).map(|(shown, c)| view! {
                        <card::Drawing shown stop=None card=Some(index) id="card" room=room()/>
                        <card::Lines card=c.clone()/>
                        {(!c.openings.is_empty()).then(|| view! {
                            <ol class="openings">{c.openings.iter().map(|o| view! {
                                <li><b>{o.hole.clone()}</b>{format!(" on {}", o.on.join(" "))}
                                    {o.hold_down.as_ref().map(|h| format!(", hold-down {h}"))}</li>
                            }).collect_view()}</ol>
                        })}
                        <card::Check card=c/>
                    })}
                </Show>
            </details>
        })}
    }
}

/// In the panel a drawing is as wide as that is, mm.
fn room() -> [f64; 2] {
    const PANEL: f64 = 92.0;
    const HEIGHT: f64 = 0.8;
    let width = card::room(false)[0].min(PANEL);
    [width, HEIGHT * width]
}
