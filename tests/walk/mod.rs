//! Whole jobs walked, with answers from a file, from a pipe and on a real terminal.

mod cautions;
mod closing;
mod disk;
mod fuel;
mod intake;
mod manual;
mod nine;
mod numbers;
mod proving;
mod ramp;
mod steps;
#[cfg(unix)]
mod terminal;
mod trying;
mod unheard;

use crate::run::{Done, faultbook_at, root, scratch};
use std::path::{Path, PathBuf};

/// A small book: two causes that look alike from the seat, a check that tells, a proof by a number.
pub const RULES: &str = r#"
book garage "Garage"
  stray 2 %
hazard fumes "Exhaust in the cabin"
  level stop
  do "Windows open, engine off, everybody out."
aftercare clear "Clear the codes"
  takes 3 min
aftercare reset "Reset the counter"
  takes 3 min
  if-refused "Ignition on, hold the button."
  after clear
symptom fumes-inside "Fumes inside"
  ask "Any fumes inside?"
  always-ask
  hazard fumes
  stray 0.2 %
symptom no-pull "Lacks power"
  heard "gutless"
reading boost "Boost at 2500 rpm"
  unit kPa
  band healthy 80 to 140
  band low below 80
  band high above 140
sign hose "Charge hose"
  states tight, split
  stray 0.2 %
cause hose-split "Charge hose split"
  prior 3 %
  shows no-pull 90 %
  shows boost low 90 %
  shows hose split 95 %
cause vanes-stick "Vanes stick"
  prior 2 %
  shows no-pull 80 %
  shows boost low 80 %
check look-hose "Look at the hose"
  takes 5 min
  reveals hose
  do "Feel underneath."
fix renew-hose "Renew the hose"
  takes 30 min
  parts 45
  cures hose-split
  proof boost healthy
  then reset, clear
fix free-vanes "Free the vanes"
  takes 120 min
  parts 60
  cures vanes-stick
  proof boost healthy
"#;

/// A sheet of its own with the book beside it.
pub fn sheet(name: &str) -> (PathBuf, String) {
    let folder = scratch(name);
    std::fs::write(folder.join("garage.rules"), RULES).unwrap();
    std::fs::write(folder.join("job.toml"), "title = \"A van\"\n\n[complaint]\nwords = \"it is gutless\"\n").unwrap();
    (folder.join("job.toml"), folder.join("garage.rules").display().to_string())
}

/// Answers up to the repair of the hose: no danger, nothing done before, it lacks power, no codes, all read, the hose split, renewed.
pub const TO_THE_PROOF: &str = "0\n0\n1\n0\n1\n1\n2\n1\n";

/// The sheet as it stands on the disk.
pub fn saved(sheet: &Path) -> toml::Table {
    std::fs::read_to_string(sheet).unwrap().parse().unwrap()
}

/// Walks with these answers.
pub fn walk(sheet: &Path, rules: &str, answers: &str) -> Done {
    let file = sheet.with_extension("answers");
    std::fs::write(&file, answers).unwrap();
    faultbook_at(40, &["walk", sheet.to_str().unwrap(), "--rules", rules, "--answers", file.to_str().unwrap(), "--json"])
}

#[test]
fn a_whole_job_from_complaint_to_closed() {
    let (sheet, rules) = sheet("walk-whole");
    // no danger, nothing done before, it lacks power, no codes, read in full, hose looked at and split, renewed, 79 then 104.5 kPa, gone,
    // one step ticked off, one refused and done by hand, close
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n2\n1\n79\n1045 mbar\n1\n1\n3\n1\n");
    assert_eq!(done.status, 0, "{}", done.err);
    let result: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(result["closed"], true, "{}", done.err);
    assert_eq!(result["causes"][0], "hose-split");
    insta::assert_snapshot!("whole-job-40", done.err);
    let text = std::fs::read_to_string(&sheet).unwrap();
    assert!(text.starts_with("title = \"A van\"\n\n[complaint]"), "the head of the sheet is left as it was");
    assert!(text.contains("[closed]"));
}

#[test]
fn back_takes_an_answer_away_and_a_walk_resumes() {
    let (sheet, rules) = sheet("walk-back");
    let first = walk(&sheet, &rules, "0\n0\n1\nb\n2\nn hose looks new\nq\n");
    assert!(first.err.contains("Back."), "{}", first.err);
    let again = walk(&sheet, &rules, "w\n");
    assert!(again.err.contains("Resumed after 6 answers."), "{}", again.err);
    let text = std::fs::read_to_string(&sheet).unwrap();
    assert!(text.contains("ask = \"back\"") && text.contains("hose looks new"), "nothing is rewritten: {text}");
}

#[test]
fn a_proof_out_of_its_limit_keeps_the_job_open() {
    let (sheet, rules) = sheet("walk-unproven");
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n2\n1\n61 kPa\n1\n1\n1\n1\nthe customer takes it as it is\n");
    assert!(done.err.contains("The job can't simply be closed."), "{}", done.err);
    let text = std::fs::read_to_string(&sheet).unwrap();
    assert!(text.contains("reason = \"the customer takes it as it is\""), "{text}");
}

#[test]
fn a_danger_wants_its_word() {
    let (sheet, rules) = sheet("walk-danger");
    let done = walk(&sheet, &rules, "1\n1\nsafe\n");
    assert!(done.err.contains("STOP: Exhaust in the cabin"), "{}", done.err);
    assert!(done.err.contains("`1` is no answer here"), "{}", done.err);
    assert!(done.err.contains("> safe"), "{}", done.err);
}

/// Where the head is broken too nothing can be read, and nothing is touched.
#[test]
fn a_sheet_with_a_broken_head_is_refused_and_left_as_it_is() {
    let (sheet, rules) = sheet("walk-truncated");
    let text = "title = A van\n[[journal]]\nat = \"2026";
    std::fs::write(&sheet, text).unwrap();
    let done = walk(&sheet, &rules, "1\n");
    assert_eq!(done.status, 2);
    assert!(done.err.contains("job.toml"), "{}", done.err);
    assert_eq!(std::fs::read_to_string(&sheet).unwrap(), text);
}

#[test]
fn escape_sequences_come_out_harmless() {
    let (sheet, rules) = sheet("walk-escape");
    std::fs::write(&sheet, "title = \"A \\u001b[31mred\\u0007 van\"\n").unwrap();
    let done = walk(&sheet, &rules, "n \u{1b}]0;x\u{7}\nq\n");
    assert!(!done.err.contains('\u{1b}') && !done.out.contains('\u{1b}'), "{:?}", done.err);
}

#[test]
fn skipping_a_step_takes_it_out_of_the_plan() {
    let (sheet, rules) = sheet("walk-skip");
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\ns\n");
    let after = done.err.split("> skip").nth(1).unwrap();
    assert!(!after.contains("Check: Look at the hose"), "{}", done.err);
}

/// The examples keep no journal.
#[test]
fn example_sheets_are_untouched() {
    for entry in std::fs::read_dir(root().join("examples/harbour-garage/jobs")).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        assert!(!text.contains("[[journal]]"));
    }
}
