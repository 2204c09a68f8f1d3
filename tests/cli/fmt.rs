//! `fmt` on files and streams.

use super::{faultbook, folder};
use std::fs;

const MESSY: &str = "tool a \"A\"\n note   \"n\"  # c\n";
const TIDY: &str = "tool a \"A\"\n  note  \"n\"  # c\n";

#[test]
fn check_shows_and_changes_nothing() {
    let folder = folder(&[("a.rules", MESSY.as_bytes()), ("sub/b.rules", TIDY.as_bytes())]);
    let run = faultbook(folder.path(), &["fmt", "--check", "."], b"");
    assert_eq!(run.status, 1);
    assert!(run.out.starts_with("./a.rules\n--- ./a.rules\n"), "{}", run.out);
    assert!(run.out.contains("\n- note   \"n\"  # c\n+  note  \"n\"  # c\n"), "{}", run.out);
    assert!(!run.out.contains("b.rules"));
    assert_eq!(run.err, "1 of 2 to lay out anew\n");
    assert_eq!(fs::read_to_string(folder.path().join("a.rules")).unwrap(), MESSY);
}

#[test]
fn files_are_laid_out_in_place() {
    let folder = folder(&[("a.rules", MESSY.as_bytes()), ("b.txt", MESSY.as_bytes())]);
    let run = faultbook(folder.path(), &["fmt", "."], b"");
    assert_eq!((run.status, run.out.as_str()), (0, "./a.rules\n"));
    assert_eq!(fs::read_to_string(folder.path().join("a.rules")).unwrap(), TIDY);
    assert_eq!(fs::read_to_string(folder.path().join("b.txt")).unwrap(), MESSY);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2);
    let again = faultbook(folder.path(), &["fmt", "--check", "."], b"");
    assert_eq!((again.status, again.out.as_str(), again.err.as_str()), (0, "", "0 of 1 to lay out anew\n"));
}

#[test]
fn what_cannot_be_read_is_left_alone_and_told() {
    let folder = folder(&[("a.rules", b"tool a\n"), ("b.rules", b"\xff\xfe\x00"), ("c.rules", MESSY.as_bytes())]);
    let run = faultbook(folder.path(), &["fmt", "."], b"");
    assert_eq!((run.status, run.out.as_str()), (1, "./c.rules\n"));
    assert!(run.err.contains("FB005"), "{}", run.err);
    assert!(run.err.contains("./b.rules: left alone, it is not UTF-8 text\n"), "{}", run.err);
    assert!(run.err.ends_with("1 of 3 laid out anew, 2 left alone\n"), "{}", run.err);
    assert_eq!(fs::read(folder.path().join("a.rules")).unwrap(), b"tool a\n");
}

#[test]
fn standard_input_goes_to_standard_output() {
    let folder = folder(&[]);
    let run = faultbook(folder.path(), &["fmt", "-"], MESSY.as_bytes());
    assert_eq!((run.status, run.out.as_str(), run.err.as_str()), (0, TIDY, ""));
    let run = faultbook(folder.path(), &["fmt", "-", "--stdin-name", "open.rules"], b"tool\n");
    assert_eq!((run.status, run.out.as_str()), (1, ""));
    assert!(run.err.contains("open.rules:1:1"), "{}", run.err);
}

#[test]
fn a_script_gets_one_document() {
    let folder = folder(&[("a.rules", MESSY.as_bytes()), ("b.rules", b"tool"), ("c.rules", TIDY.as_bytes())]);
    let run = faultbook(folder.path(), &["fmt", "--check", "--json", "a.rules", "b.rules", "c.rules"], b"");
    assert_eq!(run.status, 1);
    let document: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(document["schema"], 1);
    let outcomes: Vec<_> = document["files"].as_array().unwrap().iter().map(|f| f["outcome"].as_str().unwrap()).collect();
    assert_eq!(outcomes, ["changed", "left_alone", "same"]);
    assert!(document["files"][0]["difference"].as_str().unwrap().contains("+  note  \"n\""));
}

#[test]
fn paths_that_hold_no_rules_cannot_be_used() {
    let folder = folder(&[]);
    for path in [".", "nothing.rules"] {
        let run = faultbook(folder.path(), &["fmt", path], b"");
        assert_eq!((run.status, run.out.as_str()), (2, ""));
        assert!(run.err.contains(path) && run.err.contains("help: "), "{}", run.err);
    }
}
