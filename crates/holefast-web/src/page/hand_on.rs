//! Hand on: what leaves this device, and what comes to it.

use holefast::drawing::{Theme, top_view};
use holefast::{Fault, job};
use holefast_paper::Code;
use holefast_paper::link::{link, link_in_figures};
use leptos::prelude::*;
use wasm_bindgen::JsCast as _;
use wasm_bindgen_futures::{JsFuture, spawn_local};

use super::jobs::Jobs;
use crate::bench::Bench;
use crate::hands::Hands;
use crate::shelf::{FILE, Told};
use crate::words::shelf as say;
use crate::{browser, device, drawing, words};

/// Room for the drawing that is saved as a file, mm: the command line's (`holefast show --svg`).
const ROOM: [f64; 2] = [277.0, 190.0];

/// The place.
#[component]
pub fn HandOn(hands: Hands) -> impl IntoView {
    let width = device::drawing_width();
    let svg = move || hands.bench.with(|b| drawing::plain(b, width));
    view! {
        <section class="draw" aria-label="Drawing"><div class="drawing" inner_html=svg></div></section>
        <section class="panel" aria-label=words::HAND_ON>
            <Files hands/>
            <super::book::Book hands/>
            <Link hands/>
            <Picture hands/>
            <Jobs hands/>
        </section>
    }
}

#[component]
fn Files(hands: Hands) -> impl IntoView {
    let opened = move |event: web_sys::Event| {
        let input = event.target().and_then(|t| t.dyn_into::<web_sys::HtmlInputElement>().ok());
        let Some(input) = input else { return };
        let Some(files) = input.files() else { return };
        let files: Vec<web_sys::File> = (0..files.length()).filter_map(|i| files.get(i)).collect();
        spawn_local(async move {
            take(hands, &files).await;
            // So that the same file can be opened again once it is mended.
            input.set_value("");
        });
    };
    view! {
        <h2 class="first">{words::JOB_FILE}</h2>
        <p>{words::JOB_FILE_HOLDS}</p>
        <p class="row">
            <button class="btn" id="save" on:click=move |_| save_as_file(hands)>{words::SAVE}</button>
            <label class="btn" for="open">{words::OPEN}<input id="open" class="file" type="file" multiple accept=".toml,.json,text/plain" on:change=opened/></label>
        </p>
    }
}

/// Opens jobs, with the places that they name in files chosen together with them.
async fn take(hands: Hands, files: &[web_sys::File]) {
    let (places, jobs): (Vec<_>, Vec<_>) = files.iter().partition(|file| file.name().ends_with(".json"));
    let refuse = |fault: Fault| hands.shelf.told.set(Some(Told::NotTaken(FILE, vec![fault])));
    let mut beside = job::PlaceFiles::new();
    for file in places {
        match text_of(file).await {
            Ok(text) => beside.insert(file.name(), Ok(text)),
            Err(fault) => return refuse(fault),
        };
    }
    if jobs.is_empty() && !files.is_empty() {
        return refuse(Fault::input(words::PLACES_ALONE).hint(words::PLACES_ALONE_HINT));
    }
    for file in jobs {
        match text_of(file).await.and_then(|text| job::with_places_inside(&text, &beside)) {
            Ok(text) => hands.shelf.came(hands, &text, FILE),
            Err(fault) => return refuse(fault),
        }
    }
}

async fn text_of(file: &web_sys::File) -> Result<String, Fault> {
    let hint = "a job is a text of a few kB, as Save as a file writes it";
    if file.size() > holefast::job::MOST_BYTES as f64 {
        let size = file.size() / f64::from(1 << 20);
        let most = holefast::job::MOST_BYTES >> 20;
        return Err(Fault::input(format!("the file has {size:.0} MB; a job has {most} at most")).hint(hint));
    }
    let unread = || Fault::input("the browser could not read the file").hint("choose it again");
    let buffer = JsFuture::from(file.array_buffer()).await.map_err(|_| unread())?;
    let bytes = js_sys::Uint8Array::new(&buffer).to_vec();
    String::from_utf8(bytes).map_err(|_| Fault::input("the file is no text").hint(hint))
}

