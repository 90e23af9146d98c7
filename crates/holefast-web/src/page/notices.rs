//! What is told above every place: what could not be saved, what came, what waits for a word. A note
//! stays until it is answered; nothing waits for it.

use holefast::words::sentence;
use leptos::prelude::*;

use super::hand_on::save_as_file;
use crate::browser::{self, Newer};
use crate::hands::Hands;
use crate::shelf::{Saved, Told};
use crate::words::{self, shelf as say};

/// Faults of a file or link that are shown.
const SHOWN: usize = 4;

/// All notes.
#[component]
pub fn Notices(hands: Hands) -> impl IntoView {
    view! {
        <div class="told" role="status">
            <NotSaved hands/>
            <Theirs hands/>
            <Happened hands/>
            <CopyDue hands/>
            <NewerVersion/>
        </div>
    }
}

#[component]
fn NotSaved(hands: Hands) -> impl IntoView {
    let why = move || match hands.shelf.saved.get() {
        Saved::Not(why) => Some(why),
        _ => None,
    };
    view! {
        {move || why().map(|why| {
            let (what, more) = say::not_saved(&why);
            view! {
                <div class="note" id="not-saved"><b>{what}</b>{more}
                    <p class="row"><button class="btn" on:click=move |_| save_as_file(hands)>{words::SAVE}</button></p>
                </div>
            }
        })}
    }
}

#[component]
fn Theirs(hands: Hands) -> impl IntoView {
    let shelf = hands.shelf;
    view! {
        {move || shelf.theirs.with(Option::is_some).then(|| view! {
            <div class="note" id="theirs"><b>{say::THEIRS}</b>{say::THEIRS_MORE}
                <p class="row">
                    <button class="btn" id="take-theirs" on:click=move |_| shelf.take_theirs(hands)>{say::TAKE_THEIRS}</button>
                    <button class="btn" id="keep-mine" on:click=move |_| shelf.keep_mine(hands)>{say::KEEP_MINE}</button>
                </p>
            </div>
        })}
    }
}

#[component]
fn Happened(hands: Hands) -> impl IntoView {
    let shelf = hands.shelf;
    let close = move || {
        view! {
            <button class="btn" on:click=move |_| shelf.told.set(None)>{say::CLOSE}</button>
        }
    };
    let note = move |told: Told| {
        match told {
        Told::Came(name) => quiet(say::came(&name), close().into_any()),
        Told::WasHere(name) => quiet(say::was_here(&name), close().into_any()),
        Told::Found(n) => quiet(say::found(n), close().into_any()),
        Told::Removed(key, name) => quiet(say::removed(&name), view! {
            <button class="btn" id="bring-back" on:click=move |_| shelf.remove(hands, &key, false)>{say::BRING_BACK}</button>
            {close()}
        }.into_any()),
        Told::NotTaken(what, faults) => {
            let more = faults.len().saturating_sub(SHOWN);
            view! {
                <div class="note" id="not-taken"><b>{say::not_taken(what)}</b>
                    {faults.into_iter().take(SHOWN).map(|fault| view! {
                        <p>{sentence(&fault.message)}" "{fault.hint.map(|h| sentence(&h))}</p>
                    }).collect_view()}
                    {(more > 0).then(|| view! { <p>{format!("and {more} more")}</p> })}
                    <p class="row">{close()}</p>
                </div>
            }.into_any()
        }
    }
    };
    view! { {move || shelf.told.get().map(note)} }
}

/// A note that asks for nothing.
fn quiet(what: String, buttons: AnyView) -> AnyView {
    view! { <div class="note quiet" id="happened"><b>{what}</b><p class="row">{buttons}</p></div> }.into_any()
}

#[component]
fn CopyDue(hands: Hands) -> impl IntoView {
    let shelf = hands.shelf;
    let later = RwSignal::new(false);
    let due = move || {
        !later.get()
            && shelf.open.get().is_some_and(|open| {
                let now = browser::now();
                shelf
                    .jobs
                    .with(|all| all.iter().any(|k| k.key == open && k.what.as_ref().is_ok_and(|r| r.wants_copy(now))))
            })
    };
    // Once it is due or no longer due, not at every change.
    let due = Memo::new(move |_| due());
    view! {
        {move || due.get().then(|| view! {
            <div class="note quiet" id="copy-due"><b>{say::COPY_DUE}</b>{say::COPY_DUE_MORE}
                <p class="row">
                    <button class="btn" on:click=move |_| save_as_file(hands)>{words::SAVE}</button>
                    <button class="btn" on:click=move |_| later.set(true)>{say::LATER}</button>
                </p>
            </div>
        })}
    }
}

/// What is known of a newer version of the page.
#[derive(Clone)]
enum Version {
    Ours,
    Ready(Newer),
    Taken,
}

#[component]
fn NewerVersion() -> impl IntoView {
    let version = RwSignal::new_local(Version::Ours);
    // Asked for here: then the page opens anew by itself.
    let asked = StoredValue::new(false);
    Newer::listen(
        move |newer| version.set(Version::Ready(newer)),
        move || if asked.get_value() { browser::reload() } else { version.set(Version::Taken) },
    );
    view! {
        {move || match version.get() {
            Version::Ours => ().into_any(),
            Version::Ready(newer) => view! {
                <div class="note quiet" id="newer"><b>{say::NEWER}</b>{say::NEWER_MORE}
                    <p class="row">
                        <button class="btn" id="take-newer" on:click=move |_| { asked.set_value(true); newer.take(); }>
                            {say::TAKE_NEWER}
                        </button>
                        <button class="btn" on:click=move |_| version.set(Version::Ours)>{say::LATER}</button>
                    </p>
                </div>
            }.into_any(),
            Version::Taken => view! {
                <div class="note quiet" id="newer-taken"><b>{say::NEWER_TAKEN}</b>{say::NEWER_MORE}
                    <p class="row"><button class="btn" on:click=move |_| browser::reload()>{say::OPEN_NEWER}</button></p>
                </div>
            }.into_any(),
        }}
    }
}
