//! The page: what stands on every place, and which place is shown.

mod book;
mod hand_on;
mod lay_out;

use holefast::job::Units;
use holefast::measure::format::unit_name;
use leptos::prelude::*;

use crate::bench::Bench;
use crate::hands::Hands;
use crate::maker_worker::BookMaker;
use crate::place::Place;
use crate::{device, words};

/// The whole page.
#[component]
pub fn Page() -> impl IntoView {
    let hands = Hands::new();
    // It goes on making a book whichever place is looked at.
    provide_context(BookMaker::new());
    let place = RwSignal::new(Place::of_fragment(&device::fragment()));
    device::on_fragment(move |fragment| place.set(Place::of_fragment(&fragment)));
    view! {
        <Head hands/>
        <Places place/>
        <main class="app" aria-label=move || place.get().name()>
            {move || match place.get() {
                Place::LayOut => view! { <lay_out::LayOut hands/> }.into_any(),
                Place::HandOn => view! { <hand_on::HandOn hands/> }.into_any(),
            }}
        </main>
    }
}

#[component]
fn Head(hands: Hands) -> impl IntoView {
    let Hands { bench, saved, .. } = hands;
    let name = move || bench.with(|b| b.laid().map_or_else(|| "holefast".to_owned(), |l| l.job.name.clone()));
    let units = move || bench.with(|b| b.laid().map_or(Units::Mm, |l| l.job.units));
    view! {
        <header class="top">
            <h1>{name}<small aria-live="polite">
                {move || match saved.get() {
                    Some(true) => words::SAVED,
                    Some(false) => words::NOT_SAVED,
                    // Its room is kept, or the first change would push everything down.
                    None => "\u{a0}",
                }}
            </small></h1>
            <button id="undo" disabled=move || !bench.with(Bench::can_undo) on:click=move |_| hands.undo()>
                {words::UNDO}
            </button>
            <button id="redo" disabled=move || !bench.with(Bench::can_redo) on:click=move |_| hands.redo()>
                {words::REDO}
            </button>
            <button id="units" aria-label=move || words::switch_units(units()) on:click=move |_| {
                let to = if units() == Units::Mm { Units::Inch } else { Units::Mm };
                hands.change(|b| b.switch_units(to));
            }>{move || unit_name(units())}</button>
        </header>
    }
}

/// The places, each with a sign made of the drawing's own signs.
#[component]
fn Places(place: RwSignal<Place>) -> impl IntoView {
    view! {
        <nav class="nav" aria-label="Places">
            {Place::ALL.into_iter().map(|to| view! {
                <a id=format!("to-{}", to.fragment()) href=format!("#{}", to.fragment())
                    aria-current=move || (place.get() == to).then_some("page")>
                    <svg viewBox="0 0 32 26" aria-hidden="true" inner_html=to.sign()></svg>{to.name()}
                </a>
            }).collect_view()}
        </nav>
    }
}
