//! A browser driven by the W3C's WebDriver protocol: Debian's Chromium through its driver. As much
//! of the protocol as the tests ask for.

use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use base64::Engine as _;
use serde_json::{Value, json};

/// Where the driver listens; any free port would do, and tests do not run side by side.
const PORT: u16 = 9516;

/// So long a page may take before a wait is given up.
const PATIENCE: Duration = Duration::from_secs(20);

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
            .arg(format!("--port={PORT}"))
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

    /// Clicks (or taps) the middle of an element.
    pub fn click(&self, css: &str) -> Result<(), String> {
        let element = self.element(css)?;
        // In view it may still lie under the bar of places; a person would move it up.
        let script = "arguments[0].scrollIntoView({ block: 'center' })";
        let reference = json!({ ELEMENT: element });
        self.call("POST", "/execute/sync", Some(json!({ "script": script, "args": [reference] })))?;
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

    /// The window as a PNG.
    pub fn picture(&self) -> Result<Vec<u8>, String> {
        let taken = self.call("GET", "/screenshot", None)?;
        let text = taken.as_str().ok_or("no picture")?;
        base64::engine::general_purpose::STANDARD.decode(text).map_err(|e| e.to_string())
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
    let address = format!("http://127.0.0.1:{PORT}{path}");
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
