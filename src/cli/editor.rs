//! `editor`: a language server on standard input and output, one message after the other.

use super::failure::Failure;
use super::files::harmless;
use super::out::Out;
use super::workspace::{Workspace, address, path_of};
use crate::editor::{ANSWERED, Covered, Encoding, Lines, Ways, answer, capabilities, diagnostics, of_verdict, symbols_of};
use lsp_server::{Connection, ErrorCode, Message, Notification, Request, Response};
use lsp_types::{FileEvent, PublishDiagnosticsParams, TextDocumentContentChangeEvent, Uri};
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Runs the command until the editor says that it is done, or is gone.
pub fn run(out: &mut Out) -> Result<u8, Failure> {
    let (connection, threads) = Connection::stdio();
    let served = serve(&connection);
    // the threads end once nobody can send to them
    drop(connection);
    let clean = threads.join().is_ok();
    match served {
        Ok(()) if clean => Ok(0),
        Ok(()) => Ok(1),
        Err(gone) => {
            out.tell(&format!("the editor stopped talking: {gone}"))?;
            Ok(1)
        }
    }
}

fn serve(connection: &Connection) -> Result<(), String> {
    let (id, params) = connection.initialize_start().map_err(|e| e.to_string())?;
    let offered = params.pointer("/capabilities/general/positionEncodings").and_then(Value::as_array);
    let bytes = offered.is_some_and(|all| all.iter().any(|e| e == "utf-8"));
    let encoding = if bytes { Encoding::Utf8 } else { Encoding::Utf16 };
    let about =
        json!({ "capabilities": capabilities(encoding), "serverInfo": { "name": "faultbook", "version": env!("CARGO_PKG_VERSION") } });
    connection.initialize_finish(id, about).map_err(|e| e.to_string())?;
    let mut server =
        Server { connection, workspace: Workspace::new(roots(&params)), encoding, waiting: BTreeSet::new(), marked: BTreeSet::new() };
    while let Ok(message) = connection.receiver.recv() {
        match message {
            Message::Request(request) => {
                if connection.handle_shutdown(&request).map_err(|e| e.to_string())? {
                    return Ok(());
                }
                server.request(request);
            }
            Message::Notification(note) if note.method == "exit" => return Ok(()),
            Message::Notification(note) => server.notified(&note),
            Message::Response(_) => {}
        }
        // several keys in a row are one change
        if connection.receiver.is_empty() {
            server.publish();
        }
    }
    Ok(())
}

/// The folders that are open in the editor.
fn roots(params: &Value) -> Vec<PathBuf> {
    let folders = params.get("workspaceFolders").and_then(Value::as_array).into_iter().flatten();
    let named = folders.filter_map(|f| f.get("uri")).chain(params.get("rootUri")).filter_map(Value::as_str).map(str::to_string);
    named.filter_map(|uri| path_of(&uri)).collect()
}

struct Server<'c> {
    connection: &'c Connection,
    workspace: Workspace,
    encoding: Encoding,
    /// The books that changed since their remarks were sent.
    waiting: BTreeSet<usize>,
    /// The files that have remarks in the editor.
    marked: BTreeSet<PathBuf>,
}

