//! The intake: short, danger first, and nothing said that the technician did not say.

use super::{saved, sheet, walk};
use crate::run::{faultbook_at, scratch};

/// Asks of the journal with their answers.
fn journal(sheet: &std::path::Path) -> Vec<(String, String)> {
    let text = |entry: &toml::Value, key: &str| entry[key].as_str().unwrap().to_string();
    saved(sheet)["journal"].as_array().unwrap().iter().map(|e| (text(e, "ask"), text(e, "answer"))).collect()
}

#[test]
fn a_sheet_that_is_not_there_is_begun_and_danger_comes_first() {
    let folder = scratch("walk-new");
    let (_, rules) = sheet("walk-new-rules");
    let new = folder.join("grey van.toml");
    let done = walk(&new, &rules, "a knocking, and it is gutless\n");
    assert_eq!(done.status, 0, "{}", done.err);
    assert_eq!(saved(&new)["title"].as_str(), Some("grey van"));
    // an `a` in the customer's words is an article, not the key that attaches a file
    assert_eq!(journal(&new), [("words".to_string(), "a knocking, and it is gutless".to_string())]);
    let result: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    assert_eq!(result["ask"]["id"], "dangers");
}

#[test]
fn answers_to_a_list_are_kept_by_name() {
    let (sheet, rules) = sheet("walk-list");
    let done = walk(&sheet, &rules, "7\n1\nsafe\nchain workshop: codes cleared; friend: new filter\n");
    assert!(done.err.contains("`7` is no answer here"), "{}", done.err);
    assert!(done.err.contains("> Fumes inside\n"), "{}", done.err);
    assert!(done.err.contains("STOP: Exhaust in the cabin"), "{}", done.err);
    assert_eq!(journal(&sheet)[0], ("dangers".into(), "+fumes-inside".into()));
    assert_eq!(journal(&sheet)[2].1, "chain workshop: codes cleared; friend: new filter");
}

/// "Hose renewed" may be the hose or not: a yes makes it count, and the vanes come before it.
#[test]
fn what_was_repaired_before_is_asked_by_its_fix_and_counts() {
    let (sheet, rules) = sheet("walk-repaired");
    let done = walk(&sheet, &rules, "0\nfriend: codes cleared; garage: the hose was renewed\n1\n0\n1\n1\n");
    assert!(done.err.contains("Was one of these done then?") && done.err.contains("1 = Renew the hose"), "{}", done.err);
    assert!(!done.err.contains("= Free the vanes"), "only what the words may mean: {}", done.err);
    assert_eq!(journal(&sheet).last().unwrap(), &("repaired".into(), "+renew-hose".into()));
    let plan = faultbook_at(60, &["plan", sheet.to_str().unwrap(), "--rules", &rules]);
    assert!(plan.out.contains("Repaired before"), "{}", plan.out);
    let place = |title: &str| plan.out.find(&format!("█ {title}")).or_else(|| plan.out.find(title)).unwrap();
    assert!(place("Vanes stick") < place("Charge hose split"), "{}", plan.out);
}

#[test]
fn a_danger_that_a_newer_book_adds_is_asked_too() {
    let (sheet, rules) = sheet("walk-newer-danger");
    walk(&sheet, &rules, "0\n0\n");
    let more = "symptom brakes \"Brakes soft\"\n  always-ask\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let again = walk(&sheet, &rules, "");
    assert!(again.err.contains("1 = Brakes soft") && !again.err.contains("= Fumes inside"), "{}", again.err);
}

#[test]
fn what_an_older_book_knew_is_named_and_passed_over() {
    let (sheet, rules) = sheet("walk-older");
    walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n2\n");
    let text = std::fs::read_to_string(&rules).unwrap();
    let renamed = text.replace("no-pull", "weak").replace("look-hose", "see-hose").replace("tight, split", "tight, torn");
    std::fs::write(&rules, renamed.replace("shows hose split", "shows hose torn")).unwrap();
    let again = walk(&sheet, &rules, "");
    assert_eq!(again.status, 0, "{}", again.err);
    let words = again.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("The rules have changed since the last answer"), "{}", again.err);
    assert!(words.contains("passed over: symptom:no-pull, do:look-hose, find:hose"), "{}", again.err);
    assert!(words.contains("Lacks power"), "it is asked anew: {}", again.err);
}

