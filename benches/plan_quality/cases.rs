//! The cases of the shipped book: what their plans cost, what the best could cost at least, and how long they take.

use super::shipped::{self, RATES};
use super::time::{quantile, timed};
use faultbook::bay::{Bay, Progress};
use faultbook::belief::Limits;
use faultbook::cases::parse as parse_case;
use faultbook::job::evidence;
use faultbook::plan::{Budget, Plan, Step, plan};
use std::path::{Path, PathBuf};

/// Work for the next step, tried beside the whole plan's.
const WORK: [u64; 4] = [3_000_000, 10_000_000, 20_000_000, 30_000_000];

pub fn run() {
    let book = shipped::book();
    let (mut costs, mut bounds, mut repairs) = (0.0, 0.0, 0);
    let mut whole = vec![];
    let mut steps = WORK.map(|work| (Budget { work, ..Budget::STEP }, vec![], 0, 0.0));
    for path in case_files(Path::new("rules")) {
        let text = std::fs::read_to_string(&path).expect("readable");
        let case = parse_case(&path.display().to_string(), &text).expect("a case");
        let known = evidence(&book, &case.sheet).expect("evidence");
        let bay = Bay::new(&book, &known, &Progress::default(), RATES).expect("a model");
        let (seconds, planned) = timed(|| plan(&bay.model, &Budget::PLAN, &Limits::default()));
        let Ok(planned) = planned else { continue };
        whole.push(seconds);
        for (budget, seconds, same, loss) in &mut steps {
            let (time, step) = timed(|| plan(&bay.model, budget, &Limits::default()));
            let Ok(step) = step else { continue };
            seconds.push(time);
            let first = step.tree.first().step;
            *same += usize::from(first == planned.tree.first().step);
            *loss += dearer(&planned, first) / planned.expected_cost.max(1.0);
        }
        costs += planned.expected_cost;
        bounds += planned.at_least;
        repairs += usize::from(matches!(planned.tree.first().step, Step::Fix(_)));
    }
    let n = whole.len();
    println!("cases of the shipped book: {n} plans");
    println!("  mean expected cost {:.1}, mean bound {:.1}; {repairs} begin with a repair", costs / n as f64, bounds / n as f64);
    println!("  plan: {}", times(&mut whole));
    for (budget, seconds, same, loss) in &mut steps {
        let work = budget.work / 1_000_000;
        let (same, loss) = (100.0 * *same as f64 / n as f64, 100.0 * *loss / n as f64);
        println!("  next step, {work} million: {}; {same:.0} % the plan's own, {loss:.2} % dearer on average", times(seconds));
    }
}

/// What the plan would cost more if it began with this step, as far as it lists it; 0 or more.
fn dearer(planned: &Plan, first: Step) -> f64 {
    let total = planned.next.iter().find(|n| n.step == first).map_or(planned.expected_cost, |n| n.expected_total);
    (total - planned.expected_cost).max(0.0)
}

fn times(seconds: &mut [f64]) -> String {
    let at = |seconds: &mut [f64], share| quantile(seconds, share);
    let (median, most, worst) = (at(seconds, 0.5), at(seconds, 0.9), at(seconds, 1.0));
    format!("median {median:.3} s, nine in ten {most:.3} s, worst {worst:.3} s")
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
