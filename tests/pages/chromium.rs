//! A browser without a window, driven over a pipe by the DevTools protocol
//! (<https://chromedevtools.github.io/devtools-protocol/>).

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use serde_json::{Value, json};

/// The shell hands its own ends of the pipe on as the descriptors that the browser reads commands
/// from and answers to.
const HAND_ON: &str = "exec \"$0\" \"$@\" 3<&0 4>&1 </dev/null >/dev/null 2>/dev/null";

const FLAGS: [&str; 11] = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-dev-shm-usage",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--remote-debugging-pipe",
];

/// A browser with one page.
pub struct Chromium {
    child: Child,
    commands: ChildStdin,
    answers: BufReader<ChildStdout>,
    profile: PathBuf,
    session: String,
    last: u64,
    /// Everything the page said or asked for since it was opened: errors, warnings, requests.
    pub heard: Vec<String>,
}

impl Drop for Chromium {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        let _ = std::fs::remove_dir_all(&self.profile);
    }
}

impl Chromium {
    /// Starts a browser; `name` keeps the profiles of tests apart.
    pub fn start(name: &str) -> Self {
        let profile = std::env::temp_dir().join(format!("pullrank-{}-{name}", std::process::id()));
        let mut child = Command::new("sh")
            .args(["-c", HAND_ON, "chromium"])
            .args(FLAGS)
            .arg(format!("--user-data-dir={}", profile.display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let commands = child.stdin.take().unwrap();
        let answers = BufReader::new(child.stdout.take().unwrap());
        let mut browser = Self {
            child,
            commands,
            answers,
            profile,
            session: String::new(),
            last: 0,
            heard: Vec::new(),
        };
        let page = browser.call("Target.createTarget", json!({"url": "about:blank"}));
        let attach = json!({"targetId": page["targetId"], "flatten": true});
        let session = browser.call("Target.attachToTarget", attach);
        browser.session = session["sessionId"].as_str().unwrap().to_owned();
        for domain in ["Page", "Runtime", "Log", "Network"] {
            browser.call(&format!("{domain}.enable"), json!({}));
        }
        browser
    }

    /// Calls a method and waits for its answer.
    pub fn call(&mut self, method: &str, parameters: Value) -> Value {
        self.last += 1;
        let id = self.last;
        let mut message = json!({"id": id, "method": method, "params": parameters});
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        self.commands
            .write_all(format!("{message}\0").as_bytes())
            .unwrap();
        loop {
            let message = self.next();
            if message["id"] == json!(id) {
                assert!(message["error"].is_null(), "{method}: {}", message["error"]);
                return message["result"].clone();
            }
        }
    }

    fn next(&mut self) -> Value {
        let mut bytes = Vec::new();
        self.answers.read_until(0, &mut bytes).unwrap();
        bytes.pop();
        assert!(
            !bytes.is_empty(),
            "the browser has gone; is chromium installed?"
        );
        let message: Value = serde_json::from_slice(&bytes).unwrap();
        let parameters = &message["params"];
        match message["method"].as_str() {
            Some("Runtime.exceptionThrown" | "Runtime.consoleAPICalled" | "Log.entryAdded") => {
                self.heard.push(parameters.to_string());
            }
            Some("Network.requestWillBeSent") => {
                let url = parameters["request"]["url"].as_str().unwrap_or_default();
                if !url.starts_with("data:") && parameters["type"] != "Document" {
                    self.heard.push(format!("asks for {url}"));
                }
            }
            _ => {}
        }
        message
    }

    /// Opens a file at a width, px.
    pub fn open(&mut self, file: &Path, width: u32) {
        self.width(width);
        self.heard.clear();
        let url = format!("file://{}", file.display());
        self.call("Page.navigate", json!({"url": url}));
        while self.next()["method"] != "Page.loadEventFired" {}
    }

    /// Shows the page at a width, px.
    pub fn width(&mut self, width: u32) {
        let size = json!({"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": false});
        self.call("Emulation.setDeviceMetricsOverride", size);
    }

    /// What an expression gives on the page.
    pub fn ask(&mut self, expression: &str) -> Value {
        let ask = json!({"expression": expression, "returnByValue": true, "awaitPromise": true});
        let answer = self.call("Runtime.evaluate", ask);
        let fault = &answer["exceptionDetails"];
        assert!(fault.is_null(), "{expression}: {fault}");
        answer["result"]["value"].clone()
    }

    /// Faults that `checks.js` finds by a function of its own.
    pub fn faults(&mut self, check: &str) -> Vec<String> {
        let expression = format!(
            "(() => {{ {}\nreturn {check}; }})()",
            include_str!("checks.js")
        );
        let found = self.ask(&expression);
        let found = found.as_array().unwrap();
        found
            .iter()
            .map(|f| f.as_str().unwrap().to_owned())
            .collect()
    }

    /// Moves the pointer to a place of the window.
    pub fn point(&mut self, x: f64, y: f64) {
        let event = json!({"type": "mouseMoved", "x": x, "y": y});
        self.call("Input.dispatchMouseEvent", event);
    }

    /// Presses a key.
    pub fn press(&mut self, key: &str) {
        for kind in ["keyDown", "keyUp"] {
            let code = match key {
                "Tab" => 9,
                "ArrowLeft" => 37,
                "ArrowRight" => 39,
                _ => 13,
            };
            let text = if key == "Enter" { "\r" } else { "" };
            let event = json!({"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code, "text": text});
            self.call("Input.dispatchKeyEvent", event);
        }
    }

    /// The page on paper, as PDF.
    pub fn print(&mut self) -> Vec<u8> {
        let paper = json!({"preferCSSPageSize": true, "printBackground": false});
        let answer = self.call("Page.printToPDF", paper);
        decoded(answer["data"].as_str().unwrap())
    }
}

/// Base 64 of RFC 4648.
fn decoded(text: &str) -> Vec<u8> {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let (mut out, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for byte in text.bytes() {
        let Some(value) = LETTERS.iter().position(|letter| *letter == byte) else {
            continue;
        };
        held = held << 6 | value as u32;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            out.push((held >> bits) as u8);
            held &= (1 << bits) - 1;
        }
    }
    out
}
