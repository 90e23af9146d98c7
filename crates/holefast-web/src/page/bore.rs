//! Bore: how square it comes out, out of what, the set-ups as cards, and the bench.

mod at_bench;
mod card;
mod foretold;
mod setups;
mod spoiled;

use std::sync::Arc;

use holefast::words as core;
use leptos::prelude::*;

use crate::cards::Shown;
use crate::hands::Hands;
use crate::place::AT_THE_BENCH;
use crate::planner::Planner;
use crate::stops::{self, Stop};
use crate::words::bore as words;
use holefast_web_planner::Refusal;

/// What the place shows, made when it is needed.
#[derive(Clone, Copy)]
struct Bored {
    hands: Hands,
    planner: Planner,
    shown: Memo<Option<Arc<Shown>>>,
    stops: Memo<Vec<Stop>>,
}

impl Bored {
    fn new(hands: Hands, planner: Planner) -> Bored {
        let shown = Memo::new(move |_| {
            let known = planner.known.get()?;
            let planned = known.outcome.as_ref().ok()?;
            Shown::of(&known.text, planned).map(Arc::new)
        });
        let stops = Memo::new(move |_| {
            let Some(shown) = shown.get() else { return Vec::new() };
            // What is done now; the plan may be one of a moment ago.
            hands.bench.with(|b| {
                let now = b.laid().map_or(&shown.job, |l| &l.job);
                stops::stops(now, &shown.plan, &shown.left, &shown.cards)
            })
        });
        Bored { hands, planner, shown, stops }
    }
}

/// The place.
#[component]
pub fn Bore(hands: Hands, planner: Planner, at_bench: RwSignal<bool>) -> impl IntoView {
    let bored = Bored::new(hands, planner);
    view! {
        {move || match at_bench.get() {
            true => view! { <at_bench::AtBench bored/> }.into_any(),
            false => view! { <Overview bored/> }.into_any(),
        }}
    }
}

#[component]
fn Overview(bored: Bored) -> impl IntoView {
    let Bored { planner, shown, .. } = bored;
    let refused = move || planner.known.get().and_then(|k| k.outcome.as_ref().err().cloned());
    let planned = Memo::new(move |_| shown.with(Option::is_some));
    view! {
        <section class="draw" aria-label="Expectation">
            <Pending bored/>
            {move || refused().map(|why| view! { <Refused why/> })}
            <Show when=move || planned.get()>
                <foretold::Sentence planner/>
                <Begin bored/>
            </Show>
        </section>
        <section class="panel" aria-label="Out of what, and set-ups">
            <Show when=move || planned.get()>
                <foretold::Made planner/>
                <setups::SetUps bored/>
            </Show>
        </section>
    }
}

/// What is going on while the plan is not that of the job.
#[component]
fn Pending(bored: Bored) -> impl IntoView {
    let Bored { hands, planner, .. } = bored;
    let told = move || match () {
        () if hands.bench.with(|b| !b.faults().is_empty()) => Some(words::OF_BEFORE),
        () if planner.is_fresh() => None,
        () if planner.known.with(Option::is_none) => Some(words::PLANNING),
        () => Some(words::REPLANNING),
    };
    view! { <p id="pending" class="line" role="status">{told}</p> }
}

#[component]
fn Refused(why: Vec<Refusal>) -> impl IntoView {
    view! {
        <h2 class="first">{words::REFUSED}</h2>
        <div id="refused">{why.into_iter().map(|r| view! {
            <div class="note"><b>{core::sentence(&r.message)}</b>{r.hint.map(|h| core::sentence(&h))}</div>
        }).collect_view()}</div>
    }
}

/// The next stop: its drawing, and the way to the bench.
#[component]
fn Begin(bored: Bored) -> impl IntoView {
    let Bored { shown, stops, .. } = bored;
    let next = Memo::new(move |_| stops.with(|s| stops::at(s, None).filter(|&i| s.get(i).is_some_and(|s| !s.done))));
    let title = move || {
        let shown = shown.get()?;
        let card = stops.with(|s| s.get(next.get()?).map(|s| s.card))?;
        shown.cards.get(card).map(|c| c.title.clone())
    };
    let left = move || stops.with(|s| words::left(stops::minutes_left(s)));
    view! {
        {move || match title() {
            Some(title) => view! {
                <a id="begin" class="btn wide-btn" href=format!("#{AT_THE_BENCH}")>
                    <b>{words::AT_THE_BENCH}</b><span>{title}", "{left}</span>
                </a>
            }.into_any(),
            None => view! {
                <p class="line" id="all-done">{words::ALL_DONE}</p>
                <a class="btn" href=format!("#{AT_THE_BENCH}")>{words::AT_THE_BENCH}</a>
            }.into_any(),
        }}
        {move || {
            let (shown, at) = (shown.get()?, next.get()?);
            let stop = stops.with(|s| s.get(at).cloned())?;
            Some(view! { <card::Drawing shown stop=Some(stop) card=None id="next" room=card::room(false)/> })
        }}
    }
}
