//! Two causes that no check in the book can tell apart.

use super::prelude::*;
use super::traces::{Trace, Traces};
use crate::book::{Cause, Id, Need};
use std::collections::{BTreeSet, HashMap};

pub const LINT: Lint = Lint::book("FB401", "causes-alike", Severity::Warning, check);

/// So many causes that are proven for some vehicles only are compared with each other; a book with more is past reading anyway.
const MOST: usize = 200;

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let traces = Traces::of(subject);
    for (one, other) in candidates(subject, &traces) {
        if let Some(remark) = judge(subject, &traces, one, other) {
            found.push(remark);
        }
    }
}

/// The pairs that agree wherever one of the two can be looked at for sure; all others are told apart on every vehicle.
fn candidates(subject: &Subject, traces: &Traces) -> BTreeSet<(Id<Cause>, Id<Cause>)> {
    let mut alike: HashMap<&Trace, Vec<Id<Cause>>> = HashMap::new();
    for (id, _) in subject.book.causes.iter() {
        traces.of_cause(id).iter().for_each(|trace| alike.entry(trace).or_default().push(id));
    }
    let mut unsure = Vec::new();
    let mut pairs = BTreeSet::new();
    for (id, cause) in subject.book.causes.iter() {
        let sure = traces.of_cause(id).iter().filter(|t| traces.sure(subject, &cause.head.when, t.finding));
        match sure.map(|trace| &alike[trace]).min_by_key(|causes| causes.len()) {
            Some(causes) => pairs.extend(causes.iter().map(|other| (id.min(*other), id.max(*other)))),
            None if !traces.of_cause(id).is_empty() => unsure.push(id),
            None => {}
        }
    }
    unsure.truncate(MOST);
    for (at, one) in unsure.iter().enumerate() {
        pairs.extend(unsure[at + 1..].iter().map(|other| (*one, *other)));
    }
    pairs.retain(|(one, other)| one != other);
    pairs
}

fn judge(subject: &Subject, traces: &Traces, one: Id<Cause>, other: Id<Cause>) -> Option<Remark> {
    let (first, second) = (&subject.book.causes[one], &subject.book.causes[other]);
    // a condition is known by its roots, and no fix hangs on telling it from another
    if first.is_condition() || second.is_condition() {
        return None;
    }
    if !subject.together(&first.head, &second.head) || one_fix(subject, one, other) {
        return None;
    }
    let apart = traces.apart(subject, one, other);
    // where neither can be looked at, each is unreached, and that is another remark
    let reached = Need::Any(traces.reached(subject, one).into_iter().chain(traces.reached(subject, other)).collect());
    let hold = [&first.head.when, &second.head.when, &reached];
    let vehicle = subject.vehicles.example(&hold, &apart.iter().collect::<Vec<&Need>>())?;
    let where_ = match apart.is_empty() {
        true => "no check can tell".to_string(),
        false => format!("on {} no check can tell", subject.vehicles.words(&vehicle)),
    };
    let message = format!("{where_} `{}` from `{}`", second.name(), first.name());
    let remark = Remark::new(LINT.code, message, second.head.span, "every check finds the same with this").and(first.head.span, "as with this");
    Some(remark.help("let one of them show something that a check reveals and the other does not, or shows less often"))
}

/// Whether one fix puts both right: then nobody need tell them apart.
fn one_fix(subject: &Subject, one: Id<Cause>, other: Id<Cause>) -> bool {
    let fixes = &subject.cured_by[one.index()];
    fixes.iter().any(|f| subject.cured_by[other.index()].contains(f))
}
