//! Whether everybody can use the page: the rules of axe-core on every place, light and dark, work by
//! the keyboard alone, at 200 % zoom, with less motion, and how soon it can be used on a slow device.

use std::time::Duration;

use serde_json::{Value, json};

use crate::browser::{Trial, holes, is};
use crate::driver::Browser;
use crate::serve::Served;

/// The trials.
pub const TRIALS: [Trial; 4] = [
    ("axe-core finds nothing on any place, light and dark", axe),
    ("every place is reached and left by the keyboard alone", by_keyboard),
    ("at 200 % zoom nothing is cut off", zoomed),
    ("it can be used in time on a slow device", slow),
];

/// Every place's link.
fn places(browser: &Browser) -> Result<Vec<String>, String> {
    let found = browser.run("return [...document.querySelectorAll('.nav a')].map(a => a.id)")?;
    Ok(found.as_array().map(|a| a.iter().filter_map(Value::as_str).map(str::to_owned).collect()).unwrap_or_default())
}

fn axe(browser: &Browser, _: &Served) -> Result<(), String> {
    let path = std::env::var("HOLEFAST_AXE").map_err(|_| "HOLEFAST_AXE must name axe-core's axe.min.js")?;
    let rules = std::fs::read_to_string(&path).map_err(|e| format!("{path}: {e}"))?;
    browser.run(&rules)?;
    let places = places(browser)?;
    is("there are places", &json!(places.len() > 1), true)?;
    let mut found = Vec::new();
    for scheme in ["light", "dark"] {
        let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        browser.devtools("Emulation.setEmulatedMedia", features)?;
        for place in &places {
            browser.click(&format!("#{place}"))?;
            browser
                .until(&format!("return document.querySelector('#{place}').getAttribute('aria-current') === 'page'"))?;
            found.extend(looked_over(browser, &format!("{place}, {scheme}"), false)?);
        }
        // The bench has no link in the bar; its contrast is for sunlight.
        browser.run("location.hash = 'at-the-bench'")?;
        browser.until_within(BENCH_PATIENCE, "return !!document.querySelector('#done')")?;
        found.extend(looked_over(browser, &format!("at the bench, {scheme}"), true)?);
        browser.run("location.hash = 'lay-out'")?;
        browser.until("return !!document.querySelector('#drawing')")?;
    }
    if found.is_empty() { Ok(()) } else { Err(found.join("\n")) }
}

/// So long the first plan may take on a busy machine.
const BENCH_PATIENCE: Duration = Duration::from_secs(120);

/// What the rules find on what is shown now, everything opened; `enhanced` asks for contrast of 7 to 1 too.
fn looked_over(browser: &Browser, place: &str, enhanced: bool) -> Result<Vec<String>, String> {
    browser.run("for (const d of document.querySelectorAll('details')) d.open = true")?;
    browser.run(&format!(
        "window.told = null; axe.run({{ rules: {{ 'color-contrast-enhanced': {{ enabled: {enhanced} }} }} }})\
         .then(r => window.told = {{ looked: r.passes.length, \
         found: r.violations.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + ' ' + \
         n.failureSummary.split('\\n')[1]).join(' | ')) }})"
    ))?;
    browser.until("return window.told !== null")?;
    let told = browser.run("return window.told")?;
    is("rules were applied", &json!(told["looked"].as_u64().is_some_and(|n| n > 10)), true)?;
    let here = told["found"].as_array().cloned().unwrap_or_default();
    Ok(here.iter().map(|v| format!("{place}: {}", v.as_str().unwrap_or_default())).collect())
}

const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";

/// Presses Tab until this has the keyboard.
fn reach(browser: &Browser, id: &str) -> Result<(), String> {
    /// More stops than any place has.
    const MOST: u32 = 400;
    for _ in 0..MOST {
        if browser.run("return document.activeElement.id")? == id {
            return Ok(());
        }
        browser.press(&[TAB])?;
    }
    Err(format!("the keyboard never comes to #{id}"))
}

fn by_keyboard(browser: &Browser, _: &Served) -> Result<(), String> {
    for place in places(browser)? {
        reach(browser, &place)?;
        browser.press(&[ENTER])?;
        browser.until(&format!("return document.querySelector('#{place}').getAttribute('aria-current') === 'page'"))?;
        // What has the keyboard can be seen to have it.
        let seen = browser.run("return getComputedStyle(document.activeElement).outlineStyle")?;
        is("outline", &seen, "solid")?;
    }
    reach(browser, "to-lay-out")?;
    browser.press(&[ENTER])?;
    browser.until("return !!document.querySelector('#drawing')")?;
    reach(browser, "top-length")?;
    // A field keeps what was typed when the keyboard goes on, and the keyboard is in the next one.
    browser.press(&["\u{e009}", "a"])?;
    browser.run("document.activeElement.select()")?;
    browser.press(&["1", "2", "5", "0", TAB])?;
    is("holes", &holes(browser)?, "84")?;
    is("the next field", &browser.run("return document.activeElement.id")?, "top-width")
}

fn zoomed(browser: &Browser, _: &Served) -> Result<(), String> {
    // A window at 200 % is one of half as many px.
    let size = browser.run("return [innerWidth, innerHeight]")?;
    let half = |i: usize| size[i].as_u64().unwrap_or_default() / 2;
    // No device of today has less than 320 px at 200 %: WCAG's own least for reflow.
    let width = half(0).max(320);
    let metrics = json!({ "width": width, "height": half(1), "deviceScaleFactor": 2, "mobile": false });
    browser.devtools("Emulation.setDeviceMetricsOverride", metrics)?;
    for place in places(browser)? {
        browser.run(&format!("document.querySelector('#{place}').click()"))?;
        let wide = browser.run(
            "const w = document.documentElement.clientWidth; return [...document.querySelectorAll('body *')]\
             .filter(e => !e.closest('.wide') && !e.closest('svg') && e.getBoundingClientRect().right > w + 0.5)\
             .map(e => e.outerHTML.slice(0, 60))",
        )?;
        is("wider than the window", &wide, json!([]))?;
    }
    Ok(())
}

/// So many ms after it is asked for the page can be used, with the processor slowed four times.
const USABLE_MS: f64 = 2000.0;

fn slow(browser: &Browser, served: &Served) -> Result<(), String> {
    browser.devtools("Emulation.setCPUThrottlingRate", json!({ "rate": 4 }))?;
    browser.devtools("Network.enable", json!({}))?;
    browser.devtools("Network.setCacheDisabled", json!({ "cacheDisabled": true }))?;
    let mut times = Vec::new();
    for _ in 0..3 {
        browser.go("about:blank")?;
        browser.go(&served.address)?;
        browser.until("return !!document.querySelector('#holes')")?;
        let at = browser.run("return performance.getEntriesByName('usable')[0]?.startTime ?? null")?;
        times.push(at.as_f64().ok_or("the page does not say when it can be used")?);
    }
    times.sort_by(f64::total_cmp);
    println!("    usable after {:.0} ms at best of 3, {:.0} ms in the middle, four times slowed", times[0], times[1]);
    if times[0] <= USABLE_MS { Ok(()) } else { Err(format!("{:.0} ms, {USABLE_MS} wanted", times[0])) }
}
