//! SARIF against the JSON Schema that OASIS published (tests/outside/sarif), and against what the standard says beside it.

use crate::cli::{faultbook, folder};
use serde_json::Value;
use std::path::Path;

fn schema() -> jsonschema::Validator {
    // as published one pattern (that of `language`) has a bracket too many, which no strict reader takes; nothing else is changed
    let mended = include_str!("sarif/sarif-2.1.0.json").replace("[a-zA-Z]{2}]?$", "[a-zA-Z]{2}$");
    let schema: Value = serde_json::from_str(&mended).unwrap();
    jsonschema::options().should_validate_formats(true).build(&schema).unwrap()
}

fn log(folder: &Path, arguments: &[&str]) -> Value {
    let run = faultbook(folder, &[&["lint", "--format", "sarif"], arguments].concat(), b"");
    assert!(run.status <= 1, "{}", run.err);
    let log: Value = serde_json::from_str(&run.out).unwrap();
    let errors: Vec<String> = schema().iter_errors(&log).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:?}");
    log
}

#[test]
fn the_schema_can_fail() {
    assert!(!schema().is_valid(&serde_json::json!({ "version": "2.1.0", "runs": [{}] })));
    assert!(!schema().is_valid(&serde_json::json!({ "version": "2.0.0", "runs": [] })));
}

#[test]
fn it_is_valid_for_the_book_that_ships() {
    let folder = folder(&[]);
    let log = log(folder.path(), &["--most", "0"]);
    let rules = log["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    assert!(rules.len() >= 80);
    for rule in rules {
        assert!(rule["help"]["markdown"].as_str().unwrap().contains("## Why it matters"));
        assert!(rule["shortDescription"]["text"].as_str().unwrap().ends_with('.'));
    }
}

#[test]
fn it_is_valid_when_nothing_can_be_read() {
    let bad = "cause a \"A\n  takes 5\nnonsense\n# umlaut: ä, a path with a blank and a %\ncode P02ZZ\n";
    let folder = folder(&[("a b%ü.rules", bad.as_bytes()), ("picture.rules", b"\x89PNG\r\n\x1a\n\x00\xff")]);
    let log = log(folder.path(), &["."]);
    let run = &log["runs"][0];
    assert_eq!(run["invocations"][0]["executionSuccessful"], true);
    let results = run["results"].as_array().unwrap();
    assert!(results.iter().any(|r| r["ruleId"] == "FB008" && r["level"] == "error"));
    let uri = |r: &Value| r["locations"][0]["physicalLocation"]["artifactLocation"]["uri"].as_str().unwrap().to_string();
    assert!(results.iter().any(|r| uri(r) == "a%20b%25%C3%BC.rules"), "{results:#?}");
    for result in results {
        // section 3.27.6: the index is that of the rule with this id
        let index = result["ruleIndex"].as_u64().unwrap() as usize;
        assert_eq!(run["tool"]["driver"]["rules"][index]["id"], result["ruleId"]);
    }
}

#[test]
fn fingerprints_do_not_know_lines() {
    let rules = "tool lamp \"Lamp\"\ntool wedge \"Wedge\"\nreading r \"R\"\n  unit V\n  band ok above 5\n  band low below 5\n";
    let folder = folder(&[("a.rules", rules.as_bytes()), ("b.rules", format!("# moved\n\n\n{rules}").as_bytes())]);
    let prints = |file: &str| {
        let log = log(folder.path(), &[file]);
        let results = log["runs"][0]["results"].as_array().unwrap().clone();
        let lines: Vec<u64> =
            results.iter().map(|r| r["locations"][0]["physicalLocation"]["region"]["startLine"].as_u64().unwrap()).collect();
        let prints: Vec<String> = results.iter().map(|r| r["partialFingerprints"]["faultbook/v1"].as_str().unwrap().to_string()).collect();
        (lines, prints)
    };
    let ((lines, one), (moved, other)) = (prints("a.rules"), prints("b.rules"));
    assert_ne!(lines, moved);
    assert_eq!(one, other);
    let unique: std::collections::BTreeSet<_> = one.iter().collect();
    assert!(one.len() >= 3 && unique.len() == one.len(), "{one:?}");
}

/// Section 3.55: what a fix takes out and puts in, worked by hand, gives the text that `--fix` gives.
#[test]
fn fixes_say_what_fix_does() {
    let text = "tool lamp \"Ä\"\n  note \"n\"\n  note \"n\"\n";
    let folder = folder(&[("a.rules", text.as_bytes())]);
    let log = log(folder.path(), &["a.rules"]);
    let results = log["runs"][0]["results"].as_array().unwrap();
    let fix = results.iter().find(|r| r["ruleId"] == "FB222").map(|r| &r["fixes"][0]["artifactChanges"][0]).unwrap();
    assert_eq!(fix["artifactLocation"]["uri"], "a.rules");
    let gone = &fix["replacements"][0]["deletedRegion"];
    assert_eq!((gone["startLine"].as_u64(), gone["startColumn"].as_u64()), (Some(3), Some(1)));
    assert_eq!((gone["endLine"].as_u64(), gone["endColumn"].as_u64()), (Some(4), Some(1)));
    assert_eq!(fix["replacements"][0]["insertedContent"]["text"], "");
}

/// SARIF 2.1.0, 3.14.14 and 3.4.4: what lies in the program has a path from a base without a place of its own; 3.19.9 and 3.49.10 the two texts.
#[test]
fn what_ships_has_a_base_and_rules_are_described_in_full() {
    let folder = folder(&[("own.rules", b"book own \"Own\"\n  over faultbook\namend reading boost-2500\n  band healthy 80 to 300\n")]);
    let log = log(folder.path(), &["own.rules", "--most", "0"]);
    let run = &log["runs"][0];
    assert!(run["tool"]["driver"]["informationUri"].as_str().unwrap().starts_with("https://"));
    for rule in run["tool"]["driver"]["rules"].as_array().unwrap() {
        let (short, full) = (rule["shortDescription"]["text"].as_str().unwrap(), rule["fullDescription"]["text"].as_str().unwrap());
        assert!(full.len() > short.len() && full.starts_with(short), "{full}");
    }
    let text = log.to_string();
    assert!(!text.contains("%3Cshipped"), "{text}");
    assert!(text.contains("\"uriBaseId\":\"SHIPPED\""), "the other band lies in the book that ships");
    assert!(run["originalUriBaseIds"]["SHIPPED"].get("uri").is_none());
}
