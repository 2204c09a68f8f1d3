//! What people, scripts and the workshop's rules get of a count.

use super::{OWN, barn};
use crate::run::{Done, faultbook_at, root};
use std::path::Path;

/// Weights small enough for so few jobs to move something.
fn tally(folder: &Path, columns: usize, more: &[&str]) -> Done {
    let path = |name: &str| folder.join(name).display().to_string();
    let (jobs, base, own) = (path("jobs"), path("barn.rules"), path("own.rules"));
    let fixed = ["tally", &jobs, "--rules", &base, "--rules", &own, "--prior-weight", "10", "--strength-weight", "2"];
    faultbook_at(columns, &[&fixed, more].concat())
}

/// The page without what names the folder of this machine.
fn plain(text: &str) -> &str {
    text.split("Not counted").next().unwrap()
}

#[test]
fn page_of_a_count() {
    let folder = barn("tally-page");
    let done = tally(&folder, 100, &[]);
    assert_eq!(done.status, 0, "{}", done.err);
    insta::assert_snapshot!("count-100", plain(&done.out));
}

#[test]
fn narrow_page_of_a_count() {
    let folder = barn("tally-narrow");
    let done = tally(&folder, 72, &[]);
    let narrow = tally(&folder, 40, &[]);
    assert!(plain(&narrow.out).lines().all(|l| l.chars().count() <= 40), "{}", narrow.out);
    let words = |text: &str| text.split_whitespace().filter(|w| !w.starts_with('─')).collect::<Vec<_>>().join(" ");
    assert_eq!(words(plain(&done.out)), words(plain(&narrow.out)));
}

#[test]
fn document_of_a_count() {
    let folder = barn("tally-json");
    let done = tally(&folder, 100, &["--json"]);
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let schema = faultbook_at(100, &["provide", "schema", "tally"]).out;
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    jsonschema::validate(&schema, &document).unwrap();
    assert_eq!(document["jobs"], 6);
    assert_eq!(document["referred"], 1);
    // the trailer's cause can't be in a tractor; the pump of the third job was worn by the loose hose
    assert!(document["causes"].get("axle-dry").is_none());
    assert_eq!(document["causes"]["pump-worn"], serde_json::json!({"there": 4, "by_itself": 3, "of": 6}));
    // both causes of the third job show the complaint, so it counts for neither; the hose and the filter are shown by one only
    assert_eq!(document["findings"]["hose-loose"]["slow-lift"], serde_json::json!({"absent": 0, "present": 2}));
    assert_eq!(document["findings"]["hose-loose"]["hose"], serde_json::json!({"tight": 0, "loose": 3}));
    assert_eq!(document["findings"]["pump-worn"]["filter"], serde_json::json!({"clean": 0, "grey": 1, "metal": 3}));
    // the first look hit where the hose was loose; a quarter of an hour between answers, three steps
    assert_eq!(document["first_checks"], serde_json::json!({"jobs": 6, "hits": 3, "checks": 10}));
    assert_eq!(document["minutes"]["by_clock"], 45.0);
    assert_eq!(document["left_out"].as_object().unwrap().len(), 2);
}

#[test]
fn what_is_proposed_goes_below_the_workshops_own_rules() {
    let folder = barn("tally-write");
    let own = folder.join("own.rules");
    let done = tally(&folder, 100, &["--write", own.to_str().unwrap()]);
    assert_eq!(done.status, 0, "{}", done.err);
    let text = std::fs::read_to_string(&own).unwrap();
    assert!(text.starts_with(OWN), "what stood there is left to the letter: {text}");
    insta::assert_snapshot!("own-rules", text);
    let base = folder.join("barn.rules");
    let lint = faultbook_at(100, &["lint", base.to_str().unwrap(), own.to_str().unwrap(), "--format", "json"]);
    assert!(lint.status <= 1 && !lint.out.contains("\"error\""), "{}", lint.out);
}

#[test]
fn the_same_jobs_counted_again_change_nothing() {
    let folder = barn("tally-again");
    let own = folder.join("own.rules");
    let first = tally(&folder, 100, &["--write", own.to_str().unwrap()]);
    let once = std::fs::read_to_string(&own).unwrap();
    let second = tally(&folder, 100, &["--write", own.to_str().unwrap()]);
    assert_eq!(first.out, second.out);
    assert_eq!(once, std::fs::read_to_string(&own).unwrap());
    let elsewhere = tally(&folder, 100, &["--write", folder.join("other.rules").to_str().unwrap()]);
    assert_eq!(elsewhere.status, 2);
    assert!(elsewhere.err.contains("holds a count already"), "{}", elsewhere.err);
}

#[test]
fn nothing_is_written_where_the_rules_would_not_be_sound() {
    let folder = barn("tally-unsound");
    let other = folder.join("other.rules");
    std::fs::write(&other, "cause pump-worn \"Twice\"\n  prior 1 %\n").unwrap();
    let done = tally(&folder, 100, &["--write", other.to_str().unwrap()]);
    assert_eq!(done.status, 2, "{}", done.out);
    assert!(done.err.contains("nothing was written"), "{}", done.err);
    assert_eq!(std::fs::read_to_string(&other).unwrap(), "cause pump-worn \"Twice\"\n  prior 1 %\n");
}

#[test]
fn a_weight_that_is_none_is_refused() {
    for weight in ["0", "-3", "nan", "1e7"] {
        let done = faultbook_at(100, &["tally", "examples/harbour-garage/jobs", &format!("--prior-weight={weight}")]);
        assert_eq!((done.status, done.err.contains("more than 0")), (2, true), "{weight}: {}", done.err);
    }
}

#[test]
fn open_jobs_of_the_example_are_named_and_not_counted() {
    let done = faultbook_at(100, &["tally", root().join("examples/harbour-garage/jobs").to_str().unwrap()]);
    assert_eq!(done.status, 0, "{}", done.err);
    assert!(done.out.contains("0 closed jobs") && done.out.contains("it is not closed"), "{}", done.out);
}
