//! The place Prove tried in Chromium: readings by touch and by keyboard, sentences and tables as the
//! command line prints them, a suggestion taken, a slip told, a reading taken out. The numbers are
//! invented.

use std::time::Duration;

use holefast::proof::{ProofAsk, next, prove};
use holefast::words::{next as next_words, proof as proof_words};
use holefast::{job, top};
use serde_json::{Value, json};

use crate::browser::{Trial, is, texts};
use crate::driver::Browser;
use crate::serve::Served;

/// Every trial of the place.
pub const TRIALS: [Trial; 4] = [
    ("prove: readings by touch, and what the command line says of them", touched),
    ("prove: by the keyboard alone", typed),
    ("prove: the reading that is suggested is taken, and settles it", suggested),
    ("prove: a slip is told, a reading taken out, a change undone", slip),
];

/// With a long caliper the verdict is reached within so many (docs: four diagonals leave 0.09 mm per m).
const MOST_READINGS: usize = 8;

/// So long an adjustment and the search behind it may take on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);

const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";

/// At the place, everything worked out.
fn ready(browser: &Browser) -> Result<(), String> {
    browser.until_within(
        PATIENCE,
        "return document.querySelector('#pending')?.textContent === '' && !!document.querySelector('#proof svg') && \
         !document.querySelector('#next .line')",
    )
}

fn with_caliper(browser: &Browser) -> Result<(), String> {
    browser.click("#to-prove")?;
    ready(browser)?;
    browser.run(
        "document.querySelector('#instruments').open = true; const what = document.querySelector('#add-what'); \
         what.value = 'long caliper'; what.dispatchEvent(new Event('change')); \
         document.querySelector('#add-instrument').click()",
    )?;
    browser.until("return document.querySelector('#reading-with').value === 'long caliper'")?;
    ready(browser)
}

/// Taps holes on the picture where they lie, and enters a number.
fn tap_and_enter(browser: &Browser, holes: &[&str], value: &str) -> Result<(), String> {
    browser.run("document.querySelector('#proof').scrollIntoView({ block: 'start' })")?;
    for hole in holes {
        let at = browser.run(&format!(
            "const r = document.querySelector('#proof [data-hole={hole}]').getBoundingClientRect(); \
             return [r.x + r.width / 2, r.y + r.height / 2]"
        ))?;
        let at: [f64; 2] = serde_json::from_value(at).map_err(|e| e.to_string())?;
        browser.draw("touch", &[at])?;
    }
    let chosen = browser.run("return [...document.querySelectorAll('[id^=reading-hole-]')].map(e => e.value)")?;
    is("holes that are chosen", &chosen, json!(holes))?;
    browser.run(&format!(
        "const f = document.querySelector('#reading-value-0'); f.value = '{value}'; f.dispatchEvent(new Event('input'))"
    ))?;
    browser.run("document.querySelector('#enter-reading').click()")?;
    browser.until("return document.querySelector('#reading-hole-0').value === ''")?;
    ready(browser)
}

/// The job as it stands in the page.
fn job_of(browser: &Browser) -> Result<holefast::Job, String> {
    browser.click("#to-lay-out")?;
    browser.until("return !!document.querySelector('#job')")?;
    let text = browser.run("return document.querySelector('#job').value")?;
    let parsed = job::parse(text.as_str().unwrap_or_default());
    parsed.job.ok_or_else(|| format!("{:?}", parsed.faults))
}

/// What stands on the page is what `holefast prove` and `holefast next` print.
fn as_printed(browser: &Browser) -> Result<(), String> {
    let verdict =
        browser.run("return [...document.querySelector('#verdict').children].map(e => e.textContent).join(': ')")?;
    let rest = texts(browser, "#said li")?;
    let rows = |id: &str| {
        browser.run(&format!(
            "return [...document.querySelectorAll('{id} tr')].map(r => [...r.children].map(c => c.textContent))"
        ))
    };
    let (worth, leaves) = (rows("#worth")?, rows("#leaves")?);
    let next_said = texts(browser, "#next > p:not(.row)")?;
    let job = job_of(browser)?;
    browser.click("#to-prove")?;
    ready(browser)?;
    let told = |faults: Vec<holefast::Fault>| format!("{faults:?}");
    let layout = top::lay_out(&job).map_err(told)?;
    let proof = prove(&job, &layout, &ProofAsk { prediction: None, seed: 1 }).map_err(told)?;
    let said = proof_words::said(&proof, &job);
    is("verdict", &verdict, said[0].clone())?;
    is("what is said", &json!(rest), json!(said[1..]))?;
    is("what each is worth", &worth, json!(proof_words::rows(&proof, &job)))?;
    let next = next(&job, &layout, None).map_err(told)?;
    is("next", &json!(next_said), json!(next_words::said(&next)))?;
    is("what others would leave", &leaves, json!(next_words::rows(&next)))
}

