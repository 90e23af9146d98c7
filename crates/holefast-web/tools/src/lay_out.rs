//! Laying out tried in a browser: fingers and mouse that draw over holes, keep-outs and sides, the
//! nearer look, values that are typed, and many changes after which everything must agree.

use serde_json::{Value, json};

use crate::browser::{Trial, holes, is};
use crate::driver::Browser;
use crate::serve::Served;

/// The trials.
pub const TRIALS: [Trial; 8] = [
    ("drawing over holes leaves them out, one step to undo", sweep),
    ("a keep-out is drawn, moved, sized and typed", keep_out),
    ("sides of the sheet and A1 are pulled", sheet),
    ("two fingers look nearer, and holes are still hit", nearer),
    ("rows, origin and keep-outs are typed", typed),
    ("millimetres and inches by one switch, and nothing moves", units),
    ("an edit of 200 holes is drawn with its conflicts in time", speed),
    ("drawing, table and text agree after hundreds of changes", hundreds),
];

/// How the page is touched here: phones have fingers.
fn with(browser: &Browser) -> Result<&'static str, String> {
    let fingers = browser.run("return matchMedia('(pointer: coarse)').matches")?;
    Ok(if fingers == true { "touch" } else { "mouse" })
}

/// Places of the window for points of the example's top, mm, while the whole of it is drawn.
fn on_screen(browser: &Browser, points: &[[f64; 2]]) -> Result<Vec<[f64; 2]>, String> {
    browser.run("window.scrollTo(0, 0)")?;
    // A1 and B2 stand 75, 90 and 175, 190: two points tell where all others are.
    let found = browser.run(
        "return ['A1', 'B2'].map(n => document.querySelector(`[data-place=${n}]`).getBoundingClientRect())\
         .map(r => [r.left + r.width / 2, r.top + r.height / 2])",
    )?;
    let number = |i: usize, j: usize| found[i][j].as_f64().ok_or("no targets");
    let (a, b) = ([number(0, 0)?, number(0, 1)?], [number(1, 0)?, number(1, 1)?]);
    let scale = [(b[0] - a[0]) / 100.0, (b[1] - a[1]) / 100.0];
    Ok(points.iter().map(|p| [a[0] + (p[0] - 75.0) * scale[0], a[1] + (p[1] - 90.0) * scale[1]]).collect())
}

fn text(browser: &Browser) -> Result<String, String> {
    let value = browser.run("return document.querySelector('#job').value")?;
    Ok(value.as_str().unwrap_or_default().to_owned())
}

fn says(browser: &Browser, line: &str) -> Result<(), String> {
    let text = text(browser)?;
    if text.lines().any(|l| l.starts_with(line)) { Ok(()) } else { Err(format!("no line {line} in\n{text}")) }
}

fn sweep(browser: &Browser, _: &Served) -> Result<(), String> {
    let way = on_screen(browser, &[[75.0, 90.0], [375.0, 90.0], [375.0, 290.0]])?;
    browser.draw(with(browser)?, &way)?;
    is("holes", &holes(browser)?, "92")?;
    says(browser, "skip = [\"A1\", \"A2\", \"A3\", \"A4\", \"B4\", \"C4\"]")?;
    browser.click("#undo")?;
    is("holes after one undo", &holes(browser)?, "98")?;
    is("nothing more to undo", &browser.run("return document.querySelector('#undo').disabled")?, true)
}

