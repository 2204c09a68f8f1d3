//! Counts and the book's own numbers -> estimates with their intervals.
//!
//! A number of the book stands for so many jobs of experience (its weight): before the count it is a beta distribution with the number as mean, after it the
//! counted jobs are added (beta-binomial conjugacy: Gelman and others, Bayesian Data Analysis, 3rd edition, section 2.4; from memory). The states of one
//! finding share their jobs in a Dirichlet distribution, of which each state alone is again a beta distribution. What else shows the finding by chance (its
//! stray) is left out: where it is not small beside the strength, the estimate is too high by about as much.

use super::count::{Counts, StrengthCount};
use crate::book::{Book, Cause, Finding, Id};
use statrs::distribution::{Beta, ContinuousCDF};

/// Part of the distribution left out at either end of an interval: it holds nine in ten.
const TAIL: f64 = 0.05;

/// For how many jobs the book's own numbers stand, more than 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Of a prior. Causes are rare: a workshop sees most of them less than once in a hundred jobs.
    pub prior: f64,
    /// Of a strength.
    pub strength: f64,
}

impl Default for Weights {
    /// 200 jobs for a prior, 10 for a strength.
    fn default() -> Self {
        Weights { prior: 200.0, strength: 10.0 }
    }
}

/// What a number of the book is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// How often a cause is there by itself.
    Prior(Id<Cause>),
    /// How often a cause shows a finding in this state.
    Strength(Id<Cause>, Id<Finding>, usize),
}

/// A number of the book beside what the jobs make of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Which number.
    pub subject: Subject,
    /// What the book says, 0..=1.
    pub book: f64,
    /// Jobs in which it was so.
    pub seen: u64,
    /// Jobs that say anything of it.
    pub of: u64,
    /// The mean after counting, 0..=1.
    pub mean: f64,
    /// The lower end of the interval that holds nine in ten.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// Whether it is proposed: the count moved the interval off the book's number, or off that of another state of the same finding.
    pub proposed: bool,
}

/// An estimate for every prior and every strength that a job says anything of, in the book's order.
pub fn estimates(book: &Book, counts: &Counts, weights: &Weights) -> Vec<Estimate> {
    let mut out = Vec::new();
    for count in &counts.causes {
        let prior = book.causes[count.cause].prior;
        if prior > 0.0 && prior < 1.0 {
            out.extend(estimate(Subject::Prior(count.cause), prior, weights.prior, count.by_itself, count.of));
        }
    }
    counts.strengths.iter().for_each(|count| out.extend(strengths(book, count, weights.strength)));
    out
}

/// The states that the cause pushes the finding to; where one of them is proposed all are, so that they still fit together.
fn strengths(book: &Book, count: &StrengthCount, weight: f64) -> Vec<Estimate> {
    let of = count.states.iter().sum();
    let push = book.causes[count.cause].shows.iter().find(|s| s.finding == count.finding).map_or(&[][..], |s| &s.push);
    let pushed = push.iter().enumerate().filter(|(_, p)| **p > 0.0 && **p < 1.0);
    let one = |(k, p): (usize, &f64)| estimate(Subject::Strength(count.cause, count.finding, k + 1), *p, weight, count.states[k + 1], of);
    let mut all: Vec<Estimate> = pushed.filter_map(one).collect();
    let any = all.iter().any(|e| e.proposed);
    all.iter_mut().for_each(|e| e.proposed = any);
    all
}

/// A chance after counting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted {
    /// Its mean, 0..=1.
    pub mean: f64,
    /// The lower end of the interval that holds nine in ten.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// A chance that stands for `weight` jobs, after `seen` of `of` more; none where that makes no distribution.
pub fn counted(chance: f64, weight: f64, seen: u64, of: u64) -> Option<Counted> {
    let (a, b) = (chance * weight + seen as f64, (1.0 - chance) * weight + of.saturating_sub(seen) as f64);
    let beta = Beta::new(a, b).ok()?;
    Some(Counted { mean: a / (a + b), low: quantile(&beta, TAIL), high: quantile(&beta, 1.0 - TAIL) })
}

/// Where the distribution function reaches `p`, by halving: so often that it always ends, and no double is finer.
fn quantile(beta: &Beta, p: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..200 {
        let middle = (low + high) / 2.0;
        if beta.cdf(middle) < p { low = middle } else { high = middle }
    }
    high
}

/// Proposed is what the count moved the interval off: a very small or large chance may lie outside it from the start.
fn estimate(subject: Subject, book: f64, weight: f64, seen: u64, of: u64) -> Option<Estimate> {
    let (before, Counted { mean, low, high }) = (counted(book, weight, 0, 0)?, counted(book, weight, seen, of)?);
    let proposed = (book < low && book >= before.low) || (book > high && book <= before.high);
    Some(Estimate { subject, book, seen, of, mean, low, high, proposed })
}
