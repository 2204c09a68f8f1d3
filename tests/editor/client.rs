//! An editor, as the server sees one: real messages over the pipes of a child (Language Server Protocol 3.17, base protocol).

use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

/// A server and what it said so far.
pub struct Client {
    child: Child,
    input: Option<ChildStdin>,
    output: BufReader<ChildStdout>,
    next: i64,
    /// The remarks that were sent last for each file.
    pub remarks: std::collections::BTreeMap<String, Vec<Value>>,
}

/// The address of a file.
pub fn uri(path: &Path) -> String {
    format!("file://{}", path.display())
}

impl Client {
    /// A server for a folder, past its greeting.
    pub fn new(root: &Path) -> Client {
        let mut client = Client::unmet(root);
        let answer = client.ask("initialize", json!({ "processId": null, "rootUri": uri(root), "capabilities": {} }));
        assert_eq!(answer["serverInfo"]["name"], "faultbook");
        client.tell("initialized", json!({}));
        client
    }

    /// A server that nobody has greeted.
    pub fn unmet(root: &Path) -> Client {
        let mut command = Command::new(env!("CARGO_BIN_EXE_faultbook"));
        command.arg("editor").current_dir(root).env("XDG_CACHE_HOME", root.join("cache"));
        let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let output = BufReader::new(child.stdout.take().unwrap());
        Client { input: child.stdin.take(), child, output, next: 0, remarks: std::collections::BTreeMap::new() }
    }

    pub fn write(&mut self, message: &Value) {
        let body = message.to_string();
        let input = self.input.as_mut().unwrap();
        write!(input, "Content-Length: {}\r\n\r\n{body}", body.len()).unwrap();
        input.flush().unwrap();
    }

    /// The next message.
    pub fn read(&mut self) -> Option<Value> {
        let mut length = None;
        loop {
            let mut line = String::new();
            if self.output.read_line(&mut line).unwrap() == 0 {
                return None;
            }
            match line.trim_end().split_once(": ") {
                Some((name, value)) if name.eq_ignore_ascii_case("content-length") => length = value.parse::<usize>().ok(),
                Some(_) => {}
                None => break,
            }
        }
        let mut body = vec![0; length.unwrap()];
        self.output.read_exact(&mut body).unwrap();
        let message: Value = serde_json::from_slice(&body).unwrap();
        if message["method"] == "textDocument/publishDiagnostics" {
            let found = message["params"]["diagnostics"].as_array().unwrap().clone();
            self.remarks.insert(message["params"]["uri"].as_str().unwrap().into(), found);
        }
        Some(message)
    }

    pub fn tell(&mut self, method: &str, params: Value) {
        self.write(&json!({ "jsonrpc": "2.0", "method": method, "params": params }));
    }

    /// The whole answer to a request; what comes before it is kept.
    pub fn answer(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let id = self.next;
        self.write(&json!({ "jsonrpc": "2.0", "id": id, "method": method, "params": params }));
        loop {
            let message = self.read().expect("an answer");
            if message["id"] == id {
                return message;
            }
        }
    }

    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        let answer = self.answer(method, params);
        assert!(answer.get("error").is_none_or(Value::is_null), "{method}: {answer}");
        answer["result"].clone()
    }

    pub fn open(&mut self, path: &Path, text: &str) {
        let document = json!({ "uri": uri(path), "languageId": "faultbook-rules", "version": 1, "text": text });
        self.tell("textDocument/didOpen", json!({ "textDocument": document }));
    }

    pub fn change(&mut self, path: &Path, changes: Value) {
        self.tell("textDocument/didChange", json!({ "textDocument": { "uri": uri(path), "version": 2 }, "contentChanges": changes }));
    }

    /// The remarks on a file, once the next ones came.
    pub fn next_remarks(&mut self, path: &Path) -> Vec<Value> {
        self.remarks.remove(&uri(path));
        while !self.remarks.contains_key(&uri(path)) {
            self.read().expect("remarks");
        }
        self.remarks[&uri(path)].clone()
    }

    /// A request about a place, by the text that stands there: the byte of the mark `|` in it is asked about.
    pub fn at(&mut self, method: &str, path: &Path, text: &str, place: &str) -> Value {
        self.ask(method, json!({ "textDocument": { "uri": uri(path) }, "position": position(text, place) }))
    }

    /// Says goodbye; the exit status.
    pub fn leave(mut self) -> Option<i32> {
        self.ask("shutdown", Value::Null);
        self.tell("exit", Value::Null);
        self.child.wait().unwrap().code()
    }

    /// Hangs up without a word; the exit status.
    pub fn hang_up(mut self) -> Option<i32> {
        self.input.take();
        while self.read().is_some() {}
        self.child.wait().unwrap().code()
    }

    /// Is killed.
    pub fn kill(mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// Processor time of the server and its threads so far, in seconds (proc(5): fields 14 and 15 of `stat`, in hundredths).
    #[allow(dead_code)] // benches/editor.rs counts by it
    pub fn processor(&self) -> f64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.id())).unwrap_or_default();
        let fields: Vec<&str> = stat.rsplit(')').next().unwrap_or("").split_whitespace().collect();
        let ticks = |at: usize| fields.get(at).and_then(|t| t.parse::<f64>().ok()).unwrap_or(0.0);
        (ticks(11) + ticks(12)) / 100.0
    }

    /// Memory in use at most so far, in KiB, as the kernel counts it.
    pub fn memory(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).ok()?;
        status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?.trim().trim_end_matches(" kB").trim().parse().ok()
    }
}

/// The place of `|` in a piece of a text.
pub fn position(text: &str, place: &str) -> Value {
    let plain = place.replace('|', "");
    let at = text.find(&plain).unwrap_or_else(|| panic!("{plain:?} is not there")) + place.find('|').unwrap();
    let before = &text[..at];
    let line = before.matches('\n').count();
    let character = before.rsplit('\n').next().unwrap().encode_utf16().count();
    json!({ "line": line, "character": character })
}