/// Hands the open job to the person as a file.
pub(super) fn save_as_file(hands: Hands) {
    let (name, text) = hands.bench.with_untracked(|b| (named(b), b.text().to_owned()));
    if device::hand_over(&format!("{name}.toml"), &text, "application/toml").is_ok() {
        hands.shelf.copied();
    }
}

#[component]
fn Link(hands: Hands) -> impl IntoView {
    let bench = hands.bench;
    let page = StoredValue::new(browser::page_address());
    let made = Memo::new(move |_| {
        bench.with(|b| {
            let reads = b.faults().is_empty() && b.laid().is_some();
            reads.then(|| page.with_value(|page| link(page, b.text())))
        })
    });
    let code =
        move || bench.with(|b| page.with_value(|page| link_in_figures(page, b.text()).ok().and_then(|l| Code::of(&l))));
    let copied = RwSignal::new(None::<bool>);
    let copy = move |_| {
        let Some(Ok(text)) = made.get_untracked() else { return };
        spawn_local(async move {
            let well = browser::copy(&text).await;
            copied.set(Some(well));
            if well {
                hands.shelf.copied();
            }
        });
    };
    let shown = move |made: Option<Result<String, Fault>>| match made {
        None => view! { <p id="no-link">{say::NO_LINK}</p> }.into_any(),
        Some(Err(fault)) => view! {
            <div class="note" id="no-link"><b>{holefast::words::sentence(&fault.message)}</b>
                {fault.hint.map(|h| holefast::words::sentence(&h))}</div>
        }
        .into_any(),
        Some(Ok(text)) => view! {
            <label class="name" for="link">{say::LINK_TEXT}<span class="in">
                <input id="link" type="text" readonly=true prop:value=text/></span></label>
            <p class="row"><button class="btn" id="copy-link" on:click=copy>{say::COPY_LINK}</button></p>
            {match code() {
                Some(code) => view! { <div class="code" id="code" inner_html=code.svg(say::CODE)></div> }.into_any(),
                None => view! { <p id="no-code">{say::NO_CODE}</p> }.into_any(),
            }}
        }
        .into_any(),
    };
    view! {
        <h2>{say::LINK}</h2>
        <p>{say::LINK_MORE}</p>
        {browser::is_here_only().then(|| view! { <p class="soft" id="here-only">{say::HERE_ONLY}</p> })}
        {move || shown(made.get())}
        <p role="status">{move || copied.get().map(|well| if well { say::COPIED } else { say::NOT_COPIED })}</p>
    }
}

#[component]
fn Picture(hands: Hands) -> impl IntoView {
    let save = move |_| {
        let made = hands.bench.with_untracked(|b| {
            let laid = b.laid()?;
            let scene = top_view(&laid.job, &laid.layout, ROOM);
            Some((named(b), holefast_paper::svg(&scene, &Theme::PAPER)))
        });
        if let Some((name, svg)) = made {
            let _ = device::hand_over(&format!("{name}.svg"), &svg, "image/svg+xml");
        }
    };
    view! {
        <h2>{say::DRAWING}</h2>
        <p>{say::DRAWING_MORE}</p>
        <p class="row"><button class="btn" id="save-drawing" on:click=save>{say::SAVE_DRAWING}</button></p>
    }
}

/// A job's name as a file's, without what follows the point.
fn named(bench: &Bench) -> String {
    bench.laid().map_or_else(|| "job".to_owned(), |l| file_name(&l.job.name))
}

/// A job's name as a file's: letters and figures, everything else a hyphen.
pub(super) fn file_name(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    let parts: Vec<&str> = plain.split('-').filter(|p| !p.is_empty()).take(8).collect();
    if parts.is_empty() { "job".to_owned() } else { parts.join("-") }
}
