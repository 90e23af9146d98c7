//! Trials of what is handed on and kept: links and their code, several jobs, two tabs, a page that dies, a
//! store that is full, refused or spoilt, hostile links and files, a newer version of the page.

use std::path::{Path, PathBuf};
use std::process::Command;

use holefast_paper::link;
use serde_json::{Value, json};

use crate::browser::{Trial, holes, is, own};
use crate::driver::{Browser, Looks};
use crate::serve::Served;

/// Every trial, on both sizes.
pub const TRIALS: [Trial; 14] = [
    ("a link opens the same job beside the others", link_opens),
    ("the code on the screen carries the same job", code_is_read),
    ("hostile links are refused with a message and lose nothing", hostile_links),
    ("hostile files are refused with a message and lose nothing", hostile_files),
    ("a job is named, doubled, taken off the list and brought back", list),
    ("a browser that is killed loses nothing", killed),
    ("a change is kept though the page closes in the same breath", same_breath),
    ("two tabs on one job: the second is told, and both are kept", two_tabs),
    ("a full store is said, and the job can be saved as a file", full),
    ("a refused store is said, and the page works", refused),
    ("what cannot be read is set aside and left as it is", spoilt),
    ("the one job of an earlier version is taken over", earlier),
    ("a newer version is offered and taken when asked for", newer),
    ("no other host is asked, whatever a page tries", no_other_host),
];

fn text(browser: &Browser) -> Result<String, String> {
    browser.run("location.hash = '#lay-out'")?;
    browser.until("return !!document.querySelector('#job')")?;
    let text = browser.run("return document.querySelector('#job').value")?;
    text.as_str().map(str::to_owned).ok_or_else(|| "no text".to_owned())
}

fn hand_on(browser: &Browser) -> Result<(), String> {
    browser.run("location.hash = '#hand-on'")?;
    browser.until("return !!document.querySelector('#jobs')")
}

/// Leaves a hole out as a finger does, and waits until that stands on the device.
fn leave_out(browser: &Browser, hole: &str) -> Result<(), String> {
    browser.run("location.hash = '#lay-out'")?;
    browser.until("return !!document.querySelector('#job')")?;
    browser.click(&format!("[data-place='{hole}']"))?;
    stands(browser)
}

fn stands(browser: &Browser) -> Result<(), String> {
    browser.until("return document.querySelector('h1 small').textContent.trim() === 'Saved on this device'")
}

fn told(browser: &Browser) -> Result<String, String> {
    let told = browser.run("return document.querySelector('.told').textContent")?;
    Ok(told.as_str().unwrap_or_default().to_owned())
}

fn tells(browser: &Browser, words: &str) -> Result<(), String> {
    let wanted = json!(words);
    browser
        .until(&format!("return document.querySelector('.told').textContent.includes({wanted})"))
        .map_err(|_| format!("{words:?} is not told; told is {:?}", told(browser).unwrap_or_default()))
}

/// Names of the jobs on the list, the last changed first.
fn names(browser: &Browser) -> Result<Value, String> {
    hand_on(browser)?;
    browser.run("return [...document.querySelectorAll('#jobs b')].map(e => e.textContent)")
}

fn number_of_jobs(browser: &Browser, wanted: usize) -> Result<(), String> {
    hand_on(browser)?;
    browser
        .until(&format!("return document.querySelectorAll('#jobs li').length === {wanted}"))
        .map_err(|_| format!("{wanted} jobs wanted, there are {}", names(browser).unwrap_or_default()))
}

