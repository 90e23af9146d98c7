//! Prove: how square the top is by what was read of it, which reading is worth taking next, and the
//! form that takes one: holes tapped or typed, then a number.

mod enter;
mod instruments;

use holefast::reading::between_words;
use holefast::words as core;
use holefast_web_planner::{Proved, Refusal};
use leptos::prelude::*;
use wasm_bindgen::JsCast as _;

use self::enter::Entry;
use crate::bench::Bench;
use crate::cards::named;
use crate::device;
use crate::hands::Hands;
use crate::prover::Prover;
use crate::words::prove as words;

/// Height of the picture as a part of its width, on a phone and on a desk.
const HEIGHT: [f64; 2] = [0.78, 0.66];

/// The place.
#[component]
pub fn Prove(hands: Hands) -> impl IntoView {
    let width = device::drawing_width();
    let prover = Prover::new(hands, [width, HEIGHT[usize::from(device::is_wide())] * width]);
    let entry = Entry::new(hands);
    view! {
        <section class="draw" aria-label="Proof">
            <Picture prover entry/>
            <Verdict hands prover/>
        </section>
        <section class="panel" aria-label="Readings">
            <Next hands prover entry/>
            <instruments::Instruments hands/>
            <enter::Enter hands entry/>
            <Readings hands prover/>
            <Rest prover/>
        </section>
    }
    .into_any()
}

/// The picture, with targets over its holes and rings round those that are chosen.
#[component]
fn Picture(prover: Prover, entry: Entry) -> impl IntoView {
    let svg = move || prover.proved.with(|p| p.as_ref().map(|p| over(p, &entry.holes.get()))).unwrap_or_default();
    let about = move || prover.proved.with(|p| p.as_ref().map(|p| p.picture.about.clone())).unwrap_or_default();
    let tapped = move |event: web_sys::MouseEvent| {
        let target = event.target().and_then(|t| t.dyn_into::<web_sys::Element>().ok());
        if let Some(name) = target.and_then(|t| t.get_attribute("data-hole")) {
            entry.tap(&name);
        }
    };
    view! {
        <div id="proof" class="drawing" role="img" aria-label=move || {
                let about = about();
                if about.is_empty() { words::PROVING.to_owned() } else { about }
            } inner_html=svg on:click=tapped></div>
        <p class="key">{move || prover.proved.with(|p| p.as_ref().map(|p| p.picture.key.clone())).unwrap_or_default()
            .into_iter().map(|(sign, word)| view! {
                <span><i aria-hidden="true" inner_html=sign></i>{word}</span>
            }).collect_view()}</p>
    }
    .into_any()
}

/// The picture's SVG with what can be tapped, and what is.
fn over(proved: &Proved, chosen: &[String]) -> String {
    use std::fmt::Write as _;
    let picture = &proved.picture;
    let place = |name: &str| picture.holes.iter().find(|(n, _)| n == name).map(|(_, at)| *at);
    let mut over = String::new();
    // Writing to a string cannot fail, here and below.
    for pair in chosen.chunks(2) {
        if let [a, b] = pair
            && let (Some([x0, y0]), Some([x1, y1])) = (place(a), place(b))
        {
            let _ = write!(over, "<path class=\"chosen-line\" d=\"M{x0:.3} {y0:.3}L{x1:.3} {y1:.3}\"/>");
        }
    }
    for [x, y] in chosen.iter().filter_map(|name| place(name)) {
        let _ = write!(over, "<circle class=\"chosen\" cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"2.4\"/>");
    }
    for (name, [x, y]) in &picture.holes {
        let r = picture.reach;
        let _ =
            write!(over, "<circle class=\"target\" data-hole=\"{name}\" cx=\"{x:.3}\" cy=\"{y:.3}\" r=\"{r:.3}\"/>");
    }
    named(&picture.svg, "proof").replace("</svg>", &format!("{over}</svg>"))
}

/// The verdict, or why there is none.
#[component]
fn Verdict(hands: Hands, prover: Prover) -> impl IntoView {
    let told = move || match () {
        () if prover.stuck.get() => Some(words::NO_WORKER),
        () if hands.bench.with(|b| !b.faults().is_empty()) => Some(words::OF_BEFORE),
        () if prover.fresh.get() => None,
        () => Some(words::PROVING),
    };
    let said = move || prover.proved.with(|p| p.as_ref().map(|p| p.said.clone())).unwrap_or_default();
    let refused = move || prover.proved.with(|p| p.as_ref().map(|p| p.refused.clone())).unwrap_or_default();
    view! {
        <p id="pending" class="line" role="status">{told}</p>
        <p id="verdict" class="one" aria-live="polite" class:stale=move || !prover.fresh.get()>
            {move || said().into_iter().next().map(|line| {
                // The judgement large, the figures behind it beside it.
                match line.split_once(": ") {
                    Some((first, rest)) => view! { <b>{first.to_owned()}</b><span>{rest.to_owned()}</span> }.into_any(),
                    None => view! { <b>{line}</b> }.into_any(),
                }
            })}</p>
        {move || prover.proved.with(|p| p.as_ref().and_then(|p| p.verdict.clone())).map(|(svg, about)| view! {
            <div id="verdict-figures" class="drawing" role="img" aria-label=about inner_html=named(&svg, "verdict")></div>
        })}
        {move || hands.bench.with(|b| b.laid().is_some_and(|l| l.job.proof.readings.is_empty())).then(|| view! {
            <p id="nothing-read" class="one"><b>{words::NOTHING_READ}</b><span>{words::NOTHING_READ_MORE}</span></p>
        })}
        <div id="refused">{move || notes(refused())}</div>
    }
    .into_any()
}

