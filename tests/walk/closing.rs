//! Proofs, resets and the closing of a job.

use super::{TO_THE_PROOF, saved, sheet, walk};

/// The end of a job from the proof on.
fn closed(name: &str, answers: &str) -> (toml::Table, String) {
    let (sheet, rules) = sheet(name);
    let done = walk(&sheet, &rules, &format!("{TO_THE_PROOF}{answers}"));
    (saved(&sheet), done.err)
}

#[test]
fn a_proof_is_asked_until_it_stands_still() {
    let (_, said) = closed("walk-settle", "60\n80\n95\n");
    let asked: Vec<&str> = said.lines().filter(|l| l.starts_with("Does it stand still")).collect();
    assert_eq!(asked, ["Does it stand still at 60 kPa?", "Does it stand still at 80 kPa?"]);
    assert!(said.contains("is the complaint gone?"), "95 is so far inside that nothing that still moves a little leads out: {said}");
    let (_, said) = closed("walk-settle-near", "81\n82\n");
    assert_eq!(said.matches("Does it stand still").count(), 1, "{said}");
    assert!(said.contains("is the complaint gone?"), "82 after 81 is the same, as near as it can be read: {said}");
}

#[test]
fn a_number_that_leaves_its_limit_as_it_settles_proves_nothing() {
    let (sheet, said) = closed("walk-drifts", "81\n70\n1\n1\n1\n1\nsold as it is\n");
    assert!(said.contains("the proof is not inside its"), "{said}");
    assert_eq!(sheet["closed"]["reason"].as_str(), Some("sold as it is"));
}

#[test]
fn a_refused_reset_keeps_the_job_open() {
    let (sheet, said) = closed("walk-refused", "100\n1\n1\n4\nthe maker's tool comes on Friday\n");
    assert!(said.contains("if the vehicle refuses: Ignition on,"), "{said}");
    assert!(said.contains("The job can't simply be closed."), "{said}");
    assert_eq!(sheet["closed"]["reason"].as_str(), Some("the maker's tool comes on Friday"));
    assert_eq!(sheet["closed"]["cured"].as_bool(), Some(true));
}

#[test]
fn a_proven_job_closes_with_the_cause_that_was_there() {
    let (sheet, _) = closed("walk-proven", "100\n1\n1\n1\n1\n");
    let closed = sheet["closed"].as_table().unwrap();
    assert_eq!(closed["causes"].as_array().unwrap(), &["hose-split".into()]);
    assert!(closed["cured"].as_bool().unwrap() && !closed.contains_key("reason"));
}

/// The hose was renewed though it was tight: it was not the cause, and what was not there was not cured.
#[test]
fn what_was_not_there_was_not_put_right() {
    let (sheet, rules) = sheet("walk-not-cured");
    // hose seen tight, vanes freed, still there; closed by a reason
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n1\n1\n100\n2\n");
    assert!(done.err.contains("Fix: Free the vanes"), "{}", done.err);
    let after = done.err.split("still there").last().unwrap().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(after.contains("hand the car to a specialist") || after.contains("Fix: ") || after.contains("Check: "), "{}", done.err);
}

#[test]
fn a_danger_seen_and_not_put_right_keeps_the_job_open() {
    let (sheet, rules) = sheet("walk-danger-open");
    let more = "sign hanger \"Hanger of the silencer\"\n  states whole, broken\n  hazard fumes\namend check look-hose\n  reveals hanger\n";
    std::fs::write(&rules, std::fs::read_to_string(&rules).unwrap() + more).unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n2\n2\nsafe\n1\n100\n1\n2\n1\n1\ntowed to the body shop\n");
    assert!(done.err.contains("STOP: Exhaust in the cabin"), "what a check shows stops the work as well: {}", done.err);
    assert!(done.err.contains("danger: Exhaust in the cabin"), "{}", done.err);
    assert_eq!(saved(&sheet)["closed"]["reason"].as_str(), Some("towed to the body shop"), "{}", done.err);
}

/// A check that is to prove a fix is shown like any other, with how to do it, before anything is asked of it.
#[test]
fn a_check_that_proves_a_fix_first_is_shown_with_its_cautions() {
    let (sheet, rules) = sheet("walk-prove");
    let text = std::fs::read_to_string(&rules).unwrap();
    let text = text.replace("  prior 3 %", "  prior 9 %").replace("  do \"Feel underneath.\"", "  do \"Feel underneath.\"\n  hazard hot");
    let text = text.replace("takes 5 min\n  reveals hose", "takes 50 min\n  reveals hose");
    std::fs::write(&rules, text + "hazard hot \"Hot pipes\"\n  level care\n  do \"Gloves.\"\n").unwrap();
    let done = walk(&sheet, &rules, "0\n0\n1\n0\n1\n1\n1\n2\n");
    let (_, chosen) = done.err.split_once("> prove it first: Look at the hose").unwrap_or_else(|| panic!("{}", done.err));
    let (step, seen) = chosen.split_once("> done, ask me what I saw").unwrap();
    assert!(step.contains("Check: Look at the hose") && step.contains("Feel underneath.") && step.contains("caution: Hot pipes"), "{step}");
    assert!(seen.contains("> split") && seen.contains("Fix: Renew the hose"), "{seen}");
}

/// What is proven by a no is asked as the question it is: `yes` never means that it is gone.
#[test]
fn a_proof_of_yes_or_no_is_the_question_itself() {
    let (sheet, rules) = sheet("walk-proof-no");
    let text = std::fs::read_to_string(&rules).unwrap();
    std::fs::write(&rules, text.replacen("proof boost healthy", "proof fumes-inside", 1)).unwrap();
    let done = walk(&sheet, &rules, TO_THE_PROOF);
    let (_, proof) = done.err.split_once("Proof: Any fumes inside?").unwrap_or_else(|| panic!("{}", done.err));
    assert!(proof.contains("must be answered: no") && proof.contains("1 = yes") && proof.contains("2 = no"), "{proof}");
}