/// A page of a browser that has never been here.
fn another(address: &str) -> Result<Browser, String> {
    let browser = Browser::open(Looks { size: [360, 740], dark: false, phone: true })?;
    browser.go(address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    Ok(browser)
}

fn link_opens(browser: &Browser, served: &Served) -> Result<(), String> {
    leave_out(browser, "D4")?;
    let sent = text(browser)?;
    hand_on(browser)?;
    let address = browser.run("return document.querySelector('#link').value")?;
    let address = address.as_str().unwrap_or_default().to_owned();
    // The page writes the same link as the command line's crate does.
    is("link", &json!(address), link::link(&served.address, &sent).map_err(|f| f.message)?)?;
    // A device that has never been here.
    let other = another(&address)?;
    is("text", &json!(text(&other)?), sent.as_str())?;
    is("the link is out of the address", &other.run("return location.hash")?, "#lay-out")?;
    // One that has a job of its own open: that stands as it was.
    let third = another(&served.address)?;
    leave_out(&third, "A1")?;
    let own = text(&third)?;
    third.go(&address)?;
    tells(&third, "stands beside your other jobs now")?;
    is("text", &json!(text(&third)?), sent.as_str())?;
    number_of_jobs(&third, 2)?;
    third.click("#jobs li:not(.open) .open-job")?;
    is("its own job", &json!(text(&third)?), own.as_str())?;
    // Opened again, it is the same job and not a third.
    third.go(&address)?;
    tells(&third, "is on this device already, word for word")?;
    number_of_jobs(&third, 2)
}

fn code_is_read(browser: &Browser, served: &Served) -> Result<(), String> {
    if Command::new("zbarimg").arg("--version").output().is_err() {
        let required = std::env::var("CI").is_ok_and(|v| v == "true");
        return if required {
            Err("zbar-tools is not installed".to_owned())
        } else {
            println!("skipped: zbar-tools is not installed");
            Ok(())
        };
    }
    leave_out(browser, "D4")?;
    let sent = text(browser)?;
    hand_on(browser)?;
    let folder = folder_of("code")?;
    let picture = folder.join("code.png");
    std::fs::write(&picture, browser.picture_of("#code")?).map_err(|e| e.to_string())?;
    let read = Command::new("zbarimg").args(["--raw", "--quiet"]).arg(&picture).output().map_err(|e| e.to_string())?;
    let read = String::from_utf8_lossy(&read.stdout).trim_end().to_owned();
    is("code", &json!(read), link::link_in_figures(&served.address, &sent).map_err(|f| f.message)?)?;
    let other = another(&read)?;
    is("text", &json!(text(&other)?), sent)
}

fn hostile_links(browser: &Browser, served: &Served) -> Result<(), String> {
    leave_out(browser, "B2")?;
    let own = text(browser)?;
    let made = |text: &str| link::link(&served.address, text).map_err(|f| f.message);
    let whole = made(&own)?;
    let nested = format!("holefast = 1\nname = {}1{}", "[".repeat(3000), "]".repeat(3000));
    for (what, address, words) in [
        ("cut short", whole[..whole.len() - 9].to_owned(), "cut short or changed on its way"),
        ("of a later format", format!("{}#job9.AAAAz", served.address), "format 9; this page reads format 1"),
        ("very long", format!("{}#job1.{}", served.address, "A".repeat(100_000)), "8000 at most"),
        ("unpacking to a megabyte", made(&"#".repeat(1 << 20))?, "more than 256 kB"),
        ("no job", made("hello")?, "could not be opened"),
        ("with a number beyond numbers", made(&own.replace("length = 1450", "length = 1e999"))?, "overflowed"),
        ("nested deeply", made(&nested)?, "nested"),
        ("with markup in place of a number", made(&own.replace("1450", "\"<img src=x onerror=alert(1)>\""))?, "<img"),
    ] {
        browser.go(&address)?;
        tells(browser, "The link could not be opened; your jobs are as they were")
            .map_err(|e| format!("{what}: {e}"))?;
        tells(browser, words).map_err(|e| format!("{what}: {e}"))?;
        is(what, &json!(text(browser)?), own.as_str())?;
        browser.click("#not-taken .btn")?;
    }
    // Markup in a name and a note is text, on every place.
    let marked = own
        .replace("name  = \"Trailer top for stage flats\"", "name = '''<img src=x onerror=\"window.ran=1\">'''")
        .replace("left trestle rail", "</title><script>window.ran=1</script>");
    browser.go(&made(&marked)?)?;
    browser.until("return document.querySelector('h1').textContent.includes('<img src=x')")?;
    number_of_jobs(browser, 2)?;
    is("made of it", &browser.run("return document.querySelectorAll('img, script:not([src])').length")?, 0)?;
    is("ran", &browser.run("return window.ran ?? null")?, Value::Null)
}

fn hostile_files(browser: &Browser, _: &Served) -> Result<(), String> {
    leave_out(browser, "B2")?;
    let own = text(browser)?;
    let folder = folder_of("files")?;
    let long = vec![b'#'; 5 << 20];
    let slip = own.replace("thickness = 21", "thickness = \"wide\"");
    let line =
        slip.lines().position(|l| l.contains("\"wide\"")).map_or_else(String::new, |n| format!("Line {}:", n + 1));
    let files: [(&str, &[u8], &str); 4] = [
        ("no-text.toml", &[0xff, 0xfe, 0x00, 0x41], "The file is no text"),
        ("huge.toml", &long, "The file has 5 MB; a job has 4 at most"),
        ("slip.toml", slip.as_bytes(), &line),
        ("beyond.toml", b"holefast = 1\nname = \"a\"\n[top]\nlength = 1e999\nwidth = 1\n", "could not be opened"),
    ];
    hand_on(browser)?;
    for (name, bytes, words) in files {
        let path = folder.join(name);
        std::fs::write(&path, bytes).map_err(|e| e.to_string())?;
        browser.choose("#open", &path)?;
        tells(browser, words).map_err(|e| format!("{name}: {e}"))?;
        browser.click("#not-taken .btn")?;
    }
    number_of_jobs(browser, 1)?;
    is("text", &json!(text(browser)?), own.as_str())?;
    // A good one comes beside it.
    let path = folder.join("good.toml");
    std::fs::write(&path, own.replace("Trailer top for stage flats", "From a file")).map_err(|e| e.to_string())?;
    hand_on(browser)?;
    browser.choose("#open", &path)?;
    tells(browser, "\u{201c}From a file\u{201d} stands beside your other jobs now")?;
    number_of_jobs(browser, 2)?;
    with_places(browser, &folder, &own)
}

/// A job and the file that it names: alone neither is taken, together they become one job that stands alone.
fn with_places(browser: &Browser, folder: &Path, own: &str) -> Result<(), String> {
    let job = own.replace("Trailer top for stage flats", "With a photograph");
    let job = format!("{job}\n[[reading]]\nkind = \"place\"\nplaces = \"photo.json\"\n");
    let photo =
        r#"{"holefast_places": 1, "units": "mm", "holes": ["A1", "A3"], "x": [0, 200.03], "y": [0, 0.01], "u": 0.05}"#;
    let [at_job, at_photo] = ["named.toml", "photo.json"].map(|name| folder.join(name));
    for (path, text) in [(&at_job, job.as_str()), (&at_photo, photo)] {
        std::fs::write(path, text).map_err(|e| e.to_string())?;
    }
    hand_on(browser)?;
    for (path, words) in [(&at_photo, "no job was chosen with them"), (&at_job, "photo.json is not at hand")] {
        browser.choose("#open", path)?;
        tells(browser, words)?;
        browser.click("#not-taken .btn")?;
    }
    // Several files are given to a browser as lines.
    let both = format!("{}\n{}", at_job.display(), at_photo.display());
    browser.choose("#open", Path::new(&both))?;
    tells(browser, "\u{201c}With a photograph\u{201d} stands beside your other jobs now")?;
    number_of_jobs(browser, 3)?;
    let text = text(browser)?;
    is("stands alone", &json!(!text.contains("photo.json") && text.contains("200.03")), true)
}

fn list(browser: &Browser, served: &Served) -> Result<(), String> {
    leave_out(browser, "C3")?;
    hand_on(browser)?;
    browser.fill("#job-name", "Bench by the window")?;
    browser.until("return document.querySelector('h1').firstChild.textContent === 'Bench by the window'")?;
    stands(browser)?;
    is("in the text", &json!(text(browser)?.contains("name  = \"Bench by the window\"")), true)?;
    hand_on(browser)?;
    browser.click("#jobs li.open [aria-label^='Duplicate']")?;
    number_of_jobs(browser, 2)?;
    is("names", &names(browser)?, json!(["Bench by the window (2)", "Bench by the window"]))?;
    // The open one is taken off: the other opens; then it is brought back by the note.
    browser.click("#jobs li.open [aria-label^='Remove']")?;
    number_of_jobs(browser, 1)?;
    is(
        "opened",
        &browser.run("return document.querySelector('h1').firstChild.textContent")?,
        "Bench by the window (2)",
    )?;
    browser.click("#bring-back")?;
    number_of_jobs(browser, 2)?;
    // The last one off the list leaves the example, and what is off the list is still there after a reload.
    for left in [1, 0] {
        browser.click("#jobs li [aria-label^='Remove']")?;
        number_of_jobs(browser, left)?;
    }
    browser.go(&format!("{}?again", served.address))?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "98")?;
    number_of_jobs(browser, 0)?;
    browser.run("document.querySelector('#off-the-list').open = true")?;
    browser.click("#off-the-list [aria-label='Bring back: Bench by the window']")?;
    number_of_jobs(browser, 1)?;
    browser.click("#off-the-list [aria-label^='Remove for good']")?;
    browser.until("return !document.querySelector('#off-the-list')")?;
    browser.click("#jobs .open-job")?;
    browser.run("location.hash = '#lay-out'")?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "97")
}

