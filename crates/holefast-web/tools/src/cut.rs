//! The place Cut tried in Chromium: figures digit for digit as the command line prints them, an
//! arrangement kept and taken out, slips beside their fields, the list of parts, and the keyboard alone.

use std::time::Duration;

use holefast::cut::{Places, Settled, settle};
use holefast::plan::{PlanOptions, make_plan};
use holefast::predict::Model;
use holefast::words::cutting::{CutCard, cut_card, cut_lines};
use holefast::words::sentence;
use holefast::{Fault, Job, job, parts, top};
use serde_json::json;

use crate::browser::{Trial, is, is_large_enough, text, texts};
use crate::driver::Browser;
use crate::serve::Served;

/// Every trial of the place.
pub const TRIALS: [Trial; 6] = [
    ("cut: the figures are those that the command line prints", figures),
    ("cut: an arrangement is kept in the job, undone, renamed and taken out", kept),
    ("cut: a slip is told beside its field, an angle out of reach names the nearest", slips),
    ("cut: a kit without rail and fence gets them at the place", tools),
    ("cut: a list of parts is broken down, with progress and stop", list),
    ("cut: by the keyboard alone, targets large enough", keyboard),
];

/// So long an answer may take on a busy machine before the trial is given up.
const PATIENCE: Duration = Duration::from_secs(180);

fn to_cut(browser: &Browser) -> Result<(), String> {
    browser.run("location.hash = 'cut'")?;
    until_known(browser)
}

fn until_known(browser: &Browser) -> Result<(), String> {
    browser.until_within(
        PATIENCE,
        "const p = document.querySelector('#cut-pending'); return !!p && p.textContent === '' && \
         !document.querySelector('.cut-draw .stale')",
    )
}

fn type_in(browser: &Browser, field: &str, text: &str) -> Result<(), String> {
    browser.run(&format!(
        "const f = document.querySelector('#cut-{field}'); f.value = {}; f.dispatchEvent(new Event('change'))",
        json!(text)
    ))?;
    until_known(browser)
}

/// The job as it stands in the page; the place is left for it.
fn job_text(browser: &Browser) -> Result<String, String> {
    browser.run("location.hash = 'lay-out'")?;
    browser.until("return !!document.querySelector('#job')")?;
    let found = browser.run("return document.querySelector('#job').value")?;
    found.as_str().map(str::to_owned).ok_or_else(|| "the job has no text".to_owned())
}

/// Another text for the job; the place is left for it.
fn write_job(browser: &Browser, text: &str) -> Result<(), String> {
    browser.run("location.hash = 'lay-out'")?;
    browser.until("return !!document.querySelector('#job')")?;
    browser.run(&format!(
        "const t = document.querySelector('#job'); t.value = {}; t.dispatchEvent(new Event('change'))",
        json!(text)
    ))?;
    Ok(())
}

/// The cuts of a job as `holefast cut` settles them.
fn settled(text: &str) -> Result<(Job, Places, Vec<Settled>), String> {
    let told = |faults: Vec<Fault>| format!("{faults:?}");
    let parsed = job::parse(text);
    let job = parsed.job.ok_or_else(|| told(parsed.faults))?;
    let layout = top::lay_out(&job).map_err(told)?;
    let plan = make_plan(&job, &layout, &PlanOptions::default()).map_err(told)?;
    let kit = job.kit.as_ref().ok_or("no kit")?;
    let model = Model::new(kit, &plan).map_err(told)?.in_climate(&job.top, job.climate.as_ref());
    let places = Places::predicted(&layout, &model);
    let settled = settle(&job, &places).map_err(told)?;
    Ok((job, places, settled))
}

