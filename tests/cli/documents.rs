//! The examples in the documents keep to what the documents recommend: laid out, without a remark, their cases passing.

use super::{faultbook, folder};
use std::path::Path;

/// Every page with examples, by its path from the project's folder; the chapter of lints is made from pages with a test of their own.
fn pages() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let docs = std::fs::read_dir(root.join("docs")).unwrap().map(|e| e.unwrap().path());
    let all = docs.filter(|p| p.extension().is_some_and(|e| e == "md") && p.file_name().is_some_and(|n| n != "lints.md"));
    let all = all.chain(["README.md", "DEVELOPERS.md"].map(|p| root.join(p)));
    all.map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), std::fs::read_to_string(&p).unwrap())).collect()
}

/// The fenced blocks of a page, each with its language.
fn blocks(page: &str) -> Vec<(String, String)> {
    let mut blocks = Vec::new();
    let mut open: Option<(String, String)> = None;
    for line in page.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (Some(_), Some(_)) => blocks.extend(open.take()),
            (Some((_, text)), None) => text.extend([line, "\n"]),
            (None, Some(language)) => open = Some((language.trim().to_string(), String::new())),
            (None, None) => {}
        }
    }
    assert!(open.is_none());
    blocks
}

#[test]
fn rules_are_laid_out_and_without_a_remark() {
    let mut seen = 0;
    for (page, text) in pages() {
        for (language, rules) in blocks(&text).into_iter().filter(|(l, _)| l == "rules") {
            assert_eq!(language, "rules");
            let folder = folder(&[("own/own.rules", rules.as_bytes())]);
            let laid = faultbook(folder.path(), &["fmt", "--check", "own"], b"");
            assert_eq!(laid.status, 0, "{page}:\n{}{}", laid.out, laid.err);
            // a part of a book stands beside the rest of it
            if !rules.contains("\nbook ") && !rules.starts_with("book ") {
                let rest =
                    "book own \"Own\"\n  over      faultbook\n  version   \"1\"\n  reviewed  2026-11-25\n  keeper    \"the foreman\"\n";
                std::fs::write(folder.path().join("own/book.rules"), rest).unwrap();
            }
            let run = faultbook(folder.path(), &["lint", "own", "--fail-on", "warning"], b"");
            assert_eq!(run.status, 0, "{page}:\n{}{}", run.out, run.err);
            seen += 1;
        }
    }
    assert!(seen >= 3, "{seen}");
}

/// The case of the page about cases, judged by the rules of that page.
#[test]
fn cases_pass() {
    let (_, page) = pages().into_iter().find(|(name, _)| name == "cases.md").unwrap();
    let of = |language: &str| blocks(&page).into_iter().find(|(l, _)| l == language).unwrap().1;
    let folder = folder(&[("yard/yard.rules", of("rules").as_bytes()), ("yard/cases/hose.toml", of("toml").as_bytes())]);
    let run = faultbook(folder.path(), &["test", "yard"], b"");
    assert_eq!((run.status, run.err.contains("1 passed, 0 failed")), (0, true), "{}{}", run.out, run.err);
}

/// Settings are settings, and what CI is told to run are commands of this program.
#[test]
fn settings_and_commands_can_be_used() {
    let (mut settings, mut commands) = (0, 0);
    for (page, text) in pages() {
        for (language, text) in blocks(&text) {
            if language == "toml" && (text.starts_with("[lint") || text.starts_with("rate")) {
                let folder = folder(&[("faultbook.toml", text.as_bytes()), ("rules/own.rules", b"tool lamp \"Lamp\"\n")]);
                let run = faultbook(folder.path(), &["lint", "rules"], b"");
                assert_eq!(run.status, 0, "{page}: {}", run.err);
                settings += 1;
            }
            for line in text.lines().filter_map(|l| l.trim_start_matches("- run: ").strip_prefix("faultbook ")) {
                // the program's own words for a flag or a command it does not know
                let words: Vec<&str> = line.split(" #").next().unwrap().split(" >").next().unwrap().split_whitespace().collect();
                let help = faultbook(Path::new("."), &[&words[..1], &["--help"]].concat(), b"");
                assert_eq!(help.status, 0, "{page}: {line}");
                let flags = words.iter().filter(|w| w.starts_with("--"));
                flags.for_each(|flag| assert!(help.out.contains(flag), "{page}: `{flag}` of `{line}`"));
                commands += 1;
            }
        }
    }
    assert!(settings >= 4 && commands >= 8, "{settings} {commands}");
}

