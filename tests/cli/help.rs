//! Every command's help shows how it is used, and what it shows runs.

use super::faultbook;
use crate::run::{root, scratch};
use std::path::Path;

const COMMANDS: [&str; 14] =
    ["walk", "plan", "explain", "weigh", "readings", "report", "tally", "lint", "fmt", "test", "new", "compare", "graph", "provide"];

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap().map(|e| e.unwrap().path()) {
        let target = to.join(entry.file_name().unwrap());
        if entry.is_dir() { copy(&entry, &target) } else { std::fs::copy(&entry, &target).map(drop).unwrap() }
    }
}

/// The command lines of a help page, each as its words after the program's name.
fn examples(page: &str) -> Vec<Vec<String>> {
    let lines = page.lines().filter_map(|l| l.strip_prefix("  faultbook "));
    let words = |line: &str| {
        line.split('"')
            .enumerate()
            .flat_map(|(i, part)| if i % 2 == 1 { vec![part.to_string()] } else { part.split_whitespace().map(String::from).collect() })
            .collect::<Vec<_>>()
    };
    lines.map(words).collect()
}

/// In a workshop's folder every example of every help page does what it says.
#[test]
fn the_examples_of_every_help_page_run() {
    let folder = scratch("help-examples");
    copy(&root().join("examples/harbour-garage"), &folder);
    std::fs::create_dir_all(folder.join("rules/cases")).unwrap();
    // the first by name: the order of a folder is another on every disk, and with it the case that is judged
    let case = std::fs::read_dir(root().join("rules/charge-air/cases")).unwrap().map(|e| e.unwrap().path()).min().unwrap();
    std::fs::copy(case, folder.join("rules/cases/one.toml")).unwrap();
    let mut tried = 0;
    for command in COMMANDS.map(Some).into_iter().chain([None]) {
        let words: Vec<&str> = command.into_iter().chain(["--help"]).collect();
        let page = faultbook(&folder, &words, b"").out;
        let examples = examples(&page);
        assert!(!examples.is_empty(), "{command:?} has no example:\n{page}");
        let shown = page.lines().skip_while(|l| !l.ends_with("Examples:") && *l != "At the car:");
        assert!(shown.into_iter().all(|l| l.chars().count() <= 80), "broken by a narrow terminal:\n{page}");
        for example in examples {
            // a revision of git needs a repository, which the folder is not
            let words: Vec<&str> = example.iter().map(String::as_str).filter(|w| !w.starts_with("HEAD")).collect();
            if words.len() < example.len() {
                continue;
            }
            let done = faultbook(&folder, &words, b"");
            assert_eq!(done.status, 0, "{words:?}: {}{}", done.out, done.err);
            tried += 1;
        }
    }
    assert!(tried > 25, "{tried} examples");
}
