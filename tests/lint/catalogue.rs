//! The catalogue of codes as a whole.

use faultbook::lint::{LINTS, code, codes, page, page_names};
use faultbook::report::lint::pages::chapter;
use faultbook::syntax::{Code, Severity};
use std::collections::BTreeSet;

#[test]
fn codes_and_names_are_unique_and_enough() {
    let all: Vec<Code> = codes().collect();
    let ids: BTreeSet<&str> = all.iter().map(|c| c.id).collect();
    let names: BTreeSet<&str> = all.iter().map(|c| c.name).collect();
    assert_eq!((ids.len(), names.len()), (all.len(), all.len()));
    assert!(LINTS.len() >= 45, "{}", LINTS.len());
    assert!(all.iter().map(|c| c.id).is_sorted());
}

#[test]
fn codes_are_numbered_by_their_kind() {
    for lint in LINTS {
        assert!(matches!(&lint.code.id[..3], "FB2" | "FB3" | "FB4"), "{}", lint.code.id);
    }
    for code in codes().filter(|c| matches!(&c.id[..3], "FB0" | "FB1")) {
        assert_eq!(code.severity, Severity::Error, "{}", code.name);
    }
    assert!(codes().all(|c| c.id.len() == 5 && c.id[2..].bytes().all(|b| b.is_ascii_digit())));
}

/// `allow reading-without-source because …`: a thing that can be there, not an order and not a wish.
#[test]
fn names_read_well_after_allow() {
    for code in codes() {
        let words: Vec<&str> = code.name.split('-').collect();
        assert!(
            (1..=4).contains(&words.len()) && words.iter().all(|w| w.bytes().all(|b| b.is_ascii_lowercase()) && !w.is_empty()),
            "{}",
            code.name
        );
        let first = words[0];
        assert!(
            !["dont", "should", "must", "is", "are", "has", "check", "use", "avoid", "prefer", "missing"].contains(&first),
            "{}",
            code.name
        );
    }
}

#[test]
fn every_code_has_a_page_and_every_page_a_code() {
    for Code { id, name, .. } in codes() {
        let page = page(name).unwrap_or_else(|| panic!("`{name}` has no page"));
        assert_eq!(Some(page), faultbook::lint::page(id));
        let lines: Vec<&str> = page.lines().collect();
        assert_eq!(lines[0], format!("# {id} {name}"));
        let headings: Vec<&str> = lines.iter().filter_map(|l| l.strip_prefix("## ")).collect();
        assert_eq!(headings, ["Why it matters", "Wrong", "Right", "When to allow it"], "{name}");
        assert!(page.ends_with('\n') && lines.iter().all(|l| l.chars().count() <= 140), "{name}");
        assert!(lines[2].ends_with('.') && lines[2].len() > 15, "{name}: {}", lines[2]);
    }
    for name in page_names() {
        assert!(code(name).is_some(), "`{name}.md` belongs to no code");
    }
}

#[test]
fn a_code_is_found_by_id_and_by_name() {
    assert_eq!(code("FB206").unwrap().name, "reading-without-source");
    assert_eq!(code("fb206"), code("reading-without-source"));
    assert_eq!(code("FB999"), None);
    assert_eq!(page("FB999"), None);
}

/// The documentation is made from the pages: after a change, `faultbook provide lints > docs/lints.md`.
#[test]
fn the_chapter_is_that_of_the_pages() {
    let kept = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/lints.md")).unwrap();
    assert!(kept == chapter(), "write it anew: faultbook provide lints > docs/lints.md");
}