/// The sheets of the page about them, the second laid below the first, are sheets that can be weighed.
#[test]
fn sheets_are_sheets() {
    let (_, page) = pages().into_iter().find(|(name, _)| name == "job-sheet.md").unwrap();
    let sheets: Vec<String> = blocks(&page).into_iter().filter(|(l, t)| l == "toml" && !t.starts_with("rate")).map(|(_, t)| t).collect();
    assert_eq!(sheets.len(), 2);
    let whole = format!("{}\n{}", sheets[0].replace("logs = [\"drives/hill.csv\"]", ""), sheets[1]);
    assert!(whole.contains("[[done]]") && whole.contains("[signs]"));
    let folder = folder(&[("job.toml", whole.as_bytes())]);
    let run = faultbook(folder.path(), &["weigh", "job.toml"], b"");
    assert_eq!(run.status, 0, "{}{}", run.out, run.err);
}

/// Each block names its language, and it is one that a test here tries: rules, tables, command lines; those of editors are at least tables that can be read.
#[test]
fn every_block_is_of_a_kind_that_is_tried() {
    for (page, text) in pages() {
        for (language, block) in blocks(&text) {
            match language.as_str() {
                "toml" => drop(block.parse::<toml::Table>().unwrap_or_else(|e| panic!("{page}: {e}"))),
                "rules" | "text" | "sh" | "yaml" => {}
                // how two editors are told; docs/editor.md says in which they were tried
                "lua" | "lisp" => assert_eq!(page, "editor.md"),
                other => panic!("{page}: a block of `{other}`:\n{block}"),
            }
        }
    }
}

/// The hooks that the page about repositories recommends pass on a book that has no cases yet.
#[test]
fn a_book_without_cases_passes_the_hooks() {
    let rules = "book own \"Own\"\n  over      faultbook\n  version   \"1\"\n  reviewed  2026-11-25\n  keeper    \"the foreman\"\n";
    let folder = folder(&[("rules/own.rules", rules.as_bytes())]);
    for words in
        [&["lint", "rules", "--fail-on", "warning"][..], &["fmt", "--check", "rules"], &["test", "rules", "--cover-at-least", "50"]]
    {
        let run = faultbook(folder.path(), words, b"");
        assert_eq!(run.status, 0, "{words:?}: {}{}", run.out, run.err);
    }
}

/// What `new` begins passes all that the page about repositories recommends, and nothing that is there is written over.
#[test]
fn what_is_begun_is_clean() {
    let folder = folder(&[("faultbook.toml", b"rate = 70\n")]);
    for name in ["yard", "Our Yard 2", "9 lives", "faultbook"] {
        assert_eq!(faultbook(folder.path(), &["new", "rules", name], b"").status, 0);
        for words in [&["lint", name, "--fail-on", "note"][..], &["fmt", "--check", name], &["test", name]] {
            let run = faultbook(folder.path(), words, b"");
            assert_eq!(run.status, 0, "{words:?}: {}{}", run.out, run.err);
        }
        let again = faultbook(folder.path(), &["new", "rules", name], b"");
        assert!(again.status == 2 && again.err.contains("is there already"), "{}", again.err);
    }
    let job = "title = \"Van\" # ours\n[complaint]\nyes = [\"low-power\"]\n[signs]\ncharge-hose = \"split\"\n[[done]]\nfix = \"renew-charge-hose\"\n";
    std::fs::write(folder.path().join("van.toml"), job).unwrap();
    let bare = faultbook(folder.path(), &["new", "case", "van.toml", "--rules", "yard"], b"");
    assert!(bare.status == 2 && bare.err.contains("--cause NAME"), "{}", bare.err);
    let made = faultbook(folder.path(), &["new", "case", "van.toml", "--rules", "yard", "--cause", "charge-hose-split"], b"");
    assert_eq!(made.status, 0, "{}", made.err);
    let case = std::fs::read_to_string(folder.path().join("yard/cases/van.toml")).unwrap();
    assert!(case.contains("# ours") && !case.contains("done"), "{case}");
    let run = faultbook(folder.path(), &["test", "yard"], b"");
    assert!(run.err.contains("1 passed, 0 failed"), "{}{}", run.out, run.err);
}

/// The rules that are written out are those that ship.
#[test]
fn the_book_is_provided_as_text() {
    let folder = folder(&[]);
    assert_eq!(faultbook(folder.path(), &["provide", "rules", "out"], b"").status, 0);
    for (name, text) in faultbook::book::shipped::files().into_iter().chain(faultbook::book::shipped::cases()) {
        assert_eq!(std::fs::read_to_string(folder.path().join("out").join(name.trim_start_matches("<shipped>/"))).unwrap(), text);
    }
    assert_eq!(faultbook(folder.path(), &["provide", "rules", "out"], b"").status, 2, "nothing is written over");
}
