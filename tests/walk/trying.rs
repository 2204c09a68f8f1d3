//! After a repair the car is tried, whatever the rules say of it, and what was read before it is read again rather than left.

use super::ramp::{Job, Truth};
use crate::book_of;

/// The lamp is lit by faults that the book does not tie to it: only the valve shows it by the rules.
const LAMP: &str = r#"
book garage "Garage"
  stray 1 %
symptom lamp "Engine lamp on"
  stray 5 %
symptom whistle "Whistles"
sign hose "Charge hose"
  states tight, split
  stray 0.1 %
sign pipe "Pipe of the sensor"
  states sound, cracked
  stray 1 %
cause hose-split "Charge hose split"
  prior 8 %
  shows whistle 90 %
  shows hose split 98 %
cause valve-sticks "Valve sticks"
  prior 1 %
  shows lamp 60 %
check look-hose "Look at the hose"
  takes 5 min
  reveals hose, pipe
fix renew-hose "Renew the hose"
  takes 30 min
  cures hose-split
fix renew-valve "Renew the valve"
  takes 60 min
  parts 200
  cures valve-sticks
"#;
const TRUTH: Truth = &[("find:hose", &["split"]), ("find:pipe", &["sound"]), ("gone:*", &["yes"])];

/// A lamp that no rule ties to the hose goes out with it: it is tried, and the job ends there.
#[test]
fn a_complaint_that_no_rule_ties_to_the_repair_is_tried_all_the_same() {
    let book = book_of(&LAMP.replace("symptom whistle \"Whistles\"", "sign whistle \"Sound at the hose\"\n  states quiet, whistles"));
    let mut job = Job::new(&book, &["lamp"], "[signs]\nwhistle = \"whistles\"\n");
    job.walk(TRUTH, "");
    assert_eq!(job.times("gone:renew-hose"), 1, "{:?}", job.asked);
    assert_eq!(job.closed().causes, ["hose-split"], "{:?}", job.asked);
    assert!(job.closed().cured && job.closed().reason.is_empty());
    assert!(!job.asked.iter().any(|a| a == "do:renew-valve"), "{:?}", job.asked);
}

/// What was out of order before the repair, and that no rule ties to it, is read again at one key; in order now, it is not left.
#[test]
fn what_was_read_before_the_repair_only_is_read_again_at_the_close() {
    let book = book_of(LAMP);
    let truth: Truth = &[("gone:*", &["yes"]), ("left-finding:pipe", &["r"]), ("proof:pipe", &["sound"])];
    let mut job = Job::new(&book, &["whistle"], "[signs]\npipe = \"cracked\"\n");
    job.walk(truth, "");
    assert!(job.screens.iter().any(|s| s.contains("  r = read it again after the repair: Pipe of the sensor")), "{:?}", job.screens);
    assert_eq!((job.times("left-finding:pipe"), job.times("proof:pipe")), (1, 1), "{:?}", job.asked);
    assert!(job.closed().cured && job.closed().reason.is_empty(), "{:?}", job.closed());
}

/// Still cracked, it is the same question as before, and no proof of the hose.
#[test]
fn what_is_read_again_and_still_wrong_is_left_with_a_word() {
    let book = book_of(LAMP);
    let truth: Truth = &[("gone:*", &["yes"]), ("left-finding:pipe", &["r", "2"]), ("proof:pipe", &["cracked"])];
    let mut job = Job::new(&book, &["whistle"], "[signs]\npipe = \"cracked\"\n");
    job.walk(truth, "");
    let last = job.screens.iter().rfind(|s| s.contains("[left-finding:pipe]")).unwrap();
    assert!(!last.contains("  r = "), "it was read since: {last}");
    assert!(job.closed().cured && job.closed().reason.is_empty(), "{:?}", job.closed());
}

/// After a repair it is said what it changed: what was read, the complaint, and what that means; once, and of a repair in vain too.
#[test]
fn after_a_repair_it_is_said_what_changed() {
    let book = super::ramp::ramp(&[], "");
    let mut job = Job::new(&book, &["shakes"], "");
    let truth: Truth = &[
        ("find:plug", &["x"]),
        ("find:boot", &["x"]),
        ("find:share", &["20 %"]),
        ("proof:share@renew-plugs", &["20 %"]),
        ("proof:share", &["0.5 %"]),
        ("gone:renew-plugs", &["no"]),
        ("gone:*", &["yes"]),
    ];
    let changed = |job: &Job| job.session.summary().unwrap().changed.join("\n");
    job.walk(truth, "do:renew-plugs");
    job.say("done");
    assert_eq!(changed(&job), "", "nobody has tried it yet");
    job.walk(truth, "do:");
    let vain = changed(&job);
    assert!(vain.starts_with("After the repair: ") && vain.contains(": still there.") && vain.contains("It was not the fault"), "{vain}");
    job.walk(truth, "gone:renew-coil");
    job.say("yes");
    let right = changed(&job);
    assert!(right.contains(": gone.") && right.contains("before it 20 %") && right.contains("Put right: Ignition coil weak"), "{right}");
}

/// A reading that was in order before the repair proves nothing of it: only the one that was out of its limit, or that nobody read, is asked.
#[test]
fn what_held_before_the_repair_is_no_proof_of_it() {
    let book =
        book_of(&LAMP.replace("  cures hose-split\n", "  cures hose-split\n  proof pipe sound, hose tight\n").replace(
            "fix renew-hose \"Renew the hose\"\n  takes 30 min",
            "fix renew-hose \"Renew the hose\"\n  takes 300 min\n  parts 300",
        ));
    let truth: Truth = &[("find:hose", &["split"]), ("find:pipe", &["sound"]), ("proof:hose", &["tight"]), ("gone:*", &["yes"])];
    let mut job = Job::new(&book, &["whistle"], "");
    job.walk(truth, "");
    assert_eq!((job.times("find:pipe"), job.times("proof:hose"), job.times("proof:pipe")), (1, 1, 0), "{:?}", job.asked);
    assert!(job.closed().cured && job.closed().causes == ["hose-split"], "{:?}", job.closed());
}
