//! A real browser, headless Chromium, driven as W3C `WebDriver` says; nothing else is known of it.

use std::io::{BufRead, BufReader};
use std::ops::Deref;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};
use std::time::Duration;

use serde_json::{Value, json};
use ureq::Agent;

/// Where the packages come from, for whoever has no browser.
const NEEDED: &str = "the page beside the work is checked in a real browser: install the Debian \
                      packages `chromium` and `chromium-driver`, as tests/run does";

/// The browser of all checks that run now or wait for it; the last of them closes it.
static OPEN: Mutex<Weak<Browser>> = Mutex::new(Weak::new());

/// Whose turn it is: one window, one check.
static TURN: Mutex<()> = Mutex::new(());

/// A window as if nothing had been opened in it before, for as long as this lives.
#[derive(Debug)]
pub(super) struct Window {
    browser: Arc<Browser>,
    _turn: MutexGuard<'static, ()>,
}

impl Window {
    /// A window of so many CSS pixels.
    pub(super) fn of_size((width, height): (u32, u32)) -> Self {
        // A check that failed spoils nothing: the next one begins afresh.
        let mut open = OPEN.lock().unwrap_or_else(PoisonError::into_inner);
        let browser = open.upgrade().unwrap_or_else(|| {
            let browser = Arc::new(Browser::start());
            *open = Arc::downgrade(&browser);
            browser
        });
        drop(open);
        let turn = TURN.lock().unwrap_or_else(PoisonError::into_inner);
        browser.refresh();
        browser.size(width, height);
        Self {
            browser,
            _turn: turn,
        }
    }
}

impl Deref for Window {
    type Target = Browser;

    fn deref(&self) -> &Browser {
        &self.browser
    }
}

/// An open browser. It closes, and the driver with it, when this is dropped.
#[derive(Debug)]
pub(super) struct Browser {
    driver: Child,
    agent: Agent,
    session: String,
}

impl Browser {
    fn start() -> Self {
        let mut driver = Command::new("chromedriver")
            .arg("--port=0")
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap_or_else(|error| panic!("chromedriver: {error}; {NEEDED}"));
        let said = BufReader::new(driver.stdout.take().expect("its output is piped"));
        let port = said.lines().map_while(Result::ok).find_map(|line| {
            let (_, port) = line.split_once("started successfully on port ")?;
            port.trim_end_matches('.').parse::<u16>().ok()
        });
        let Some(port) = port else {
            // Best effort: it has ended, or is of no use.
            let _ = driver.kill();
            panic!("chromedriver did not start; {NEEDED}");
        };
        let config = Agent::config_builder()
            .http_status_as_error(false)
            .timeout_global(Some(Duration::from_secs(60)));
        let mut browser = Self {
            driver,
            agent: config.build().into(),
            session: format!("http://127.0.0.1:{port}/session"),
        };
        // Root needs --no-sandbox; what is opened is our own file.
        let wanted = json!({"capabilities": {"alwaysMatch": {
            "goog:chromeOptions": {"args": ["--headless=new", "--no-sandbox", "--disable-gpu"]},
            "goog:loggingPrefs": {"browser": "ALL", "performance": "ALL"},
        }}});
        let answer = browser.call("POST", "", Some(&wanted));
        let id = answer["sessionId"].as_str().unwrap_or_else(|| {
            panic!("no session: {answer}; {NEEDED}");
        });
        browser.session = format!("{}/{id}", browser.session);
        browser
    }

    /// Nothing kept, nothing emulated but that movement is unwanted, nothing logged.
    fn refresh(&self) {
        self.open("about:blank");
        let kept = json!({"origin": "file://", "storageTypes": "local_storage"});
        self.cdp("Storage.clearDataForOrigin", &kept);
        self.cdp(
            "Emulation.setScriptExecutionDisabled",
            &json!({"value": false}),
        );
        self.emulate("", "prefers-reduced-motion", "reduce");
        for kind in ["browser", "performance"] {
            self.log(kind);
        }
    }

    /// A medium, empty for the screen, and a media feature.
    pub(super) fn emulate(&self, media: &str, feature: &str, value: &str) {
        let features = [json!({"name": feature, "value": value})];
        self.cdp(
            "Emulation.setEmulatedMedia",
            &json!({"media": media, "features": features}),
        );
    }

    /// One command of the protocol; its value, an error's too.
    fn call(&self, method: &str, path: &str, body: Option<&Value>) -> Value {
        let url = format!("{}{path}", self.session);
        let sent = match (method, body) {
            ("GET", _) => self.agent.get(&url).call(),
            (_, body) => {
                let body = body.map_or_else(|| "{}".to_owned(), Value::to_string);
                let request = self.agent.post(&url);
                request.content_type("application/json").send(body)
            }
        };
        let mut answer = sent.unwrap_or_else(|error| panic!("{path}: {error}"));
        let text = answer.body_mut().with_config().limit(1 << 28);
        let text = text.read_to_string().expect("an answer in text");
        let mut answer: Value = serde_json::from_str(&text).expect("an answer in JSON");
        answer["value"].take()
    }