/// The card as the page shows it, put together again in the order of the terminal.
fn card_shown(browser: &Browser, like: &CutCard) -> Result<Vec<String>, String> {
    let mut lines = vec![format!(
        "{}: {}",
        text(browser, "#cut-aside")
            .and_then(|aside| { Ok(text(browser, "#cut-title")?.trim_end_matches(&aside).to_owned()) })?,
        text(browser, "#cut-aside")?
    )];
    let (names, said) = (texts(browser, "#cut-lines dt")?, texts(browser, "#cut-lines dd")?);
    for (what, _) in &like.lines {
        let found = match *what {
            "Angle" => text(browser, "#cut-out")?,
            "Prove" => text(browser, "#cut-prove span")?,
            what => names
                .iter()
                .position(|name| name == what)
                .and_then(|at| said.get(at).cloned())
                .ok_or(format!("no line {what}"))?,
        };
        lines.push(format!("  {what:<9}{found}"));
    }
    is(
        "lines beside these",
        &json!(names.len()),
        like.lines.iter().filter(|(w, _)| *w != "Angle" && *w != "Prove").count(),
    )?;
    lines.extend(texts(browser, "#cut-mind li")?.into_iter().map(|text| format!("  {:<9}{text}", "Mind")));
    Ok(lines)
}

const OCTAGON: [(&str, &str); 6] =
    [("angle", "67.5"), ("length", "430"), ("width", "85"), ("kerf", "2.2"), ("at", "far"), ("quantity", "8")];

fn figures(browser: &Browser, served: &Served) -> Result<(), String> {
    to_cut(browser)?;
    for (field, value) in OCTAGON {
        type_in(browser, field, value)?;
    }
    is("arrangements", &json!(texts(browser, "#ways tbody tr")?.len()), 5)?;
    // The second of them, so that it is not only the first that is right.
    browser.run("document.querySelectorAll('#ways .way')[1].click()")?;
    let row = texts(browser, "#ways tr:has([aria-pressed=true]) th, #ways tr:has([aria-pressed=true]) td")?;
    let title = text(browser, "#cut-title")?;
    let drawn = text(browser, "#cut-drawing svg")?;
    browser.click("#keep-cut")?;
    browser.until_within(PATIENCE, "return !!document.querySelector('#own')")?;
    until_known(browser)?;
    is("the kept one is shown", &json!(text(browser, "#cut-title")?), title)?;
    is("drawn as before", &json!(text(browser, "#cut-drawing svg")?), drawn)?;
    let own = texts(browser, "#own tr:has([aria-pressed=true]) td")?;
    is("its row", &json!(own), json!(row[1..]))?;
    let job = job_text(browser)?;
    let (parsed, places, all) = settled(&job)?;
    is("holes are written down", &json!(all.iter().all(|one| !one.looked_for)), true)?;
    let card = cut_card(&parsed, &places, &all[0]);
    to_cut(browser)?;
    browser.run("document.querySelector('#own .way').click()")?;
    is("the card", &json!(card_shown(browser, &card)?), json!(cut_lines(&parsed, &places, &all)))?;
    // And it is all there after a reload.
    browser.go("about:blank")?;
    browser.go(&format!("{}#cut", served.address))?;
    until_known(browser)?;
    is("after a reload", &json!(card_shown(browser, &card)?), json!(cut_lines(&parsed, &places, &all)))?;
    let times = browser.run("return performance.getEntriesByName('cut found').map(e => Math.round(e.duration))")?;
    println!("    answered after {times} ms (the first time with the plan of the top)");
    Ok(())
}

fn kept(browser: &Browser, _: &Served) -> Result<(), String> {
    to_cut(browser)?;
    let before = job_text(browser)?;
    to_cut(browser)?;
    type_in(browser, "angle", "45")?;
    browser.click("#keep-cut")?;
    browser.until_within(PATIENCE, "return !!document.querySelector('#take-out')")?;
    until_known(browser)?;
    browser.click("#undo")?;
    until_known(browser)?;
    is("undone", &json!(texts(browser, "#own")?.len()), 0)?;
    is("the text is as before", &json!(job_text(browser)?), before)?;
    browser.click("#redo")?;
    to_cut(browser)?;
    browser.run("document.querySelector('#own .way').click()")?;
    browser.fill("#cut-name", "gable \"<b>end</b>\"")?;
    until_known(browser)?;
    is("renamed", &json!(text(browser, "#own b")?), "gable \"<b>end</b>\"")?;
    is("as text", &json!(texts(browser, "#own b b")?.len()), 0)?;
    browser.click("#other-holes")?;
    is("the angle in its field", &browser.run("return document.querySelector('#cut-angle').value")?, "45")?;
    browser.run("document.querySelector('#own .way').click()")?;
    browser.click("#take-out")?;
    until_known(browser)?;
    is("taken out", &json!(texts(browser, "#own")?.len()), 0)?;
    is("the text", &json!(job_text(browser)?.contains("[[cut]]")), false)
}

