//! At the bench: one stop at a time, its drawing, its steps, a large target that ticks it off, what comes
//! next and how long it takes. Ticks stand in the job itself, so they survive everything that it does.

use std::sync::Arc;

use holefast::words::CardKind;
use leptos::prelude::*;

use super::spoiled::Spoiled;
use super::{Bored, Pending, card};
use crate::awake::Awake;
use crate::cards::Shown;
use crate::device;
use crate::place::Place;
use crate::stops::{self, Stop};
use crate::words::bore as words;

/// Which stop is shown, and the ways from it.
#[derive(Clone, Copy)]
pub struct Standing {
    bored: Bored,
    /// The name of the stop that was gone to; none for the next that is open.
    pub at: RwSignal<Option<String>>,
    index: Memo<Option<usize>>,
    /// The stop that is shown.
    pub stop: Memo<Option<Stop>>,
}

impl Standing {
    fn new(bored: Bored) -> Standing {
        let at = RwSignal::new(None::<String>);
        let index = Memo::new(move |_| bored.stops.with(|all| stops::at(all, at.get().as_deref())));
        let stop = Memo::new(move |_| bored.stops.with(|all| all.get(index.get()?).cloned()));
        // Stays where it is while ticks come and go around it; where it is, only a plan of the job as it
        // stands can say: by that of before, a spoiled hole would be bored before it is plugged.
        Effect::new(move || {
            let fresh = bored.planner.is_fresh();
            if let Some(stop) = stop.get().filter(|_| fresh && at.with_untracked(Option::is_none)) {
                at.set(Some(stop.name));
            }
        });
        Standing { bored, at, index, stop }
    }

    fn go(self, to: Option<usize>) {
        if let Some(stop) = to.and_then(|i| self.bored.stops.with_untracked(|all| all.get(i).cloned())) {
            self.at.set(Some(stop.name));
            device::to_top();
        }
    }

    fn done(self) {
        let (Some(index), Some(stop)) = (self.index.get_untracked(), self.stop.get_untracked()) else { return };
        if !stop.done {
            self.bored.hands.change(|b| {
                let text = stop.mark(b.text())?;
                b.change(text);
                Ok(())
            });
        }
        self.go(self
            .bored
            .stops
            .with_untracked(|all| stops::next(all, index).or((index + 1 < all.len()).then_some(index + 1))));
    }

    fn back(self) {
        self.go(self.index.get_untracked().and_then(|i| i.checked_sub(1)));
    }

    fn not_done(self) {
        let (Some(stop), Some(shown)) = (self.stop.get_untracked(), self.bored.shown.get_untracked()) else { return };
        self.bored.hands.change(|b| {
            let text = stop.unmark(b.text(), &shown.plan)?;
            b.change(text);
            Ok(())
        });
    }

    /// The next stop that is open, in a few words.
    fn next_title(self) -> Option<String> {
        let shown = self.bored.shown.get()?;
        let (index, here) = (self.index.get()?, self.stop.get()?);
        self.bored.stops.with(|all| {
            let next = all.get(stops::next(all, index)?)?;
            let card = shown.cards.get(next.card)?;
            let opening = next.opening.and_then(|n| card.openings.get(n)).filter(|_| next.card == here.card);
            Some(opening.map_or_else(|| card.title.clone(), |o| o.hole.clone()))
        })
    }
}