impl Server<'_> {
    fn send(&self, message: impl Into<Message>) {
        // an editor that is gone ends the loop at the next message
        self.connection.sender.send(message.into()).ok();
    }

    fn request(&mut self, request: Request) {
        let Request { id, method, params } = request;
        let response = match self.answered(&method, params) {
            Ok(answer) => Response::new_ok(id, answer),
            Err((code, message)) => Response::new_err(id, code as i32, message),
        };
        self.send(response);
    }

    fn answered(&mut self, method: &str, params: Value) -> Result<Value, (ErrorCode, String)> {
        if method == "workspace/symbol" {
            let query = params.get("query").and_then(Value::as_str).unwrap_or("").to_string();
            return Ok(self.symbols(&query));
        }
        if !ANSWERED.contains(&method) {
            return Err((ErrorCode::MethodNotFound, format!("`{method}` is nothing this server answers")));
        }
        let uri = params.pointer("/textDocument/uri").and_then(Value::as_str).unwrap_or("");
        let path = path_of(uri).ok_or((ErrorCode::InvalidParams, format!("`{uri}` is no file")))?;
        if method == "textDocument/codeLens"
            && let Some((verdict, text)) = self.workspace.verdict(&path)
        {
            return Ok(json!(of_verdict(&verdict, &text, self.encoding)));
        }
        let Some((at, name)) = self.workspace.home(&path) else { return Ok(Value::Null) };
        self.workspace.books(at).settle();
        if method == "textDocument/codeLens" {
            self.workspace.cover(at);
        }
        let cases = || self.workspace.cases(at);
        let none = Covered::new();
        let covered = self.workspace.covered(at).unwrap_or(&none);
        let books = self.workspace.seen(at);
        let Some(file) = books.file(&name) else { return Ok(Value::Null) };
        let ways = Ways { address: &|name| self.workspace.address(name), encoding: self.encoding, cases: &cases, covered };
        answer(books, file, method, params, &ways).map_err(|why| (ErrorCode::RequestFailed, why))
    }

    fn symbols(&mut self, query: &str) -> Value {
        let (mut all, none) = (Vec::new(), Covered::new());
        for at in 0..self.workspace.len() {
            self.workspace.books(at).settle();
            let ways = Ways { address: &|name| self.workspace.address(name), encoding: self.encoding, cases: &Vec::new, covered: &none };
            all.extend(symbols_of(self.workspace.seen(at), query, &ways));
        }
        json!(all)
    }

    fn notified(&mut self, note: &Notification) {
        let uri = note.params.pointer("/textDocument/uri").and_then(Value::as_str).and_then(path_of);
        match (note.method.as_str(), uri) {
            ("textDocument/didOpen", Some(path)) => {
                let text = note.params.pointer("/textDocument/text").and_then(Value::as_str).unwrap_or("");
                self.changed(&path, harmless(text));
            }
            ("textDocument/didChange", Some(path)) => {
                let changes = note.params.get("contentChanges").cloned().unwrap_or_default();
                let changes: Vec<TextDocumentContentChangeEvent> = serde_json::from_value(changes).unwrap_or_default();
                let old = self.workspace.text(&path).unwrap_or_default();
                self.changed(&path, changes.iter().fold(old, |text, change| worked_in(&text, change, self.encoding)));
            }
            ("textDocument/didClose", Some(path)) => self.reread(&path),
            ("workspace/didChangeWatchedFiles", _) => {
                let files = note.params.get("changes").cloned().unwrap_or_default();
                let files: Vec<FileEvent> = serde_json::from_value(files).unwrap_or_default();
                let paths = files.iter().filter_map(|f| path_of(f.uri.as_str()));
                let closed: Vec<PathBuf> = paths.filter(|p| !self.workspace.is_open(p)).collect();
                closed.iter().for_each(|path| self.reread(path));
            }
            _ => {}
        }
    }

    fn changed(&mut self, path: &Path, text: String) {
        self.waiting.extend(self.workspace.put(path, text));
    }

    /// What lies on the disk counts again.
    fn reread(&mut self, path: &Path) {
        self.waiting.extend(self.workspace.close(path));
    }

    /// Sends the remarks on all files of the books that changed, and takes back those that are no longer.
    fn publish(&mut self) {
        let none = Covered::new();
        for at in std::mem::take(&mut self.waiting) {
            self.workspace.books(at).settle();
            let ways = Ways { address: &|name| self.workspace.address(name), encoding: self.encoding, cases: &Vec::new, covered: &none };
            let books = self.workspace.seen(at);
            let mut sent = Vec::new();
            for (file, source) in books.sources().iter().filter(|(file, _)| !books.is_borrowed(*file)) {
                let path = PathBuf::from(&source.name);
                let found = diagnostics(books, file, &ways);
                let marked = self.marked.contains(&path);
                if !found.is_empty() || marked || self.workspace.is_open(&path) {
                    sent.push((path, found));
                }
            }
            for (path, found) in sent {
                if found.is_empty() {
                    self.marked.remove(&path)
                } else {
                    self.marked.insert(path.clone())
                };
                self.say(&path, found);
            }
        }
        for (path, found) in self.workspace.sheets(self.encoding) {
            self.say(&path, found);
        }
    }

    fn say(&self, path: &Path, diagnostics: Vec<lsp_types::Diagnostic>) {
        let Some(uri): Option<Uri> = address(path) else { return };
        let params = PublishDiagnosticsParams { uri, diagnostics, version: None };
        self.send(Notification::new("textDocument/publishDiagnostics".into(), params));
    }
}

/// A change worked into a text; without a range it is the whole text.
fn worked_in(text: &str, change: &TextDocumentContentChangeEvent, encoding: Encoding) -> String {
    let new = harmless(&change.text);
    let Some(range) = change.range else { return new };
    let lines = Lines::new(text, encoding);
    let (start, end) = (lines.byte(range.start), lines.byte(range.end));
    format!("{}{new}{}", &text[..start], &text[end.max(start)..])
}