fn slips(browser: &Browser, _: &Served) -> Result<(), String> {
    to_cut(browser)?;
    let value = browser.run("return document.querySelector('#cut-angle').value")?;
    is("it begins with a square cut", &value, "90")?;
    type_in(browser, "angle", "steep")?;
    let said = text(browser, "#cut-angle-wrong")?;
    is("told", &json!(said.contains("\"steep\" is no angle")), true)?;
    let invalid = browser.run("return document.querySelector('#cut-angle').getAttribute('aria-invalid')")?;
    is("marked", &invalid, "true")?;
    type_in(browser, "angle", "60")?;
    is("mended", &json!(text(browser, "#cut-angle-wrong")?), "")?;
    type_in(browser, "length", "1e999")?;
    is("told", &json!(text(browser, "#cut-length-wrong")?.is_empty()), false)?;
    is("no arrangement beside it", &json!(texts(browser, "#ways")?.len()), 0)?;
    type_in(browser, "length", "")?;
    type_in(browser, "angle", "0.1")?;
    is("out of reach", &json!(text(browser, "#unreached")?.contains("No two lines of holes stand at 0.1°")), true)?;
    browser.click("[data-tolerance]")?;
    until_known(browser)?;
    is("the nearest is taken", &json!(texts(browser, "[data-tolerance]")?.len()), 0)?;
    let wider = browser.run("return Number(document.querySelector('#cut-tolerance').value) > 0.1")?;
    is("with a wider tolerance", &wider, true)
}

fn tools(browser: &Browser, _: &Served) -> Result<(), String> {
    let plain = job_text(browser)?;
    let mut bare = job::remove(&plain, "kit.rail").map_err(|f| f.message)?;
    bare = job::remove(&bare, "kit.fence").map_err(|f| f.message)?;
    write_job(browser, &bare)?;
    to_cut(browser)?;
    let lacking = texts(browser, ".ask fieldset legend")?;
    is("what is lacking", &json!(lacking), json!(["The kit has no guide rail", "The kit has no fence"]))?;
    type_in(browser, "length", "300")?;
    is("a length asks for it", &json!(text(browser, "#cut-rail-cut-wrong")?.contains("how wide its rail is")), true)?;
    let fill = |id: &str, all: &[&str]| -> Result<(), String> {
        for (n, value) in all.iter().enumerate() {
            browser.run(&format!(
                "const f = document.querySelector('#{id}-{n}'); f.value = '{value}'; f.dispatchEvent(new Event('change'))"
            ))?;
        }
        browser.run(&format!("document.querySelector('#write-{id}').click()")).map(|_| ())
    };
    fill("rail", &["1500", "180", "80"])?;
    is("half of it is told", &json!(text(browser, ".ask p[role=alert]")?.contains("Field 4 is empty")), true)?;
    fill("rail", &["1500", "180", "80", "120"])?;
    browser.until("return !document.querySelector('#no-rail')")?;
    fill("fence", &["900", "25"])?;
    browser.until("return !document.querySelector('#no-fence')")?;
    until_known(browser)?;
    is("arrangements", &json!(texts(browser, "#ways tbody tr")?.len()), 5)?;
    let text = job_text(browser)?;
    let read = job::parse(&text).job.and_then(|job| job.kit).ok_or("the job does not read")?;
    let was = job::parse(&plain).job.and_then(|job| job.kit).ok_or("the job does not read")?;
    is("the same rail and fence", &json!(read.rail == was.rail && read.fence == was.fence), true)
}

