//! The evidence weighed, as text and as JSON.

use super::words::{bar, heading, percent, wrap};
use super::{Look, seen};
use crate::bay::estimate_words;
use crate::belief::{Beliefs, Method};
use crate::book::{Book, Headed};
use crate::car::Car;
use crate::job::Evidence;
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// `weigh --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct WeighDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Natural logarithm of the probability of the evidence.
    pub log_evidence: f64,
    /// Probability that every cause is there now; 0 for those that are cured or do not apply to this vehicle.
    pub causes: IndexMap<String, f64>,
    /// The same of every condition: a state that ends with its root.
    pub conditions: IndexMap<String, f64>,
    /// Probability that no listed cause was there at the intake.
    pub unlisted: f64,
    /// For every finding not looked at since the last repair, the probability of each state that it is in now.
    pub findings: IndexMap<String, IndexMap<String, f64>>,
    /// How it was worked out.
    pub method: MethodDocument,
    /// Codes that the book has no rule for.
    pub unexplained_codes: Vec<UnknownCodeDocument>,
}

/// How the weights were worked out.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum MethodDocument {
    /// Exactly.
    Exact {
        /// Bits of the widest table.
        width: u32,
    },
    /// By sampling, with the largest standard error of a cause's probability.
    Sampled {
        /// Samples drawn.
        samples: u32,
        /// Effective number of samples.
        effective: f64,
        /// Largest standard error of any probability.
        standard_error: f64,
        /// Standard error of the probability of the evidence, as a share of it.
        evidence_error: f64,
    },
}

/// A code without a rule.
#[derive(Debug, Serialize, JsonSchema)]
pub struct UnknownCodeDocument {
    /// The code.
    pub code: String,
    /// Its title, or what its structure says.
    pub title: String,
}

impl From<Method> for MethodDocument {
    fn from(method: Method) -> Self {
        match method {
            Method::Exact { width, .. } => MethodDocument::Exact { width },
            Method::Sampled { samples, effective, standard_error, evidence_error } => {
                MethodDocument::Sampled { samples, effective, standard_error, evidence_error }
            }
        }
    }
}

impl MethodDocument {
    /// For documents that say nothing where all is exact.
    pub fn unless_exact(method: Method) -> Option<MethodDocument> {
        matches!(method, Method::Sampled { .. }).then(|| method.into())
    }
}

/// The document for scripts.
pub fn document(book: &Book, evidence: &Evidence, car: &Car, beliefs: &Beliefs) -> WeighDocument {
    let chances = |conditions: bool| {
        let rows = book.causes.iter().filter(move |(_, c)| c.is_condition() == conditions);
        rows.map(|(id, c)| (c.name().to_string(), car.cause(id).map_or(0.0, |i| beliefs.causes[i]))).collect()
    };
    let looked = |i: usize| car.history.seen.iter().any(|s| s.finding == i && s.period == car.history.now());
    let unknown = car.findings.iter().enumerate().filter(|(i, _)| !looked(*i));
    let findings = unknown.map(|(i, id)| {
        let finding = &book.findings[*id];
        let states = finding.states.iter().cloned().zip(beliefs.findings[i].iter().copied());
        (finding.name().to_string(), states.collect())
    });
    WeighDocument {
        schema: 1,
        log_evidence: beliefs.log_evidence,
        causes: chances(false),
        conditions: chances(true),
        unlisted: beliefs.unlisted,
        findings: findings.collect(),
        method: beliefs.method.into(),
        unexplained_codes: unknown_codes(evidence),
    }
}

/// Codes without a rule, for scripts.
pub fn unknown_codes(evidence: &Evidence) -> Vec<UnknownCodeDocument> {
    evidence.unknown_codes.iter().map(|u| UnknownCodeDocument { code: u.code.clone(), title: u.title.clone() }).collect()
}

/// The page for people.
pub fn text(book: &Book, evidence: &Evidence, car: &Car, beliefs: &Beliefs, look: Look) -> String {
    let mut out = seen::text(book, evidence, look);
    let condition = |(c, _): &(usize, f64)| book.causes[car.causes[*c]].is_condition();
    let all = ranked(&beliefs.causes, usize::MAX);
    let going_on: Vec<_> = all.iter().filter(|x| condition(x) && x.1 > 0.5).collect();
    if !going_on.is_empty() {
        out.push_str(&heading("What is going on"));
        going_on.iter().for_each(|(c, p)| out.push_str(&cause_line(book.causes[car.causes[*c]].title(), *p, look)));
        out.push('\n');
    }
    out.push_str(&heading("What it may be"));
    for (index, p) in all.into_iter().filter(|x| !condition(x)).take(12) {
        out.push_str(&cause_line(book.causes[car.causes[index]].title(), p, look));
    }
    out.push_str(&cause_line("none of the causes in the book", beliefs.unlisted, look));
    out + &estimate(beliefs.method, look)
}

/// The line that says how good estimates are; empty where the probabilities are exact.
pub fn estimate(method: Method, look: Look) -> String {
    match estimate_words(method) {
        words if words.is_empty() => words,
        words => wrap(&words, look.width, "", "") + "\n",
    }
}

/// The causes worth showing: the likeliest first, those under one in a hundred left out unless there is nothing else.
pub fn ranked(weights: &[f64], most: usize) -> Vec<(usize, f64)> {
    let mut all: Vec<(usize, f64)> = weights.iter().copied().enumerate().collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let worth = all.iter().filter(|(_, p)| *p >= 0.01).count().clamp(3, most.max(3));
    all.truncate(worth.min(most));
    all
}

/// One cause: its share, a bar, its title. Stacked where the page is narrow.
pub fn cause_line(title: &str, p: f64, look: Look) -> String {
    let share = percent(p);
    if look.width < 60 {
        let cells = look.width.saturating_sub(8).min(30);
        return format!("{}\n  {share:>6} {}\n", wrap(title, look.width, "", "  "), bar(p, cells));
    }
    let text = wrap(title, look.width - 28, "", "");
    let mut lines = text.lines();
    let mut out = format!("{share:>6} {:<20} {}\n", bar(p, 20), lines.next().unwrap_or(""));
    lines.for_each(|l| out.push_str(&format!("{:28}{l}\n", "")));
    out
}
