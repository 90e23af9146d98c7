//! Keep-outs as fields: what the drawing lets a finger do, for typing and for the keyboard.

use holefast::top::{KeepOut, KeepOutShape, Side};
use leptos::prelude::*;

use super::fields::{Field, exact};
use crate::bench::{Bench, Laid};
use crate::hands::Hands;
use crate::words;

/// Sides as the job names them, and as people do.
const SIDES: [(&str, &str, Side); 3] =
    [("below", "below the top", Side::Below), ("above", "above it", Side::Above), ("both", "both", Side::Both)];

/// All keep-outs, each with its fields, and one more on asking.
#[component]
pub fn KeepOuts(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    // Fields are made anew only if the number or kind of keep-outs changes, so that typing goes on.
    let kinds = Memo::new(move |_| {
        bench.with(|b| {
            let all = b.laid().map(|l| l.job.keep_outs.as_slice()).unwrap_or_default();
            all.iter().map(|k| matches!(k.shape, KeepOutShape::Circle { .. })).collect::<Vec<bool>>()
        })
    });
    view! {
        <details id="keep-outs"><summary>{words::KEEP_OUTS}</summary>
            {move || kinds.get().into_iter().enumerate().map(|(index, round)| view! { <One hands index round/> }).collect_view()}
            <p class="row"><button class="btn" id="add-keep-out" on:click=move |_| hands.change(Bench::add_keep_out)>
                {words::ADD_KEEP_OUT}</button></p>
        </details>
    }
}

#[component]
fn One(hands: Hands, index: usize, round: bool) -> impl IntoView {
    let of = move |l: &Laid| l.job.keep_outs.get(index).cloned();
    let name = move || hands.bench.with(|b| b.laid().and_then(of).map_or_else(String::new, |k| k.name));
    let path = move |key: &str| format!("keep_out[{index}].{key}");
    let measures: &[(&str, &str)] = if round {
        &[("circle[0]", "Middle along"), ("circle[1]", "Middle in"), ("circle[2]", "Diameter")]
    } else {
        &[("rect[0]", "Begins along"), ("rect[1]", "Begins in"), ("rect[2]", "Length"), ("rect[3]", "Width")]
    };
    let side = move |event: web_sys::Event| {
        let word = event_target_value(&event);
        hands.change(|b| b.set_text(&path("side"), &word));
    };
    view! {
        <fieldset><legend>{name}</legend><div class="fields">
            <Field hands id=format!("keep-out-{index}-name") label="Name" length=false
                value=move |l: &Laid| of(l).map_or_else(String::new, |k| k.name)
                put=move |b: &mut Bench, typed: &str| b.set_text(&path("name"), typed)/>
            <label for=format!("keep-out-{index}-side")>"Lies"<span class="in">
                <select id=format!("keep-out-{index}-side") on:change=side>
                    {SIDES.into_iter().map(|(value, said, side)| view! {
                        <option value=value prop:selected=move || hands.bench.with(|b| b.laid().and_then(of).is_some_and(|k| k.side == side))>
                            {said}</option>
                    }).collect_view()}
                </select></span></label>
            {measures.iter().enumerate().map(|(i, &(key, label))| view! {
                <Field hands id=format!("keep-out-{index}-{i}") label length=true
                    value=move |l: &Laid| of(l).map_or_else(String::new, |k| exact(l.job.units, measure(&k, i)))
                    put=move |b: &mut Bench, typed: &str| b.set(&path(key), typed)/>
            }).collect_view()}
            <Field hands id=format!("keep-out-{index}-clearance") label="Keep clear round it" length=true
                value=move |l: &Laid| of(l).map_or_else(String::new, |k| exact(l.job.units, k.clearance))
                put=move |b: &mut Bench, typed: &str| b.set(&path("clearance"), typed)/>
        </div>
        <p class="row"><button class="btn" on:click=move |_| hands.change(|b| b.remove(&format!("keep_out[{index}]")))>
            {move || format!("Take {} out", name())}</button></p>
        </fieldset>
    }
}

/// The i-th of a shape's figures, mm, as the job lists them.
fn measure(keep_out: &KeepOut, i: usize) -> f64 {
    let all = match keep_out.shape {
        KeepOutShape::Rect { x, y, length, width } => [x, y, length, width],
        KeepOutShape::Circle { centre, diameter } => [centre.x, centre.y, diameter, 0.0],
    };
    all.get(i).copied().unwrap_or_default()
}
