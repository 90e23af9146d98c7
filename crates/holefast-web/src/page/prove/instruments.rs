//! What readings are made with: each instrument's name, uncertainty and minutes, one more, one less; and
//! what is known of the holes before any reading.

use holefast::job::MeasuringTool;
use holefast::reading::{Instrument, Prior};
use leptos::prelude::*;

use crate::bench::{Bench, Laid};
use crate::hands::Hands;
use crate::page::lay_out::{Field, exact};
use crate::words::prove as words;

/// The instruments, closed until somebody wants them, open where there is none.
#[component]
pub fn Instruments(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let count = Memo::new(move |_| bench.with(|b| b.laid().map_or(0, |l| l.job.proof.instruments.len())));
    let tool = RwSignal::new(MeasuringTool::Bar);
    let chosen = move |event: web_sys::Event| {
        let name = event_target_value(&event);
        if let Some(found) = MeasuringTool::ALL.into_iter().find(|t| t.name() == name) {
            tool.set(found);
        }
    };
    let prior = move || {
        bench.with(|b| match b.laid().and_then(|l| l.job.proof.prior) {
            None | Some(Prior::Scatter) => "scatter",
            Some(Prior::Prediction) => "prediction",
            Some(Prior::None) => "none",
            Some(Prior::Stated(_)) => "",
        })
    };
    view! {
        <details id="instruments" open=count.get_untracked() == 0><summary>{words::INSTRUMENTS}</summary>
            {move || (0..count.get()).map(|index| view! { <One hands index/> }).collect_view()}
            <p class="line">{words::BEGINS}</p>
            <div class="fields one"><label for="add-what">{words::ADD}<span class="in"><select id="add-what" on:change=chosen>
                {MeasuringTool::ALL.into_iter().map(|t| view! {
                    <option value=t.name() prop:selected=move || tool.get() == t>{words::tool(t)}</option>
                }).collect_view()}
            </select></span></label></div>
            <p class="row"><button id="add-instrument" class="btn"
                on:click=move |_| hands.change(|b| b.add_instrument(tool.get_untracked()))>{words::ADD_IT}</button></p>
            <div class="fields one"><label for="prior">{words::PRIOR}<span class="in"><select id="prior"
                on:change=move |event| { let word = event_target_value(&event); hands.change(|b| b.set_text("proof.prior", &word)); }>
                {move || prior().is_empty().then(|| view! { <option value="" prop:selected=true>"as the job states"</option> })}
                {words::PRIORS.into_iter().map(|(value, said)| view! {
                    <option value=value prop:selected=move || prior() == value>{said}</option>
                }).collect_view()}
            </select></span></label></div>
        </details>
    }
    .into_any()
}

#[component]
fn One(hands: Hands, index: usize) -> impl IntoView {
    let of = move |l: &Laid| l.job.proof.instruments.get(index).cloned();
    let text = move |get: fn(&Instrument, &Laid) -> String| {
        move |l: &Laid| of(l).map_or_else(String::new, |instrument| get(&instrument, l))
    };
    let name = move || hands.bench.with(|b| b.laid().and_then(of).map_or_else(String::new, |i| i.name));
    let path = move |key: &str| format!("instrument[{index}].{key}");
    view! {
        <fieldset><legend>{name}</legend><div class="fields">
            <Field hands id=format!("instrument-{index}-u") label=words::ITS_U length=true
                value=text(|i, l| exact(l.job.units, i.u)) put=move |b: &mut Bench, typed: &str| b.set(&path("u"), typed)/>
            <Field hands id=format!("instrument-{index}-minutes") label="Minutes" length=false
                value=text(|i, _| i.minutes.map_or_else(String::new, |m| holefast::measure::format::number(m, 2)))
                put=move |b: &mut Bench, typed: &str| b.set(&path("minutes"), typed)/>
        </div>
        <p class="row"><button class="btn" on:click=move |_| hands.change(|b| b.remove(&format!("instrument[{index}]")))>
            {move || format!("Take {} out", name())}</button></p></fieldset>
    }
    .into_any()
}
