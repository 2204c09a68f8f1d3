//! What a change of the book does to the plans of known cars.

use crate::bay::{Act, Bay, Progress, Rates, dangers};
use crate::belief::{Limits, Method, weigh_causes};
use crate::book::{Book, Headed};
use crate::job::{JobSheet, evidence};
use crate::plan::{Budget, Step, plan};

/// A known car.
#[derive(Debug, Clone, PartialEq)]
pub struct Car {
    /// The case or job.
    pub name: String,
    /// What was known at its intake, as the old book understands it.
    pub before: JobSheet,
    /// The same, as the new book understands it.
    pub after: JobSheet,
}

/// What comes out for a car under one book.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The likeliest cause.
    pub likeliest: String,
    /// Its probability.
    pub probability: f64,
    /// The first step of the plan.
    pub first: String,
    /// Expected cost, money.
    pub cost: f64,
    /// How the causes were weighed.
    pub method: Method,
}

/// A car, and what comes out for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// The case or job.
    pub name: String,
    /// Under the old book; the error where the sheet can't be used with it.
    pub before: Result<Outcome, String>,
    /// Under the new book.
    pub after: Result<Outcome, String>,
}

impl Effect {
    /// Whether the first step or the likeliest cause is another, or the cost differs by one in a hundred.
    pub fn matters(&self) -> bool {
        match (&self.before, &self.after) {
            (Ok(a), Ok(b)) => a.first != b.first || a.likeliest != b.likeliest || (a.cost - b.cost).abs() > 0.01 * a.cost.max(1.0),
            (a, b) => a.is_ok() != b.is_ok(),
        }
    }
}

/// What comes out for a car under both books.
pub fn effect(old: &Book, new: &Book, car: &Car, rates: Rates, budget: &Budget) -> Effect {
    let (before, after) = (outcome(old, &car.before, rates, budget), outcome(new, &car.after, rates, budget));
    Effect { name: car.name.clone(), before, after }
}

fn outcome(book: &Book, sheet: &JobSheet, rates: Rates, budget: &Budget) -> Result<Outcome, String> {
    let evidence = evidence(book, sheet).map_err(|e| e.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))?;
    let mut bay = Bay::new(book, &evidence, &Progress::default(), rates).map_err(|e| e.to_string())?;
    let limits = Limits::default();
    let beliefs = weigh_causes(&bay.model.network, &bay.model.history, &limits);
    let beliefs = beliefs.map_err(|_| "no car can show this by these rules".to_string())?;
    let chances = beliefs.causes;
    dangers(book, &evidence, &mut bay, &chances);
    let plan = plan(&bay.model, budget, &limits).map_err(|e| e.to_string())?;
    let best = (0..chances.len()).max_by(|a, b| chances[*a].total_cmp(&chances[*b]));
    let first = match plan.tree.first().step {
        Step::Check(a) | Step::Fix(a) => match bay.acts[a] {
            Act::Check(id) => book.checks[id].name(),
            Act::Fix(id) => book.fixes[id].name(),
        },
        Step::Refer => "refer",
        Step::Done => "nothing",
    };
    Ok(Outcome {
        likeliest: best.map_or(String::new(), |c| book.causes[bay.car.causes[c]].name().into()),
        probability: best.map_or(0.0, |c| chances[c]),
        first: first.into(),
        cost: plan.expected_cost,
        method: beliefs.method,
    })
}
