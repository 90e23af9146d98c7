//! The jobs on this device: which is open, which there are, which were taken off the list, which cannot be
//! read.

use leptos::prelude::*;

use crate::hands::Hands;
use crate::shelf::{Kept, Record, told};
use crate::words::shelf as say;
use crate::{browser, device};

/// The list.
#[component]
pub fn Jobs(hands: Hands) -> impl IntoView {
    let shelf = hands.shelf;
    let some = move |which: fn(&Kept) -> bool| {
        shelf.jobs.with(|all| all.iter().filter(|k| which(k)).cloned().collect::<Vec<_>>())
    };
    let on_the_list = move || some(|k| k.what.as_ref().is_ok_and(|r| r.removed.is_none()));
    let off_the_list = move || some(|k| k.what.as_ref().is_ok_and(|r| r.removed.is_some()));
    let broken = move || some(|k| k.what.is_err());
    view! {
        <h2>{say::JOBS}</h2>
        <Name hands/>
        <Show when=move || on_the_list().is_empty()><p>{say::NO_JOBS}</p></Show>
        <ul class="jobs" id="jobs">
            {move || on_the_list().into_iter().map(|kept| view! { <One hands kept/> }).collect_view()}
        </ul>
        <p class="soft" id="lasting">{move || say::lasting(shelf.lasting.get())}</p>
        {move || broken().into_iter().map(|kept| view! { <Broken hands kept/> }).collect_view()}
        <Off hands list=Signal::derive(off_the_list)/>
    }
}

#[component]
fn Name(hands: Hands) -> impl IntoView {
    let name = move || hands.bench.with(|b| b.laid().map_or_else(String::new, |l| l.job.name.clone()));
    let shown = RwSignal::new(0_u32);
    let typed = move |event: web_sys::Event| {
        let typed = event_target_value(&event);
        if !typed.trim().is_empty() {
            hands.change(|b| b.rename(&typed));
        }
        shown.update(|n| *n += 1);
    };
    view! {
        <label class="name" for="job-name">{say::NAME}<span class="in">
            <input id="job-name" type="text" autocomplete="off" maxlength="200"
                prop:value=move || { shown.track(); name() } on:change=typed/></span></label>
    }
}

/// How a job is called in the list.
fn called(record: &Record) -> String {
    if record.name.trim().is_empty() { "A job without a name".to_owned() } else { record.name.clone() }
}

fn when(record: &Record) -> String {
    say::changed(&told(browser::moment(record.changed), browser::moment(browser::now())))
}

#[component]
fn One(hands: Hands, kept: Kept) -> impl IntoView {
    let shelf = hands.shelf;
    let key = StoredValue::new(kept.key);
    let (name, when) = kept.what.as_ref().map_or_else(|_| Default::default(), |r| (called(r), when(r)));
    let is_open = move || shelf.open.with(|open| key.with_value(|key| open.as_ref() == Some(key)));
    let with = move |work: &dyn Fn(&str)| key.with_value(|key| work(key));
    let label = move |act: &str| format!("{act}: {name}");
    let (open, duplicate, remove) = (label(say::OPEN), label(say::DUPLICATE), label(say::REMOVE));
    let name = kept.what.as_ref().map(called).unwrap_or_default();
    view! {
        <li class:open=is_open data-job=key.get_value()>
            <p><b>{name}</b><span class="soft">{when}{move || is_open().then(|| format!(", {}", say::OPEN_NOW))}</span></p>
            <p class="row">
                <Show when=move || !is_open()>
                    <button class="btn open-job" aria-label=open.clone() on:click=move |_| with(&|key| shelf.open(hands, key))>{say::OPEN}</button>
                </Show>
                <button class="btn" aria-label=duplicate on:click=move |_| with(&|key| shelf.duplicate(key))>{say::DUPLICATE}</button>
                <button class="btn" aria-label=remove on:click=move |_| with(&|key| shelf.remove(hands, key, true))>{say::REMOVE}</button>
            </p>
        </li>
    }
}

#[component]
fn Off(hands: Hands, list: Signal<Vec<Kept>>) -> impl IntoView {
    let shelf = hands.shelf;
    let one = move |kept: Kept| {
        let Ok(record) = kept.what else { return ().into_any() };
        let (back, away) = (kept.key.clone(), kept.key);
        let name = called(&record);
        let (back_label, away_label) = (format!("{}: {name}", say::BRING_BACK), format!("{}: {name}", say::FOR_GOOD));
        view! {
            <li><p><b>{name}</b><span class="soft">{when(&record)}</span></p>
                <p class="row">
                    <button class="btn" aria-label=back_label on:click=move |_| shelf.remove(hands, &back, false)>{say::BRING_BACK}</button>
                    <button class="btn" aria-label=away_label on:click=move |_| shelf.forget(&away)>{say::FOR_GOOD}</button>
                </p></li>
        }.into_any()
    };
    view! {
        <Show when=move || list.with(|l| !l.is_empty())>
            <details id="off-the-list"><summary>{move || say::off_the_list(list.with(Vec::len))}</summary>
                <ul class="jobs">{move || list.get().into_iter().map(one).collect_view()}</ul>
            </details>
        </Show>
    }
}

#[component]
fn Broken(hands: Hands, kept: Kept) -> impl IntoView {
    let shelf = hands.shelf;
    let Err((stored, why)) = kept.what else { return ().into_any() };
    let key = kept.key;
    view! {
        <div class="note broken"><b>{say::BROKEN}</b>{say::broken(&why)}
            <p class="row">
                <button class="btn" on:click=move |_| { let _ = device::hand_over("set-aside.json", &stored, "application/json"); }>
                    {say::SAVE_BROKEN}
                </button>
                <button class="btn" on:click=move |_| shelf.forget(&key)>{say::FOR_GOOD}</button>
            </p>
        </div>
    }
    .into_any()
}