#[test]
fn what_does_not_fit_together_can_be_taken_back() {
    let (sheet, rules) = sheet("walk-stuck");
    // what excludes each other is one question with one answer; these two fall out only over what each of them needs
    let traits = "trait row \"Row\"\n  excludes vee\ntrait vee \"Vee\"\ntrait one \"One\"\n  ask \"One?\"\n  when row\ntrait two \"Two\"\n  ask \"Two?\"\n  when vee\n";
    let causes = "cause first \"First\"\n  when one\n  prior 20 %\n  shows no-pull 50 %\ncause second \"Second\"\n  when two\n  prior 20 %\n  shows no-pull 50 %\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + traits + causes).unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1 2\nb\n1 -2\n");
    let words = done.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("This does not fit together. Go back with b."), "{}", done.err);
    assert!(words.contains("can't both be fitted"), "{}", done.err);
    assert!(words.contains("> One. not: Two") || words.contains("> Two. not: One"), "{}", done.err);
    assert_eq!(done.status, 0);
}

/// With the rules that ship: the car, words, the tank and the battery that dangers hang on, dangers, what was done, the symptoms heard, codes, the scan, the vehicle. No more before the
/// first step.
#[test]
fn the_intake_of_the_book_that_ships_is_short() {
    let folder = scratch("walk-shipped");
    let job = folder.join("van.toml");
    std::fs::write(
        folder.join("answers"),
        "2.2 diesel van 2016, automatic, filter\nno power uphill, whistles\n0\n0\n0\n1 2\nP0299\n1\nx\nx\nx\nx\nx\n",
    )
    .unwrap();
    let (job, answers) = (job.to_str().unwrap(), folder.join("answers").display().to_string());
    let done = faultbook_at(40, &["walk", job, "--answers", &answers, "--json"]);
    let asked = done.err.split("(about").next().unwrap().matches("\n> ").count();
    assert!((7..=12).contains(&asked), "{asked} questions:\n{}", done.err);
    // a script is shown what a person is: how long it takes, why, what may be typed
    let open: serde_json::Value = serde_json::from_str(&done.out).unwrap();
    let lines = open["ask"]["lines"].as_array().unwrap();
    assert!(lines.iter().any(|l| l["lead"] == "takes" && l["words"].as_str().unwrap().ends_with("min")), "{open}");
    assert!(!open["ask"]["why"].as_array().unwrap().is_empty() && open["ask"]["type"].is_null(), "{open}");
    assert!(done.err.contains("steps left") || done.err.contains("step left"), "{}", done.err);
    assert!(done.err.find("Danger first").unwrap() < done.err.find("done about it").unwrap());
    assert!(done.err.lines().all(|l| l.chars().count() <= 40 || l.contains('/')), "{}", done.err);
}

/// What only a hybrid can have is asked of hybrids, and where nobody knows whether it is one.
#[test]
fn dangers_that_hang_on_the_vehicle_are_asked_when_that_is_settled() {
    let more = "trait hybrid \"Hybrid\"\n  ask \"Is it a hybrid?\"\nsymptom shock \"A shock from the car\"\n  always-ask\n  when hybrid\n\
                symptom hiss \"A hiss from the battery\"\n  always-ask\n  when hybrid\n";
    for (answer, asked) in [("1", true), ("2", false), ("x", true)] {
        let (sheet, rules) = sheet(&format!("walk-settle-{answer}"));
        std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
        let done = walk(&sheet, &rules, &format!("{answer}\n"));
        assert!(done.err.contains("Is it a hybrid?"), "{}", done.err);
        let (_, then) = done.err.split_once("Danger first").unwrap();
        assert_eq!(then.contains("= A shock from the car"), asked, "{}", done.err);
    }
}

