//! Steps that come to nothing: not seen, or not on this vehicle.

use super::{saved, sheet, walk};

/// The hose is dear, so that only a look at it makes the repair worth while.
fn dear(name: &str) -> (std::path::PathBuf, String) {
    let (sheet, rules) = sheet(name);
    let text = std::fs::read_to_string(&rules).unwrap();
    std::fs::write(&rules, text.replace("parts 45", "parts 1000").replace("parts 60", "parts 3000")).unwrap();
    (sheet, rules)
}

#[test]
fn what_could_not_be_seen_is_not_asked_again_while_something_else_is_left() {
    let (sheet, rules) = sheet("walk-unseen");
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\nx\n");
    let (_, then) = done.err.split_once("> could not be seen").unwrap();
    assert!(then.contains("Fix: Renew the hose") && !then.contains("Check: Look at the hose"), "{}", done.err);
}

#[test]
fn what_could_not_be_seen_is_offered_once_more_where_nothing_else_is_left() {
    let (sheet, rules) = dear("walk-last-look");
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\nx\n1\nx\n");
    let looks: Vec<&str> = done.err.split("Check: Look at the hose").collect();
    assert_eq!(looks.len(), 3, "{}", done.err);
    assert!(!looks[1].contains("once more") && looks[2].contains("once more: it could not be seen"), "{}", done.err);
    let then = looks[2].split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(then.contains("hand the car to a specialist"), "not a third time: {}", done.err);
}

/// A tool that was missing is brought: what was left out can be taken up before the car is handed on.
#[test]
fn what_was_skipped_can_be_taken_up_before_the_car_is_handed_on() {
    let (sheet, rules) = dear("walk-take-up");
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\ns\n2\n1\n2\n");
    let (_, then) = done.err.split_once("> left out before").unwrap_or_else(|| panic!("{}", done.err));
    assert!(then.contains("Check: Look at the hose") && then.contains("> split"), "{then}");
    assert!(then.contains("Fix: Renew the hose"), "{then}");
}

/// The chance on a fix's line is the one in the list, proven or not.
#[test]
fn a_fix_has_the_same_number_as_the_list() {
    for (seen, lead) in [("x", "not proven"), ("2", "for")] {
        let (sheet, rules) = sheet(&format!("walk-number-{lead}"));
        let done = walk(&sheet, &rules, &format!("0\n0\n1\n0\n1\n1\n{seen}\n"));
        let ask = &serde_json::from_str::<serde_json::Value>(&done.out).unwrap()["ask"];
        assert_eq!(ask["title"], "Fix: Renew the hose", "{}", done.err);
        let words = |line: &serde_json::Value| (line["lead"] == lead).then(|| line["words"].as_str().unwrap().to_string());
        let line = ask["lines"].as_array().unwrap().iter().find_map(words).unwrap_or_else(|| panic!("{ask}"));
        let number = line.split([':', ',']).find(|part| part.contains('%')).unwrap().trim().trim_end_matches(" likely");
        let list = ask["why"][0].as_str().unwrap();
        assert!(list.contains(&format!("Charge hose split {number}")), "{number} is not that of the list: {list}");
    }
}

/// A skipped fix is offered again at a dearer one, and where the car is handed over.
#[test]
fn a_skipped_fix_comes_back() {
    let (sheet, rules) = sheet("walk-skipped-fix");
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\nx\ns\ns\n");
    let said = done.err.split_whitespace().collect::<Vec<_>>().join(" ");
    let (_, dearer) = said.split_once("Fix: Free the vanes").unwrap_or_else(|| panic!("{said}"));
    let (dearer, over) = dearer.split_once("hand the car to a specialist").unwrap_or_else(|| panic!("{said}"));
    let again = "left out before, take it up after all: Renew the hose";
    assert!(dearer.contains(again), "at the dearer fix: {dearer}");
    assert!(over.contains(again), "in the hand-over list: {over}");
}

#[test]
fn what_is_not_fitted_is_learnt_and_planned_around() {
    let (sheet, rules) = sheet("walk-not-fitted");
    let text = std::fs::read_to_string(&rules).unwrap();
    let text = text.replace("sign hose \"Charge hose\"", "trait turbo \"Turbocharger\"\nsign hose \"Charge hose\"\n  when turbo");
    std::fs::write(&rules, text.replace("cause hose-split \"Charge hose split\"", "cause hose-split \"Charge hose split\"\n  when turbo"))
        .unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\nf\n");
    let (step, then) = done.err.split_once("> not fitted on this vehicle:").unwrap_or_else(|| panic!("{}", done.err));
    assert!(step.contains("f = not fitted on this vehicle:"), "{step}");
    assert!(then.contains("Fix: Free the vanes") && !then.contains("hose"), "{then}");
    let entry = saved(&sheet)["journal"].as_array().unwrap().last().unwrap().clone();
    assert_eq!((entry["ask"].as_str(), entry["answer"].as_str()), (Some("trait:turbo"), Some("no")));
    // in the middle of the check as well
    let (sheet, rules) = (sheet.with_file_name("second.toml"), rules);
    std::fs::write(&sheet, "title = \"A van\"\n\n[complaint]\nwords = \"it is gutless\"\n").unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\nf\n");
    assert!(done.err.contains("Fix: Free the vanes"), "{}", done.err);
}

/// A reading that the sheet has already is not typed twice; a check of two asks for the other one.
#[test]
fn what_is_known_is_not_asked_again() {
    let (sheet, rules) = sheet("walk-known");
    let more = "reading load \"Engine load\"\n  unit %\n  band good above 50\n  band weak below 50\n  stray 1 %\namend cause vanes-stick\n  shows load weak 80 %\n\
                amend check look-hose\n  reveals boost, load\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let head = std::fs::read_to_string(&sheet).unwrap();
    std::fs::write(&sheet, head + "\n[readings]\nboost = \"60 kPa\"\n").unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n1\n");
    assert!(done.err.contains("2 to look at in this check") && done.err.contains("Engine load"), "{}", done.err);
    assert!(!done.err.contains("Boost at 2500 rpm\n  x ="), "{}", done.err);
}
