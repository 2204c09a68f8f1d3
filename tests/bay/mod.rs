//! What the plan says of its reasons, and the order of repairs on the book that ships.

use crate::run::{faultbook, root, scratch};
use serde_json::Value;

const RULES: &str = r#"
book b "B"
  stray 1 %
symptom no-pull "Lacks power"
symptom smoke "Smokes"
cause hose-split "Hose split"
  prior 3 %
  shows no-pull 90 %
cause vanes "Vanes stick"
  prior 2 %
  shows smoke 80 %
  shows no-pull 40 %
fix renew "Renew"
  takes 30 min
  cures hose-split
  proof no-pull absent
fix free "Free"
  takes 120 min
  cures vanes
  proof no-pull absent
"#;

fn plan(arguments: &[&str]) -> Value {
    let done = faultbook(&[&["plan", "--json"], arguments].concat());
    assert_eq!(done.status, 0, "{}", done.err);
    serde_json::from_str(&done.out).unwrap()
}

fn decibans(plan: &Value, cause: &str, finding: &str) -> f64 {
    let cause = plan["causes"].as_array().unwrap().iter().find(|c| c["id"] == cause).unwrap();
    let speaks = cause["speaks"].as_array().unwrap().iter().find(|s| s["finding"] == finding).unwrap();
    speaks["decibans"].as_f64().unwrap()
}

/// Weight of evidence, Good (1950): ten times the decimal logarithm of P(finding | cause) / P(finding | not cause).
#[test]
fn the_weight_of_one_finding_is_the_logarithm_of_its_likelihood_ratio() {
    let folder = scratch("weight-of-evidence");
    let rules = folder.join("b.rules");
    std::fs::write(&rules, RULES).unwrap();
    let path = rules.display().to_string();
    let smoke = |vanes: f64| 1.0 - 0.99 * (1.0 - vanes);
    let plain = plan(&["--rules", &path, "--symptom", "smoke"]);
    let expected = 10.0 * (smoke(0.8) / smoke(0.0)).log10();
    assert!((decibans(&plain, "vanes", "smoke") - expected).abs() < 1e-6);
    // a finding in order speaks against: P(no smoke | vanes) / P(no smoke | no vanes), whatever else is known
    let without = plan(&["--rules", &path, "--symptom", "no-pull", "--no-symptom", "smoke"]);
    let expected = 10.0 * (1.0 - 0.8f64).log10();
    assert!((decibans(&without, "vanes", "smoke") - expected).abs() < 1e-6);
}

/// What was repaired before is a quarter as common from the start; what nobody touched keeps its weight beside it.
#[test]
fn what_was_repaired_before_is_a_quarter_as_common() {
    let folder = scratch("repaired-before");
    let rules = folder.join("b.rules");
    let quarter = folder.join("quarter.rules");
    std::fs::write(&rules, RULES).unwrap();
    std::fs::write(&quarter, RULES.replace("prior 3 %", "prior 0.75 %")).unwrap();
    let causes = |rules: &std::path::Path, more: &[&str]| {
        let at = rules.display().to_string();
        plan(&[&["--rules", &at, "--symptom", "no-pull"], more].concat())["causes"].clone()
    };
    let named = |causes: &Value| causes.as_array().unwrap().iter().map(|c| (c["id"].clone(), c["probability"].clone())).collect::<Vec<_>>();
    assert_eq!(named(&causes(&rules, &["--repaired-before", "renew"])), named(&causes(&quarter, &[])));
    let unknown = faultbook(&["plan", "--rules", &rules.display().to_string(), "--symptom", "no-pull", "--repaired-before", "renw"]);
    assert_eq!(unknown.status, 2);
    assert!(unknown.err.contains("--repaired-before: no fix is named `renw`") && unknown.err.contains("`renew`"), "{}", unknown.err);
}

const BARRED: &str = r#"
book b "B"
  stray 1 %
hazard oil-lost "Oil pressure lost"
  level stop
  bars  running
  do "Engine off."
hazard running "Engine running"
  level care
  do "Hands clear."
symptom knocks "Knocks"
symptom oil-lamp "Oil lamp on"
  hazard oil-lost
sign idle-noise "Noise at idle" 
sign dipstick "Dipstick"
  states full, empty
cause bearing "Bearing worn"
  prior 3 %
  shows knocks 90 %
  shows oil-lamp 60 %
  shows idle-noise 95 %
cause oil-used "Oil used up"
  prior 3 %
  shows knocks 60 %
  shows oil-lamp 90 %
  shows dipstick empty 98 %
check listen "Listen at idle"
  takes 1 min
  hazard running
  reveals idle-noise
check look "Look at the dipstick"
  takes 5 min
  reveals dipstick
fix engine "Renew the bearing"
  takes 600 min
  cures bearing
  proof idle-noise no
fix fill "Fill up"
  takes 10 min
  hazard running
  cures oil-used
  proof dipstick full
"#;

