//! What each cause leaves for the checks to find, by itself and by what it brings about.

use super::subject::Subject;
use crate::book::{Cause, Finding, Id, Need};
use std::collections::HashMap;

/// So many findings are followed down from one cause.
const MOST: usize = 400;

/// A finding that some check reveals, and how likely a cause by itself brings it to each state or a higher one.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Trace {
    /// The finding.
    pub finding: Id<Finding>,
    /// The chances from the first abnormal state on, in millionths of a millionth, so that rounding makes no difference.
    chances: Vec<u64>,
}

/// The traces of every cause.
pub struct Traces {
    of: Vec<Vec<Trace>>,
}

type Tails = HashMap<Id<Finding>, Vec<f64>>;

impl Traces {
    /// Works them out, what is brought about before what brings it.
    ///
    /// A cause by itself brings a finding to state k or higher with probability `1 - prod(1 - t)`, `t` being its own push and,
    /// for each cause it brings about, the chance of that times that cause's own. This is exact where no two ways lead from
    /// one cause to another; where they do, it is still the same for causes that are alike.
    pub fn of(subject: &Subject) -> Traces {
        let book = subject.book;
        let mut tails: Vec<Option<Tails>> = vec![None; book.causes.len()];
        for (id, _) in book.causes.iter() {
            work_out(subject, id, &mut tails);
        }
        Traces { of: tails.into_iter().map(|t| sorted(t.unwrap_or_default())).collect() }
    }

    /// The traces of a cause, in order of the findings.
    pub fn of_cause(&self, cause: Id<Cause>) -> &[Trace] {
        &self.of[cause.index()]
    }

    /// Whether every vehicle with `when` has a check that reveals the finding.
    pub fn sure(&self, subject: &Subject, when: &Need, finding: Id<Finding>) -> bool {
        let implied = |need: &Need| subject.vehicles.implies(when, need);
        let mut checks = subject.revealed_by[finding.index()].iter().map(|c| &subject.book.checks[*c]);
        implied(&subject.book.findings[finding].head.when) && checks.any(|c| implied(&c.head.when))
    }

    /// For which vehicles some check finds a difference between two causes: any of these conditions.
    pub fn apart(&self, subject: &Subject, one: Id<Cause>, other: Id<Cause>) -> Vec<Need> {
        let (one, other) = (self.of_cause(one), self.of_cause(other));
        let differ = one.iter().filter(|t| !other.contains(t)).chain(other.iter().filter(|t| !one.contains(t)));
        differ.flat_map(|trace| revealed(subject, trace.finding)).collect()
    }

    /// For which vehicles some check reveals a trace of a cause: any of these conditions.
    pub fn reached(&self, subject: &Subject, cause: Id<Cause>) -> Vec<Need> {
        self.of_cause(cause).iter().flat_map(|trace| revealed(subject, trace.finding)).collect()
    }
}

/// For which vehicles some check reveals a finding: any of these conditions.
pub fn revealed(subject: &Subject, finding: Id<Finding>) -> impl Iterator<Item = Need> {
    let own = &subject.book.findings[finding].head.when;
    let checks = subject.revealed_by[finding.index()].iter().map(|c| &subject.book.checks[*c].head.when);
    checks.map(move |check| if check == own { own.clone() } else { Need::All(vec![own.clone(), check.clone()]) })
}

/// The tails of a cause, and of all it brings about first; what is deep goes on a list, not on the stack.
fn work_out(subject: &Subject, cause: Id<Cause>, tails: &mut [Option<Tails>]) {
    let mut open = vec![cause];
    while let Some(top) = open.last().copied() {
        let brings = &subject.book.causes[top].brings;
        let waiting: Vec<Id<Cause>> = brings.iter().map(|(c, _)| *c).filter(|c| tails[c.index()].is_none()).collect();
        if waiting.is_empty() {
            if tails[top.index()].is_none() {
                tails[top.index()] = Some(joined(subject, top, tails));
            }
            open.pop();
        }
        open.extend(waiting);
    }
}

fn joined(subject: &Subject, cause: Id<Cause>, tails: &[Option<Tails>]) -> Tails {
    let row = &subject.book.causes[cause];
    let mut own = Tails::new();
    for shows in row.shows.iter().filter(|s| !subject.revealed_by[s.finding.index()].is_empty()) {
        add(&mut own, shows.finding, &from_top(&shows.push), 1.0);
    }
    for (child, chance) in &row.brings {
        for (finding, tail) in tails[child.index()].iter().flatten() {
            if own.len() < MOST || own.contains_key(finding) {
                add(&mut own, *finding, tail, *chance);
            }
        }
    }
    own
}

fn add(own: &mut Tails, finding: Id<Finding>, tail: &[f64], chance: f64) {
    let sum = own.entry(finding).or_insert_with(|| vec![0.0; tail.len()]);
    sum.iter_mut().zip(tail).for_each(|(s, t)| *s = 1.0 - (1.0 - *s) * (1.0 - t * chance));
}

/// Chances of each state -> chances of that state or a higher one.
fn from_top(push: &[f64]) -> Vec<f64> {
    let mut tail: Vec<f64> = push.to_vec();
    for at in (0..tail.len().saturating_sub(1)).rev() {
        tail[at] += tail[at + 1];
    }
    tail
}

fn sorted(tails: Tails) -> Vec<Trace> {
    let there = tails.into_iter().filter(|(_, t)| t.iter().any(|p| *p > 1e-12));
    let mut traces: Vec<Trace> =
        there.map(|(finding, t)| Trace { finding, chances: t.iter().map(|p| (p * 1e12).round() as u64).collect() }).collect();
    traces.sort_by_key(|t| t.finding);
    traces
}
