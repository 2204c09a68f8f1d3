//! The plan as a list says what the nested one says, and is not folded where that is too deep for readers of JSON.

use crate::run::{faultbook, scratch};
use serde_json::{Value, json};

/// serde_json reads at most 128 levels, as many readers do.
fn plan(arguments: &[&str]) -> Value {
    let done = faultbook(&[&["plan", "--json"], arguments].concat());
    assert_eq!(done.status, 0, "{}", done.err);
    serde_json::from_str(&done.out).unwrap()
}

/// The nested tree that the steps of a list make, from a step on.
fn nested(steps: &[Value], number: &Value) -> Value {
    let Some(number) = number.as_u64() else { return json!({"done": true}) };
    let step = &steps[number as usize - 1];
    let branch = |b: &Value| json!({"found": b["found"], "probability": b["probability"], "next": nested(steps, &b["next"])});
    let mut branches: Vec<Value> = step["branches"].as_array().unwrap().iter().map(branch).collect();
    if branches.is_empty() {
        branches.push(json!({"found": {}, "probability": 1.0, "next": {"done": true}}));
    }
    json!({"do": step["do"], "cost": step["cost"], "expected_cost": step["expected_cost"], "branches": branches})
}

#[test]
fn the_list_is_the_tree() {
    let job = "examples/harbour-garage/jobs/van-no-pull.toml";
    let (whole, flat) = (plan(&[job, "--whole"]), plan(&[job, "--flat"]));
    let mut tree = whole["tree"].clone();
    tree.as_object_mut().unwrap().remove("expected_cost_at_least");
    assert!(flat.get("tree").is_none() && whole.get("steps").is_none());
    assert_eq!(nested(flat["steps"].as_array().unwrap(), &json!(1)), tree);
}

/// Seventy faults that look alike: the plan is to put one after another right. A repair in vain counts once, so that what a step costs and what is to be
/// expected after it make what is to be expected at it.
#[test]
fn a_plan_too_deep_to_nest_is_folded_and_whole_as_a_list() {
    let folder = scratch("flat");
    let mut rules = String::from("book deep \"Deep\"\n  stray 0.1 %\n\nsymptom dead \"Dead\"\n");
    for i in 0..70 {
        rules +=
            &format!("\ncause c{i} \"Cause {i}\"\n  prior 1 %\n  shows dead 90 %\n\nfix f{i} \"Fix {i}\"\n  takes 1 min\n  cures c{i}\n");
    }
    let path = folder.join("deep.rules");
    std::fs::write(&path, rules).unwrap();
    let common = ["--rules", path.to_str().unwrap(), "--symptom", "dead", "--refer-cost", "100000", "--vain-factor", "1"];
    let whole = plan(&[&common[..], &["--whole"]].concat());
    assert!(whole.to_string().contains("\"folded\":true"), "nothing was folded");
    let flat = plan(&[&common[..], &["--flat"]].concat());
    let steps = flat["steps"].as_array().unwrap();
    assert!(steps.len() > 40, "{} steps", steps.len());
    assert_eq!(steps[0]["expected_cost"], whole["tree"]["expected_cost"]);
    for (i, step) in steps.iter().enumerate() {
        assert_eq!(step["number"], i + 1);
        let branches = step["branches"].as_array().unwrap();
        let after: f64 = branches.iter().map(|b| b["probability"].as_f64().unwrap() * onward(steps, &b["next"])).sum();
        let cost = step["cost"].as_f64().unwrap() + after;
        assert!((cost - step["expected_cost"].as_f64().unwrap()).abs() < 1e-6 * cost, "{step}");
    }
}

/// What is still to be expected at a step of this number; nothing at the end.
fn onward(steps: &[Value], number: &Value) -> f64 {
    number.as_u64().map_or(0.0, |n| steps[n as usize - 1]["expected_cost"].as_f64().unwrap())
}
