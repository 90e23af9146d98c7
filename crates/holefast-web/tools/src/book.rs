//! The shop book made in the browser: the same bytes as the command line's; looked through page by page;
//! made without a network; refused with its reason; stopped; its maker damaged and mended; nobody else asked.

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use serde_json::json;

use crate::browser::{Trial, go_offline, is, own};
use crate::driver::Browser;
use crate::serve::Served;

/// The trial that differs by the screen: another job on each, another paper.
pub const ON_BOTH: [Trial; 1] =
    [("the book is the command line's, byte for byte, and is looked through", same_as_the_command_lines)];

/// Trials of the book maker itself.
pub const ON_EITHER: [Trial; 7] = [
    ("after one visit the book is made without a network", without_a_network),
    ("a job that has no book says why", refused),
    ("the making can be stopped", stopped),
    ("a damaged book maker is fetched again", damaged),
    ("a book maker that the server no longer has is said to be gone", gone),
    ("where nothing can be kept the book is made all the same, with the job's code on its cover", never_kept),
    ("nobody else is asked for anything", nobody_else),
];

/// A book may take so long on a machine that does other things too; virtual boards are its longest part.
const MOST_OF_A_BOOK: Duration = Duration::from_secs(300);

/// Jobs that the command line has made books of (by `cargo xtask`), with the paper they were made for.
const JOBS: [(&str, &str, &str); 2] = [
    ("first-top", "a4", include_str!("../../../../examples/first-top.toml")),
    ("press-bench", "letter", include_str!("../../../../examples/press-bench.toml")),
];

/// The small job on the small screen, the other on the wide one.
fn job_for(browser: &Browser) -> (&'static str, &'static str, &'static str) {
    JOBS[usize::from(!browser.looks.phone)]
}

fn open(browser: &Browser, text: &str) -> Result<(), String> {
    browser.click("#to-lay-out")?;
    browser.until("return !!document.querySelector('#job')")?;
    browser.run(&format!(
        "const t = document.querySelector('#job'); t.value = {}; t.dispatchEvent(new Event('change'))",
        json!(text)
    ))?;
    browser.click("#to-hand-on")?;
    browser.until("return !!document.querySelector('#book-make')")
}

fn line(browser: &Browser) -> Result<String, String> {
    Ok(browser.run("return document.querySelector('#book-line').textContent")?.as_str().unwrap_or_default().to_owned())
}