/// The bench.
#[component]
pub fn AtBench(bored: Bored) -> impl IntoView {
    let standing = Standing::new(bored);
    let Bored { shown, stops, hands, .. } = bored;
    let dark = RwSignal::new(false);
    let awake = StoredValue::new_local(Some(Awake::ask(move |agreed| {
        // The bench may have been left meanwhile.
        dark.try_set(!agreed);
    })));
    on_cleanup(move || drop(awake.try_update_value(Option::take)));
    let view_of = move || shown.get().zip(standing.stop.get());
    let counts = move || stops.with(|all| (all.iter().filter(|s| s.done).count(), all.len()));
    view! {
        <header class="bench-top">
            <a id="close" class="close" href=format!("#{}", Place::Bore.fragment()) aria-label=words::CLOSE>"×"</a>
            <div class="what" aria-live="polite">
                <h1 id="bench-title">{move || view_of().map(|(shown, stop)| title(&shown, &stop))}</h1>
                <p id="bench-which">{move || view_of().map(|(shown, stop)| which(&shown, &stop))}</p>
            </div>
            <p class="left" id="left">{move || stops.with(|all| words::left(stops::minutes_left(all)))}</p>
        </header>
        <progress class="far" max=move || counts().1.to_string() value=move || counts().0.to_string()
            aria-label=move || format!("{} of {} done", counts().0, counts().1)></progress>
        <div class="bench-body">
            <section class="bench-draw" aria-label="Drawing">
                {move || view_of().map(|(shown, stop)| view! {
                    <card::Drawing shown stop=Some(stop) card=None id="bench" room=card::room(true)/>
                })}
            </section>
            <section class="bench-say" aria-label="Steps">
                <Pending bored/>
                {move || hands.trouble.get().map(|f| view! {
                    <p class="note" role="alert">{holefast::words::sentence(&f.message)}</p>
                })}
                <Show when=move || standing.stop.with(|s| s.as_ref().is_some_and(|s| s.done))>
                    <p class="row"><button id="not-done" class="btn" on:click=move |_| standing.not_done()>
                        {words::NOT_DONE}</button></p>
                </Show>
                <Said standing/>
                <Spoiled bored standing/>
                <Next standing/>
                <Show when=move || dark.get()><p class="line" id="no-wake">{words::NO_WAKE}</p></Show>
            </section>
        </div>
        <footer class="bench-foot">
            <button id="back" class="btn" disabled=move || standing.index.get().is_none_or(|i| i == 0)
                on:click=move |_| standing.back()>{words::BACK}</button>
            <button id="done" class="done" on:click=move |_| standing.done()>
                <b>{move || label(view_of())}</b>
                <span>{move || standing.next_title().map(|t| words::then(&t))}</span>
            </button>
        </footer>
    }
}

fn label(view: Option<(Arc<Shown>, Stop)>) -> &'static str {
    match view {
        Some((_, stop)) if stop.done => words::GO_ON,
        Some((shown, stop)) if shown.cards.get(stop.card).is_some_and(|c| c.kind == CardKind::Check) => words::IT_WENT,
        _ => words::DONE,
    }
}

fn title(shown: &Shown, stop: &Stop) -> String {
    shown.cards.get(stop.card).map_or_else(String::new, |c| c.title.clone())
}

fn which(shown: &Shown, stop: &Stop) -> String {
    let Some(card) = shown.cards.get(stop.card) else { return String::new() };
    let which = card.aside.first().cloned().unwrap_or_default();
    match stop.opening {
        Some(n) => {
            let which = which.split_once(',').map_or(which.as_str(), |(card, _)| card);
            format!("{which}, {}", words::opening_of(n + 1, card.openings.len()))
        }
        None => which,
    }
}

/// Steps, cautions and limits of the card; of an opening first which.
#[component]
fn Said(standing: Standing) -> impl IntoView {
    let shown = standing.bored.shown;
    // Made anew when it is another stop or another plan, not when a tick comes.
    let card = Memo::new(move |_| {
        let (shown, stop) = (shown.get()?, standing.stop.get()?);
        let card = shown.cards.get(stop.card)?.clone();
        let opening = stop.opening.and_then(|n| card.openings.get(n).cloned());
        Some((card, opening))
    });
    move || {
        card.get().map(|(card, opening)| {
            view! {
                {opening.map(|o| view! {
                    <p class="now" id="now">{words::open_now(&o.hole, &o.on, o.hold_down.as_deref())}</p>
                })}
                <card::Lines card=card.clone()/>
                {(card.kind != CardKind::Check).then(|| view! { <card::Check card=card.clone()/> })}
                {card.check.clone().filter(|_| card.kind == CardKind::Check)
                    .map(|c| view! { <p class="limit">{card::rich(&c.limit)}</p> })}
            }
        })
    }
}

/// The next few cards.
#[component]
fn Next(standing: Standing) -> impl IntoView {
    const SHOWN: usize = 3;
    let rows = move || -> Vec<(String, String)> {
        let (Some(shown), Some(stop)) = (standing.bored.shown.get(), standing.stop.get()) else { return Vec::new() };
        let cards = shown.cards.iter().skip(stop.card + 1).take(SHOWN);
        cards.map(|c| (c.number.clone(), c.title.clone())).collect()
    };
    view! {
        <h2>{words::NEXT}</h2>
        <ul class="next">{move || rows().into_iter().map(|(number, title)| view! {
            <li><b>{number}</b>{title}</li>
        }).collect_view()}</ul>
    }
}