fn killed(_: &Browser, served: &Served) -> Result<(), String> {
    let profile = folder_of("profile")?;
    let looks = Looks { size: [360, 740], dark: false, phone: true };
    let browser = Browser::open_at(looks, Some(&profile))?;
    browser.go(&served.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    leave_out(&browser, "D4")?;
    let kept = text(&browser)?;
    browser.kill(&profile)?;
    // The lock of the one that was killed would send the next to it.
    for left in ["SingletonLock", "SingletonSocket", "SingletonCookie"] {
        let _ = std::fs::remove_file(profile.join(left));
    }
    let again = Browser::open_at(looks, Some(&profile))?;
    again.go(&served.address)?;
    again.until("return !!document.querySelector('#holes')")?;
    is("text", &json!(text(&again)?), kept)
}

fn same_breath(browser: &Browser, _: &Served) -> Result<(), String> {
    let ready = "document.querySelector('#table').open = true; window.old = true";
    let there = "return !!document.querySelector(\"[data-hole='D4']\")";
    browser.run(ready)?;
    browser.until(there)?;
    let touch = "document.querySelector(\"[data-hole='D4']\").click()";
    browser.run(&format!("{touch}; location.reload()"))?;
    browser.until("return !window.old && !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "97")?;
    stands(browser)?;
    // The same once more, on a job that stands already.
    browser.run(ready)?;
    browser.until(there)?;
    browser.run(&format!("{}; location.reload()", touch.replace("D4", "D5")))?;
    browser.until("return !window.old && !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "96")?;
    number_of_jobs(browser, 1)
}

fn two_tabs(browser: &Browser, served: &Served) -> Result<(), String> {
    leave_out(browser, "A1")?;
    let first = browser.tab()?;
    let second = browser.new_tab()?;
    browser.go(&served.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("both show the same", &holes(browser)?, "97")?;
    leave_out(browser, "A2")?;
    browser.to_tab(&first)?;
    tells(browser, "Another tab has changed this job")?;
    // What is touched now is not saved over theirs, and is not lost.
    browser.click("[data-place='B1']")?;
    browser.until("return document.querySelector('h1 small').textContent.startsWith('Not saved')")?;
    is("mine", &holes(browser)?, "96")?;
    browser.click("#keep-mine")?;
    stands(browser)?;
    is("mine", &holes(browser)?, "96")?;
    let mine = text(browser)?;
    is("under another name", &json!(mine.contains("Trailer top for stage flats (2)")), true)?;
    browser.to_tab(&second)?;
    is("theirs", &json!(text(browser)?.contains("skip = [\"A1\", \"A2\"]")), true)?;
    number_of_jobs(browser, 2)?;
    // The other way: theirs is taken, and undo brings mine back.
    leave_out(browser, "C1")?;
    let third = browser.new_tab()?;
    browser.go(&served.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    // It opens the job that was opened last, which is the first tab's own.
    number_of_jobs(browser, 2)?;
    browser.click("#jobs li:not(.open) .open-job")?;
    leave_out(browser, "C2")?;
    browser.to_tab(&second)?;
    tells(browser, "Another tab has changed this job")?;
    browser.click("#take-theirs")?;
    is("theirs", &holes(browser)?, "94")?;
    browser.click("#undo")?;
    is("mine", &holes(browser)?, "95")?;
    stands(browser)?;
    browser.to_tab(&third)?;
    tells(browser, "Another tab has changed this job")?;
    number_of_jobs(browser, 2)
}

/// Catches what the page hands over as a file.
const CATCH: &str = "window.got = null; const make = URL.createObjectURL; URL.createObjectURL = blob => { \
                     blob.text().then(text => window.got = text); return make.call(URL, blob); }";

fn full(browser: &Browser, served: &Served) -> Result<(), String> {
    // Before the first change: the browser asks how much room there is twice a minute only.
    let origin = served.address.trim_end_matches('/');
    browser.devtools("Storage.overrideQuotaForOrigin", json!({ "origin": origin, "quotaSize": 1 }))?;
    browser.click("[data-place='A2']")?;
    tells(browser, "No room left on this device")?;
    is(
        "beside the name",
        &browser.run("return document.querySelector('h1 small').textContent.trim()")?,
        "Not saved on this device",
    )?;
    is("the change is there", &holes(browser)?, "97")?;
    browser.run(CATCH)?;
    browser.click("#not-saved .btn")?;
    browser.until("return window.got !== null")?;
    is("the file", &browser.run("return window.got")?, text(browser)?)?;
    // Room again: the next change saves everything.
    browser.devtools("Storage.overrideQuotaForOrigin", json!({ "origin": origin }))?;
    browser.click("[data-place='A3']")?;
    stands(browser)?;
    browser.go(&format!("{}?again", served.address))?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("holes", &holes(browser)?, "96")
}

fn refused(_: &Browser, served: &Served) -> Result<(), String> {
    let browser = Browser::open(Looks { size: [360, 740], dark: false, phone: true })?;
    let refuse = "for (const name of ['indexedDB', 'localStorage', 'sessionStorage']) Object.defineProperty(window, name, \
                  { get() { throw new DOMException('no', 'SecurityError'); } })";
    browser.devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": refuse }))?;
    browser.go(&served.address)?;
    browser.until("return !!document.querySelector('#holes')")?;
    tells(&browser, "This browser keeps nothing for this page")?;
    browser.click("[data-place='D4']")?;
    is("holes", &holes(&browser)?, "97")?;
    browser.click("#undo")?;
    is("holes", &holes(&browser)?, "98")?;
    browser.click("#redo")?;
    // A link that comes does not push it out.
    let kept = text(&browser)?;
    let came = kept.replace("Trailer top for stage flats", "Came by link");
    browser.go(&link::link(&served.address, &came).map_err(|f| f.message)?)?;
    is("text", &json!(text(&browser)?), came)?;
    number_of_jobs(&browser, 2)?;
    browser.click("#jobs li:not(.open) .open-job")?;
    is("text", &json!(text(&browser)?), kept)
}

/// Puts texts into the page's database as anything might, and reads all of it back.
const STORE: &str = "const put = arguments[0]; const done = arguments[arguments.length - 1]; \
                     const open = indexedDB.open('holefast', 1); \
                     open.onsuccess = () => { const t = open.result.transaction('jobs', 'readwrite'); \
                     const s = t.objectStore('jobs'); for (const [k, v] of put) s.put(v, k); \
                     const keys = s.getAllKeys(), all = s.getAll(); \
                     t.oncomplete = () => { open.result.close(); done(keys.result.map((k, i) => [k, all.result[i]])); }; };";

fn spoilt(browser: &Browser, served: &Served) -> Result<(), String> {
    leave_out(browser, "D4")?;
    let put = json!([
        ["a", "not a job"],
        ["b", { "format": 1, "text": "<img src=x onerror=window.ran=1>" }],
        ["c", format!("{}{}", "[".repeat(50_000), "]".repeat(50_000))],
        ["d", "{\"format\":7,\"version\":1,\"text\":\"\",\"name\":\"<b>x</b>\",\"made\":1,\"changed\":1,\"copied\":null,\"removed\":null}"],
        ["e", 1.5],
    ]);
    browser.run_waiting(STORE, &put)?;
    browser.go(&format!("{}?again", served.address))?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("the job is open all the same", &holes(browser)?, "97")?;
    leave_out(browser, "D5")?;
    number_of_jobs(browser, 1)?;
    is("set aside", &browser.run("return document.querySelectorAll('.broken').length")?, 5)?;
    is("ran", &browser.run("return window.ran ?? null")?, Value::Null)?;
    let all = browser.run_waiting(STORE, &json!([]))?;
    let all = all.as_array().cloned().unwrap_or_default();
    for one in put.as_array().into_iter().flatten() {
        if !all.contains(one) {
            return Err(format!("{one} does not stand any more: {all:?}"));
        }
    }
    // What is set aside can be had as a file, and is removed by the person alone.
    browser.run(CATCH)?;
    browser.click(".broken .btn")?;
    browser.until("return window.got !== null")?;
    browser.click(".broken .btn:last-child")?;
    browser.until("return document.querySelectorAll('.broken').length === 4")
}

fn earlier(browser: &Browser, served: &Served) -> Result<(), String> {
    let job = text(browser)?.replace("Trailer top for stage flats", "From before");
    browser.run(&format!("localStorage.setItem('holefast job 1', {})", json!(job)))?;
    browser.go(&format!("{}?again", served.address))?;
    browser.until("return !!document.querySelector('#holes')")?;
    is("text", &json!(text(browser)?), job)?;
    number_of_jobs(browser, 1)?;
    is("not twice", &browser.run("return localStorage.getItem('holefast job 1')")?, Value::Null)
}

fn newer(browser: &Browser, served: &Served) -> Result<(), String> {
    // A folder of its own, which becomes a newer version under the page.
    let folder = folder_of("newer")?;
    for entry in std::fs::read_dir(&served.folder).map_err(|e| e.to_string())? {
        let path = entry.map_err(|e| e.to_string())?.path();
        std::fs::copy(&path, folder.join(path.file_name().unwrap_or_default())).map_err(|e| e.to_string())?;
    }
    let own = Served::start(&folder, 0)?;
    browser.go(&own.address)?;
    browser.until(
        "return !!document.querySelector('#holes') && !!navigator.serviceWorker.controller || \
                   (location.reload(), false)",
    )?;
    leave_out(browser, "D4")?;
    let rewrite = |name: &str, from: &str, to: &str| {
        let path = folder.join(name);
        let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
        if text.contains(from) {
            std::fs::write(&path, text.replace(from, to)).map_err(|e| e.to_string())
        } else {
            Err(format!("{name} has no {from}"))
        }
    };
    rewrite("index.html", "<title>holefast</title>", "<title>holefast, newer</title>")?;
    rewrite("keep.js", "const VERSION = '", "const VERSION = 'newer-")?;
    browser.run("window.old = true; navigator.serviceWorker.getRegistration().then(r => r.update())")?;
    tells(browser, "A newer version of this page is ready")?;
    // Nothing is forced: the work goes on.
    is("the same page", &browser.run("return window.old")?, true)?;
    browser.click("[data-place='D5']")?;
    stands(browser)?;
    browser.click("#take-newer")?;
    browser.until("return !window.old && !!document.querySelector('#holes')")?;
    is("title", &browser.run("return document.title")?, "holefast, newer")?;
    is("holes", &holes(browser)?, "96")?;
    own.stop();
    Ok(())
}

fn no_other_host(browser: &Browser, served: &Served) -> Result<(), String> {
    // What the page says of itself.
    let page = std::fs::read_to_string(served.folder.join("index.html")).map_err(|e| e.to_string())?;
    let policy =
        page.split("http-equiv=\"Content-Security-Policy\" content=\"").nth(1).and_then(|p| p.split('"').next());
    let policy = policy.ok_or("the page has no policy")?;
    for word in policy.split([' ', ';']).filter(|w| !w.is_empty()) {
        let own = ["'none'", "'self'", "'wasm-unsafe-eval'", "data:"].contains(&word)
            || word.ends_with("-src")
            || ["form-action", "base-uri"].contains(&word);
        if !own {
            return Err(format!("the policy lets in {word}"));
        }
    }
    if !policy.contains("default-src 'none'")
        || page.matches("<script").count() != page.matches("<script type=\"module\" src=\"./").count()
    {
        return Err("the policy does not begin with nothing, or there is a script in the page".to_owned());
    }
    // What the browser makes of it, with another host listening.
    let other = Served::start(&served.folder, 0)?;
    let tries = format!(
        "const at = '{}', done = arguments[arguments.length - 1]; window.ran = 0; const seen = []; \
         document.addEventListener('securitypolicyviolation', e => seen.push(e.effectiveDirective)); \
         const script = document.createElement('script'); script.textContent = 'window.ran = 1'; document.body.append(script); \
         const image = document.createElement('img'); image.src = at + 'icon.svg'; document.body.append(image); \
         const far = document.createElement('script'); far.src = at + 'begin.js'; document.body.append(far); \
         const frame = document.createElement('iframe'); frame.src = at; document.body.append(frame); \
         document.body.insertAdjacentHTML('beforeend', '<p onclick=\"window.ran = 1\" id=\"p\">x</p>'); document.querySelector('#p').click(); \
         Promise.allSettled([fetch(at), new Promise((_, no) => {{ const s = new WebSocket(at.replace('http', 'ws')); s.onerror = no; }})]) \
         .then(ends => setTimeout(() => done([window.ran, ends.map(e => e.status), [...new Set(seen)].sort()]), 300))",
        other.address
    );
    let found = browser.run_waiting(&tries, &Value::Null)?;
    let wanted = json!([
        0,
        ["rejected", "rejected"],
        ["connect-src", "frame-src", "img-src", "script-src-attr", "script-src-elem"]
    ]);
    is("tried in vain", &found, wanted)?;
    is("asked of the other", &json!(other.asked()), json!([]))?;
    other.stop();
    // Everything the page fetched on all its places came from its own.
    hand_on(browser)?;
    let others = browser.run("return performance.getEntriesByType('resource').map(e => e.name).filter(n => !n.startsWith(location.origin) && !n.startsWith('blob:'))")?;
    let others: Vec<Value> = others.as_array().cloned().unwrap_or_default();
    let mine: Vec<&Value> =
        others.iter().filter(|n| !n.as_str().unwrap_or_default().starts_with(&other.address)).collect();
    is("asked elsewhere", &json!(mine), json!([]))
}

/// An empty folder for a trial's files, in the system's place for such.
fn folder_of(name: &str) -> Result<PathBuf, String> {
    let name = own(&format!("holefast-web-{}-{name}", std::process::id()));
    let folder = std::env::temp_dir().join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    Ok(folder)
}
