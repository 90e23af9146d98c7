//! A spoiled hole, or a check that did not go: entered at the bench, the plan follows.

use std::sync::Arc;

use holefast::top::Cell;
use holefast::words::CardKind;
use leptos::prelude::*;

use super::at_bench::Standing;
use super::{Bored, card};
use crate::cards::Shown;
use crate::stops::{self, Stop, holes_of};
use crate::words::bore as words;

/// The holes that may be spoiled here: of this stop first, then all that exist.
fn holes(shown: &Shown, stop: &Stop) -> Vec<String> {
    let mut all = stop.bores(&shown.plan);
    let check = stop.setup.and_then(|i| shown.plan.setups.get(i)).filter(|s| s.check);
    all.extend(check.map(holes_of).unwrap_or_default());
    let done = shown.job.done.iter().flat_map(|d| &d.holes).flat_map(|range| range.cells());
    let mut others: Vec<Cell> = done.collect();
    others.sort();
    for name in others.into_iter().map(|cell| cell.to_string()) {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

fn is_check(shown: &Shown, stop: &Stop) -> bool {
    shown.cards.get(stop.card).is_some_and(|c| c.kind == CardKind::Check)
}

/// What to do when something went wrong here, and why the plan is as it is after that.
#[component]
pub fn Spoiled(bored: Bored, standing: Standing) -> impl IntoView {
    let shown = bored.shown;
    let here = Memo::new(move |_| {
        let (shown, stop) = (shown.get()?, standing.stop.get()?);
        Some((holes(&shown, &stop), is_check(&shown, &stop), shown.cards.get(stop.card)?.clone(), stop.name))
    });
    let open = RwSignal::new(false);
    view! {
        <Replanned bored standing/>
        {move || here.get().filter(|(holes, ..)| !holes.is_empty()).map(|(holes, check, of, _)| view! {
            <details id="wrong" class="wrong" prop:open=move || open.get() on:toggle=move |event| {
                open.set(event_target::<web_sys::Element>(&event).has_attribute("open"));
            }>
                <summary>{if check { words::CHECK_WRONG } else { words::WRONG }}</summary>
                {check.then(|| view! {
                    <ol class="if-not">{of.check.iter().flat_map(|c| &c.if_not)
                        .map(|text| view! { <li>{card::rich(text)}</li> }).collect_view()}</ol>
                })}
                {of.check.as_ref().map(|c| c.askew.clone()).filter(|askew| !askew.is_empty())
                    .map(|askew| view! { <Askew bored standing askew open/> })}
                <Form bored standing holes check open/>
            </details>
        })}
    }
}

/// None of a check's holes is out: all that the later set-up bored is spoiled in one step.
#[component]
fn Askew(bored: Bored, standing: Standing, askew: Vec<String>, open: RwSignal<bool>) -> impl IntoView {
    let label = words::askew(&askew);
    let enter = move |_| {
        bored.hands.change(|b| {
            let mut text = b.text().to_owned();
            if let Some(job) = b.laid().map(|l| l.job.clone()) {
                for hole in &askew {
                    text = stops::spoil(&text, &job, hole, words::LINES_ASKEW)?;
                }
            }
            b.change(text);
            Ok(())
        });
        standing.at.set(None);
        open.set(false);
        crate::device::to_top();
    };
    view! { <p class="row"><button id="askew" class="btn" on:click=enter>{label}</button></p> }
}

#[component]
fn Form(bored: Bored, standing: Standing, holes: Vec<String>, check: bool, open: RwSignal<bool>) -> impl IntoView {
    let first = holes.first().cloned().unwrap_or_default();
    let (hole, why, rest) = (RwSignal::new(first), RwSignal::new(String::new()), RwSignal::new(true));
    let bores = Memo::new(move |_| {
        let (shown, stop) = (bored.shown.get()?, standing.stop.get()?);
        Some((stop.bores(&shown.plan), stop))
    });
    // On a card of several holes it must be known whether the others are bored.
    let of_several = move || {
        bores.with(|b| b.as_ref().is_some_and(|(all, stop)| !stop.done && all.len() > 1 && all.contains(&hole.get())))
    };
    let enter = move |_| {
        let Some((all, stop)) = bores.get_untracked() else { return };
        let (hole, mut why) = (hole.get_untracked(), why.get_untracked());
        if check && why.trim().is_empty() {
            words::CHECK_DID_NOT_GO.clone_into(&mut why);
        }
        // Of a card of one hole that one is bored, if badly.
        let bored_too = !stop.done && all.contains(&hole) && (all.len() == 1 || rest.get_untracked());
        bored.hands.change(|b| {
            let marked = if bored_too { stop.mark(b.text())? } else { b.text().to_owned() };
            let job = b.laid().map(|l| l.job.clone());
            let text = match job {
                Some(job) => stops::spoil(&marked, &job, &hole, &why)?,
                None => holefast::job::spoil(&marked, &hole, &why)?,
            };
            b.change(text);
            Ok(())
        });
        standing.at.set(None);
        open.set(false);
        crate::device::to_top();
    };
    view! {
        <p class="note">{words::SPOILED_CAUTION}</p>
        <label class="field">{words::WHICH}
            <select id="spoiled-hole" on:change=move |e| hole.set(event_target_value(&e))>
                {holes.into_iter().map(|name| view! { <option value=name.clone()>{name.clone()}</option> }).collect_view()}
            </select>
        </label>
        <label class="field">{words::WHY_SPOILED}
            <input id="spoiled-why" type="text" autocomplete="off" maxlength="200"
                on:change=move |e| why.set(event_target_value(&e))/>
        </label>
        <Show when=of_several>
            <label class="tick-field"><input id="rest-bored" type="checkbox" prop:checked=move || rest.get()
                on:change=move |e| rest.set(event_target_checked(&e))/>{words::REST_BORED}</label>
        </Show>
        <p class="row"><button id="spoil" class="btn" on:click=enter>{words::SPOIL}</button></p>
    }
}

/// Why the plan is as it is, where holes are spoiled: plugging against going round, and the way to that.
#[component]
fn Replanned(bored: Bored, standing: Standing) -> impl IntoView {
    let reasons = move || -> Option<(Arc<Shown>, Vec<String>)> {
        let shown = bored.shown.get()?;
        let plugging = standing.stop.get().and_then(|s| shown.cards.get(s.card).map(|c| c.kind == CardKind::Plugs));
        (plugging == Some(true)).then(|| (Arc::clone(&shown), shown.left.reasons.clone()))
    };
    let go_round = move |name: String| {
        bored.hands.change(|b| {
            let Some(cell) = Cell::parse(&name) else { return Ok(()) };
            // It stays among the done and the spoiled: so the plan knows how the rest came about.
            let text = holefast::job::leave_out(b.text(), &[cell])?;
            b.change(text);
            Ok(())
        });
        standing.at.set(None);
    };
    move || {
        reasons().map(|(shown, reasons)| {
            view! {
                <h2>{words::SPOILED_HEAD}</h2>
                <ul id="replanned" class="gives">
                    {reasons.into_iter().map(|r| view! { <li>{r}</li> }).collect_view()}
                </ul>
                <p class="row">{shown.left.plugged.iter().cloned().map(|name| {
                    let label = words::go_round(&name);
                    view! { <button class="btn go-round" on:click=move |_| go_round(name.clone())>{label}</button> }
                }).collect_view()}</p>
            }
        })
    }
}
