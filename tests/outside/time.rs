//! What is believed after repairs, against twenty small books whose answers were enumerated in rational arithmetic by a program of its own
//! (tests/outside/time-cases.json): fixes that may not hold, conditions, several looks at one finding.

use crate::run::{faultbook, scratch};
use faultbook::bay::{Assessment, Effort, Progress, Rates};
use faultbook::belief::weigh;
use faultbook::job::evidence;
use faultbook::report::weigh::document;
use serde_json::Value;

fn cases() -> Vec<Value> {
    let file: Value = serde_json::from_str(include_str!("time-cases.json")).unwrap();
    file["cases"].as_array().unwrap().clone()
}

fn text<'c>(case: &'c Value, key: &str) -> &'c str {
    case[key].as_str().unwrap()
}

/// Every number of `wanted` stands in `came`, to 1e-9, and nothing else does beside them.
fn compare(case: usize, place: &str, wanted: &Value, came: &Value) -> usize {
    match wanted {
        Value::Object(fields) => {
            assert_eq!(fields.len(), came.as_object().map_or(0, |c| c.len()), "case {case} {place}: {wanted} and {came}");
            fields.iter().map(|(key, value)| compare(case, &format!("{place} {key}"), value, &came[key])).sum()
        }
        _ => {
            let (wanted, came) = (wanted.as_f64().unwrap(), came.as_f64().unwrap_or(f64::NAN));
            assert!((wanted - came).abs() <= 1e-9, "case {case} {place}: {came}, not {wanted}");
            1
        }
    }
}

fn judge(case: usize, expect: &Value, came: &Value) -> usize {
    let keys = ["log_evidence", "causes", "conditions", "unlisted", "findings"];
    assert_eq!(expect.as_object().unwrap().len(), keys.len());
    keys.iter().map(|key| compare(case, key, &expect[key], &came[key])).sum()
}

#[test]
fn the_library_gives_what_was_enumerated() {
    let mut numbers = 0;
    for (i, case) in cases().iter().enumerate() {
        let book = crate::book_of(text(case, "rules"));
        let known = evidence(&book, &toml::from_str(text(case, "sheet")).unwrap()).unwrap();
        let progress = Progress::begun(&book, &known);
        let a = Assessment::new(&book, known, progress, Rates::USUAL, Effort::PAGE).unwrap();
        let beliefs = weigh(&a.bay.model.network, &a.bay.model.history, &Effort::PAGE.weigh).unwrap();
        let came = serde_json::to_value(document(&book, &a.now, &a.bay.car, &beliefs)).unwrap();
        numbers += judge(i, &case["expect"], &came);
    }
    assert!(numbers > 200, "{numbers}");
}

#[test]
fn the_program_gives_what_was_enumerated() {
    let folder = scratch("time-cases");
    for (i, case) in cases().iter().enumerate() {
        let file = |name: &str, text: &str| {
            let path = folder.join(format!("{i}-{name}"));
            std::fs::write(&path, text).unwrap();
            path.to_str().unwrap().to_string()
        };
        let (rules, sheet) = (file("book.rules", text(case, "rules")), file("sheet.toml", text(case, "sheet")));
        let done = faultbook(&["weigh", &sheet, "--rules", &rules, "--json"]);
        assert_eq!(done.status, 0, "{}", done.err);
        judge(i, &case["expect"], &serde_json::from_str(&done.out).unwrap());
    }
}
