//! How square the top comes out, in the sentences of the command line; virtual boards with progress and
//! stop; the spread, and what it is made of.

use leptos::prelude::*;

use crate::cards::named;
use crate::planner::Planner;
use crate::words::bore as words;
use holefast_web_planner::{BOARDS, Foretold};

fn foretold(planner: Planner) -> Memo<Option<Foretold>> {
    Memo::new(move |_| {
        planner.better.get().or_else(|| {
            planner.known.with(|k| k.as_ref().and_then(|k| k.outcome.as_ref().ok()).map(|p| p.foretold.clone()))
        })
    })
}

/// The first thing a maker asks, what it is worth, and the boards behind it.
#[component]
pub fn Sentence(planner: Planner) -> impl IntoView {
    let foretold = foretold(planner);
    // Whenever the place shows another plan, its boards are built; while it is left they are not.
    Effect::new(move || {
        planner.known.track();
        if planner.is_fresh() && planner.better.with_untracked(Option::is_none) {
            planner.build();
        }
    });
    on_cleanup(move || planner.stop());
    view! {
        <p id="expectation" class="one" class:stale=move || !planner.is_fresh()>
            {move || foretold.get().map(|f| {
                // The one sentence large, what it leaves out beside it.
                let (first, rest) = f.expectation.split_at(f.expectation.find(". ").map_or(f.expectation.len(), |at| at + 1));
                view! { <b>{first.to_owned()}</b><span>{rest.to_owned()}</span> }
            })}
        </p>
        <p class="line" id="basis">{move || foretold.get().map(|f| words::from(&f.basis))}</p>
        <div class="boards">{move || match planner.built.get() {
            Some((done, of)) => view! {
                <progress id="built" max=of.to_string() value=done.to_string() aria-label=words::built(done, of)></progress>
                <button id="stop" class="btn" on:click=move |_| planner.stop()>{words::STOP}</button>
            }.into_any(),
            None => view! {
                <Show when=move || foretold.with(|f| f.as_ref().is_some_and(|f| !f.has_boards))>
                    <button id="build" class="btn" on:click=move |_| planner.build()>
                        {format!("{} ({BOARDS})", words::BUILD)}
                    </button>
                </Show>
            }.into_any(),
        }}</div>
    }
}

/// The spread, what it is made of, what the checks are worth.
#[component]
pub fn Made(planner: Planner) -> impl IntoView {
    let foretold = foretold(planner);
    let of = move |get: fn(Foretold) -> Vec<String>| foretold.get().map(get).unwrap_or_default();
    view! {
        <h2 class="first">{words::SPREAD}</h2>
        <div id="spread" class="drawing" inner_html=move || {
            foretold.get().and_then(|f| f.spread).map(|svg| named(&svg, "spread")).unwrap_or_default()
        }></div>
        <ul id="beside" class="gives">
            {move || of(|f| f.beside).into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}
        </ul>
        <h2>{holefast::words::expected::MADE_OF}</h2>
        <table id="budget" class="budget"><tbody>
            {move || foretold.get().map(|f| f.budget.into_iter().map(|part| view! {
                <tr><th scope="row">{part.share}</th><td>{part.name}
                    {part.lessened_by.map(|by| view! { <small>{by}</small> })}</td></tr>
            }).collect_view())}
        </tbody></table>
        {move || {
            let checks = of(|f| f.checks);
            (!checks.is_empty()).then(|| view! {
                <h2>{words::CHECKS}</h2>
                <ul id="checks" class="gives">{checks.into_iter().map(|c| view! { <li>{c}</li> }).collect_view()}</ul>
            })
        }}
    }
}