/// Makes the book of the job that is open and hands it over as a person does; returns the file.
fn book(browser: &Browser, folder: &Path, paper: &str) -> Result<PathBuf, String> {
    browser.run(&format!(
        "const p = document.querySelector('#book-paper'); p.value = '{paper}'; p.dispatchEvent(new Event('change'))"
    ))?;
    browser.click("#book-make")?;
    browser.until_within(MOST_OF_A_BOOK, "return !document.querySelector('#book-stop')")?;
    if browser.run("return !document.querySelector('#book-file')")? == true {
        return Err(format!("no book: {}", line(browser)?));
    }
    let _ = std::fs::remove_dir_all(folder);
    std::fs::create_dir_all(folder).map_err(|e| e.to_string())?;
    // A browser leaves a file unfinished whose path goes up and down again.
    let folder = &folder.canonicalize().map_err(|e| e.to_string())?;
    browser.devtools("Browser.setDownloadBehavior", json!({ "behavior": "allow", "downloadPath": folder }))?;
    browser.click("#book-file")?;
    let start = Instant::now();
    while start.elapsed() < Duration::from_secs(20) {
        let found = std::fs::read_dir(folder).ok().and_then(|mut entries| entries.next()?.ok());
        if let Some(path) = found.map(|entry| entry.path())
            && path.extension().is_some_and(|e| e == "pdf")
        {
            return Ok(path);
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    Err("no file was handed over".to_owned())
}

/// The text of a PDF, page by page; poppler complains of what is no valid PDF.
fn pages(path: &Path) -> Result<Vec<String>, String> {
    let read = Command::new("pdftotext").arg("-layout").arg(path).arg("-").output();
    let read = read.map_err(|e| format!("pdftotext: {e}; apt-get install poppler-utils"))?;
    let said = String::from_utf8_lossy(&read.stderr).trim().to_owned();
    if !read.status.success() || !said.is_empty() {
        return Err(format!("{}: {said}", path.display()));
    }
    let text = String::from_utf8_lossy(&read.stdout).into_owned();
    Ok(text.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect())
}

fn is_the_command_lines(path: &Path, served: &Served, name: &str) -> Result<(), String> {
    let theirs = served.folder.with_file_name("books").join(format!("{name}.pdf"));
    let read = |path: &Path| std::fs::read(path).map_err(|e| format!("{}: {e}", path.display()));
    if read(path)? == read(&theirs)? {
        return Ok(());
    }
    // where they differ, a word of theirs says most
    let (ours, theirs) = (pages(path)?, pages(&theirs)?);
    is("pages", &json!(ours.len()), theirs.len())?;
    let differing = ours.iter().zip(&theirs).position(|(a, b)| a != b);
    Err(format!("not the same bytes; the first page whose words differ: {differing:?}"))
}

fn downloads(served: &Served) -> PathBuf {
    served.folder.with_file_name(own("downloads"))
}

fn same_as_the_command_lines(browser: &Browser, served: &Served) -> Result<(), String> {
    let (name, paper, text) = job_for(browser);
    open(browser, text)?;
    let pdf = book(browser, &downloads(served), paper)?;
    let name_given = browser.run("return document.querySelector('#book-file').download")?;
    is("file name", &json!(pdf.file_name().map(|n| n.to_string_lossy().into_owned())), name_given)?;
    is_the_command_lines(&pdf, served, name)?;
    looked_through(browser, &pages(&pdf)?)?;
    is("older", &browser.run("return !!document.querySelector('#book-older')")?, false)?;
    // The book stays while another place is looked at, and is told to be older once the job has changed.
    browser.click("#to-lay-out")?;
    browser.until("return !!document.querySelector('.target')")?;
    browser.click(".target")?;
    browser.click("#to-hand-on")?;
    browser.until("return !!document.querySelector('#book-older')")?;
    let complaints = browser.complaints()?;
    if complaints.is_empty() { Ok(()) } else { Err(format!("{complaints:?}")) }
}

/// Every page is shown, in its own type, with the words that it has in the file.
fn looked_through(browser: &Browser, pages: &[String]) -> Result<(), String> {
    let faces = browser.awaited(
        "document.fonts.ready.then(() => [...document.fonts].filter(f => f.family.includes('Holefast')).map(f => f.status).join())",
    )?;
    is("type", &faces, "loaded,loaded")?;
    is("back", &browser.run("return document.querySelector('#book-back').disabled")?, true)?;
    for (number, words) in pages.iter().enumerate() {
        is(
            "where",
            &browser.run("return document.querySelector('#book-at').textContent")?,
            format!("Page {} of {}", number + 1, pages.len()),
        )?;
        let shown = browser.run("return document.querySelector('#book-page').textContent")?;
        let squeezed = |text: &str| {
            let mut letters: Vec<char> = text.chars().filter(|c| c.is_alphanumeric()).collect();
            letters.sort_unstable();
            letters.into_iter().collect::<String>()
        };
        // titles for those who do not see a drawing are no words of the page
        let shown = squeezed(shown.as_str().unwrap_or_default());
        if shown != squeezed(words) {
            return Err(format!("page {}: {shown} is shown, {} printed", number + 1, squeezed(words)));
        }
        if number + 1 < pages.len() {
            browser.click("#book-on")?;
        }
    }
    is("on", &browser.run("return document.querySelector('#book-on').disabled")?, true)
}

fn without_a_network(browser: &Browser, served: &Served) -> Result<(), String> {
    let (name, paper, text) = JOBS[0];
    go_offline(browser, served)?;
    browser.until("return !!document.querySelector('.target')")?;
    open(browser, text)?;
    is_the_command_lines(&book(browser, &downloads(served), paper)?, served, name)
}

fn refused(browser: &Browser, served: &Served) -> Result<(), String> {
    let faults = |text: &str| -> Result<String, String> {
        open(browser, text)?;
        let told = book(browser, &downloads(served), "a4").err().ok_or("a book was made")?;
        is("line", &json!(told), "no book: This job has no book yet:")?;
        let all = browser.run("return document.querySelector('#book-faults').textContent")?;
        Ok(all.as_str().unwrap_or_default().to_owned())
    };
    let text = JOBS[0].2;
    let number = 1 + text.lines().position(|line| line.starts_with("units")).ok_or("no units in the job")?;
    let told = faults(&text.replace("units = \"mm\"", "units = \"<b>ells</b>\""))?;
    if !told.contains(&format!("Line {number}: ")) || !told.contains("<b>ells</b>") {
        return Err(format!("a slip: {told}"));
    }
    let before_kit: String = text.split("[kit").next().unwrap_or_default().to_owned();
    let told = faults(&before_kit)?;
    if told.to_lowercase().contains("kit") { Ok(()) } else { Err(format!("no kit: {told}")) }
}

fn stopped(browser: &Browser, served: &Served) -> Result<(), String> {
    let (_, paper, text) = JOBS[1];
    open(browser, text)?;
    browser.click("#book-make")?;
    browser.until("return !!document.querySelector('#book-stop')")?;
    is("made already", &browser.run("return !!document.querySelector('#book-file')")?, false)?;
    browser.click("#book-stop")?;
    is("stopped", &browser.run("return document.querySelector('#book-make').disabled")?, false)?;
    is("nothing told", &json!(line(browser)?), "")?;
    // Asked for again it is made.
    book(browser, &downloads(served), paper).map(|_| ())
}

fn damaged(browser: &Browser, served: &Served) -> Result<(), String> {
    const KEPT: &str = "caches.keys().then(async names => { for (const name of names) { const store = await caches.open(name); \
        const module = (await store.keys()).find(({ url }) => /book-maker-[0-9a-f]+\\.wasm$/.test(url)); \
        if (module) return [store, (await (await store.match(module)).blob()).size, module]; } })";
    open(browser, JOBS[0].2)?;
    browser.awaited("navigator.serviceWorker.ready.then(() => 1)")?;
    let size = browser.awaited(&format!("({KEPT}).then(([, size]) => size)"))?;
    browser.awaited(&format!(
        "({KEPT}).then(([store, , module]) => store.put(module, new Response('nothing of the kind'))).then(() => 1)"
    ))?;
    book(browser, &downloads(served), "a4")?;
    is("kept in its place", &browser.awaited(&format!("({KEPT}).then(([, size]) => size)"))?, size)
}

/// The page of one version before a folder of another: its maker is not there under the name it has.
fn gone(first: &Browser, served: &Served) -> Result<(), String> {
    let folder = served.folder.with_file_name(own("another-version"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    for entry in std::fs::read_dir(&served.folder).map_err(|e| e.to_string())? {
        let path = entry.map_err(|e| e.to_string())?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if !name.starts_with("book-maker-") {
            std::fs::copy(&path, folder.join(name)).map_err(|e| e.to_string())?;
        }
    }
    let other = Served::start(&folder, 0)?;
    let browser = Browser::open(first.looks)?;
    browser.go(&other.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    open(&browser, JOBS[0].2)?;
    let said = book(&browser, &downloads(&other), "a4").err().ok_or("a book was made")?;
    other.stop();
    let _ = std::fs::remove_dir_all(&folder);
    if said.contains("The server has a newer version") { Ok(()) } else { Err(format!("said: {said}")) }
}

/// By a name that stands for this machine, and not by a secure address: as from a shelf on the wall.
fn never_kept(first: &Browser, served: &Served) -> Result<(), String> {
    let browser = Browser::open_with(first.looks, &["--host-resolver-rules=MAP bench.example 127.0.0.1".to_owned()])?;
    browser.go(&served.address.replace("127.0.0.1", "bench.example"))?;
    browser.until("return !!document.querySelector('#holes')")?;
    open(&browser, JOBS[0].2)?;
    let pdf = book(&browser, &downloads(served), "a4")?;
    let pages = pages(&pdf)?;
    is("a code on the cover", &json!(pages[0].contains("This job, for a phone")), true)
}

/// Whom Chromium asks of itself, with no page at all: the time, whether it is up to date, whether somebody
/// is signed in, what to fill into fields, hints. Fonts, maps, counters and the like stand on other hosts.
const OF_THE_BROWSER: [&str; 5] = [
    "accounts.google.com",
    "clients2.google.com",
    "content-autofill.googleapis.com",
    "optimizationguide-pa.googleapis.com",
    "update.googleapis.com",
];

/// Visits the page through a proxy that everything but this machine goes to, makes a book, and tells who
/// was asked: every part of a browser, its workers too, has to go that way.
fn nobody_else(first: &Browser, served: &Served) -> Result<(), String> {
    let listener = TcpListener::bind(("127.0.0.1", 0)).map_err(|e| e.to_string())?;
    let proxy = listener.local_addr().map_err(|e| e.to_string())?;
    let asked = Arc::new(Mutex::new(Vec::<String>::new()));
    let heard = Arc::clone(&asked);
    std::thread::spawn(move || {
        for stream in listener.incoming().map_while(Result::ok) {
            let mut first = String::new();
            let _ = std::io::BufRead::read_line(&mut std::io::BufReader::new(stream), &mut first);
            if let Ok(mut all) = heard.lock() {
                all.push(first.trim().to_owned());
            }
        }
    });
    let so_far = || asked.lock().map(|all| all.clone()).unwrap_or_default();
    let browser = Browser::open_with(first.looks, &[format!("--proxy-server=http://{proxy}")])?;
    // That it is heard at all: an address of nobody (RFC 2606).
    browser.run("fetch('http://nobody.invalid/', { mode: 'no-cors' }).catch(() => {})")?;
    let start = Instant::now();
    while start.elapsed() < Duration::from_secs(10) && !so_far().iter().any(|line| line.contains("nobody.invalid")) {
        std::thread::sleep(Duration::from_millis(50));
    }
    if !so_far().iter().any(|line| line.contains("nobody.invalid")) {
        return Err("the proxy does not hear what is asked elsewhere".to_owned());
    }
    browser.go(&served.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    open(&browser, JOBS[0].2)?;
    book(&browser, &downloads(served), "a4")?;
    // The page's own attempt is refused by its policy.
    browser.run("fetch('http://nobody-else.invalid/', { mode: 'no-cors' }).catch(() => {})")?;
    std::thread::sleep(Duration::from_secs(1));
    let is_other = |line: &String| {
        let host = line.split(' ').nth(1).unwrap_or_default().trim_start_matches("http://");
        let host = host.split([':', '/']).next().unwrap_or_default();
        host != "nobody.invalid" && !OF_THE_BROWSER.contains(&host)
    };
    let others: Vec<String> = so_far().into_iter().filter(is_other).collect();
    is("asked elsewhere", &json!(others), json!([]))
}
