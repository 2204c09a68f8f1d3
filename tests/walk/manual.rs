//! The manual shows real screens: each block of it is printed by a walk here, to the letter.

use super::{TO_THE_PROOF, sheet};
use crate::run::{faultbook_at, root};
use std::path::PathBuf;

/// What the walk of a sheet says at 60 columns.
fn said(name: &str, answers: &str) -> String {
    said_of(sheet(name), answers)
}

/// A book in which only a turbo has the hose, and a customer with two complaints.
fn turbo(name: &str) -> (PathBuf, String) {
    let (sheet, rules) = sheet(name);
    let text = std::fs::read_to_string(&rules).unwrap();
    let more = "trait turbo \"Turbocharger\"\n  ask \"A turbo?\"\namend sign hose\n  when turbo\nsymptom whistle \"Whistles\"\namend cause hose-split\n  shows whistle 70 %\n";
    std::fs::write(&rules, text + more).unwrap();
    std::fs::write(&sheet, "title = \"A van\"\n\n[complaint]\nwords = \"it is gutless and whistles\"\n").unwrap();
    (sheet, rules)
}

fn said_of((sheet, rules): (PathBuf, String), answers: &str) -> String {
    let file = sheet.with_extension("answers");
    std::fs::write(&file, answers).unwrap();
    faultbook_at(60, &["walk", sheet.to_str().unwrap(), "--rules", &rules, "--answers", file.to_str().unwrap()]).err
}

#[test]
fn the_manual_shows_what_the_walk_prints() {
    let whole = said("manual-whole", &format!("{TO_THE_PROOF}79\n104\n1\n1\n3\n1\n"));
    let open = said("manual-open", &format!("{TO_THE_PROOF}61\n1\n1\n1\n1\n"));
    let danger = said("manual-danger", "1\n");
    let steps = said_of(turbo("manual-steps"), "0\n0\n1 2\n0\n1\n1\n1\nx\n1\n100\n");
    let (sheet, rules) = sheet("manual-unheard");
    std::fs::write(&sheet, "title = \"A van\"\n").unwrap();
    let unheard = said_of((sheet, rules), "it goes like a snail\n0\n0\n0\n1\n");
    let manual = std::fs::read_to_string(root().join("docs/walk.md")).unwrap();
    let screens: Vec<&str> = manual.split("```text\n").skip(1).map(|rest| rest.split("```").next().unwrap()).collect();
    assert!(screens.len() > 5);
    for screen in screens {
        assert!(
            [&whole, &open, &danger, &steps, &unheard].iter().any(|s| s.contains(screen)),
            "no walk prints\n{screen}\nbut\n{whole}\n{open}\n{danger}\n{steps}\n{unheard}"
        );
    }
    assert!(whole.contains("Now likeliest: Charge hose split, >99 % (was 44 %)."));
}

#[test]
fn what_is_attached_is_found_from_the_sheet() {
    let (sheet, rules) = sheet("walk-attach");
    std::fs::write(sheet.with_file_name("hose.jpg"), "").unwrap();
    let done = super::walk(&sheet, &rules, "a hose.jpg\na Cargo.toml\na nowhere.jpg\n");
    assert_eq!(done.err.matches("Attached.").count(), 2, "{}", done.err);
    assert!(done.err.contains("There is no file `nowhere.jpg`"), "{}", done.err);
    let text = std::fs::read_to_string(&sheet).unwrap();
    let elsewhere = root().join("Cargo.toml");
    assert!(text.contains("answer = \"hose.jpg\"") && text.contains(elsewhere.to_str().unwrap()), "{text}");
}
