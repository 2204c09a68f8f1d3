//! From a key to the remarks in an editor: the server itself, over its pipes, on the book that ships and on one ten times as large.
//!
//! `cargo bench --bench editor`. Wall time is what somebody waits for; on a shared machine the processor time of the server stands beside it.

#![allow(clippy::print_stdout, clippy::expect_used, clippy::unwrap_used, clippy::panic, missing_docs)] // a bench reports to a person

#[path = "../tests/editor/client.rs"]
#[allow(dead_code, unreachable_pub)]
mod client;

use client::{Client, uri};
use faultbook::book::shipped;
use serde_json::json;
use std::path::Path;
use std::time::Instant;

/// Keys that are timed.
const KEYS: usize = 40;

fn main() {
    println!(
        "| book | lines | files | opened | key, median | key, slowest of {KEYS} | processor, median | memory |\n|---|---|---|---|---|---|---|---|"
    );
    for times in [1, 10] {
        let folder = tempfile::tempdir().unwrap();
        let root = folder.path().canonicalize().unwrap();
        let (lines, files) = lay(&root, times);
        measure(&root, times, lines, files);
    }
}

/// Writes the book that ships `times` over, each copy with names of its own.
fn lay(root: &Path, times: usize) -> (usize, usize) {
    let names: std::collections::HashSet<String> = shipped::documents()
        .iter()
        .flat_map(|d| &d.blocks)
        .filter(|b| !b.amends && b.title.is_some() && !is_shared(b.kind.value.word()))
        .map(|b| b.name.value.clone())
        .collect();
    // all copies are one book
    std::fs::write(root.join("faultbook.toml"), "rules = [\".\"]\n").unwrap();
    let (mut lines, mut files) = (0, 0);
    for (name, text) in shipped::files() {
        for copy in 0..times {
            let text = if copy == 0 { text.to_string() } else { renamed(text, &names, copy) };
            let path = root.join(format!("copy-{copy}")).join(name.trim_start_matches("<shipped>/"));
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            lines += text.lines().count();
            files += 1;
            std::fs::write(path, text).unwrap();
        }
    }
    (lines, files)
}

/// What all copies share: one book, one scale and one code stand for all.
fn is_shared(kind: &str) -> bool {
    matches!(kind, "book" | "scale" | "source" | "code" | "channel" | "trait")
}

/// A copy of a file: its blocks renamed and every use of them; what all copies share left out.
fn renamed(text: &str, names: &std::collections::HashSet<String>, copy: usize) -> String {
    let mut out = String::new();
    let mut kept = true;
    for line in text.lines() {
        if line.starts_with(|c: char| c.is_ascii_alphabetic()) {
            kept = !is_shared(line.trim_start_matches("amend ").split(' ').next().unwrap_or(""));
        }
        if !kept {
            continue;
        }
        for (i, part) in line.split('"').enumerate() {
            if i > 0 {
                out.push('"');
            }
            // no title and nothing that is heard stands twice
            out.push_str(&match i % 2 {
                0 => words(part, names, copy),
                _ if part.ends_with('\\') => part.to_string(),
                _ => format!("{part} {copy}"),
            });
        }
        out.push('\n');
    }
    out
}

fn words(part: &str, names: &std::collections::HashSet<String>, copy: usize) -> String {
    let mut out = String::new();
    let mut word = String::new();
    for c in part.chars().chain(['\0']) {
        if c.is_ascii_alphanumeric() || c == '-' {
            word.push(c);
            continue;
        }
        out.push_str(&word);
        if names.contains(&word) {
            out.push_str(&format!("-{copy}"));
        }
        word.clear();
        if c != '\0' {
            out.push(c);
        }
    }
    out
}

fn measure(root: &Path, times: usize, lines: usize, files: usize) {
    let path = root.join("copy-0/charge-air/findings.rules");
    let text = std::fs::read_to_string(&path).unwrap();
    let mut client = Client::new(root);
    let start = Instant::now();
    client.open(&path, &text);
    let errors = client.next_remarks(&path).iter().filter(|r| r["severity"] == 1).count();
    assert_eq!(errors, 0, "the book of {times} is sound");
    let opened = start.elapsed();
    // a key at the end of a title, and back
    let line = text.lines().position(|l| l.starts_with("reading ")).unwrap();
    let at = text.lines().nth(line).unwrap().chars().count() - 1;
    let (mut walls, mut processors) = (Vec::new(), Vec::new());
    for key in 0..KEYS {
        let (end, new) = if key % 2 == 0 { (at, "x") } else { (at + 1, "") };
        let range = json!({ "start": { "line": line, "character": at }, "end": { "line": line, "character": end } });
        let (before, start) = (client.processor(), Instant::now());
        client.change(&path, json!([{ "range": range, "text": new }]));
        client.next_remarks(&path);
        walls.push(start.elapsed().as_secs_f64() * 1e3);
        processors.push((client.processor() - before) * 1e3);
    }
    let median = |of: &mut Vec<f64>| {
        of.sort_by(f64::total_cmp);
        of[of.len() / 2]
    };
    let (wall, processor) = (median(&mut walls), median(&mut processors));
    let memory = client.memory().map_or("?".into(), |kib| format!("{} MiB", kib >> 10));
    println!(
        "| {times} times | {lines} | {files} | {:.0} ms | {wall:.0} ms | {:.0} ms | {processor:.0} ms | {memory} |",
        opened.as_secs_f64() * 1e3,
        walls[walls.len() - 1],
    );
    assert!(uri(&path).starts_with("file://"));
    client.leave();
}