fn keep_out(browser: &Browser, _: &Served) -> Result<(), String> {
    let finger = with(browser)?;
    let drawn = on_screen(browser, &[[620.0, 240.0], [700.0, 300.0], [860.0, 440.0]])?;
    browser.click("#touch-keep-outs")?;
    browser.run("window.scrollTo(0, 0)")?;
    browser.draw(finger, &drawn)?;
    let rect = |browser: &Browser| -> Result<Vec<f64>, String> {
        let text = text(browser)?;
        let line = text.lines().filter(|l| l.starts_with("rect = ")).nth(2).ok_or("no third rectangle")?;
        let inner = line.split(['[', ']']).nth(1).unwrap_or_default();
        inner.split(',').map(|n| n.trim().parse::<f64>().map_err(|e| format!("{line}: {e}"))).collect()
    };
    let near = |what: &str, found: &[f64], wanted: [f64; 4], within: f64| {
        let off = found.iter().zip(wanted).map(|(f, w)| (f - w).abs()).fold(0.0, f64::max);
        if found.len() == 4 && off <= within { Ok(()) } else { Err(format!("{what}: {found:?}, {wanted:?} wanted")) }
    };
    // A px of the phone's drawing is some 5 mm of the top.
    let first = rect(browser)?;
    near("drawn", &first, [620.0, 240.0, 240.0, 200.0], 6.0)?;
    let conflicts = browser.run("return document.querySelector('#conflicts').textContent")?;
    is("holes in it are in conflict", &conflicts, "6")?;
    // what is said of the conflicts may have moved the drawing
    browser.click("#touch-holes")?;
    let moved = on_screen(browser, &[[740.0, 340.0], [740.0, 400.0], [740.0, 440.0]])?;
    browser.click("#touch-keep-outs")?;
    browser.run("window.scrollTo(0, 0)")?;
    browser.draw(finger, &moved)?;
    let second = rect(browser)?;
    near("moved", &second, [first[0], first[1] + 100.0, first[2], first[3]], 6.0)?;
    browser.run("document.querySelector('#keep-outs').open = true")?;
    browser.fill("#keep-out-2-2", "100")?;
    is("typed", &json!(rect(browser)?[2]), 100.0)?;
    browser.fill("#keep-out-2-name", "vice")?;
    says(browser, "name = \"vice\"")?;
    browser.run("[...document.querySelectorAll('#keep-outs fieldset')][2].querySelector('button').click()")?;
    is("taken out", &browser.run("return document.querySelectorAll('#keep-outs fieldset').length")?, 2)
}

fn sheet(browser: &Browser, _: &Served) -> Result<(), String> {
    let finger = with(browser)?;
    let side = on_screen(browser, &[[1450.0, 400.0], [1400.0, 400.0], [1250.0, 400.0]])?;
    browser.click("#touch-sheet")?;
    browser.run("window.scrollTo(0, 0)")?;
    browser.draw(finger, &side)?;
    let length = browser.run("return +document.querySelector('#top-length').value")?;
    let mm = length.as_f64().unwrap_or_default();
    if (mm - 1250.0).abs() > 6.0 {
        return Err(format!("length {mm}, about 1250 wanted"));
    }
    is("holes", &holes(browser)?, "84")?;
    is("text", &json!(text(browser)?.contains(&format!("length = {mm} "))), true)?;
    browser.click("#undo")?;
    browser.click("#touch-holes")?;
    let origin = on_screen(browser, &[[75.0, 90.0], [85.0, 95.0], [105.0, 110.0]])?;
    browser.click("#touch-sheet")?;
    browser.run("window.scrollTo(0, 0)")?;
    browser.draw(finger, &origin)?;
    let at = browser.run("return ['x', 'y'].map(a => +document.querySelector('#origin-' + a).value)")?;
    let off = |i: usize, wanted: f64| (at[i].as_f64().unwrap_or_default() - wanted).abs();
    if off(0, 105.0) > 6.0 || off(1, 110.0) > 6.0 {
        return Err(format!("A1 at {at}, about 105, 110 wanted"));
    }
    is("the grid stands where it was put", &browser.run("return document.querySelector('#grid-origin').value")?, "at")
}

fn nearer(browser: &Browser, _: &Served) -> Result<(), String> {
    // From a hole to its neighbour, px: targets stand row by row.
    let between = "const t = [...document.querySelectorAll('.target')].map(e => e.getBoundingClientRect().left);\
        return t[1] - t[0]";
    let far = browser.run(between)?.as_f64().unwrap_or_default();
    if with(browser)? == "touch" {
        let ends = on_screen(browser, &[[150.0, 150.0], [250.0, 250.0], [60.0, 60.0], [400.0, 400.0]])?;
        browser.fingers(&[("touch", &[ends[0], ends[2]]), ("touch", &[ends[1], ends[3]])])?;
    } else {
        for _ in 0..3 {
            browser.click("#nearer")?;
        }
        // Back to the corner, as with a wheel.
        browser.run(
            "const d = document.querySelector('#drawing'), r = d.getBoundingClientRect(); d.dispatchEvent(new WheelEvent('wheel', \
             { deltaX: -5000, deltaY: 5000, clientX: r.left + 50, clientY: r.top + 50, bubbles: true, cancelable: true }))",
        )?;
    }
    let near = browser.run(between)?.as_f64().unwrap_or_default();
    if near < 1.5 * far {
        return Err(format!("{near} px from hole to hole, {far} before"));
    }
    is("nothing was changed by it", &browser.run("return document.querySelector('#undo').disabled")?, true)?;
    let size = browser.run(
        "return [...document.querySelectorAll('#drawing .row-name text')].map(t => t.getAttribute('font-size'))",
    )?;
    is("rows and columns are named", &json!(size.as_array().is_some_and(|a| a.len() > 2)), true)?;
    let one = browser.run("return document.querySelectorAll('.target')[1].dataset.place")?;
    let one = one.as_str().ok_or("no target")?.to_owned();
    browser.click(&format!("[data-place='{one}']"))?;
    is("holes", &holes(browser)?, "97")?;
    let chosen = browser.run("return document.querySelector('#chosen').textContent.split(',')[0]")?;
    is("chosen", &chosen, one)?;
    browser.click("#whole")?;
    let whole = browser.run(between)?.as_f64().unwrap_or_default();
    is("the whole again", &json!((whole - far).abs() < 0.5), true)
}

