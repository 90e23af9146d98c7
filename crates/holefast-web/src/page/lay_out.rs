//! Lay out: the drawing that can be touched, and the panel with figures, conflicts and values.

use holefast::top::Cell;
use holefast::words as core;
use leptos::prelude::*;
use wasm_bindgen::JsCast as _;

use crate::hands::Hands;
use crate::{EXAMPLE, device, drawing, words};

/// The place.
#[component]
pub fn LayOut(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    view! {
        <section class="draw" aria-label="Drawing">
            <Drawing hands/>
            <Chosen hands/>
            <p class="line" id="how">{words::HOW}</p>
        </section>
        <section class="panel" aria-label="Figures and values">
            <Show when=move || bench.with(|b| b.text() == EXAMPLE)><p class="soft">{words::EXAMPLE}</p></Show>
            <Figures hands/>
            <Conflicts hands/>
            <Fields hands/>
            <Gives hands/>
            <Table hands/>
            <Text hands/>
        </section>
    }
}

#[component]
fn Drawing(hands: Hands) -> impl IntoView {
    let Hands { bench, chosen, .. } = hands;
    let width = device::drawing_width();
    let svg = move || bench.with(|b| drawing::svg(b, chosen.get(), width));
    let touched = move |event: web_sys::MouseEvent| {
        let place = event
            .target()
            .and_then(|t| t.dyn_into::<web_sys::Element>().ok())
            .and_then(|e| e.get_attribute("data-place"))
            .and_then(|name| Cell::parse(&name));
        if let Some(place) = place {
            hands.toggle(place);
        }
    };
    let keyed = move |event: web_sys::KeyboardEvent| {
        let size = bench.with_untracked(|b| b.laid().map(|l| (l.layout.rows, l.layout.columns)));
        let Some((rows, columns)) = size.filter(|&(r, c)| r > 0 && c > 0) else { return };
        let at = chosen.get_untracked().unwrap_or(Cell::new(0, 0));
        let next = match event.key().as_str() {
            // The reference edge is at the bottom: up is a row further.
            "ArrowUp" => Cell::new((at.row + 1).min(rows - 1), at.column),
            "ArrowDown" => Cell::new(at.row.saturating_sub(1), at.column),
            "ArrowRight" => Cell::new(at.row, (at.column + 1).min(columns - 1)),
            "ArrowLeft" => Cell::new(at.row, at.column.saturating_sub(1)),
            "Enter" | " " => {
                event.prevent_default();
                hands.toggle(at);
                return;
            }
            _ => return,
        };
        event.prevent_default();
        chosen.set(Some(next));
    };
    view! {
        <div id="drawing" class="drawing" tabindex="0" role="group" aria-label="The top, seen from above"
            aria-describedby="how" inner_html=svg on:click=touched on:keydown=keyed></div>
    }
}

#[component]
fn Chosen(hands: Hands) -> impl IntoView {
    let Hands { bench, chosen, .. } = hands;
    view! {
        <div class="sel" aria-live="polite">
            {move || chosen.get().map(|cell| {
                let told = bench.with(|b| drawing::told(b, cell));
                let wanted = bench.with(|b| b.is_wanted(cell));
                view! {
                    <p id="chosen">{told}</p>
                    <button class="btn" on:click=move |_| hands.toggle(cell)>{words::toggle(wanted)}</button>
                }
            })}
        </div>
    }
}

#[component]
fn Figures(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let figures = move || {
        bench.with(|b| {
            b.laid().map(|l| {
                let weight = l.layout.weight.as_ref().map(|w| format!("{:.1}", w.bored));
                (l.layout.holes.len(), l.layout.conflicts.len(), weight)
            })
        })
    };
    view! {
        <p class="figs" id="figures">{move || figures().map(|(holes, conflicts, weight)| view! {
            <span><b id="holes">{holes}</b>" holes"</span>
            {(conflicts > 0).then(|| view! { <span class="bad"><b id="conflicts">{conflicts}</b>" in conflict"</span> })}
            {weight.map(|kg| view! { <span><b>{kg}</b>" kg"</span> })}
        })}</p>
    }
}

#[component]
fn Conflicts(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    // So many are shown one by one; the rest are counted.
    const SHOWN: usize = 4;
    let told = move || {
        bench.with(|b| {
            let all = b.laid().map(|l| l.layout.conflicts.clone()).unwrap_or_default();
            let more = all.len().saturating_sub(SHOWN);
            let first: Vec<_> =
                all.into_iter().take(SHOWN).map(|c| (c.hole.cell, c.fault.message, c.fault.hint)).collect();
            (first, more)
        })
    };
    view! {
        {move || { let (first, more) = told(); view! {
            {first.into_iter().map(|(cell, message, hint)| view! {
                <div class="note">
                    <b>{core::sentence(&message)}</b>
                    {hint.map(|h| view! { <span>{core::sentence(&h)}</span> })}
                    {cell.map(|cell| view! {
                        <p class="row"><button class="btn" on:click=move |_| hands.toggle(cell)>
                            {format!("Leave {cell} out")}
                        </button></p>
                    })}
                </div>
            }).collect_view()}
            {(more > 0).then(|| view! { <p>{format!("and {more} more")}</p> })}
        }}}
    }
}

