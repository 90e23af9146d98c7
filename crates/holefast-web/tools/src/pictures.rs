//! Pictures of every place, phone and desk, light and dark, empty of faults and with one: for eyes, not
//! for comparing.

use std::path::Path;

use serde_json::json;

use crate::browser::{DESK, PHONE};
use crate::driver::{Browser, Driver};
use crate::serve::Served;

/// States that are worth a look: a name, the place's link, and what is done there first.
const STATES: [(&str, &str, &str); 10] = [
    ("lay-out", "to-lay-out", ""),
    (
        "lay-out-keep-outs",
        "to-lay-out",
        "document.querySelector('#touch-keep-outs').click(); document.querySelector('#keep-outs').open = true",
    ),
    ("lay-out-sheet", "to-lay-out", "document.querySelector('#touch-sheet').click()"),
    ("lay-out-near", "to-lay-out", "for (let i = 0; i < 3; i++) document.querySelector('#nearer').click()"),
    (
        "lay-out-slip",
        "to-lay-out",
        "const f = document.querySelector('#top-length'); f.value = 'long'; f.dispatchEvent(new Event('change')); document.querySelector('#faults').scrollIntoView({ block: 'center' })",
    ),
    ("prove-read", "to-prove", READ),
    ("cut-slip", "to-cut", SLIP),
    ("cut-out-of-reach", "to-cut", OUT_OF_REACH),
    ("cut-parts", "to-lay-out", PARTS),
    ("hand-on-lower", "to-hand-on", "document.querySelector('#jobs').scrollIntoView()"),
];

/// An angle that is none.
const SLIP: &str = "const f = document.querySelector('#cut-angle'); f.value = 'steep'; f.dispatchEvent(new Event('change')); \
    f.scrollIntoView(); return new Promise(r => setTimeout(r, 1500))";

/// An angle that no two lines make.
const OUT_OF_REACH: &str = "const f = document.querySelector('#cut-angle'); f.value = '0.1'; f.dispatchEvent(new Event('change')); \
    f.scrollIntoView(); return new Promise(r => setTimeout(r, 1500))";

/// An invented list of parts, entered in the text, and what becomes of it.
const PARTS: &str = "const wait = ms => new Promise(r => setTimeout(r, ms)); const f = document.querySelector('#job'); \
    f.value += `\\n[[part]]\\nname = \"side\"\\nlength = 720\\nwidth = 560\\nquantity = 4\\ntolerance = 0.3\\n\\n[[part]]\\nname = \"shelf\"\\n\\
    length = 764\\nwidth = 540\\nquantity = 6\\n\\n[[stock]]\\nname = \"sheet\"\\nlength = 2440\\nwidth = 1220\\nquantity = 4\\nkerf = 2.2\\ntrim = 5\\n`; \
    return (async () => { f.dispatchEvent(new Event('change')); await wait(500); location.hash = 'cut'; await wait(25000); \
    document.querySelector('#parts-top').open = true; document.querySelector('#parts-top').scrollIntoView(); })()";

/// Three invented readings, entered as a person does.
const READ: &str = "const wait = ms => new Promise(r => setTimeout(r, ms)); \
    const put = (id, text, as) => { const f = document.querySelector(id); f.value = text; f.dispatchEvent(new Event(as)) }; \
    return (async () => { put('#add-what', 'long caliper', 'change'); document.querySelector('#add-instrument').click(); await wait(800); \
    for (const [a, b, v] of [['A1', 'G9', '1000.08'], ['A9', 'G1', '999.90'], ['A6', 'G14', '1000.02']]) { \
    put('#reading-hole-0', a, 'change'); put('#reading-hole-1', b, 'change'); put('#reading-value-0', v, 'input'); \
    document.querySelector('#enter-reading').click(); await wait(2500); } \
    document.querySelector('#proof').scrollIntoView(); await wait(3000); })()";

/// Writes those whose name contains a word, of all and of every place of the bar as it opens.
pub fn all(folder: &Path, to: &Path, named: &str) -> Result<(), String> {
    std::fs::create_dir_all(to).map_err(|e| format!("{}: {e}", to.display()))?;
    let _driver = Driver::start()?;
    let served = Served::start(folder, 0)?;
    for (size, looks) in [("phone", PHONE), ("desk", DESK)] {
        for scheme in ["light", "dark"] {
            let open = || -> Result<Browser, String> {
                let browser = Browser::open(looks)?;
                let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
                browser.devtools("Emulation.setEmulatedMedia", features)?;
                browser.go(&served.address)?;
                browser.until("return !!document.querySelector('#holes')")?;
                Ok(browser)
            };
            let places = open()?.run("return [...document.querySelectorAll('.nav a')].map(a => a.id)")?;
            let places: Vec<String> = serde_json::from_value(places).map_err(|e| e.to_string())?;
            let plain = places
                .iter()
                .filter(|id| *id != "to-lay-out")
                .map(|id| (id.trim_start_matches("to-"), id.as_str(), ""));
            for (name, link, first) in STATES.into_iter().chain(plain).filter(|(name, ..)| name.contains(named)) {
                // Each in a browser that has never seen the page: a slip stays on the device.
                let browser = open()?;
                browser.run(&format!("document.querySelector('#{link}').click()"))?;
                // What a worker works out needs its time.
                std::thread::sleep(std::time::Duration::from_millis(if first.is_empty() { 1500 } else { 100 }));
                browser.run(first)?;
                std::thread::sleep(std::time::Duration::from_millis(100));
                let path = to.join(format!("{name}-{size}-{scheme}.png"));
                std::fs::write(&path, browser.picture()?).map_err(|e| format!("{}: {e}", path.display()))?;
            }
        }
    }
    served.stop();
    Ok(())
}