fn typed(browser: &Browser, _: &Served) -> Result<(), String> {
    browser.fill("#grid-rows", "5")?;
    is("holes", &holes(browser)?, "70")?;
    browser.fill("#grid-rows", "fit")?;
    is("holes", &holes(browser)?, "98")?;
    browser.fill("#origin-x", "80")?;
    says(browser, "origin = [80, 90]")?;
    browser.run(
        "const s = document.querySelector('#grid-origin'); s.value = 'fit'; s.dispatchEvent(new Event('change'))",
    )?;
    says(browser, "origin = \"fit\"")?;
    browser.fill("#grid-pitch", "96,5 mm")?;
    says(browser, "pitch = \"96,5 mm\"")?;
    let told = browser.run("return document.querySelector('#faults').textContent")?;
    is("bars bore their own pitch", &json!(told.as_str().is_some_and(|t| t.contains("pitch"))), true)?;
    browser.click("#undo")?;
    browser.fill("#top-thickness", "3/4 in")?;
    is("told in the job's unit", &browser.run("return document.querySelector('#top-thickness').value")?, "19.05")?;
    browser.fill("#top-length", "long")?;
    let told = browser.run("return document.querySelector('#faults').textContent")?;
    is("a slip is told", &json!(told.as_str().is_some_and(|t| t.contains("top.length"))), true)
}

fn units(browser: &Browser, _: &Served) -> Result<(), String> {
    let before = text(browser)?;
    browser.click("#units")?;
    is("length", &browser.run("return document.querySelector('#top-length').value")?, "57.086614")?;
    is("unit", &browser.run("return document.querySelector('#top-length').nextElementSibling.textContent")?, "in")?;
    is("holes", &holes(browser)?, "98")?;
    says(browser, "length = \"1450 mm\"")?;
    browser.click("#units")?;
    is("back", &json!(text(browser)?), before)
}

/// Drawn within so many ms after an edit, a 200-hole top with conflicts in it.
const EDIT_MS: f64 = 50.0;

fn speed(browser: &Browser, _: &Served) -> Result<(), String> {
    browser.fill("#top-length", "2100")?;
    browser.fill("#top-width", "1080")?;
    // 10 rows of 21; the second rail comes too near to some.
    is("holes", &holes(browser)?, "194")?;
    is("conflicts", &browser.run("return document.querySelector('#conflicts').textContent")?, "16")?;
    browser.run("document.querySelector('#touch-sheet').click(); document.querySelector('#touch-holes').click()")?;
    // Every other edit brings its hole back: each redraws all, from the event to the changed drawing.
    browser.run(
        "const times = []; const act = n => { const t = document.querySelector(`[data-place=${n}]`), r = t.getBoundingClientRect();\
         const d = document.querySelector('#drawing'); for (const kind of ['pointerdown', 'pointerup']) \
         d.dispatchEvent(new PointerEvent(kind, { clientX: r.left + r.width / 2, clientY: r.top + r.height / 2, pointerId: 1, \
         pointerType: 'mouse', button: 0, bubbles: true })); };\
         const one = async () => { const before = document.querySelector('#drawing svg').outerHTML; const t0 = performance.now();\
         act('C5'); while (document.querySelector('#drawing svg').outerHTML === before) await Promise.resolve();\
         times.push(performance.now() - t0); };\
         window.took = null; (async () => { for (let i = 0; i < 30; i++) { await one(); await new Promise(r => setTimeout(r, 5)); } \
         window.took = times.sort((a, b) => a - b); })(); return true",
    )?;
    browser.until("return window.took !== null")?;
    let times = browser.run("return window.took")?;
    let at = |i: usize| times[i].as_f64().unwrap_or(f64::INFINITY);
    println!("    an edit of 200 holes: {:.1} ms at best, {:.1} ms in the middle of 30", at(0), at(15));
    // The machine does other things too: what counts is what the page itself takes, a quarter's best.
    if at(7) <= EDIT_MS { Ok(()) } else { Err(format!("{:.1} ms, {EDIT_MS} wanted", at(7))) }
}