    /// A command that must not fail.
    fn done(&self, path: &str, body: &Value) -> Value {
        let value = self.call("POST", path, Some(body));
        assert!(value.get("error").is_none(), "{path} {body}: {value}");
        value
    }

    /// The window as a telephone or a desk shows it.
    pub(super) fn size(&self, width: u32, height: u32) {
        self.cdp(
            "Emulation.setDeviceMetricsOverride",
            &json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 800}),
        );
    }

    /// A command of the browser's own developer protocol.
    pub(super) fn cdp(&self, command: &str, parameters: &Value) -> Value {
        let body = json!({"cmd": command, "params": parameters});
        self.done("/goog/cdp/execute", &body)
    }

    /// Opens a page and waits until it is loaded.
    pub(super) fn open(&self, url: &str) {
        self.done("/url", &json!({"url": url}));
    }

    /// Opens a file and waits until it is loaded.
    pub(super) fn open_file(&self, path: &Path) {
        self.open(&format!("file://{}", path.display()));
    }

    /// Loads the page again and waits until it is seen.
    pub(super) fn reload(&self) {
        self.done("/refresh", &json!({}));
        self.seen();
    }

    /// Waits for the first paint: a loaded page may not be painted yet, and the browser may drop
    /// keys and taps on what nobody can see. Scripts must be allowed.
    pub(super) fn seen(&self) {
        let script =
            "new PerformanceObserver(arguments[0]).observe({type: 'paint', buffered: true})";
        self.done("/execute/async", &json!({"script": script, "args": []}));
    }

    /// The value of a script's `return`.
    pub(super) fn ask(&self, script: &str) -> Value {
        self.done("/execute/sync", &json!({"script": script, "args": []}))
    }

    /// The value of a script's `return` as text.
    pub(super) fn text(&self, script: &str) -> String {
        let value = self.ask(script);
        let text = value.as_str();
        text.unwrap_or_else(|| panic!("{script}: {value}"))
            .to_owned()
    }

    /// Taps where the middle of an element is seen; fails if something else lies there.
    pub(super) fn tap(&self, selector: &str) {
        self.done(
            &format!("/element/{}/click", self.find(selector)),
            &json!({}),
        );
    }

    fn find(&self, selector: &str) -> String {
        let found = self.find_all(selector);
        assert_eq!(found.len(), 1, "{selector}");
        found[0].clone()
    }

    /// The elements of a selector, for [`Self::computed`].
    pub(super) fn find_all(&self, selector: &str) -> Vec<String> {
        let query = json!({"using": "css selector", "value": selector});
        let found = self.done("/elements", &query);
        let ids = found.as_array().expect("a list of elements").iter();
        ids.filter_map(|element| element.as_object()?.values().next()?.as_str())
            .map(str::to_owned)
            .collect()
    }

    /// What a screen reader is told of an element: `computedlabel`, `computedrole`.
    pub(super) fn computed(&self, element: &str, what: &str) -> String {
        let value = self.call("GET", &format!("/element/{element}/{what}"), None);
        value.as_str().unwrap_or_default().to_owned()
    }

    /// Presses keys, one after the other; special ones are in the private area of Unicode.
    pub(super) fn keys(&self, keys: &str) {
        let strokes = keys.chars().flat_map(|key| {
            let stroke = |kind: &str| json!({"type": kind, "value": key.to_string()});
            [stroke("keyDown"), stroke("keyUp")]
        });
        let strokes: Vec<Value> = strokes.collect();
        let source = json!({"type": "key", "id": "keys", "actions": strokes});
        self.done("/actions", &json!({"actions": [source]}));
    }

    /// Draws a finger over the screen, from and to in CSS pixels.
    pub(super) fn swipe(&self, from: (i32, i32), to: (i32, i32)) {
        let at = |(x, y): (i32, i32), ms: u32| json!({"type": "pointerMove", "duration": ms, "x": x, "y": y, "origin": "viewport"});
        let middle = (i32::midpoint(from.0, to.0), i32::midpoint(from.1, to.1));
        let finger = json!({
            "type": "pointer", "id": "finger", "parameters": {"pointerType": "touch"},
            "actions": [
                at(from, 0),
                {"type": "pointerDown", "button": 0},
                at(middle, 40),
                at(to, 40),
                {"type": "pointerUp", "button": 0},
            ],
        });
        self.done("/actions", &json!({"actions": [finger]}));
    }

    /// What was logged since it was last asked for, the message of each entry.
    pub(super) fn log(&self, kind: &str) -> Vec<String> {
        let entries = self.done("/se/log", &json!({"type": kind}));
        let entries = entries.as_array().expect("a list of entries").iter();
        entries
            .filter_map(|entry| entry["message"].as_str())
            .map(str::to_owned)
            .collect()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // Best effort: if something failed, that is what is told.
        let _ = self.agent.delete(&self.session).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}
