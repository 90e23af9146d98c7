//! A browser driven by the W3C's WebDriver protocol: Debian's Chromium through its driver. As much
//! of the protocol as the tests ask for.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::LazyLock;
use std::time::{Duration, Instant};

use base64::Engine as _;
use serde_json::{Value, json};

/// Where the driver listens: a port that was free when it was first asked for.
static PORT: LazyLock<u16> = LazyLock::new(|| {
    /// Where none can be asked for.
    const USUAL: u16 = 9516;
    let free = std::net::TcpListener::bind(("127.0.0.1", 0)).and_then(|listener| listener.local_addr());
    free.map_or(USUAL, |address| address.port())
});

/// So long a page may take before a wait is given up; two browsers share the processors.
const PATIENCE: Duration = Duration::from_secs(40);

/// The key that protocol uses for an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A driver that is stopped when it is dropped.
pub struct Driver {
    process: Child,
}

impl Driver {
    /// Starts the driver.
    pub fn start() -> Result<Driver, String> {
        let process = Command::new("chromedriver")
            .arg(format!("--port={}", *PORT))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|e| format!("chromedriver: {e}; apt-get install chromium chromium-driver"))?;
        let driver = Driver { process };
        let start = Instant::now();
        while start.elapsed() < PATIENCE {
            if call("GET", "/status", None).is_ok_and(|v| v["ready"] == true) {
                return Ok(driver);
            }
            std::thread::sleep(Duration::from_millis(100));
        }
        Err("chromedriver does not answer".to_owned())
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        // Gone already is as good.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// How the browser presents itself.
#[derive(Clone, Copy, Debug)]
pub struct Looks {
    /// Width and height of the window's content, px.
    pub size: [u32; 2],
    /// Dark colours asked for.
    pub dark: bool,
    /// Touch instead of a mouse.
    pub phone: bool,
}

/// A browser window with a profile of its own.
pub struct Browser {
    session: String,
    /// How it presents itself.
    pub looks: Looks,
}

impl Browser {
    /// Opens a window.
    pub fn open(looks: Looks) -> Result<Browser, String> {
        Browser::open_with(looks, &[])
    }

    /// Opens a window with a profile that outlives it.
    pub fn open_at(looks: Looks, profile: Option<&Path>) -> Result<Browser, String> {
        let more: Vec<String> = profile.map(|p| format!("--user-data-dir={}", p.display())).into_iter().collect();
        Browser::open_with(looks, &more)
    }