/// So many changes; with HOLEFAST_LONG set five times as many.
const EDITS: u32 = 200;
/// How many are made between two looks at whether all agrees.
const BETWEEN: u32 = 50;

/// One edit, chosen by a number: tap, sweep, table, field, keep-out, undo or redo.
const EDIT: &str = "
const pick = n => (window.seed = (Math.imul(window.seed, 1664525) + 1013904223) >>> 0, (window.seed >>> 8) % n);
const drawing = document.querySelector('#drawing');
const middle = e => { const r = e.getBoundingClientRect(); return [r.left + r.width / 2, r.top + r.height / 2]; };
const send = (kind, [x, y]) => drawing.dispatchEvent(new PointerEvent(kind, { clientX: x, clientY: y, pointerId: 1,
  pointerType: 'mouse', button: 0, bubbles: true }));
const any = list => list[pick(list.length)];
const wait = () => new Promise(r => setTimeout(r, 0));
const edit = async () => {
  const how = pick(10), targets = [...document.querySelectorAll('.target')];
  if (how < 3) { const at = middle(any(targets)); send('pointerdown', at); send('pointerup', at); }
  else if (how < 5) { const [a, b] = [middle(any(targets)), middle(any(targets))];
    send('pointerdown', a); send('pointermove', b); await wait(); send('pointerup', b); }
  else if (how < 7) any([...document.querySelectorAll('.place')]).click();
  else if (how === 7) { const f = document.querySelector(any(['#top-length', '#top-width']));
    f.value = any([1250, 1450, 1380, 780, 700]); f.dispatchEvent(new Event('change')); }
  else if (how === 8) document.querySelector('#undo').click();
  else document.querySelector('#redo').click();
  await wait();
};
window.done = false;
(async () => { for (let i = 0; i < arguments[0]; i++) await edit(); window.done = true; })();
";

fn hundreds(browser: &Browser, _: &Served) -> Result<(), String> {
    browser.run("window.seed = 7; document.querySelector('#table').open = true")?;
    browser.until("return document.querySelectorAll('.place').length === 98")?;
    let edits = if std::env::var_os("HOLEFAST_LONG").is_some() { 5 * EDITS } else { EDITS };
    for _ in 0..edits / BETWEEN {
        browser.run(&EDIT.replace("arguments[0]", &BETWEEN.to_string()))?;
        browser.until("return window.done")?;
        agree(browser)?;
    }
    for _ in 0..edits {
        if browser.run("const u = document.querySelector('#undo'); u.click(); return u.disabled")? == true {
            break;
        }
    }
    browser.until("return document.querySelector('#undo').disabled")?;
    is("holes at the beginning", &holes(browser)?, "98")
}

/// Drawing, table and text tell the same.
fn agree(browser: &Browser) -> Result<(), String> {
    let out = browser.run("return [...document.querySelectorAll('.place.out')].map(e => e.dataset.hole).sort()")?;
    let drawn = browser.run("return document.querySelectorAll('#drawing .hole-wanted circle').length")?;
    let told = browser.run("return +document.querySelector('#holes').textContent")?;
    let places = browser.run("return document.querySelectorAll('.place').length")?;
    let conflicts = browser.run("return +(document.querySelector('#conflicts')?.textContent ?? 0)")?;
    is("drawn as told", &drawn, told.clone())?;
    let count = |v: &Value| v.as_u64().unwrap_or_default();
    let left_out = out.as_array().map_or(0, |a| a.len() as u64);
    is("table", &json!(count(&places) - left_out), count(&told) + count(&conflicts))?;
    // Every place that the text leaves out and the sheet still has is out in the table, and no other.
    let text = text(browser)?;
    let skip = text.lines().find(|l| l.starts_with("skip = [")).unwrap_or_default();
    let named: std::collections::BTreeSet<String> = skip.split('"').skip(1).step_by(2).map(str::to_owned).collect();
    let all = browser.run("return [...document.querySelectorAll('.place')].map(e => e.dataset.hole).sort()")?;
    let all: Vec<&str> = all.as_array().map(|a| a.iter().filter_map(Value::as_str).collect()).unwrap_or_default();
    let mut wanted_out: Vec<&str> = all.into_iter().filter(|n| named.contains(*n)).collect();
    wanted_out.sort_unstable();
    is("text", &json!(wanted_out), out)
}