fn touched(browser: &Browser, served: &Served) -> Result<(), String> {
    with_caliper(browser)?;
    tap_and_enter(browser, &["A1", "G9"], "1000.03")?;
    tap_and_enter(browser, &["A9", "G1"], "999.95")?;
    is("readings", &json!(texts(browser, "#readings li")?.len()), 2)?;
    as_printed(browser)?;
    // And after a reload it is all there.
    browser.go("about:blank")?;
    browser.go(&format!("{}#prove", served.address))?;
    ready(browser)?;
    is("readings after a reload", &json!(texts(browser, "#readings li")?.len()), 2)
}

fn typed(browser: &Browser, _: &Served) -> Result<(), String> {
    with_caliper(browser)?;
    browser.run("document.querySelector('#reading-hole-0').focus()")?;
    let keys = |text: &str| text.chars().map(|c| c.to_string()).collect::<Vec<_>>();
    for word in ["a1", "g9", "1000,1"] {
        let keys = keys(word);
        let mut keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        if word != "1000,1" {
            keys.push(TAB);
        }
        browser.press(&keys)?;
    }
    browser.press(&[ENTER])?;
    browser.until("return document.querySelectorAll('#readings li').length === 1")?;
    ready(browser)?;
    let job = job_of(browser)?;
    let found = holefast::reading::between_words(&job.proof.readings[0]);
    is("the reading", &json!(found), "A1 to G9")
}

fn suggested(browser: &Browser, _: &Served) -> Result<(), String> {
    with_caliper(browser)?;
    // What the card offers, read as if the top were exactly square.
    let mut readings = 0;
    for _ in 0..MOST_READINGS {
        let verdict = browser.run("return document.querySelector('#verdict').textContent")?;
        if verdict.as_str().is_some_and(|v| v.starts_with("Square within")) {
            break;
        }
        browser.run("document.querySelector('#next button').click()")?;
        browser.until("return document.activeElement.id === 'reading-value-0'")?;
        let holes = browser.run("return [...document.querySelectorAll('[id^=reading-hole-]')].map(e => e.value)")?;
        let holes: Vec<String> = serde_json::from_value(holes).map_err(|e| e.to_string())?;
        let apart = between(&holes).ok_or_else(|| format!("{holes:?}"))?;
        browser.run(&format!(
            "const f = document.querySelector('#reading-value-0'); f.value = '{apart:.2}'; \
             f.dispatchEvent(new Event('input')); document.querySelector('#enter-reading').click()"
        ))?;
        readings += 1;
        browser.until(&format!("return document.querySelectorAll('#readings li').length === {readings}"))?;
        ready(browser)?;
    }
    let verdict = browser.run("return document.querySelector('#verdict').textContent")?;
    let verdict = verdict.as_str().unwrap_or_default().to_owned();
    if !verdict.starts_with("Square within") {
        return Err(format!("after {readings} readings: {verdict}"));
    }
    as_printed(browser)
}

/// Distance between two holes of the trailer top as laid out, mm.
fn between(holes: &[String]) -> Option<f64> {
    const PITCH: f64 = 100.0;
    let place = |name: &String| holefast::top::Cell::parse(name).map(|c| [f64::from(c.column), f64::from(c.row)]);
    let ([a], [b]) = ([place(holes.first()?)?], [place(holes.get(1)?)?]);
    Some(PITCH * holefast::math::hypot(a[0] - b[0], a[1] - b[1]))
}

fn slip(browser: &Browser, _: &Served) -> Result<(), String> {
    with_caliper(browser)?;
    tap_and_enter(browser, &["A1", "G9"], "690")?;
    let refused = texts(browser, "#refused .note")?;
    if !refused.iter().any(|r| r.contains("690")) {
        return Err(format!("690 for 1000 mm: {refused:?}"));
    }
    // A hole that there is none of is not entered, and what was typed stays.
    browser.run(
        "const put = (id, text, as) => { const f = document.querySelector(id); f.value = text; f.dispatchEvent(new Event(as)) }; \
         put('#reading-hole-0', 'A1', 'change'); put('#reading-hole-1', 'nowhere', 'change'); \
         put('#reading-value-0', '500', 'input'); document.querySelector('#enter-reading').click()",
    )?;
    browser.until("return !!document.querySelector('#enter .note')")?;
    is("still typed", &browser.run("return document.querySelector('#reading-value-0').value")?, "500")?;
    is("readings", &json!(texts(browser, "#readings li")?.len()), 1)?;
    browser.run("document.querySelector('#readings button').click()")?;
    browser.until("return document.querySelectorAll('#readings li').length === 0")?;
    browser.run("document.querySelector('#undo').click()")?;
    browser.until("return document.querySelectorAll('#readings li').length === 1")?;
    let found: Value = json!(job_of(browser)?.proof.readings.len());
    is("in the job", &found, 1)
}