/// Boards for a cabinet, a few of them.
const LIST: &str = "\n[[part]]\nname = \"side\"\nlength = 720\nwidth = 560\nquantity = 4\n\n[[part]]\nname = \"shelf\"\n\
                    length = 764\nwidth = 540\nquantity = 6\n\n[[stock]]\nname = \"sheet\"\nlength = 2440\nwidth = 1220\n\
                    quantity = 4\nkerf = 2.2\ntrim = 5\n";

fn list(browser: &Browser, _: &Served) -> Result<(), String> {
    let job = format!("{}{LIST}", job_text(browser)?);
    write_job(browser, &job)?;
    browser.run("location.hash = 'cut'")?;
    // It begins by itself and is stopped at once.
    browser.until("return !!document.querySelector('#stop-parts')")?;
    browser.run("document.querySelector('#stop-parts').click()")?;
    browser.until("return !!document.querySelector('#break-down')")?;
    browser.run("document.querySelector('#break-down').click()")?;
    browser.until_within(PATIENCE, "return !!document.querySelector('#parts-said')")?;
    let parsed = job::parse(&job).job.ok_or("the job does not read")?;
    let effort = holefast::breakdown::Effort { rounds: parts::usual_rounds(&parsed), seed: 1 };
    let found = parts::break_down(&parsed, effort, &mut |_| true).map_err(|f| format!("{f:?}"))?;
    let printed = holefast::words::parts::lines(&parsed, &found);
    let mut shown = texts(browser, "#parts-said li, #parts-cuts li")?;
    let mut wanted = printed;
    shown.sort();
    wanted.sort();
    is("the lines", &json!(shown), json!(wanted))?;
    // What cannot be cut is told by its line.
    write_job(browser, &job.replace("length = 764", "length = 7640"))?;
    browser.run("location.hash = 'cut'")?;
    browser.until_within(PATIENCE, "return !!document.querySelector('#parts .note')")?;
    let line = job.lines().position(|line| line == "length = 764").ok_or("no such part")? + 1;
    let said = text(browser, "#parts .note")?;
    let told = said.starts_with(&format!("Line {line}: ")) && said.contains("too large");
    is(&format!("told by its line: {said}"), &json!(told), true)
}

const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";
const SPACE: &str = " ";

/// Presses Tab until this has the keyboard.
fn reach(browser: &Browser, test: &str) -> Result<(), String> {
    /// More stops than the place has.
    const MOST: u32 = 120;
    for _ in 0..MOST {
        if browser.run(&format!("return document.activeElement.matches({})", json!(test)))? == true {
            return Ok(());
        }
        browser.press(&[TAB])?;
    }
    Err(format!("the keyboard never comes to {test}"))
}

fn keyboard(browser: &Browser, _: &Served) -> Result<(), String> {
    to_cut(browser)?;
    reach(browser, "#cut-angle")?;
    browser.run("document.activeElement.select()")?;
    browser.press(&["2", "2", ".", "5", TAB])?;
    is("the next field", &browser.run("return document.activeElement.id")?, "cut-length")?;
    browser.press(&["3", "0", "0", TAB])?;
    until_known(browser)?;
    let means = text(browser, "#cut-means")?;
    is(
        "what it means",
        &json!(means),
        sentence("22.5° between fence and cut, on the work's side; 67.5° on a mitre scale"),
    )?;
    reach(browser, "#more > summary")?;
    browser.press(&[ENTER])?;
    is("more is open", &browser.run("return document.querySelector('#more').open")?, true)?;
    reach(browser, "#ways tr:nth-child(3) .way")?;
    browser.press(&[SPACE])?;
    // Chosen, and the keyboard stays; the table is set anew by the worker.
    browser.until("return document.activeElement.getAttribute('aria-pressed') === 'true'")?;
    let seen = browser.run("return getComputedStyle(document.activeElement).outlineStyle")?;
    is("outline", &seen, "solid")?;
    reach(browser, "#keep-cut")?;
    browser.press(&[ENTER])?;
    browser.until_within(PATIENCE, "return !!document.querySelector('#take-out')")?;
    until_known(browser)?;
    is_large_enough(browser, "button, summary, a, .in")
}
