//! The page: what stands on every place, and which place is shown.

mod book;
mod bore;
mod cut;
mod hand_on;
mod jobs;
mod lay_out;
mod notices;
mod prove;

use holefast::job::Units;
use holefast::measure::format::unit_name;
use holefast_paper::link;
use leptos::prelude::*;

use crate::bench::Bench;
use crate::cutter::Cutter;
use crate::hands::Hands;
use crate::maker_worker::BookMaker;
use crate::place::{self, Place};
use crate::planner::Planner;
use crate::shelf::{LINK, Start, Told};
use crate::{browser, device, words};

/// The whole page.
#[component]
pub fn Page(start: Start) -> impl IntoView {
    let hands = Hands::new(start);
    let planner = Planner::new(hands);
    // It goes on making a book whichever place is looked at.
    provide_context(BookMaker::new());
    let cutter = Cutter::new(hands);
    let place = RwSignal::new(Place::LayOut);
    let at_bench = RwSignal::new(false);
    let go = move |fragment: String| {
        at_bench.set(place::is_bench(&fragment));
        place.set(place_of(hands, &fragment));
    };
    go(device::fragment());
    device::on_fragment(go);
    view! {
        // The bench fills the screen: what it covers cannot be reached by keyboard either.
        <div class="frame" hidden=move || at_bench.get()><Head hands/></div>
        <div class="frame" hidden=move || at_bench.get()><Places place/></div>
        <notices::Notices hands/>
        <main class="app" class:bench=move || at_bench.get() aria-label=move || place.get().name()>
            {move || match place.get() {
                Place::LayOut => view! { <lay_out::LayOut hands/> }.into_any(),
                Place::Bore => view! { <bore::Bore hands planner at_bench/> }.into_any(),
                Place::Prove => view! { <prove::Prove hands/> }.into_any(),
                Place::Cut => view! { <cut::CutPlace cutter/> }.into_any(),
                Place::HandOn => view! { <hand_on::HandOn hands/> }.into_any(),
            }}
        </main>
    }
}

/// The place of a fragment. One that holds a job brings it in, and gives way to the first place's.
fn place_of(hands: Hands, fragment: &str) -> Place {
    let behind = fragment.trim_start_matches('#');
    if link::is_job(behind) {
        match link::read(behind) {
            Ok(text) => hands.shelf.came(hands, &text, LINK),
            Err(fault) => hands.shelf.told.set(Some(Told::NotTaken(LINK, vec![fault]))),
        }
        browser::replace_fragment(Place::LayOut.fragment());
    }
    Place::of_fragment(fragment)
}

#[component]
fn Head(hands: Hands) -> impl IntoView {
    let Hands { bench, shelf, .. } = hands;
    let name = move || bench.with(|b| b.laid().map_or_else(|| "holefast".to_owned(), |l| l.job.name.clone()));
    let units = move || bench.with(|b| b.laid().map_or(Units::Mm, |l| l.job.units));
    view! {
        <header class="top">
            <h1>{name}<small aria-live="polite">
                {move || shelf.saved.with(words::shelf::saved)}
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
