//! The shop book made in the browser: the same text as the command line's, page for page; kept and made
//! without a network; refused with its reason; stopped; damaged and mended; nobody else asked.

use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use serde_json::json;

use crate::browser::{Trial, go_offline, is, own};
use crate::driver::Browser;
use crate::serve::Served;

/// Trials of the book maker.
pub const TRIALS: [Trial; 9] = [
    ("the book says what the command line's says, page for page", same_as_the_command_lines),
    ("the book maker is offered once, kept, and makes the book without a network", kept),
    ("without a network and not kept, the page says so", not_kept),
    ("a job that has no book says why", refused),
    ("the making can be stopped, and the maker taken off again", stopped),
    ("a damaged book maker is told and fetched anew", damaged),
    ("a newer version brings its own book maker along", brought_along),
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
    let (ours, theirs) = (pages(path)?, pages(&theirs)?);
    is("pages", &json!(ours.len()), theirs.len())?;
    // A book has its cover, its kit, its safety page and cards.
    if ours.len() < 6 || !ours[0].contains("How to use this book") {
        return Err(format!("{} pages, the first one: {}", ours.len(), ours[0]));
    }
    for (number, (our, their)) in ours.iter().zip(&theirs).enumerate() {
        if our != their {
            let differing = our.lines().zip(their.lines()).find(|(a, b)| a != b);
            return Err(format!("page {}: {differing:?}", number + 1));
        }
    }
    Ok(())
}

/// The book maker's file in a folder.
fn pack(folder: &Path) -> Result<PathBuf, String> {
    let entries = std::fs::read_dir(folder).map_err(|e| e.to_string())?;
    let mut paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
    paths
        .find(|path| path.extension().is_some_and(|e| e == "pack"))
        .ok_or_else(|| "no book maker in the folder".to_owned())
}

fn downloads(served: &Served) -> PathBuf {
    served.folder.with_file_name(own("downloads"))
}

