//! Which program and which book this is, and the book as pages of a site.

use super::{faultbook, folder};
use crate::shipped;
use faultbook::book::Headed;
use pulldown_cmark::{Event, Options, Parser, Tag};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

#[test]
fn the_version_as_a_document_names_program_language_and_book() {
    let folder = folder(&[]);
    let done = faultbook(folder.path(), &["--version", "--json"], b"");
    assert_eq!((done.status, done.err.as_str()), (0, ""));
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let schema = serde_json::from_str(&faultbook(folder.path(), &["provide", "schema", "version"], b"").out).unwrap();
    jsonschema::validator_for(&schema).unwrap().validate(&document).unwrap();
    assert_eq!(document["version"], env!("CARGO_PKG_VERSION"));
    let book = shipped();
    assert_eq!(document["book"]["digest"], book.about.digest);
    assert_eq!(document["book"]["version"], book.about.version);
    assert_eq!(faultbook(folder.path(), &["--json", "--version"], b"").out, done.out);
    let line = faultbook(folder.path(), &["--version"], b"");
    assert_eq!((line.status, line.out), (0, format!("faultbook {}\n", env!("CARGO_PKG_VERSION"))));
}

/// Headings with their names, and links, as a Markdown reader sees them.
fn read(text: &str) -> (Vec<String>, Vec<String>) {
    let (mut names, mut links) = (vec![], vec![]);
    for event in Parser::new_ext(text, Options::ENABLE_HEADING_ATTRIBUTES) {
        match event {
            Event::Start(Tag::Heading { id: Some(id), .. }) => names.push(id.to_string()),
            Event::Start(Tag::Link { dest_url, .. }) => links.push(dest_url.to_string()),
            _ => {}
        }
    }
    (names, links)
}

#[test]
fn every_block_of_the_book_has_its_place_on_a_page_and_every_link_finds_one() {
    let folder = folder(&[]);
    let done = faultbook(folder.path(), &["provide", "book", "pages"], b"");
    assert_eq!((done.status, done.out.as_str()), (0, ""), "{}", done.err);
    let root = folder.path().join("pages");
    let pages = texts(&root, &root);
    let told: Vec<String> = pages.values().flat_map(|t| read(t).0).collect();
    let names: BTreeSet<&str> = told.iter().map(String::as_str).collect();
    assert_eq!(names.len(), told.len(), "a block is told twice");
    let book = shipped();
    let causes = book.causes.iter().map(|(_, c)| c.name());
    let findings = book.findings.iter().map(|(_, f)| f.name());
    let work = book.checks.iter().map(|(_, c)| c.name()).chain(book.fixes.iter().map(|(_, f)| f.name()));
    let dangers = book.hazards.iter().map(|(_, h)| h.name());
    let missing: Vec<&str> = causes.chain(findings).chain(work).chain(dangers).filter(|n| !names.contains(n)).collect();
    assert!(missing.is_empty(), "{missing:?}");
    for (path, text) in &pages {
        assert!(text.contains("> **Caution.**") || path == "contents.md", "{path} has no caution");
        for link in read(text).1.iter().filter(|l| !l.is_empty()) {
            let (file, name) = link.split_once('#').unwrap_or((link, ""));
            let target = if file.is_empty() { path.clone() } else { joined(path, file) };
            let there = pages.get(&target).map(|t| name.is_empty() || t.contains(&format!("{{#{name}}}")));
            assert_eq!(there, Some(true), "{path}: `{link}` leads nowhere");
        }
    }
}

/// A step that can hurt says so where it is told, with what to do, not only behind a link.
#[test]
fn a_fix_on_a_page_says_what_to_do_against_its_danger() {
    let folder = folder(&[]);
    faultbook(folder.path(), &["provide", "book", "pages"], b"");
    let root = folder.path().join("pages");
    let book = shipped();
    let plain = |text: &str| text.replace('\\', "");
    let pages = texts(&root, &root).into_values().map(|t| plain(&t)).collect::<Vec<_>>();
    let mut tried = 0;
    for (_, fix) in book.fixes.iter() {
        let heading = format!("{{#{}}}", fix.name());
        let page = pages.iter().find(|t| t.contains(&heading)).unwrap();
        let section = page.split(&heading).nth(1).unwrap().split("\n## ").next().unwrap();
        for hazard in &fix.hazards {
            let does = book.hazards[*hazard].does.join(" ");
            assert!(section.contains(&plain(&does)), "{}: `{does}` is not said", fix.name());
            tried += 1;
        }
    }
    assert!(tried > 100, "{tried}");
}

fn joined(page: &str, link: &str) -> String {
    match (link.strip_prefix("../"), page.rsplit_once('/')) {
        (Some(rest), _) => rest.to_string(),
        (None, Some((folder, _))) => format!("{folder}/{link}"),
        (None, None) => link.to_string(),
    }
}

/// All files below a folder, by their path from the root.
fn texts(root: &Path, at: &Path) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    for path in std::fs::read_dir(at).unwrap().map(|e| e.unwrap().path()) {
        if path.is_dir() {
            out.extend(texts(root, &path));
        } else {
            let name = path.strip_prefix(root).unwrap().to_string_lossy().replace('\\', "/");
            out.insert(name, std::fs::read_to_string(&path).unwrap());
        }
    }
    out
}
