//! The cautions of a step: in full once, in short after that, and only what this vehicle can need.

use super::ramp::{Job, Truth};
use crate::book_of;

const BAY: &str = r#"
book garage "Garage"
  stray 1 %
trait hybrid "Hybrid"
  ask "Is it a hybrid?"
hazard starts "May start by itself"
  level warn
  do "Key five metres away."
hazard hot "Hot parts"
  level care
  do "Gloves."
access at-rest "At rest"
  takes 1 min
  hazard starts
  when hybrid
access bonnet "Bonnet open"
  takes 1 min
  access at-rest
symptom rough "Runs rough"
sign plug "Plug"
  states dry, wet
sign hose "Hose"
  states tight, split
cause plug-wet "Plug wet"
  prior 5 %
  shows rough 80 %
  shows plug wet 90 %
cause hose-split "Hose split"
  prior 5 %
  shows rough 80 %
  shows hose split 90 %
check look-plug "Look at the plug"
  takes 2 min
  access bonnet
  hazard hot
  reveals plug
check look-hose "Look at the hose"
  takes 3 min
  access bonnet
  reveals hose
fix dry-plug "Dry the plug"
  takes 90 min
  parts 100
  access bonnet
  hazard hot
  cures plug-wet
fix renew-hose "Renew the hose"
  takes 90 min
  parts 100
  access bonnet
  cures hose-split
"#;
const TRUTH: Truth = &[("find:plug", &["dry"]), ("find:hose", &["split"]), ("trait:hybrid", &["x"]), ("gone:*", &["yes"])];

fn steps(vehicle: &str) -> Vec<String> {
    let book = book_of(BAY);
    let mut job = Job::new(&book, &["rough"], vehicle);
    job.walk(TRUTH, "");
    job.screens.iter().filter(|s| s.starts_with("[do:")).cloned().collect()
}

/// Nobody knows if it is a hybrid: the first step says it whole and for which it is, the next ones by its title.
#[test]
fn a_caution_is_said_whole_once_and_short_after_that() {
    let steps = steps("");
    assert!(steps[0].contains("caution: May start by itself (hybrid only): Key five metres away."), "{steps:?}");
    assert!(steps.len() > 1, "{steps:?}");
    for step in &steps[1..] {
        assert!(step.contains("caution: May start by itself (hybrid only), as before"), "{step}");
        assert!(!step.contains("Key five metres away."), "{step}");
    }
}

/// What is said short can be had whole, at the key that asks why.
#[test]
fn a_short_caution_stands_whole_under_why() {
    let book = book_of(BAY);
    let mut job = Job::new(&book, &["rough"], "");
    job.walk(TRUTH, "do:");
    job.say("done");
    job.walk(TRUTH, "do:");
    let why = job.ask().unwrap().why.join("\n");
    assert!(why.contains("Caution, May start by itself: Key five metres away."), "{why}");
}

#[test]
fn an_access_that_this_vehicle_has_not_cautions_of_nothing() {
    for step in steps("[vehicle]\nnot-fitted = [\"hybrid\"]\n") {
        assert!(!step.contains("May start by itself"), "{step}");
    }
    assert!(steps("[vehicle]\nfitted = [\"hybrid\"]\n")[0].contains("caution: May start by itself: Key five metres away."));
}

/// An oil lamp stops the work; the gauge shows pressure and the switch is wet: the lamp lied, and the danger is gone. A gauge that shows pressure alone
/// clears nothing while nothing else explains the lamp.
#[test]
fn a_look_that_clears_what_was_felt_lifts_its_danger() {
    let rules = r#"
book garage "Garage"
  stray 1 %
hazard no-oil "Oil pressure lost"
  level stop
  do "Engine off."
symptom oil-lamp "Oil lamp on"
  hazard no-oil
reading pressure "Oil pressure"
  unit bar
  band right above 1
  band low below 1
sign switch "Plug of the oil switch"
  states dry, wet
  stray 0.1 %
cause pump-worn "Oil pump worn"
  prior 1 %
  shows oil-lamp 90 %
  shows pressure low 99 %
  hazard no-oil
cause switch-bad "Oil switch bad"
  prior 1 %
  shows oil-lamp 80 %
  shows switch wet 95 %
check measure-pressure "Measure the oil pressure"
  takes 5 min
  reveals pressure
check look-switch "Look at the oil switch"
  takes 5 min
  reveals switch
fix renew-switch "Renew the switch"
  takes 9 min
  cures switch-bad
fix renew-pump "Renew the pump"
  takes 300 min
  parts 300
  cures pump-worn
"#;
    let book = book_of(rules);
    let stands = |readings: &str| {
        let job = Job::new(&book, &["oil-lamp"], readings);
        !job.session.assessment().unwrap().hazards.is_empty()
    };
    assert!(stands(""), "a lamp alone stops the work");
    assert!(stands("[signs]\nswitch = \"wet\"\n"), "the pump was not looked at");
    assert!(!stands("[readings]\npressure = \"3 bar\"\n[signs]\nswitch = \"wet\"\n"), "the lamp lied");
    assert!(stands("[readings]\npressure = \"3 bar\"\n[signs]\nswitch = \"dry\"\n"), "nothing explains the lamp");
}

/// What stood in the list of what the vehicle has is not asked a second time; the step that needs it can still be answered with "not fitted".
#[test]
fn what_stood_in_the_list_of_the_vehicle_is_not_asked_again() {
    let book = book_of(
        &BAY.replace("trait hybrid", "trait turbo \"Turbocharger\"\n  ask \"Does it have a turbocharger?\"\ntrait hybrid")
            .replace("cause hose-split \"Hose split\"\n  prior 5 %", "cause hose-split \"Hose split\"\n  prior 9 %\n  when turbo")
            .replace("sign hose \"Hose\"", "sign hose \"Hose\"\n  when turbo")
            .replace("takes 3 min", "takes 1 min"),
    );
    for answer in ["x", "0"] {
        let mut job = Job::new(&book, &["rough"], "");
        job.walk(&[("vehicle", &[answer])], "do:");
        assert_eq!((job.times("vehicle"), job.times("trait:turbo")), (1, 0), "{:?}", job.asked);
        let step = super::ramp::text(&job.ask().unwrap());
        assert_eq!(step.contains("  f = not fitted on this vehicle: Turbocharger"), answer == "x", "{step}");
    }
}
