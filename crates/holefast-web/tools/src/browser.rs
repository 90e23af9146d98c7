//! The page tried in Chromium, phone and desk: first visit, touch, keyboard, typing, undo, faults,
//! what is kept, what is fetched. Each trial opens a browser that has never seen the page.

use std::path::Path;
use std::time::Instant;

use crate::driver::{Browser, Driver, Looks};
use crate::serve::Served;
use crate::{access, book, bore, cut, lay_out, prove, shelf};

/// A small phone.
pub const PHONE: Looks = Looks { size: [360, 740], dark: false, phone: true };
/// A desk.
pub const DESK: Looks = Looks { size: [1280, 800], dark: false, phone: false };

/// A trial: what it shows, and how.
pub type Trial = (&'static str, fn(&Browser, &Served) -> Result<(), String>);

/// Trials of what looks otherwise on a phone and on a desk, every place among it: on both.
const ON_BOTH: [&[Trial]; 4] = [&FIRST, &lay_out::TRIALS, &access::TRIALS, &book::ON_BOTH];

/// Trials of what is planned, proved, cut, kept and handed on, which is the same on every screen: phone and desk take
/// turns.
const ON_EITHER: [&[Trial]; 5] = [&bore::TRIALS, &prove::TRIALS, &cut::TRIALS, &book::ON_EITHER, &shelf::TRIALS];

/// Of the page as a whole.
const FIRST: [Trial; 7] = [
    ("the first visit shows the example and nothing is complained of", first_visit),
    ("a hole is left out by touch and brought back", touch),
    ("a hole is left out by the keyboard alone", keyboard),
    ("a length typed changes drawing, figures and text", typing),
    ("a slip in the text is told by its line and loses nothing", slip),
    ("what was done stands after a reload", reload),
    ("a reload works without a network", offline),
];

/// What a trial is called that holds what it measures against a limit: nothing else runs beside it.
const MEASURES: &str = "in time";

/// Runs all trials, or those whose name contains a word, and counts them as a test runner does: the phone's
/// beside the desk's, then those that measure, one after another.
pub fn all(folder: &Path, named: &str) -> Result<(), String> {
    const SIZES: [(&str, Looks); 2] = [("phone", PHONE), ("desk", DESK)];
    let _driver = Driver::start()?;
    // turns are taken before any is left out: a trial always runs on the same screen
    let of_screen = [0, 1].map(|turn| -> (Vec<&Trial>, Vec<&Trial>) {
        let either = ON_EITHER.iter().copied().flatten().skip(turn).step_by(SIZES.len());
        let own = ON_BOTH.iter().copied().flatten().chain(either).filter(|(name, _)| name.contains(named));
        own.partition(|(name, _)| name.contains(MEASURES))
    });
    let number: usize = of_screen.iter().map(|(alone, together)| alone.len() + together.len()).sum();
    if number == 0 {
        return Err(format!("no trial's name contains \"{named}\""));
    }
    println!("\nrunning {number} tests");
    let mut outcomes = Vec::new();
    std::thread::scope(|scope| {
        // A thread's name is in the names of the folders that its trials write.
        let mut beside = of_screen.iter();
        let started = SIZES.map(|(size, looks)| {
            let own = beside.next().map(|(_, together)| together.clone()).unwrap_or_default();
            std::thread::Builder::new().name(size.to_owned()).spawn_scoped(scope, move || {
                own.into_iter().map(|trial| run(trial, size, looks, folder)).collect::<Vec<_>>()
            })
        });
        for thread in started {
            let lost = |why: String| vec![Err(why)];
            outcomes.extend(match thread.map(std::thread::ScopedJoinHandle::join) {
                Ok(Ok(outcomes)) => outcomes,
                Ok(Err(_)) => lost("a trial panicked, and those after it did not run".to_owned()),
                Err(error) => lost(error.to_string()),
            });
        }
    });
    for ((size, looks), (alone, _)) in SIZES.into_iter().zip(&of_screen) {
        outcomes.extend(alone.iter().map(|trial| run(trial, size, looks, folder)));
    }
    let failed: Vec<&String> = outcomes.iter().filter_map(|outcome| outcome.as_ref().err()).collect();
    for why in &failed {
        println!("---- {why}");
    }
    let word = if failed.is_empty() { "ok" } else { "FAILED" };
    let passed = outcomes.len() - failed.len();
    println!("\ntest result: {word}. {passed} passed; {} failed; 0 ignored; 0 measured; 0 filtered out", failed.len());
    if failed.is_empty() { Ok(()) } else { Err(format!("{} trials failed", failed.len())) }
}

/// Runs one trial in a browser that has never seen the page.
fn run(&(name, trial): &Trial, size: &str, looks: Looks, folder: &Path) -> Result<(), String> {
    let start = Instant::now();
    let outcome = Served::start(folder, 0).and_then(|served| {
        let outcome = Browser::open(looks).and_then(|browser| {
            browser.go(&served.address)?;
            browser.until("return !!document.querySelector('#holes')")?;
            trial(&browser, &served)
        });
        served.stop();
        outcome
    });
    let end = if outcome.is_ok() { "ok" } else { "FAILED" };
    println!("test {size}: {name} ({:.1} s) ... {end}", start.elapsed().as_secs_f64());
    outcome.map_err(|why| format!("{size}: {name}: {why}"))
}

/// A name of a file or folder that trials of the other size do not use.
pub fn own(name: &str) -> String {
    format!("{name}-{}", std::thread::current().name().unwrap_or("main"))
}

/// Fails unless what was found is what was wanted.
pub fn is(what: &str, found: &serde_json::Value, wanted: impl Into<serde_json::Value>) -> Result<(), String> {
    let wanted = wanted.into();
    if *found == wanted { Ok(()) } else { Err(format!("{what}: {found}, {wanted} wanted")) }
}

/// The texts of all elements that a selector finds.
pub fn texts(browser: &Browser, css: &str) -> Result<Vec<String>, String> {
    let all = browser.run(&format!("return [...document.querySelectorAll('{css}')].map(e => e.textContent)"))?;
    serde_json::from_value(all).map_err(|e| e.to_string())
}

/// The text of the first of them.
pub fn text(browser: &Browser, css: &str) -> Result<String, String> {
    texts(browser, css)?.into_iter().next().ok_or_else(|| format!("no {css}"))
}

/// Fails unless all that these selectors find and that is shown is 48 px high and wide, nothing is wider
/// than the window, and the browser has nothing to complain of.
pub fn is_large_enough(browser: &Browser, targets: &str) -> Result<(), String> {
    let small = browser.run(&format!(
        "return [...document.querySelectorAll('{targets}')].filter(e => e.offsetParent && \
         (e.getBoundingClientRect().height < 47.9 || e.getBoundingClientRect().width < 47.9))\
         .map(e => e.outerHTML.slice(0, 80))"
    ))?;
    is("targets under 48 px", &small, serde_json::json!([]))?;
    let wide = browser.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")?;
    is("wider than the window", &wide, 0)?;
    let complaints = browser.complaints()?;
    if complaints.is_empty() { Ok(()) } else { Err(format!("{complaints:?}")) }
}

/// The number of holes that the page tells.
pub fn holes(browser: &Browser) -> Result<serde_json::Value, String> {
    browser.run("return document.querySelector('#holes').textContent")
}

fn first_visit(browser: &Browser, served: &Served) -> Result<(), String> {
    is("holes", &holes(browser)?, "98")?;
    is(
        "heading",
        &browser.run("return document.querySelector('h1').firstChild.textContent")?,
        "Trailer top for stage flats",
    )?;
    // Nothing is asked of anybody else, and nothing is wider than the screen.
    let others = browser.run(&format!(
        "return performance.getEntriesByType('resource').map(e => e.name).filter(n => !n.startsWith('{}'))",
        served.address
    ))?;
    is("asked elsewhere", &others, serde_json::json!([]))?;
    let wide = browser.run(
        "const w = document.documentElement.clientWidth; return [...document.querySelectorAll('body *')]\
         .filter(e => !e.closest('.wide') && !e.closest('svg') && e.getBoundingClientRect().right > w + 0.5)\
         .map(e => e.outerHTML.slice(0, 60))",
    )?;
    is("wider than the window", &wide, serde_json::json!([]))?;
    let small = browser.run(
        "return [...document.querySelectorAll('button, summary, .btn, .in')].filter(e => e.offsetParent && \
         (e.getBoundingClientRect().height < 47.9 || e.getBoundingClientRect().width < 47.9)).map(e => e.outerHTML.slice(0, 80))",
    )?;
    is("targets under 48 px", &small, serde_json::json!([]))?;
    let complaints = browser.complaints()?;
    if complaints.is_empty() { Ok(()) } else { Err(format!("{complaints:?}")) }
}

fn touch(browser: &Browser, _: &Served) -> Result<(), String> {
    browser.click("[data-place='D4']")?;
    is("holes", &holes(browser)?, "97")?;
    let told = browser.run("return document.querySelector('#chosen').textContent")?;
    is("told", &told, "D4, 375\u{a0}mm along and 390\u{a0}mm in, left out")?;
    browser.click("[data-place='D4']")?;
    is("holes", &holes(browser)?, "98")?;
    browser.click("#undo")?;
    is("holes after undo", &holes(browser)?, "97")?;
    browser.click("#redo")?;
    is("holes after redo", &holes(browser)?, "98")
}

fn keyboard(browser: &Browser, _: &Served) -> Result<(), String> {
    const TAB: &str = "\u{e004}";
    /// More stops than head and places have.
    const STOPS: usize = 12;
    let (up, right, enter) = ("\u{e013}", "\u{e014}", "\u{e007}");
    for _ in 0..STOPS {
        browser.press(&[TAB])?;
        if browser.run("return document.activeElement.id")? == "drawing" {
            break;
        }
    }
    is("the drawing can be reached", &browser.run("return document.activeElement.id")?, "drawing")?;
    browser.press(&[up, up, right, enter])?;
    is("holes", &holes(browser)?, "97")?;
    let told = browser.run("return document.querySelector('#chosen').textContent")?;
    is("told", &told, "C2, 175\u{a0}mm along and 290\u{a0}mm in, left out")?;
    is("the keyboard stays", &browser.run("return document.activeElement.id")?, "drawing")
}

fn typing(browser: &Browser, _: &Served) -> Result<(), String> {
    browser.fill("#top-length", "1250")?;
    // 1250 mm less 45 at either edge is 11 pitches of 100: twelve columns.
    is("holes", &holes(browser)?, "84")?;
    let text = browser.run("return document.querySelector('#job').value.includes('length = 1250')")?;
    is("text", &text, true)?;
    let drawn = browser.run("return document.querySelectorAll('.target').length")?;
    is("drawn", &drawn, 84)
}

fn slip(browser: &Browser, _: &Served) -> Result<(), String> {
    browser.run("document.querySelector('#text').open = true")?;
    browser.run(
        "const t = document.querySelector('#job'); t.value = t.value.replace('thickness = 21', 'thickness = \"wide\"'); \
         t.dispatchEvent(new Event('change'))",
    )?;
    let told = browser.run("return document.querySelector('#faults').textContent.includes('Line 16:')")?;
    is("told by its line", &told, true)?;
    is("the drawing stays", &holes(browser)?, "98")?;
    let kept = browser.run("return document.querySelector('#job').value.includes('thickness = \"wide\"')")?;
    is("what was typed stays", &kept, true)?;
    browser.click("#undo")?;
    is("no fault left", &browser.run("return document.querySelector('#faults').textContent")?, "")
}

fn reload(browser: &Browser, served: &Served) -> Result<(), String> {
    browser.click("[data-place='B3']")?;
    browser.go(&served.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "97")
}

fn offline(browser: &Browser, served: &Served) -> Result<(), String> {
    go_offline(browser, served)?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "98")
}

/// Waits until the page is kept, takes the network and the server away, and opens the page again.
pub fn go_offline(browser: &Browser, served: &Served) -> Result<(), String> {
    browser.until("return navigator.serviceWorker && navigator.serviceWorker.controller !== undefined")?;
    browser.run("window.ready = false; navigator.serviceWorker.ready.then(() => window.ready = true)")?;
    browser.until("return window.ready")?;
    browser.devtools("Network.enable", serde_json::json!({}))?;
    let gone = serde_json::json!({ "offline": true, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0 });
    browser.devtools("Network.emulateNetworkConditions", gone)?;
    served.stop();
    browser.go(&served.address)
}
