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
    for page in [
        "README.md",
        "DEVELOPERS.md",
        "docs/language.md",
        "docs/job-sheet.md",
        "docs/readings.md",
        "docs/report.md",
        "docs/adopt.md",
        "docs/cases.md",
        "docs/reliability.md",
        "docs/first-job.md",
        "docs/first-rules.md",
        "docs/install.md",
        "docs/versions.md",
        "CHANGELOG.md",
        "SECURITY.md",
    ] {
        let text = std::fs::read_to_string(root().join(page)).unwrap();
        let folder = root().join(page).parent().unwrap().to_path_buf();
        for link in text.split("](").skip(1).map(|r| r.split(')').next().unwrap()) {
            let file = link.split('#').next().unwrap();
            assert!(link.starts_with("http") || file.is_empty() || folder.join(file).exists(), "{page}: `{link}` leads nowhere");
        }
    }
}

/// The first rules of the page for a workshop: sound, signed, laid out.
#[test]
fn the_first_rules_have_nothing_to_remark() {
    let page = std::fs::read_to_string(root().join("docs/first-rules.md")).unwrap();
    let folder = scratch("first-rules");
    std::fs::create_dir_all(folder.join("rules")).unwrap();
    std::fs::write(folder.join("rules/own.rules"), blocks(&page, "rules").swap_remove(0)).unwrap();
    std::fs::write(folder.join("faultbook.toml"), blocks(&page, "toml").swap_remove(0)).unwrap();
    for words in [&["lint", "rules", "--fail-on", "warning"][..], &["fmt", "--check", "rules"], &["explain", "shroud", "--rules", "rules"]]
    {
        let done = crate::cli::faultbook(&folder, words, b"");
        assert!(done.status == 0, "{words:?}: {}{}", done.out, done.err);
    }
}

/// What `docs/adopt.md` and the hook definitions promise, run on a small book.
#[test]
fn a_workshop_can_adopt_it() {
    let page = std::fs::read_to_string(root().join("docs/adopt.md")).unwrap();
    let folder = scratch("adopt");
    std::fs::create_dir_all(folder.join("rules/cases")).unwrap();
    let rules = format!("book own \"Own\"\n  over  faultbook\n\n{}", blocks(&page, "rules").concat());
    std::fs::write(folder.join("rules/own.rules"), rules).unwrap();
    std::fs::write(folder.join("rules/cases/one.toml"), std::fs::read_to_string(a_case()).unwrap()).unwrap();
    std::fs::write(folder.join("faultbook.toml"), blocks(&page, "toml").concat()).unwrap();
    let run = |words: &[&str]| crate::cli::faultbook(&folder, words, b"");
    for line in page.lines().filter_map(|l| l.strip_prefix("faultbook lint rules")) {
        let words: Vec<&str> = ["lint", "rules"].into_iter().chain(line.split_whitespace()).collect();
        let done = run(&words);
        assert!(done.status == 0, "{line}: {}{}", done.out, done.err);
    }
    // each hook as pre-commit runs it: its entry, its arguments, and the files where it wants them
    let hooks = std::fs::read_to_string(root().join(".pre-commit-hooks.yaml")).unwrap();
    let hooks: Vec<&str> = hooks.split("- id: ").skip(1).collect();
    assert_eq!(hooks.len(), 3);
    for hook in hooks {
        let value = |key: &str| hook.lines().find_map(|l| l.trim().strip_prefix(key)).unwrap_or("").trim();
        let mut words: Vec<&str> = value("entry: faultbook").split_whitespace().collect();
        words.extend(value("args:").trim_matches(['[', ']']).split(", ").filter(|a| !a.is_empty()));
        if value("pass_filenames:") != "false" {
            words.push("rules/own.rules");
        }
        let done = run(&words);
        assert!(done.status == 0 && words.len() == 2, "{words:?}: {}{}", done.out, done.err);
    }
}

/// One of the cases that ship.
fn a_case() -> std::path::PathBuf {
    let mut cases: Vec<_> = std::fs::read_dir(root().join("rules/charge-air/cases")).unwrap().map(|e| e.unwrap().path()).collect();
    cases.sort();
    cases.swap_remove(0)
}

/// The page on cases: its rules are sound and laid out, its case passes, and fails as it says.
#[test]
fn the_case_in_the_docs_passes_and_fails_as_shown() {
    let page = std::fs::read_to_string(root().join("docs/cases.md")).unwrap();
    let folder = scratch("cases-page");
    std::fs::create_dir_all(folder.join("yard/cases")).unwrap();
    let block = |language| blocks(&page, language).swap_remove(0);
    let case = block("toml");
    std::fs::write(folder.join("yard/yard.rules"), block("rules")).unwrap();
    std::fs::write(folder.join("yard/cases/hose.toml"), &case).unwrap();
    for words in [&["lint", "yard", "--fail-on", "note"][..], &["fmt", "--check", "yard"], &["test", "yard"]] {
        let done = crate::cli::faultbook(&folder, words, b"");
        assert!(done.status == 0, "{words:?}: {}{}", done.out, done.err);
    }
    std::fs::write(folder.join("yard/cases/hose.toml"), case.replace("causes = [\"hose-split\"]", "causes = [\"vanes\"]")).unwrap();
    let done = crate::cli::faultbook(&folder, &["test", "yard"], b"");
    assert_eq!((done.status, done.out), (1, block("text")));
}
