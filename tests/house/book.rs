//! The book that ships is sound, sourced, and its cases pass.

use crate::run::{faultbook, root};
use faultbook::book::{FindingKind, Headed};

#[test]
fn it_lints_without_errors() {
    let done = faultbook(&["lint"]);
    assert_eq!(done.status, 0, "{}{}", done.out, done.err);
}

#[test]
fn its_cases_pass() {
    let done = faultbook(&["test"]);
    assert_eq!(done.status, 0, "{}{}", done.out, done.err);
}

#[test]
fn every_limit_has_a_source() {
    let book = crate::shipped();
    let bare: Vec<&str> = book
        .findings
        .iter()
        .filter(|(_, f)| matches!(f.kind, FindingKind::Reading(_)) && f.head.sources.is_empty())
        .map(|(_, f)| f.name())
        .collect();
    assert!(bare.is_empty(), "readings without a source: {bare:?}");
}

#[test]
fn every_fix_has_a_proof_and_every_cause_a_fix() {
    let book = crate::shipped();
    let cured: std::collections::HashSet<_> = book.fixes.iter().flat_map(|(_, f)| f.cures.iter().map(|(cause, _)| *cause)).collect();
    let uncured: Vec<&str> = book.causes.iter().filter(|(id, c)| !c.is_condition() && !cured.contains(id)).map(|(_, c)| c.name()).collect();
    assert!(uncured.is_empty(), "causes without a fix: {uncured:?}");
    let unproven: Vec<&str> = book.fixes.iter().filter(|(_, f)| f.proofs.is_empty()).map(|(_, f)| f.name()).collect();
    assert!(unproven.is_empty(), "fixes without a proof: {unproven:?}");
}

#[test]
fn the_four_first_systems_are_whole() {
    for system in ["charge-air", "particulate-filter", "fuel-trim", "starting-charging"] {
        let folder = root().join("rules").join(system);
        let count = |word: &str| {
            let files =
                std::fs::read_dir(&folder).unwrap().map(|e| e.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "rules"));
            files.map(|f| std::fs::read_to_string(f).unwrap().lines().filter(|l| l.starts_with(&format!("{word} "))).count()).sum::<usize>()
        };
        let cases = std::fs::read_dir(folder.join("cases")).unwrap().count();
        let (causes, checks, fixes) = (count("cause"), count("check"), count("fix"));
        assert!(
            causes >= 12 && checks >= 10 && fixes >= 8 && cases >= 6,
            "{system}: {causes} causes, {checks} checks, {fixes} fixes, {cases} cases"
        );
    }
}