    /// Opens a window of a browser that was started with more arguments.
    pub fn open_with(looks: Looks, more: &[String]) -> Result<Browser, String> {
        let [width, height] = looks.size;
        let mut arguments = vec![
            "--headless".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-quic".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-sync".to_owned(),
            "--force-prefers-reduced-motion".to_owned(),
            format!("--window-size={width},{height}"),
        ];
        arguments.extend_from_slice(more);
        if looks.dark {
            arguments.push("--force-dark-mode".to_owned());
            arguments.push("--blink-settings=preferredColorScheme=0".to_owned());
        }
        let mut options = json!({ "args": arguments });
        if looks.phone {
            options["mobileEmulation"] =
                json!({ "deviceMetrics": { "width": width, "height": height, "pixelRatio": 2.0, "touch": true } });
        }
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "browserName": "chrome", "goog:chromeOptions": options, "goog:loggingPrefs": { "browser": "ALL" } } } });
        let made = call("POST", "/session", Some(wanted))?;
        let session = made["sessionId"].as_str().ok_or("no session")?.to_owned();
        Ok(Browser { session, looks })
    }

    fn call(&self, method: &str, path: &str, body: Option<Value>) -> Result<Value, String> {
        call(method, &format!("/session/{}{path}", self.session), body)
    }

    /// Goes to an address.
    pub fn go(&self, address: &str) -> Result<(), String> {
        self.call("POST", "/url", Some(json!({ "url": address }))).map(|_| ())
    }

    /// What a function body returns.
    pub fn run(&self, script: &str) -> Result<Value, String> {
        self.call("POST", "/execute/sync", Some(json!({ "script": script, "args": [] })))
    }

    /// What a promise comes to.
    pub fn awaited(&self, promise: &str) -> Result<Value, String> {
        let script = format!("const done = arguments[0]; ({promise}).then(done, why => done(String(why)))");
        self.call("POST", "/execute/async", Some(json!({ "script": script, "args": [] })))
    }

    /// Waits until a function body returns true.
    pub fn until(&self, script: &str) -> Result<(), String> {
        self.until_within(PATIENCE, script)
    }

    /// Waits so long until a function body returns true.
    pub fn until_within(&self, patience: Duration, script: &str) -> Result<(), String> {
        let start = Instant::now();
        while start.elapsed() < patience {
            if self.run(script)? == true {
                return Ok(());
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        Err(format!("waited in vain for: {script}"))
    }

    fn element(&self, css: &str) -> Result<String, String> {
        let found = self.call("POST", "/element", Some(json!({ "using": "css selector", "value": css })))?;
        found[ELEMENT].as_str().map(str::to_owned).ok_or_else(|| format!("no element {css}"))
    }

    /// Scrolls an element into the middle, as a person does: at an edge it may lie under the bar of places.
    fn to_the_middle(&self, element: &str) -> Result<(), String> {
        let script = "arguments[0].scrollIntoView({ block: 'center', inline: 'center' })";
        let middle = json!({ "script": script, "args": [{ ELEMENT: element }] });
        self.call("POST", "/execute/sync", Some(middle)).map(|_| ())
    }

    /// Clicks (or taps) the middle of an element.
    pub fn click(&self, css: &str) -> Result<(), String> {
        let element = self.element(css)?;
        self.to_the_middle(&element)?;
        self.call("POST", &format!("/element/{element}/click"), Some(json!({})))
            .map(|_| ())
            .map_err(|e| format!("{css}: {e}"))
    }

    /// Draws with one finger (or the mouse with its button down) from place to place of the window, px.
    pub fn draw(&self, with: &str, way: &[[f64; 2]]) -> Result<(), String> {
        self.fingers(&[(with, way)])
    }

    /// Draws with several fingers at once, each its own way of as many places.
    pub fn fingers(&self, ways: &[(&str, &[[f64; 2]])]) -> Result<(), String> {
        const STEP_MS: u32 = 30;
        let step = |kind: &str, at: [f64; 2]| json!({ "type": kind, "duration": STEP_MS, "x": at[0].round() as i64, "y": at[1].round() as i64 });
        let fingers: Vec<Value> = ways
            .iter()
            .enumerate()
            .map(|(i, (with, way))| {
                let mut actions: Vec<Value> = way.iter().map(|&at| step("pointerMove", at)).collect();
                actions.insert(1.min(actions.len()), json!({ "type": "pointerDown", "button": 0 }));
                actions.push(json!({ "type": "pointerUp", "button": 0 }));
                json!({ "type": "pointer", "id": format!("{with}{i}"), "parameters": { "pointerType": with },
                    "actions": actions })
            })
            .collect();
        self.call("POST", "/actions", Some(json!({ "actions": fingers }))).map(|_| ())
    }

    /// Types into whatever has the keyboard.
    pub fn press(&self, keys: &[&str]) -> Result<(), String> {
        let actions: Vec<Value> = keys
            .iter()
            .flat_map(|key| [json!({ "type": "keyDown", "value": key }), json!({ "type": "keyUp", "value": key })])
            .collect();
        self.call("POST", "/actions", Some(json!({ "actions": [{ "type": "key", "id": "keys", "actions": actions }] })))
            .map(|_| ())
    }

    /// Types a text into a field in place of what it holds, and leaves the field.
    pub fn fill(&self, css: &str, text: &str) -> Result<(), String> {
        let element = self.element(css)?;
        // All of it selected by Ctrl and A, as a person does; what is typed takes its place.
        let typed = format!("\u{e009}a\u{e000}{text}");
        self.call("POST", &format!("/element/{element}/value"), Some(json!({ "text": typed })))?;
        self.run("document.activeElement.blur()").map(|_| ())
    }

    /// What a function body hands to its last argument; the first is `given`.
    pub fn run_waiting(&self, script: &str, given: &Value) -> Result<Value, String> {
        self.call("POST", "/execute/async", Some(json!({ "script": script, "args": [given] })))
    }

    /// Chooses a file for a field that takes one.
    pub fn choose(&self, css: &str, path: &Path) -> Result<(), String> {
        let element = self.element(css)?;
        let typed = json!({ "text": path.to_string_lossy() });
        self.call("POST", &format!("/element/{element}/value"), Some(typed)).map(|_| ())
    }

    /// An element as a picture, PNG.
    pub fn picture_of(&self, css: &str) -> Result<Vec<u8>, String> {
        let element = self.element(css)?;
        self.to_the_middle(&element)?;
        let picture = self.call("GET", &format!("/element/{element}/screenshot"), None)?;
        let letters = picture.as_str().unwrap_or_default();
        base64::engine::general_purpose::STANDARD.decode(letters).map_err(|e| e.to_string())
    }

    /// The window as a picture, PNG.
    pub fn picture(&self) -> Result<Vec<u8>, String> {
        let picture = self.call("GET", "/screenshot", None)?;
        let letters = picture.as_str().unwrap_or_default();
        base64::engine::general_purpose::STANDARD.decode(letters).map_err(|e| e.to_string())
    }

    /// The tab that is looked at.
    pub fn tab(&self) -> Result<String, String> {
        let tab = self.call("GET", "/window", None)?;
        tab.as_str().map(str::to_owned).ok_or_else(|| "no tab".to_owned())
    }

    /// Opens another tab and looks at it.
    pub fn new_tab(&self) -> Result<String, String> {
        let made = self.call("POST", "/window/new", Some(json!({ "type": "tab" })))?;
        let tab = made["handle"].as_str().ok_or("no tab")?.to_owned();
        self.to_tab(&tab)?;
        Ok(tab)
    }

    /// Looks at a tab.
    pub fn to_tab(&self, tab: &str) -> Result<(), String> {
        self.call("POST", "/window", Some(json!({ "handle": tab }))).map(|_| ())
    }

    /// Kills the browser that has this profile, as a battery does: its lock names the process.
    pub fn kill(&self, profile: &Path) -> Result<(), String> {
        let lock = std::fs::read_link(profile.join("SingletonLock")).map_err(|e| format!("no lock: {e}"))?;
        let lock = lock.to_string_lossy().into_owned();
        let process = lock.rsplit('-').next().filter(|p| p.bytes().all(|b| b.is_ascii_digit()));
        let process = process.ok_or_else(|| format!("the lock {lock} names no process"))?;
        let killed = Command::new("kill").args(["-9", process]).status().map_err(|e| e.to_string())?;
        if killed.success() { Ok(()) } else { Err(format!("process {process} could not be killed")) }
    }

    /// What the browser complained of since it was last asked.
    pub fn complaints(&self) -> Result<Vec<String>, String> {
        let log = self.call("POST", "/se/log", Some(json!({ "type": "browser" })))?;
        let all = log.as_array().cloned().unwrap_or_default();
        Ok(all.iter().filter_map(|l| l["message"].as_str().map(str::to_owned)).collect())
    }

    /// The driver's own protocol of the browser, for what WebDriver does not know.
    pub fn devtools(&self, command: &str, parameters: Value) -> Result<Value, String> {
        self.call("POST", "/goog/cdp/execute", Some(json!({ "cmd": command, "params": parameters })))
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.call("DELETE", "", None);
    }
}

fn call(method: &str, path: &str, body: Option<Value>) -> Result<Value, String> {
    let address = format!("http://127.0.0.1:{}{path}", *PORT);
    let agent: ureq::Agent = ureq::Agent::config_builder().http_status_as_error(false).build().into();
    let answer = match (method, body) {
        ("GET", _) => agent.get(&address).call(),
        ("DELETE", _) => agent.delete(&address).call(),
        (_, body) => agent.post(&address).send_json(body.unwrap_or(json!({}))),
    };
    let mut answer = answer.map_err(|e| e.to_string())?;
    let value: Value = answer.body_mut().read_json().map_err(|e| e.to_string())?;
    match value["value"]["error"].as_str() {
        Some(error) => Err(format!(
            "{error}: {}",
            value["value"]["message"].as_str().unwrap_or_default().lines().next().unwrap_or_default()
        )),
        None => Ok(value["value"].clone()),
    }
}
