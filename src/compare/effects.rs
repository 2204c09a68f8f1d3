//! What a change of the book does to the plans of known cars.

use crate::bay::{Assessment, Effort, Misfit, Progress, Rates};
use crate::belief::Method;
use crate::book::{Book, Headed};
use crate::job::{JobSheet, evidence};

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
pub fn effect(old: &Book, new: &Book, car: &Car, rates: Rates) -> Effect {
    let (before, after) = (outcome(old, &car.before, rates), outcome(new, &car.after, rates));
    Effect { name: car.name.clone(), before, after }
}

fn outcome(book: &Book, sheet: &JobSheet, rates: Rates) -> Result<Outcome, String> {
    let evidence = evidence(book, sheet).map_err(|e| e.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))?;
    let words = |misfit: Misfit| match misfit {
        Misfit::Contradiction { .. } => "no car can show this by these rules".to_string(),
        other => other.to_string(),
    };
    let progress = Progress::begun(book, &evidence);
    let a = Assessment::new(book, evidence, progress, rates, Effort::MANY).map_err(words)?;
    let plan = a.plan().map_err(words)?;
    let chances = &a.beliefs.causes;
    let fault = |c: &usize| !book.causes[a.bay.car.causes[*c]].is_condition();
    let best = (0..chances.len()).filter(fault).max_by(|a, b| chances[*a].total_cmp(&chances[*b]));
    Ok(Outcome {
        likeliest: best.map_or(String::new(), |c| book.causes[a.bay.car.causes[c]].name().into()),
        probability: best.map_or(0.0, |c| chances[c]),
        first: a.step_name(plan.tree.first().step).into(),
        cost: plan.expected_cost,
        method: a.beliefs.method,
    })
}
