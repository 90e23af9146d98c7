//! The shop book, made on the device: asked for, waited for, stopped, saved; and the offer to keep its
//! maker.

use leptos::prelude::*;

use super::hand_on::file_name;
use crate::hands::Hands;
use crate::maker::{Doing, Kept, Told};
use crate::maker_worker::BookMaker;
use crate::{device, words};

/// So many faults or remarks are shown.
const SHOWN: usize = 5;

/// The part of Hand on that makes the book.
#[component]
pub fn Book(hands: Hands) -> impl IntoView {
    let maker = expect_context::<BookMaker>();
    let state = maker.state;
    let paper = RwSignal::new(words::book::PAPERS[0].0.to_owned());
    let make = move |_| hands.bench.with_untracked(|b| maker.make(b.text(), &paper.get_untracked()));
    view! {
        <h2>{words::book::BOOK}</h2>
        <p>{words::book::WHAT}</p>
        <div class="fields">
            <label for="book-paper">{words::book::PAPER}<span class="in">
                <select id="book-paper" on:change=move |event| paper.set(event_target_value(&event))>
                    {words::book::PAPERS.into_iter().map(|(value, name)| view! { <option value=value>{name}</option> }).collect_view()}
                </select></span></label>
        </div>
        <p class="row">
            <button id="book-make" class="btn" disabled=move || state.with(|s| s.is_busy()) on:click=make>
                {words::book::MAKE}
            </button>
        </p>
        <Progress maker/>
        <Outcome hands maker/>
        <KeptHere maker/>
    }
}

/// The offer to keep the maker, once.
#[component]
pub fn Offer() -> impl IntoView {
    let maker = expect_context::<BookMaker>();
    let state = maker.state;
    let open = RwSignal::new(!device::book_was_offered());
    let answered = move || {
        open.set(false);
        device::book_is_offered();
    };
    let shown = move || open.get() && state.with(|s| s.kept == Some(Kept::NotHere));
    view! {
        {move || shown().then(|| view! {
            <div class="offer" id="book-offer">
                <p>{move || words::book::offer(state.with(|s| s.bytes))}</p>
                <p class="row">
                    <button class="btn" id="book-accept" on:click=move |_| { answered(); maker.keep(); }>{words::book::KEEP}</button>
                    <button class="btn" id="book-decline" on:click=move |_| answered()>{words::book::NOT_NOW}</button>
                </p>
            </div>
        })}
        {move || (!open.get()).then(|| view! { <Progress maker/> })}
    }
}

/// What is being done, how far it is, and a way to stop it; or why it ended.
#[component]
fn Progress(maker: BookMaker) -> impl IntoView {
    let state = maker.state;
    let line = Memo::new(move |_| state.with(|s| words::book::doing(&s.doing)));
    let busy = Memo::new(move |_| state.with(|s| s.is_busy()));
    let part = move || {
        state.with(|s| match s.doing {
            Doing::Fetching(done, of) | Doing::Making(_, done, of) if of > 0.0 => Some(done / of),
            _ => None,
        })
    };
    view! {
        <p id="book-line" class="line" role="status">{line}</p>
        {move || busy.get().then(|| view! {
            <progress id="book-progress" class="wait" aria-label=line max="1" value=part></progress>
            <p class="row"><button id="book-stop" class="btn" on:click=move |_| maker.stop()>{words::book::STOP}</button></p>
        })}
    }
}

/// The book, or why there is none.
#[component]
fn Outcome(hands: Hands, maker: BookMaker) -> impl IntoView {
    let state = maker.state;
    let name = move || {
        let name = hands.bench.with(|b| b.laid().map(|laid| file_name(&laid.job.name)));
        format!("{}.pdf", name.as_deref().unwrap_or("shop-book"))
    };
    let older = move || hands.bench.with(|b| state.with(|s| b.text() != s.text));
    let address = Memo::new(move |_| {
        state.with(|s| match &s.doing {
            Doing::Made(address) => Some(address.clone()),
            _ => None,
        })
    });
    let refused = move || {
        state.with(|s| match &s.doing {
            Doing::Refused(faults) => faults.clone(),
            _ => Vec::new(),
        })
    };
    view! {
        {move || address.get().map(|address| view! {
            <p class="row"><a id="book-file" class="btn" href=address download=name>{words::book::SAVE}</a></p>
            {move || older().then(|| view! { <p id="book-older" class="line">{words::book::OLDER}</p> })}
            <div id="book-remarks">{move || {
                let remarks = state.with(|s| s.remarks.clone());
                (!remarks.is_empty()).then(|| view! { <p>{words::book::REMARKS}</p>{notes(remarks)} })
            }}</div>
        })}
        <div id="book-faults" role="alert">{move || notes(refused())}</div>
    }
}

fn notes(list: Vec<Told>) -> impl IntoView {
    list.into_iter()
        .take(SHOWN)
        .map(|told| view! { <div class="note"><b>{words::book::told(&told)}</b>{told.hint}</div> })
        .collect_view()
}

/// Whether the maker is on this device, and the way to change that.
#[component]
fn KeptHere(maker: BookMaker) -> impl IntoView {
    let state = maker.state;
    let known = Memo::new(move |_| state.with(|s| s.kept.map(|kept| (kept, s.bytes))));
    let busy = move || state.with(|s| s.is_busy());
    view! {
        {move || known.get().map(|(kept, bytes)| {
            let here = kept == Kept::Here;
            view! {
                <p id="book-kept" class="line">{words::book::kept(kept, bytes)}</p>
                {(kept != Kept::Never).then(|| view! {
                    <p class="row">
                        <button id=if here { "book-forget" } else { "book-keep" } class="btn" disabled=busy
                            on:click=move |_| if here { maker.forget() } else { maker.keep() }>
                            {if here { words::book::FORGET } else { words::book::KEEP }}
                        </button>
                    </p>
                })}
            }
        })}
    }
}
