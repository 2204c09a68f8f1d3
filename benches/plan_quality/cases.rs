//! The cases of the shipped book: what their plans cost, what the best could cost at least, and how long they take.

use super::shipped::{self, RATES};
use super::time::{quantile, timed};
use faultbook::bay::{Bay, Progress};
use faultbook::belief::Limits;
use faultbook::cases::parse as parse_case;
use faultbook::job::evidence;
use faultbook::plan::{Budget, Step, plan};
use std::path::{Path, PathBuf};

pub fn run() {
    let book = shipped::book();
    let (mut costs, mut bounds, mut repairs) = (0.0, 0.0, 0);
    let (mut whole, mut steps) = (vec![], vec![]);
    for path in case_files(Path::new("rules")) {
        let text = std::fs::read_to_string(&path).expect("readable");
        let case = parse_case(&path.display().to_string(), &text).expect("a case");
        let known = evidence(&book, &case.sheet).expect("evidence");
        let bay = Bay::new(&book, &known, &Progress::default(), RATES).expect("a model");
        let (seconds, planned) = timed(|| plan(&bay.model, &Budget::PLAN, &Limits::default()));
        let Ok(planned) = planned else { continue };
        whole.push(seconds);
        steps.push(timed(|| plan(&bay.model, &Budget::STEP, &Limits::default())).0);
        costs += planned.expected_cost;
        bounds += planned.at_least;
        repairs += usize::from(matches!(planned.tree.first().step, Step::Fix(_)));
    }
    let n = whole.len();
    println!("cases of the shipped book: {n} plans");
    println!("  mean expected cost {:.1}, mean bound {:.1}; {repairs} begin with a repair", costs / n as f64, bounds / n as f64);
    for (name, values) in [("plan", &mut whole), ("next step", &mut steps)] {
        println!(
            "  {name}: median {:.3} s, nine in ten {:.3} s, worst {:.3} s",
            quantile(values, 0.5),
            quantile(values, 0.9),
            quantile(values, 1.0)
        );
    }
}

fn case_files(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = vec![];
    for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
        let path = entry.path();
        if path.is_dir() {
            found.extend(case_files(&path));
        } else if path.extension().is_some_and(|e| e == "toml") && path.parent().is_some_and(|p| p.ends_with("cases")) {
            found.push(path);
        }
    }
    found.sort();
    found
}
