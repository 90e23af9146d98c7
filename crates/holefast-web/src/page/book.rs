//! The shop book, made on the device: asked for, waited for, stopped, looked through, saved, printed.

use leptos::prelude::*;

use super::hand_on::file_name;
use crate::hands::Hands;
use crate::maker::{Doing, Told};
use crate::maker_worker::BookMaker;
use crate::words;

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
            Doing::Making(_, done, of) if of > 0.0 => Some(done / of),
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
    let address = Memo::new(move |_| state.with(|s| s.book().map(|book| book.address.clone())));
    let refused = move || {
        state.with(|s| match &s.doing {
            Doing::Refused(faults) => faults.clone(),
            _ => Vec::new(),
        })
    };
    view! {
        {move || address.get().map(|address| view! {
            <p class="row">
                <a id="book-file" class="btn" href=address.clone() download=name>{words::book::SAVE}</a>
                <a id="book-print" class="btn" href=address target="_blank" rel="noopener">{words::book::PRINT}</a>
            </p>
            {move || older().then(|| view! { <p id="book-older" class="line">{words::book::OLDER}</p> })}
            <div id="book-remarks">{move || {
                let remarks = state.with(|s| s.remarks.clone());
                (!remarks.is_empty()).then(|| view! { <p>{words::book::REMARKS}</p>{notes(remarks)} })
            }}</div>
            <Pages maker/>
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

/// The pages, one at a time, as they will be printed.
#[component]
fn Pages(maker: BookMaker) -> impl IntoView {
    let state = maker.state;
    let at = Memo::new(move |_| state.with(|s| s.book().map(|book| (s.page, book.pages.len()))));
    let page = move || state.with(|s| s.book().and_then(|book| book.pages.get(s.page).cloned()).unwrap_or_default());
    let turn = move |pages: isize| state.update(|s| s.turn(pages));
    let first = move || at.get().is_none_or(|(page, _)| page == 0);
    let last = move || at.get().is_none_or(|(page, of)| page + 1 >= of);
    let keys = move |event: web_sys::KeyboardEvent| {
        if event.alt_key() || event.ctrl_key() || event.meta_key() || event.shift_key() {
            return;
        }
        let pages = match event.key().as_str() {
            "ArrowRight" | "PageDown" => 1,
            "ArrowLeft" | "PageUp" => -1,
            _ => return,
        };
        // or the browser would scroll as well
        event.prevent_default();
        turn(pages);
    };
    view! {
        <div id="book-pages" tabindex="0" role="group" aria-label=words::book::PAGES on:keydown=keys>
            <p class="row">
                <button id="book-back" class="btn" disabled=first on:click=move |_| turn(-1)>{words::book::BACK}</button>
                <span id="book-at" role="status">{move || at.get().map(|(page, of)| words::book::page_of(page + 1, of))}</span>
                <button id="book-on" class="btn" disabled=last on:click=move |_| turn(1)>{words::book::ON}</button>
            </p>
            <div id="book-page" class="sheet" inner_html=page></div>
        </div>
    }
}