/// A danger that is seen bars the checks that have what it bars as their caution; a repair stays, and so does everything where the danger is not seen.
#[test]
fn while_the_oil_lamp_is_on_nothing_is_looked_at_with_the_engine_running() {
    let rules = scratch("barred").join("b.rules");
    std::fs::write(&rules, BARRED).unwrap();
    let at = rules.display().to_string();
    let offered = |more: &[&str]| {
        let planned = plan(&[&["--rules", &at, "--symptom", "knocks"], more].concat());
        let next = planned["next"].as_array().unwrap().iter().map(|n| n["id"].as_str().unwrap_or("refer").to_string());
        (next.collect::<Vec<_>>(), planned["hazards"].to_string())
    };
    let (free, _) = offered(&["--no-symptom", "oil-lamp"]);
    assert!(free.contains(&"listen".to_string()), "{free:?}");
    let (barred, hazards) = offered(&["--symptom", "oil-lamp"]);
    assert!(
        !barred.contains(&"listen".to_string()) && barred.contains(&"look".to_string()) && barred.contains(&"fill".to_string()),
        "{barred:?}"
    );
    assert!(hazards.contains("no check is offered that goes with: Engine running"), "{hazards}");
}

/// What must come before a check need not be done again where the sheet has its result: the gauge on the rail waits for a look that was had.
#[test]
fn a_look_that_the_sheet_has_is_not_paid_again() {
    let rules = scratch("answered").join("b.rules");
    let text = BARRED.replace("check listen \"Listen at idle\"\n", "check listen \"Listen at idle\"\n  after look\n");
    std::fs::write(&rules, text).unwrap();
    let at = rules.display().to_string();
    let first = |more: &[&str]| plan(&[&["--rules", &at, "--symptom", "knocks"], more].concat())["next"].clone();
    let cost = |next: &Value| next.as_array().unwrap().iter().find(|n| n["id"] == "listen").map(|n| n["cost"].as_f64().unwrap());
    assert_eq!(cost(&first(&[])), None, "it waits for the look");
    assert_eq!(cost(&first(&["--sign", "dipstick=full"])), Some(1.0), "one minute at one a minute");
}

/// The order in which repairs come up on the likeliest way through a tree, each after what was found before.
fn repairs_on_the_way(node: &Value, found: &mut Vec<String>) {
    if node["do"]["kind"] == "fix" {
        found.push(node["do"]["id"].as_str().unwrap().to_string());
    }
    let branches = node["branches"].as_array().into_iter().flatten();
    let on = branches.filter(|b| b["found"]["cured"] != true);
    if let Some(next) = on.max_by(|a, b| a["probability"].as_f64().unwrap().total_cmp(&b["probability"].as_f64().unwrap())) {
        repairs_on_the_way(&next["next"], found);
    }
}

/// A consequence waits for its root: with a split charge-air hose seen and the filter loaded, the hose comes first on every book of the trade.
#[test]
fn the_hose_is_mended_before_the_filter_that_it_loaded_is_burnt_free() {
    let job = root().join("examples/harbour-garage/jobs/van-no-pull.toml").display().to_string();
    let planned = plan(&[&job, "--sign", "charge-hose=split"]);
    let mut order = vec![];
    repairs_on_the_way(&planned["tree"], &mut order);
    let at = |id: &str| order.iter().position(|o| o == id);
    assert!(at("renew-charge-hose").is_some(), "{order:?}");
    assert!(at("force-regeneration").is_none_or(|soot| at("renew-charge-hose").unwrap() < soot), "{order:?}");
    assert_ne!(planned["next"][0]["id"], "force-regeneration");
}

/// The sums that a person reads are the sums of the tree.
#[test]
fn the_first_step_of_the_list_is_the_trees_and_costs_what_the_tree_costs() {
    for job in ["van-no-pull", "estate-weak-uphill", "estate-hunting-idle", "hatchback-flat-again"] {
        let job = root().join(format!("examples/harbour-garage/jobs/{job}.toml")).display().to_string();
        let planned = plan(&[&job]);
        assert_eq!(planned["next"][0]["id"], planned["tree"]["do"]["id"], "{job}");
        let (total, tree) = (planned["next"][0]["expected_total"].as_f64().unwrap(), planned["expected_cost"].as_f64().unwrap());
        assert!((total - tree).abs() < 1e-9, "{job}: {total} is not {tree}");
        assert!(planned["expected_cost_at_least"].as_f64().unwrap() <= tree);
    }
}

/// A car that is handed over is handed over with a finding: the page says what would prove it.
#[test]
fn a_car_handed_over_on_a_guess_says_what_would_prove_it() {
    let rules = scratch("handed-over").join("b.rules");
    std::fs::write(&rules, BARRED).unwrap();
    let job = ["plan", "--rules", &rules.display().to_string(), "--symptom", "knocks", "--no-symptom", "oil-lamp", "--refer-cost", "1"];
    let page = faultbook(&job).out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("Hand the car to a specialist") && page.contains("A specialist wants a finding."), "{page}");
    assert!(page.contains("Prove it first (1 min): Listen at idle"), "{page}");
}