#[component]
fn Fields(hands: Hands) -> impl IntoView {
    let Hands { bench, trouble, .. } = hands;
    let value = move |path: &'static str| {
        bench.with(|b| {
            b.laid().map_or_else(String::new, |l| {
                let mm = match path {
                    "top.length" => l.job.top.length,
                    "top.width" => l.job.top.width,
                    "top.thickness" => l.job.top.thickness,
                    "grid.pitch" => l.job.grid.pitch[0],
                    _ => l.job.grid.edge,
                };
                core::bare_length(l.job.units, mm)
            })
        })
    };
    let unit = move || bench.with(|b| b.laid().map_or("", |l| holefast::measure::format::unit_name(l.job.units)));
    view! {
        <h2>{words::TOP_AND_GRID}</h2>
        <div class="fields">
            {words::FIELDS.into_iter().map(|(path, label)| {
                let shown = RwSignal::new(0_u32);
                let typed = move |event: web_sys::Event| {
                    let typed = event_target_value(&event);
                    // A field left empty says nothing; it shows again what holds.
                    if !typed.trim().is_empty() {
                        hands.change(|b| b.set(path, &typed));
                    }
                    shown.update(|n| *n += 1);
                };
                let (id, for_id) = (path.replace('.', "-"), path.replace('.', "-"));
                view! {
                    <label for=for_id>{label}<span class="in">
                        <input id=id type="text" inputmode="decimal" autocomplete="off" prop:value=move || { shown.track(); value(path) } on:change=typed/>
                        <i>{unit}</i></span></label>
                }
            }).collect_view()}
        </div>
        <div role="alert" id="faults">
            {move || trouble.get().map(|f| view! { <div class="note"><b>{core::sentence(&f.message)}</b></div> })}
            {move || bench.with(|b| (!b.faults().is_empty()).then(|| {
                let all: Vec<(String, String)> = b.faults().iter().take(5).map(|f| {
                    let line = f.span.map(|s| b.text().bytes().take(s.start).filter(|&c| c == b'\n').count() + 1);
                    let place = line.map_or_else(String::new, |n| format!("Line {n}: "));
                    let hint = f.hint.as_deref().map_or_else(String::new, core::sentence);
                    (format!("{place}{}", core::sentence(&f.message)), hint)
                }).collect();
                view! {
                    <p>{words::FAULTS}</p>
                    {all.into_iter().map(|(message, hint)| view! {
                        <div class="note"><b>{message}</b>{hint}</div>
                    }).collect_view()}
                }
            }))}
        </div>
    }
}

#[component]
fn Gives(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let lines = move || bench.with(|b| b.laid().map(|l| core::layout::lines(&l.job, &l.layout)).unwrap_or_default());
    view! {
        <h2>{words::GIVES}</h2>
        <ul id="gives" class="gives">
            {move || lines().into_iter().map(|line| view! { <li>{core::sentence(&line)}</li> }).collect_view()}
        </ul>
    }
}

/// A row of the table: its letter, and of every place its name, whether it is wanted, how it is told.
type TableRow = (String, Vec<(Cell, bool, String)>);

#[component]
fn Table(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let rows = move || -> Vec<TableRow> {
        bench.with(|b| {
            let Some(laid) = b.laid() else { return Vec::new() };
            (0..laid.layout.rows)
                .rev()
                .map(|row| {
                    let of_row = (0..laid.layout.columns).map(|column| {
                        let cell = Cell::new(row, column);
                        let wanted = b.is_wanted(cell);
                        (cell, wanted, words::state(wanted, drawing::is_possible(laid, cell)).to_owned())
                    });
                    (holefast::top::row_letters(row), of_row.collect())
                })
                .collect()
        })
    };
    view! {
        <details id="table"><summary>{words::TABLE}</summary>
            <div class="wide" tabindex="0" role="region" aria-label=words::TABLE><table>
                <tbody>{move || rows().into_iter().map(|(letter, cells)| view! {
                    <tr><th scope="row">{letter}</th>
                        {cells.into_iter().map(|(cell, wanted, state)| view! {
                            <td><button class="place" class:out=!wanted aria-pressed=wanted.to_string()
                                aria-label=format!("{cell}, {state}") data-hole=cell.to_string()
                                on:click=move |_| hands.toggle(cell)>{cell.to_string()}</button></td>
                        }).collect_view()}
                    </tr>
                }).collect_view()}</tbody>
            </table></div>
        </details>
    }
}

#[component]
fn Text(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let typed = move |event: web_sys::Event| {
        hands.write(event_target_value(&event));
    };
    view! {
        <details id="text"><summary>{words::TEXT}</summary>
            <textarea id="job" aria-label=words::TEXT spellcheck="false" rows="24" on:change=typed
                prop:value=move || bench.with(|b| b.text().to_owned())></textarea>
        </details>
    }
}
