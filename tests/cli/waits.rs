//! Steps that stand still: a minute of waiting costs a part of a minute of work, and the page says what can be done until then.

use super::{faultbook, folder};
use serde_json::Value;

const RULES: &str = r#"book yard "Our yard"
  version   "1"
  reviewed  2026-11-25
  keeper    "the foreman"

hazard roll "It can roll away"
  level  warn
  do     "Chock the wheels."

symptom rolls "Rolls on its own"
  ask     "Does it roll when it is parked?"
  always-ask
  hazard  roll

symptom steams "Loses coolant"
  ask  "Is the tank low in the morning?"

sign tank "Coolant overnight"
  states  full, low

sign hose "Lower hose"
  states  dry, wet

sign ramp "Garage floor"
  states  dry, wet

cause pump-weeps "Coolant pump weeps"
  prior  2 %
  shows  steams  80 %
  shows  tank    low 95 %

cause hose-weeps "Lower hose weeps"
  prior  2 %
  shows  steams  80 %
  shows  hose    wet 90 %

access cold "Engine cold"
  takes  0 min
  waits  120 min

check press "Put the pump on and read it through"
  takes    25 min
  reveals  tank

check leave "Mark the level and come back"
  takes    2 min
  waits    1 h
  access   cold
  reveals  tank

check feel "Feel along the lower hose"
  takes    6 min
  reveals  hose

fix renew-pump "Renew the pump"
  takes  90 min
  parts  800
  cures  pump-weeps
  proof  tank full

fix renew-hose "Renew the hose"
  takes  90 min
  parts  800
  cures  hose-weeps
  proof  hose dry
"#;

fn plan(settings: &str, more: &[&str]) -> (Value, String) {
    let folder = folder(&[("yard/yard.rules", RULES.as_bytes()), ("faultbook.toml", settings.as_bytes())]);
    let words = [&["plan", "--rules", "yard", "--symptom", "steams"], more].concat();
    let document = faultbook(folder.path(), &[&words[..], &["--json"]].concat(), b"");
    assert_eq!(document.status, 0, "{}", document.err);
    (serde_json::from_str(&document.out).unwrap(), faultbook(folder.path(), &words, b"").out)
}

fn cost(document: &Value, check: &str) -> f64 {
    let next = document["next"].as_array().unwrap();
    next.iter().find(|n| n["id"] == check).unwrap_or_else(|| panic!("{check}: {document}"))["cost"].as_f64().unwrap()
}

/// 2 minutes of work, an hour of its own and two of its access: at 60 an hour and a tenth, 2 + 0.1 (60 + 120) = 20.
#[test]
fn a_minute_of_waiting_costs_its_part() {
    let seen = ["--sign", "hose=dry"];
    let (document, page) = plan("", &seen);
    assert!((cost(&document, "leave") - 20.0).abs() < 1e-9 && (cost(&document, "press") - 25.0).abs() < 1e-9, "{document}");
    assert_eq!(document["next"][0]["id"], "leave", "the cheaper of two that tell the same");
    assert_eq!(document["next"][0]["waits"], 180.0);
    assert!(page.contains("It waits for 3 h 00 min. Meanwhile: the hands are free for another car."), "{page}");
    let (document, page) = plan("waiting = 0.5\n", &seen);
    assert!((cost(&document, "leave") - 92.0).abs() < 1e-9, "{document}");
    assert_eq!(document["next"][0]["id"], "press");
    assert!(!page.contains("waits for"), "{page}");
    let (document, _) = plan("waiting = 0\n", &seen);
    assert!((cost(&document, "leave") - 2.0).abs() < 1e-9, "{document}");
}

/// What else is to be looked at is named for the time that the step waits.
#[test]
fn meanwhile_there_is_something_to_do() {
    let (document, page) = plan("waiting = 0\n", &[]);
    assert_eq!(document["next"][0]["id"], "leave", "{document}");
    assert_eq!(document["next"][0]["meanwhile"], serde_json::json!(["feel"]), "{document}");
    assert!(page.contains("Meanwhile: Feel along the lower hose (6 min)"), "{page}");
}

#[test]
fn waiting_is_a_share_and_belongs_to_access_and_checks() {
    let folder = folder(&[
        ("faultbook.toml", b"waiting = 1.5\n"),
        ("a.rules", b"fix f \"F\"\n  waits 5 min\n"),
        ("b.rules", b"access a \"A\"\n  takes 1 min\n  waits 5\n"),
    ]);
    let run = faultbook(folder.path(), &["plan", "--code", "P0299"], b"");
    assert!(run.status == 2 && run.err.contains("`waiting` is 1.5") && run.err.contains("0 to 1"), "{}", run.err);
    std::fs::remove_file(folder.path().join("faultbook.toml")).unwrap();
    let run = faultbook(folder.path(), &["lint", "a.rules"], b"");
    assert!(run.out.contains("`waits` does not belong in a `fix`"), "{}", run.out);
    let run = faultbook(folder.path(), &["lint", "b.rules"], b"");
    assert!(run.out.contains("a time needs its unit"), "{}", run.out);
}

/// A book that asks nobody about a danger says so where a car is planned and walked.
#[test]
fn where_no_danger_is_asked_plan_and_walk_say_so() {
    let bare = RULES.replace("  always-ask\n", "");
    let folder = folder(&[("yard/yard.rules", bare.as_bytes()), ("job.toml", b"[complaint]\nyes = [\"steams\"]\n")]);
    let (told, plain) = ("These rules ask nobody about a danger", &["--rules", "yard"]);
    let page = faultbook(folder.path(), &[&["plan", "job.toml"], &plain[..]].concat(), b"");
    assert!(page.out.starts_with("!! ") && page.out.contains(told), "{}", page.out);
    let document = faultbook(folder.path(), &[&["plan", "job.toml", "--json"], &plain[..]].concat(), b"");
    assert_eq!(serde_json::from_str::<Value>(&document.out).unwrap()["no_danger_asked"], true);
    let walk = faultbook(folder.path(), &[&["walk", "job.toml"], &plain[..]].concat(), b"q\n");
    assert!(walk.err.contains(told), "{}", walk.err);
    std::fs::write(folder.path().join("yard/yard.rules"), RULES).unwrap();
    for words in [&["plan", "job.toml"][..], &["walk", "job.toml"]] {
        let run = faultbook(folder.path(), &[words, &plain[..]].concat(), b"q\n");
        assert!(!run.out.contains(told) && !run.err.contains(told), "{}{}", run.out, run.err);
    }
}