/// Where one danger alone hangs on it, the danger is asked about, and what the vehicle has is not.
#[test]
fn a_single_danger_is_asked_about_as_it_is() {
    let (sheet, rules) = sheet("walk-settle-single");
    let more = "trait tank \"Reagent tank\"\n  ask \"Does it have a reagent tank?\"\nsymptom mixed \"Reagent in the fuel\"\n  always-ask\n  when tank\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let done = walk(&sheet, &rules, "0\n");
    assert!(done.err.contains("= Reagent in the fuel") && !done.err.contains("Does it have a reagent tank?"), "{}", done.err);
}

/// One slip in a line of codes costs one code typed again, not the line.
#[test]
fn of_a_line_of_codes_only_the_wrong_one_is_asked_again() {
    let (sheet, rules) = sheet("walk-codes");
    let done = walk(&sheet, &rules, "0\n0\n1\nP0299 P04Z1, p0301\nP04xx\nP0401\n");
    let said = done.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("> P0299 P0301") && said.contains("No trouble code: P04Z1. Type only that again."), "{}", done.err);
    assert!(said.contains("kept: P0299 P0301"), "{}", done.err);
    let codes: Vec<String> = journal(&sheet).into_iter().filter(|(ask, _)| ask == "codes").map(|(_, answer)| answer).collect();
    assert_eq!(codes, ["P0299 P0301 ?P04Z1", "P0401"]);
    let plan = faultbook_at(80, &["plan", sheet.to_str().unwrap(), "--rules", &rules]);
    assert!(["P0299", "P0301", "P0401"].iter().all(|c| plan.out.contains(c)), "{}", plan.out);
}

/// `0` is none of these and `x` is not known, wherever something is asked; a number alone is no words.
#[test]
fn none_and_not_known_have_the_same_keys_everywhere() {
    let more = "trait diesel \"Diesel\"\n  ask \"Is it a diesel?\"\ncause wax \"Wax in the fuel\"\n  when diesel\n  prior 5 %\n  shows no-pull 60 %\n";
    let (sheet, rules) = sheet("walk-keys");
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let done = walk(&sheet, &rules, "0\n3\nfriend: hose renewed\nx\n");
    assert!(done.err.contains("`3` is no answer here: 0 nothing, x not"), "{}", done.err);
    let asks: Vec<&str> = done.err.split("\n\n").filter(|block| block.contains(" = ")).collect();
    assert!(asks.len() >= 4, "{}", done.err);
    assert!(asks.iter().all(|block| block.contains("\n  x = ")), "{}", done.err);
    assert!(!done.err.contains("= not known") || done.err.contains("x = not known"), "{}", done.err);
}

/// A question of yes or no is answered by yes or no, whatever the states are called.
#[test]
fn a_sign_that_asks_yes_or_no_is_answered_so() {
    let (sheet, rules) = sheet("walk-yes-no");
    let more = "symptom trips \"Short trips\"\n  ask \"Is it driven on short trips?\"\n  stray 5 %\namend cause vanes-stick\n  shows trips 90 %\namend check look-hose\n  reveals trips\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n1\n1\n");
    let (_, asked) = done.err.split_once("Is it driven on short trips?").unwrap_or_else(|| panic!("{}", done.err));
    assert!(asked.starts_with("\n  1 = yes\n  2 = no\n  x = "), "{asked}");
    assert_eq!(journal(&sheet).last().unwrap(), &("find:trips".into(), "present".into()));
}

/// What the vehicle is comes before what was repaired: no part is offered that it can't have.
#[test]
fn what_was_repaired_before_fits_the_vehicle() {
    let (sheet, rules) = sheet("walk-repaired-fits");
    let more = "trait diesel \"Diesel\"\n  ask \"Is it a diesel?\"\ncause wax \"Wax in the fuel\"\n  when diesel\n  prior 5 %\n  shows no-pull 60 %\nfix renew-diesel-hose \"Renew the diesel hose\"\n  takes 9 min\n  cures wax\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let done = walk(&sheet, &rules, "0\nfriend: diesel hose renewed\n1\n0\n1\n0\n");
    assert!(done.err.contains("> none of these: it surely has none"), "{}", done.err);
    let (_, offered) = done.err.split_once("Was one of these done then?").unwrap_or_else(|| panic!("{}", done.err));
    assert!(offered.contains("Renew the hose") && !offered.contains("diesel"), "{offered}");
}
