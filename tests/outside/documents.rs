//! Documents against published formats: JSON Schema (draft 2020-12, checked with the `jsonschema` crate), TextMate grammars, man pages.

use crate::run::{faultbook, root, scratch};
use faultbook::syntax::{Keyword, Kind};
use serde_json::Value;

fn json(arguments: &[&str]) -> Value {
    let done = faultbook(arguments);
    assert!(done.status <= 1, "{}", done.err);
    serde_json::from_str(&done.out).unwrap()
}

#[test]
fn documents_keep_to_their_schemas() {
    let job = "examples/harbour-garage/jobs/van-no-pull.toml";
    let rules = "examples/harbour-garage/rules";
    let commands: &[(&str, &[&str])] = &[
        ("weigh", &["weigh", job, "--json"]),
        ("plan", &["plan", job, "--json"]),
        ("test", &["test", "--json", "--coverage"]),
        ("compare", &["compare", rules, rules, "--json", "--job", "examples/harbour-garage/jobs"]),
        ("fmt", &["fmt", "--check", rules, "--json"]),
        ("tally", &["tally", job, "--json"]),
        ("readings", &["readings", "examples/logs/cold-start-drive.csv", "--json"]),
    ];
    for (schema, arguments) in commands {
        let schema = json(&["provide", "schema", schema]);
        let validator = jsonschema::validator_for(&schema).unwrap();
        let document = json(arguments);
        let errors: Vec<String> = validator.iter_errors(&document).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{arguments:?}: {errors:?}");
        assert_eq!(document["schema"], 1);
    }
}

#[test]
fn example_sheets_keep_to_the_schema_of_a_job() {
    let schema = json(&["provide", "schema", "job"]);
    let validator = jsonschema::validator_for(&schema).unwrap();
    for entry in std::fs::read_dir(root().join("examples/harbour-garage/jobs")).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        let sheet: toml::Table = toml::from_str(&text).unwrap();
        let sheet = serde_json::to_value(sheet).unwrap();
        assert!(validator.is_valid(&sheet), "{text}");
    }
    let wrong = serde_json::json!({"complaint": {"yess": []}});
    assert!(!validator.is_valid(&wrong), "a slip in a key is seen");
}

#[test]
fn the_example_settings_keep_to_their_schema() {
    let validator = jsonschema::validator_for(&json(&["provide", "schema", "settings"])).unwrap();
    let text = std::fs::read_to_string(root().join("examples/harbour-garage/faultbook.toml")).unwrap();
    let settings = serde_json::to_value(toml::from_str::<toml::Table>(&text).unwrap()).unwrap();
    assert!(validator.is_valid(&settings), "{text}");
    for wrong in [serde_json::json!({"rates": 60}), serde_json::json!({"lint": {"titles-alike": "loud"}})] {
        assert!(!validator.is_valid(&wrong), "{wrong}");
    }
}

#[test]
fn editors_know_every_word_of_the_language() {
    let text = std::fs::read_to_string(root().join("grammar/rules.tmLanguage.json")).unwrap();
    let _: Value = serde_json::from_str(&text).unwrap();
    let known =
        |word: &str| text.contains(&format!("|{word}|")) || text.contains(&format!("({word}|")) || text.contains(&format!("|{word})"));
    let kinds = Kind::ALL.iter().map(|k| k.word());
    let clauses = Keyword::ALL.iter().map(|k| k.word()).filter(|w| !["WORD", "drop"].contains(w));
    let missing: Vec<&str> = kinds.chain(clauses).filter(|w| !known(w)).collect();
    assert!(missing.is_empty(), "the syntax file lacks {missing:?}");
}

/// A number takes its unit with it, and no word of the language that comes after.
#[test]
fn numbers_swallow_no_words() {
    let grammar: Value = serde_json::from_str(&std::fs::read_to_string(root().join("grammar/rules.tmLanguage.json")).unwrap()).unwrap();
    let patterns = grammar["patterns"].as_array().unwrap();
    let numbers = patterns.iter().find(|p| p["name"] == "constant.numeric").unwrap()["match"].as_str().unwrap();
    let numbers = fancy_regex::Regex::new(numbers).unwrap();
    for (text, wanted) in [
        ("80 to 140", vec!["80", "140"]),
        ("2300 to 2700 and pedal above 90 for 2 s take median", vec!["2300", "2700", "90", "2 s"]),
        ("below 12.5 V, 95 %", vec!["12.5 V", "95 %"]),
        ("800 1/min or 0.2 g/s", vec!["800 1/min", "0.2 g/s"]),
    ] {
        let found: Vec<&str> = numbers.find_iter(text).map(|m| m.unwrap().as_str()).collect();
        assert_eq!(found, wanted, "{text}");
    }
}

#[test]
fn shells_and_manuals_are_provided() {
    let done = faultbook(&["provide", "completions", "bash"]);
    assert!(done.out.contains("faultbook") && done.out.contains("complete"), "{}", done.err);
    let folder = scratch("man");
    let done = faultbook(&["provide", "man", folder.to_str().unwrap()]);
    assert_eq!(done.status, 0, "{}", done.err);
    let page = std::fs::read_to_string(folder.join("faultbook-plan.1")).unwrap();
    assert!(page.contains(".SH SYNOPSIS"), "{page}");
}
