//! The rules' own tests and the comparison of books, as people and CI meet them.

use crate::run::{faultbook, root, scratch};

const RULES: &str = r#"
book b "B"
  stray 1 %
symptom no-pull "Lacks power"
sign hose "Hose"
  states tight, split
  stray 0.2 %
cause hose-split "Hose split"
  prior 3 %
  shows no-pull 90 %
  shows hose split 95 %
cause vanes "Vanes stick"
  prior 2 %
  shows no-pull 80 %
check look "Look"
  takes 5 min
  reveals hose
fix renew "Renew"
  takes 30 min
  parts 45
  cures hose-split
  proof hose tight
fix free "Free"
  takes 120 min
  cures vanes
  proof no-pull absent
"#;

const CASE: &str = r#"
[complaint]
yes = ["no-pull"]
[expect]
causes = ["hose-split"]
within = 1
first-check = ["look"]
most-checks = 1
"#;

/// A book with one case of this text.
fn book(name: &str, rules: &str, case: &str) -> String {
    let folder = scratch(name);
    std::fs::create_dir_all(folder.join("cases")).unwrap();
    std::fs::write(folder.join("b.rules"), rules).unwrap();
    std::fs::write(folder.join("cases/one.toml"), case).unwrap();
    folder.display().to_string()
}

#[test]
fn a_case_that_holds_passes() {
    let done = faultbook(&["test", &book("case-passes", RULES, CASE)]);
    assert_eq!(done.status, 0, "{}{}", done.out, done.err);
    assert!(done.err.contains("1 passed, 0 failed"), "{}", done.err);
}

#[test]
fn a_case_that_fails_says_what_came_and_why() {
    let folder = book("case-fails", RULES, &CASE.replace("\"hose-split\"", "\"vanes\""));
    let done = faultbook(&["test", &folder, "--json"]);
    assert_eq!(done.status, 1);
    let document: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(document["failed"], 1);
    assert!(document["cases"][0]["misses"][0][0].as_str().unwrap().contains("`vanes` among the first 1"), "{}", done.out);
    let text = faultbook(&["test", &folder]);
    assert!(text.out.contains("because  `no-pull` present is 1.1 times likelier under `hose-split` than under `vanes`"), "{}", text.out);
}

#[test]
fn verdicts_go_to_junit_and_coverage() {
    let folder = book("case-junit", RULES, CASE);
    let file = format!("{folder}/out.xml");
    let done = faultbook(&["test", &folder, "--junit", &file, "--coverage", "--cover-at-least", "80"]);
    assert_eq!(done.status, 1, "half of the causes are touched, 80 % were asked for");
    assert!(done.out.contains("causes that no case touches (1): vanes"), "{}", done.out);
    let xml = std::fs::read_to_string(&file).unwrap();
    assert!(xml.contains("tests=\"1\" failures=\"0\""), "{xml}");
}

#[test]
fn a_case_that_can_not_be_read_is_named() {
    let done = faultbook(&["test", &book("case-broken", RULES, "[expect]\ncauses = [1]\n")]);
    assert_eq!(done.status, 2);
    assert!(done.err.contains("one.toml"), "{}", done.err);
}

#[test]
fn books_are_compared_in_meaning_and_in_plans() {
    let old = book("compare-old", RULES, CASE);
    let layout = RULES.replace("  prior 3 %\n", "# a comment\n    prior   3.0 %\n");
    let same = faultbook(&["compare", &old, &book("compare-same", &layout, CASE)]);
    assert!(same.out.contains("Nothing, in meaning."), "{}", same.out);
    let changed = RULES.replace("prior 3 %", "prior 0.1 %").replace("parts 45", "parts 400");
    let done = faultbook(&["compare", &old, &book("compare-new", &changed, CASE)]);
    assert_eq!(done.status, 0, "{}", done.err);
    let page = done.out.replace(root().join("target").to_str().unwrap(), "TARGET");
    for line in ["prior: 3 % -> 0.1 %", "parts: 45 -> 400", "likeliest: hose-split", "1 of 1 cars get another plan"] {
        assert!(page.contains(line), "`{line}` is missing:\n{page}");
    }
}