fn notes(all: Vec<Refusal>) -> AnyView {
    all.into_iter()
        .map(|r| {
            view! { <div class="note"><b>{core::sentence(&r.message)}</b>{r.hint.map(|h| core::sentence(&h))}</div> }
        })
        .collect_view()
        .into_any()
}

/// Which reading tells most, and the way to take it.
#[component]
fn Next(hands: Hands, prover: Prover, entry: Entry) -> impl IntoView {
    let next = move || prover.next.get();
    let said = move || next().map(|n| n.said.clone()).unwrap_or_default();
    // Without an instrument nothing is wrong, and nothing can be named.
    let none = move || hands.bench.with(|b| b.laid().is_none_or(|l| l.job.proof.instruments.is_empty()));
    let remarks = move || if none() { Vec::new() } else { next().map(|n| n.remarks.clone()).unwrap_or_default() };
    view! {
        <h2 class="first">{words::NEXT}</h2>
        <div id="next" aria-live="polite">
            {move || next().is_none().then(|| view! { <p class="line">{words::LOOKING}</p> })}
            {move || said().into_iter().map(|line| view! { <p>{line}</p> }).collect_view()}
            {move || none().then(|| view! { <p>{words::NO_INSTRUMENT}</p> })}
            {move || notes(remarks())}
            {move || next().and_then(|n| n.first.clone()).map(|first| {
                first.holes.clone().into_iter().map(|holes| {
                    let wanted = (first.kind.clone(), first.with.clone(), holes.clone());
                    view! { <p class="row"><button class="btn" on:click=move |_| entry.take(&wanted.0, &wanted.1, &wanted.2)>
                        {format!("{}: {}", words::TAKE, holes.join(" "))}</button></p> }
                }).collect_view()
            })}
        </div>
    }
    .into_any()
}

/// What was read, each with the way to take it out.
#[component]
fn Readings(hands: Hands, prover: Prover) -> impl IntoView {
    let list = Memo::new(move |_| {
        hands.bench.with(|b| {
            let of =
                |(i, r): (usize, &holefast::reading::Reading)| (i + 1, r.what.kind(), between_words(r), r.with.clone());
            b.laid().map(|l| l.job.proof.readings.iter().enumerate().map(of).collect::<Vec<_>>()).unwrap_or_default()
        })
    });
    // Only of a job that is proved as it stands: numbers of another would stand beside the wrong lines.
    let values = move || {
        let rows = prover.proved.with(|p| p.as_ref().map(|p| p.readings.clone())).unwrap_or_default();
        if prover.fresh.get() { rows } else { Vec::new() }
    };
    view! {
        <h2>{words::READINGS}</h2>
        {move || list.with(Vec::is_empty).then(|| view! { <p class="soft">{words::NO_READINGS}</p> })}
        <ul id="readings" class="gives">{move || {
            let rows = values();
            list.get().into_iter().map(|(number, kind, between, with)| {
                let value = rows.iter().find(|r| r.first() == Some(&number.to_string())).and_then(|r| r.get(2).cloned());
                let what = format!("{number}: {}, {between}", words::kind(kind));
                let with = with.map(|w| format!(", {w}")).unwrap_or_default();
                view! { <li class="reading"><span>{what}{with}{value.map(|v| view! { <b>{v}</b> })}</span>
                    <button class="btn" on:click=move |_| hands.change(|b: &mut Bench| b.remove(&format!("reading[{}]", number - 1)))>
                        {words::take_out(number)}</button></li> }
            }).collect_view()
        }}</ul>
    }
    .into_any()
}

/// Everything else that a proof says, and the two tables.
#[component]
fn Rest(prover: Prover) -> impl IntoView {
    let proved = move || prover.proved.get();
    let more = move || proved().map(|p| p.said.iter().skip(1).cloned().collect::<Vec<_>>()).unwrap_or_default();
    let remarks = move || proved().map(|p| p.remarks.clone()).unwrap_or_default();
    let worth = move || proved().map(|p| p.readings.clone()).unwrap_or_default();
    let leaves = move || prover.next.get().map(|n| n.table.clone()).unwrap_or_default();
    view! {
        <ul id="said" class="gives">{move || more().into_iter().map(|line| view! { <li>{line}</li> }).collect_view()}</ul>
        {move || notes(remarks())}
        {move || table("worth", words::WORTH, worth())}
        {move || table("leaves", words::LEAVES, leaves())}
    }
    .into_any()
}

/// A table that is opened when somebody wants it: heads first.
fn table(id: &'static str, title: &'static str, rows: Vec<Vec<String>>) -> AnyView {
    let mut rows = rows.into_iter();
    let Some(heads) = rows.next() else { return ().into_any() };
    view! {
        <details id=id><summary>{title}</summary><div class="wide" tabindex="0" role="group" aria-label=title>
            <table class="figures"><thead><tr>
                {heads.into_iter().map(|h| view! { <th scope="col">{h}</th> }).collect_view()}
            </tr></thead><tbody>
                {rows.map(|row| view! { <tr>{row.into_iter().map(|c| view! { <td>{c}</td> }).collect_view()}</tr> }).collect_view()}
            </tbody></table></div></details>
    }
    .into_any()
}
