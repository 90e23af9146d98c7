//! The values that are typed: sheet, grid and the place of A1; and what is wrong with the text.

use holefast::Fault;
use holefast::job::Units;
use holefast::measure::MM_PER_INCH;
use holefast::measure::format::{number, unit_name};
use holefast::top::{Count, GridOrigin};
use holefast::words as core;
use leptos::prelude::*;

use crate::bench::{Bench, Laid};
use crate::hands::Hands;
use crate::words;

/// One field: its value follows the job, what is typed goes into the job. Left empty it says nothing
/// and shows again what holds.
#[component]
pub fn Field(
    hands: Hands,
    #[prop(into)] id: String,
    #[prop(into)] label: String,
    /// Of what holds, its text.
    value: impl Fn(&Laid) -> String + Copy + Send + Sync + 'static,
    /// True for lengths, which show their unit.
    length: bool,
    /// Writes what was typed.
    put: impl Fn(&mut Bench, &str) -> Result<(), Fault> + Clone + 'static,
) -> impl IntoView {
    let bench = hands.bench;
    // Counted up to show again what holds, also where it has not changed.
    let shown = RwSignal::new(0_u32);
    let typed = move |event: web_sys::Event| {
        let typed = event_target_value(&event);
        if !typed.trim().is_empty() {
            let put = put.clone();
            hands.change(move |b| put(b, typed.trim()));
        }
        shown.update(|n| *n += 1);
    };
    let text = move || {
        shown.track();
        bench.with(|b| b.laid().map_or_else(String::new, value))
    };
    let unit = move || if length { bench.with(|b| b.laid().map_or("", |l| unit_name(l.job.units))) } else { "" };
    let field = id.clone();
    view! {
        <label for=id>{label}<span class="in">
            <input id=field type="text" inputmode=if length { "decimal" } else { "text" } autocomplete="off"
                prop:value=text on:change=typed/>
            <i>{unit}</i></span></label>
    }
}

/// A length for a field, in the job's units and as fine as anybody types: words may round, a field that
/// rounds would change the job when it is typed again.
pub fn exact(units: Units, mm: f64) -> String {
    const MM_PLACES: usize = 4;
    const INCH_PLACES: usize = 6;
    match units {
        Units::Mm => number(mm, MM_PLACES),
        Units::Inch => number(mm / MM_PER_INCH, INCH_PLACES),
    }
}

/// A length of the job at a path of one.
#[component]
fn Length(hands: Hands, path: &'static str, label: &'static str, value: fn(&Laid) -> f64) -> impl IntoView {
    let text = move |l: &Laid| exact(l.job.units, value(l));
    view! { <Field hands id=path.replace(['.', '[', ']'], "-") label value=text length=true
    put=move |b: &mut Bench, typed: &str| b.set(path, typed)/> }
}

fn count(count: Count, found: u32) -> String {
    match count {
        Count::Fit => words::fitted(found),
        Count::Number(number) => number.to_string(),
    }
}

/// "fit" where the typed text says so, be it with the number that fits beside it.
fn put_count(bench: &mut Bench, path: &str, typed: &str) -> Result<(), Fault> {
    bench.set(path, if typed.ends_with("fit") || typed.ends_with("fitted") { "fit" } else { typed })
}

/// The fields of sheet and grid.
#[component]
pub fn Fields(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let one_pitch = move || bench.with(|b| b.laid().is_none_or(|l| l.job.grid.pitch[0] == l.job.grid.pitch[1]));
    view! {
        <h2>{words::TOP_AND_GRID}</h2>
        <div class="fields">
            <Length hands path="top.length" label="Length" value=|l| l.job.top.length/>
            <Length hands path="top.width" label="Width" value=|l| l.job.top.width/>
            <Length hands path="top.thickness" label="Thickness" value=|l| l.job.top.thickness/>
            {move || if one_pitch() {
                view! { <Length hands path="grid.pitch" label="Pitch" value=|l| l.job.grid.pitch[0]/> }.into_any()
            } else {
                view! {
                    <Length hands path="grid.pitch[0]" label="Pitch along" value=|l| l.job.grid.pitch[0]/>
                    <Length hands path="grid.pitch[1]" label="Pitch across" value=|l| l.job.grid.pitch[1]/>
                }.into_any()
            }}
            <Field hands id="grid-rows" label="Rows" length=false value=|l: &Laid| count(l.job.grid.rows, l.layout.rows)
                put=|b: &mut Bench, typed: &str| put_count(b, "grid.rows", typed)/>
            <Field hands id="grid-columns" label="Columns" length=false
                value=|l: &Laid| count(l.job.grid.columns, l.layout.columns)
                put=|b: &mut Bench, typed: &str| put_count(b, "grid.columns", typed)/>
            <Length hands path="grid.hole" label="Dog hole" value=|l| l.job.grid.hole/>
            <Length hands path="grid.pilot" label="Pilot" value=|l| l.job.grid.pilot/>
            <Length hands path="grid.edge" label="Least to the edge" value=|l| l.job.grid.edge/>
            <Origin hands/>
            <OriginField hands id="origin-x" label="A1 along" axis=0/>
            <OriginField hands id="origin-y" label="A1 in" axis=1/>
        </div>
        <div class="fields one">
            <Field hands id="job-name" label="Name of the job" length=false value=|l: &Laid| l.job.name.clone()
                put=|b: &mut Bench, typed: &str| b.set_text("name", typed)/>
        </div>
    }
}

/// Whether the grid stands in the middle, where most holes go, or where A1 was put.
#[component]
fn Origin(hands: Hands) -> impl IntoView {
    let rule = move || hands.bench.with(|b| b.laid().map(|l| l.job.grid.origin));
    let chosen = move |event: web_sys::Event| {
        let word = event_target_value(&event);
        hands.change(|b| match word.as_str() {
            "centred" | "fit" => b.set_text("grid.origin", &word),
            _ => b.put_origin(None),
        });
    };
    let is = move |value: &'static str| match rule() {
        Some(GridOrigin::Centred) => value == "centred",
        Some(GridOrigin::Fit) => value == "fit",
        _ => value == "at",
    };
    view! {
        <label for="grid-origin">"The grid stands"<span class="in"><select id="grid-origin" on:change=chosen>
            {words::ORIGINS.into_iter().map(|(value, said)| view! {
                <option value=value prop:selected=move || is(value)>{said}</option>
            }).collect_view()}
        </select></span></label>
    }
}

#[component]
fn OriginField(hands: Hands, id: &'static str, label: &'static str, axis: usize) -> impl IntoView {
    let of = move |l: &Laid| {
        let a1 = l.layout.place(0, 0);
        exact(l.job.units, if axis == 0 { a1.x } else { a1.y })
    };
    view! { <Field hands id label value=of length=true
    put=move |b: &mut Bench, typed: &str| { b.put_origin(Some((axis, typed))) }/> }
}

/// What could not be done, and what is wrong with the text as it stands.
#[component]
pub fn Troubles(hands: Hands) -> impl IntoView {
    let Hands { bench, trouble, .. } = hands;
    view! {
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
                    <p>{words::faults(b.laid().is_some())}</p>
                    {all.into_iter().map(|(message, hint)| view! {
                        <div class="note"><b>{message}</b>{hint}</div>
                    }).collect_view()}
                }
            }))}
        </div>
    }
}