fn same_as_the_command_lines(browser: &Browser, served: &Served) -> Result<(), String> {
    let (name, paper, text) = job_for(browser);
    open(browser, text)?;
    browser.until("return document.querySelector('#book-kept')?.textContent.includes('not on this device yet')")?;
    let pdf = book(browser, &downloads(served), paper)?;
    let name_given = browser.run("return document.querySelector('#book-file').download")?;
    is("file name", &json!(pdf.file_name().map(|n| n.to_string_lossy().into_owned())), name_given)?;
    is_the_command_lines(&pdf, served, name)?;
    browser.until(
        "return document.querySelector('#book-kept').textContent.startsWith('The book maker is on this device')",
    )?;
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

fn kept(browser: &Browser, served: &Served) -> Result<(), String> {
    let (name, paper, text) = JOBS[0];
    browser.until("return !!document.querySelector('#book-offer')")?;
    let size = std::fs::metadata(pack(&served.folder)?).map_err(|e| e.to_string())?.len();
    let offered = browser.run("return document.querySelector('#book-offer').textContent")?;
    let said = format!("{:.1}\u{a0}MB", size as f64 / 1e6);
    if !offered.as_str().is_some_and(|o| o.contains(&said)) {
        return Err(format!("{said} is not in {offered}"));
    }
    browser.click("#book-accept")?;
    browser.until_within(MOST_OF_A_BOOK, "return !document.querySelector('#book-stop')")?;
    go_offline(browser, served)?;
    browser.until("return !!document.querySelector('.target')")?;
    is("offered again", &browser.run("return !!document.querySelector('#book-offer')")?, false)?;
    open(browser, text)?;
    is_the_command_lines(&book(browser, &downloads(served), paper)?, served, name)
}

fn not_kept(browser: &Browser, served: &Served) -> Result<(), String> {
    browser.until("return !!document.querySelector('#book-offer')")?;
    browser.click("#book-decline")?;
    go_offline(browser, served)?;
    browser.until("return !!document.querySelector('.target')")?;
    is("offered again", &browser.run("return !!document.querySelector('#book-offer')")?, false)?;
    browser.click("#to-hand-on")?;
    browser.until("return !!document.querySelector('#book-make')")?;
    browser.click("#book-make")?;
    // A connection that was open stays open and silent: the worker's patience has to end.
    browser.until_within(
        Duration::from_secs(60),
        "return document.querySelector('#book-line').textContent.includes('there is no network')",
    )?;
    is("no book", &browser.run("return !document.querySelector('#book-file')")?, true)?;
    is("asked again", &browser.run("return document.querySelector('#book-make').disabled")?, false)
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
    // Asked for again it is made; the maker is here by now.
    book(browser, &downloads(served), paper)?;
    browser.click("#book-forget")?;
    browser.until("return document.querySelector('#book-kept').textContent.includes('not on this device yet')")?;
    let stores =
        browser.awaited("caches.keys().then(names => names.filter(n => n.startsWith('holefast book')).length)")?;
    is("stores", &stores, 0)?;
    is("the book stays", &browser.run("return !!document.querySelector('#book-file')")?, true)
}

fn damaged(browser: &Browser, served: &Served) -> Result<(), String> {
    open(browser, JOBS[0].2)?;
    browser.awaited(
        "fetch('./book-worker.js').then(a => a.text()).then(async script => { \
         const [, file] = script.match(/FILE = '(.*?)'/), [, store] = script.match(/STORE = '(.*?)'/); \
         await (await caches.open(store)).put(file, new Response('nothing of the kind')); return 1 })",
    )?;
    let told = book(browser, &downloads(served), "a4").err().ok_or("a book was made of nonsense")?;
    if !told.contains("came damaged") {
        return Err(told);
    }
    book(browser, &downloads(served), "a4").map(|_| ())
}

fn brought_along(first: &Browser, served: &Served) -> Result<(), String> {
    let told = |e: std::io::Error| e.to_string();
    let folder = served.folder.with_file_name(own("versions"));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).map_err(told)?;
    for entry in std::fs::read_dir(&served.folder).map_err(told)? {
        let entry = entry.map_err(told)?;
        std::fs::copy(entry.path(), folder.join(entry.file_name())).map_err(told)?;
    }
    let moving = Served::start(&folder, 0)?;
    let browser = Browser::open(first.looks)?;
    browser.go(&moving.address)?;
    browser.until("return !!document.querySelector('#book-offer')")?;
    browser.click("#book-accept")?;
    browser.until_within(MOST_OF_A_BOOK, "return !document.querySelector('#book-stop')")?;
    browser.awaited("navigator.serviceWorker.ready.then(() => 1)")?;

    // Another version is one whose files have other names: that of the maker, that of all of them.
    let (old, new) = (pack(&folder)?, "book-0123456789abcdef.pack");
    let digest = old.file_stem().map(|s| s.to_string_lossy().replace("book-", "")).unwrap_or_default();
    std::fs::rename(&old, folder.join(new)).map_err(told)?;
    for name in ["book-worker.js", "keep.js"] {
        let text = std::fs::read_to_string(folder.join(name)).map_err(told)?;
        let text = text.replace(&digest, "0123456789abcdef").replace("VERSION = '", "VERSION = 'newer ");
        std::fs::write(folder.join(name), text).map_err(told)?;
    }
    browser.awaited("navigator.serviceWorker.getRegistration().then(r => r.update()).then(() => 1)")?;
    let start = Instant::now();
    // Once nobody stands on the old version any more, only the new one is left.
    let names = "caches.keys().then(all => all.sort().join())";
    while start.elapsed() < Duration::from_secs(20) {
        browser.go("about:blank")?;
        browser.go(&moving.address)?;
        let left = browser.awaited(names)?;
        if left
            .as_str()
            .is_some_and(|l| l.starts_with("holefast book 0123456789abcdef,newer ") && !l[38..].contains(','))
        {
            go_offline(&browser, &moving)?;
            browser.until("return !!document.querySelector('.target')")?;
            open(&browser, JOBS[0].2)?;
            return is_the_command_lines(&book(&browser, &downloads(served), JOBS[0].1)?, served, JOBS[0].0);
        }
    }
    Err(format!("still kept: {}", browser.awaited(names)?))
}

/// By a name that stands for this machine, and not by a secure address: as from a shelf on the wall.
fn never_kept(first: &Browser, served: &Served) -> Result<(), String> {
    let browser = Browser::open_with(first.looks, &["--host-resolver-rules=MAP bench.example 127.0.0.1".to_owned()])?;
    browser.go(&served.address.replace("127.0.0.1", "bench.example"))?;
    browser.until("return !!document.querySelector('#holes')")?;
    open(&browser, JOBS[0].2)?;
    browser.until("return document.querySelector('#book-kept')?.textContent.includes('is fetched for every book')")?;
    is("offered", &browser.run("return !!document.querySelector('#book-keep')")?, false)?;
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
