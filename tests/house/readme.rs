//! The README keeps its word: its rules lint clean, its commands run, its links lead somewhere.

use crate::run::{faultbook, root, scratch};

fn readme() -> String {
    std::fs::read_to_string(root().join("README.md")).unwrap()
}

/// Fenced blocks of a language.
fn blocks(text: &str, language: &str) -> Vec<String> {
    let open = format!("```{language}\n");
    text.split(&open).skip(1).map(|rest| rest.split("```").next().unwrap().to_string()).collect()
}

#[test]
fn its_rule_is_sound() {
    let blocks = blocks(&readme(), "rules");
    assert!(!blocks.is_empty());
    for (i, block) in blocks.iter().enumerate() {
        let folder = scratch(&format!("readme-{i}"));
        std::fs::write(folder.join("own.rules"), block).unwrap();
        let done = faultbook(&["lint", folder.to_str().unwrap()]);
        assert_eq!(done.status, 0, "{}{}", done.out, done.err);
    }
}

#[test]
fn its_commands_run() {
    let lines: Vec<String> = blocks(&readme(), "sh").iter().flat_map(|b| b.lines().map(String::from).collect::<Vec<_>>()).collect();
    let ours: Vec<&String> = lines.iter().filter(|l| l.starts_with("cargo run")).collect();
    assert!(ours.len() >= 3, "{lines:?}");
    for line in ours {
        let words: Vec<&str> = line.split(" -- ").nth(1).unwrap().split_whitespace().collect();
        let done = faultbook(&words);
        assert_eq!(done.status, 0, "{line}\n{}{}", done.out, done.err);
        assert!(!done.out.is_empty(), "{line} prints nothing");
    }
}

#[test]
fn links_lead_to_files() {
    for page in ["README.md", "DEVELOPERS.md", "docs/language.md", "docs/job-sheet.md", "docs/readings.md", "docs/report.md"] {
        let text = std::fs::read_to_string(root().join(page)).unwrap();
        let folder = root().join(page).parent().unwrap().to_path_buf();
        for link in text.split("](").skip(1).map(|r| r.split(')').next().unwrap()) {
            let file = link.split('#').next().unwrap();
            assert!(link.starts_with("http") || file.is_empty() || folder.join(file).exists(), "{page}: `{link}` leads nowhere");
        }
    }
}
