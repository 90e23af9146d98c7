//! A card: its drawing, its steps and cautions, what a check lets through, the openings in their order.

use std::sync::Arc;

use holefast::words::{Card, CardLine, Rich};
use leptos::prelude::*;

use crate::cards::{Shown, drawn, keys};
use crate::device;
use crate::stops::Stop;

/// Room for a drawing, mm; at the bench its text is larger, so it is laid out for less.
pub fn room(at_bench: bool) -> [f64; 2] {
    /// How much larger the bench's drawings are shown than they are laid out.
    const LARGER: f64 = 1.2;
    /// Height of a drawing as a part of its width: on a phone the steps must still be seen.
    const HEIGHT: [f64; 2] = [0.78, 0.66];
    let wide = device::is_wide();
    let width = device::drawing_width();
    let width = if at_bench && wide { width / LARGER } else { width };
    [width, HEIGHT[usize::from(wide)] * width]
}

/// The drawing of a stop, or of a whole card, with the signs in it.
#[component]
pub fn Drawing(
    shown: Arc<Shown>,
    stop: Option<Stop>,
    card: Option<usize>,
    id: &'static str,
    room: [f64; 2],
) -> impl IntoView {
    let scene = match (&stop, card) {
        (Some(stop), _) => shown.stop_scene(stop, room),
        (None, Some(card)) => shown.cards.get(card).and_then(|card| shown.card_scene(card, room)),
        (None, None) => None,
    };
    let name = card.map_or_else(|| id.to_owned(), |n| format!("{id}-{n}"));
    scene.map(|scene| {
        view! {
            <div class="drawing" role="img" aria-label=scene.about.clone() inner_html=drawn(&scene, &name)></div>
            <p class="key">{keys(&scene).into_iter().map(|(sign, word)| view! {
                <span><i aria-hidden="true" inner_html=sign></i>{word}</span>
            }).collect_view()}</p>
        }
    })
}

/// Steps and cautions of a card, numbered as in the book.
#[component]
pub fn Lines(card: Card) -> impl IntoView {
    let mut number = 0;
    let lines: Vec<_> = card
        .lines
        .iter()
        .map(|line| match line {
            CardLine::Step(text) => {
                number += 1;
                view! { <li class="step"><span class="no" aria-hidden="true">{number}</span><p>{rich(text)}</p></li> }
                    .into_any()
            }
            CardLine::Caution(text) => view! { <li class="note"><p>{rich(text)}</p></li> }.into_any(),
        })
        .collect();
    view! {
        {card.notes.iter().map(|note| view! { <p class="note">{note.clone()}</p> }).collect_view()}
        <ol class="steps">{lines}</ol>
        {card.stuck.as_ref().map(|text| view! { <p class="stuck">{rich(text)}</p> })}
    }
}

/// What a check lets through, and what to do if it does not go.
#[component]
pub fn Check(card: Card) -> impl IntoView {
    card.check.filter(|c| !c.limit.runs.is_empty()).map(|check| {
        view! {
            <p class="limit">{rich(&check.limit)}</p>
            <ol class="if-not">{check.if_not.iter().map(|text| view! { <li>{rich(text)}</li> }).collect_view()}</ol>
        }
    })
}

/// A text with its bold runs.
pub fn rich(text: &Rich) -> impl IntoView + use<> {
    let runs = text.runs.clone();
    let set = |run: holefast::words::Run| match run.bold {
        true => view! { <b>{run.text}</b> }.into_any(),
        false => run.text.into_any(),
    };
    runs.into_iter().map(set).collect_view()
}
