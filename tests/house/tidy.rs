//! Direction of imports, length of files, module docs: a reader can trust the folder tree.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Each room imports only from those before it.
const ROOMS: &[&str] = &[
    "shelf", "syntax", "book", "job", "belief", "car", "plan", "bay", "lint", "cases", "compare", "walk", "tally", "report", "editor",
    "disk", "cli",
];

fn sources(folder: &Path) -> Vec<(PathBuf, String)> {
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            let text = fs::read_to_string(&path).unwrap();
            out.push((path, text));
        }
    }
    out
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

fn room(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).unwrap();
    inside.components().next().unwrap().as_os_str().to_string_lossy().trim_end_matches(".rs").to_string()
}

/// The rooms a file names after `crate::`, also in braces: `use crate::{book::Book, job}`.
fn imported(text: &str) -> Vec<String> {
    let word = |text: &str| text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut rooms = Vec::new();
    for part in text.split("crate::").skip(1) {
        let Some(inner) = part.strip_prefix('{') else {
            rooms.push(word(part));
            continue;
        };
        let (mut depth, mut start) = (1, true);
        for (at, letter) in inner.char_indices() {
            match letter {
                '{' => depth += 1,
                '}' => depth -= 1,
                ',' if depth == 1 => start = true,
                letter if letter.is_whitespace() => {}
                _ if start => {
                    rooms.push(word(&inner[at..]));
                    start = false;
                }
                _ => {}
            }
            if depth == 0 {
                break;
            }
        }
    }
    rooms
}

#[test]
fn imports_in_braces_are_seen() {
    let text = "use crate::book::Book;\nuse crate::{\n    job::{Entry, log},\n    report,\n    plan::{self, Plan},\n};\nlet x = crate::walk::next;";
    assert_eq!(imported(text), ["book", "job", "report", "plan", "walk"]);
}

#[test]
fn imports_run_one_way() {
    let place = |name: &str| ROOMS.iter().position(|r| *r == name);
    let mut wrong = Vec::new();
    for (path, text) in sources(&root().join("src")) {
        let own = room(&path);
        let Some(at) = place(&own) else { continue };
        for other in imported(&text) {
            if place(&other).is_some_and(|other| other > at) {
                wrong.push(format!("{}: `{own}` imports from `{other}`", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "rooms import only from those before them in the list:\n{}", wrong.join("\n"));
}

#[test]
fn the_rooms_of_the_core_know_nothing_they_should_not() {
    let mut wrong = Vec::new();
    for (path, text) in sources(&root().join("src")) {
        let own = room(&path);
        let pure = !["disk", "cli", "main", "lib"].contains(&own.as_str());
        for banned in ["std::fs", "std::env", "std::time", "std::process", "println!"] {
            if pure && text.contains(banned) {
                wrong.push(format!("{}: `{banned}`", path.display()));
            }
        }
        for foreign in ["book", "syntax", "job"] {
            if ["belief", "plan"].contains(&own.as_str()) && imported(&text).iter().any(|room| room == foreign) {
                wrong.push(format!("{}: `{foreign}`", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "only `disk` and `cli` touch the outside; `belief` and `plan` know numbers only:\n{}", wrong.join("\n"));
}

#[test]
fn files_are_one_sitting_long() {
    let mut lengths: Vec<(usize, PathBuf)> = sources(&root().join("src")).into_iter().map(|(p, t)| (t.lines().count(), p)).collect();
    lengths.sort();
    let (longest, path) = lengths.last().unwrap();
    assert!(*longest <= 500, "{} has {longest} lines; cut it where it does two things", path.display());
    let median = lengths[lengths.len() / 2].0;
    assert!((40..=150).contains(&median), "the median file has {median} lines");
}

#[test]
fn every_file_says_what_it_is_for() {
    let folders = ["src", "tests"].map(|f| root().join(f));
    let silent: Vec<String> =
        folders.iter().flat_map(|f| sources(f)).filter(|(_, t)| !t.starts_with("//!")).map(|(p, _)| p.display().to_string()).collect();
    assert!(silent.is_empty(), "these files start without module docs (`//!`):\n{}", silent.join("\n"));
}

#[test]
fn every_room_is_in_the_list() {
    let mut rooms: BTreeMap<String, usize> = BTreeMap::new();
    sources(&root().join("src")).iter().for_each(|(p, _)| *rooms.entry(room(p)).or_default() += 1);
    let unknown: Vec<&String> = rooms.keys().filter(|r| !ROOMS.contains(&r.as_str()) && !["lib", "main"].contains(&r.as_str())).collect();
    assert!(unknown.is_empty(), "give these rooms their place in the order: {unknown:?}");
}
