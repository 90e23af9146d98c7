//! The drawing said again as a table: every place a button, for those who do not see or touch it.

use holefast::top::Cell;
use leptos::prelude::*;

use crate::hands::Hands;
use crate::{drawing, words};

/// A row of the table: its letter, and of every place its name, whether it is wanted, how it is told.
type TableRow = (String, Vec<(Cell, bool, String)>);

/// The table, made only while it is open.
#[component]
pub fn Table(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let open = RwSignal::new(false);
    let rows = move || -> Vec<TableRow> {
        if !open.get() {
            return Vec::new();
        }
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
        <details id="table" on:toggle=move |event| open.set(event_target::<web_sys::HtmlDetailsElement>(&event).open())><summary>{words::TABLE}</summary>
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
