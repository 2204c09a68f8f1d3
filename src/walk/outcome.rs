//! What the repairs came to: which causes they are proven to have put right, which were in vain, what is left, and which proofs are still open.

use super::proof::{FixDone, Proof};
use super::standing::Standing;
use crate::bay::{Assessment, can_change};
use crate::book::{Book, Cause, Finding, Fix, Id};

/// Likelier than this, and seen on the car itself, a cause was seen directly.
const SEEN: f64 = 0.99;
/// What is likelier than this may be what a proof still shows.
const OTHERS: f64 = 0.02;
/// A fault in question that is likelier than this is not left without a word.
const LEFT: f64 = 0.5;

/// What one repair came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Worth {
    /// It put these causes right.
    Proven(Vec<Id<Cause>>),
    /// It changed nothing: what it was to cure was not it, or not there.
    InVain,
    /// Nothing tells yet.
    Open,
}

/// Something that is still wrong by what was seen last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Leftover {
    /// A fault that is likely there, with its probability.
    Cause(Id<Cause>, f64),
    /// A reading or a sign out of its normal state that nothing put right explains.
    Finding(Id<Finding>),
}

/// What the repairs came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// For each repair in order.
    pub worth: Vec<Worth>,
    /// What is still wrong.
    pub left: Vec<Leftover>,
    /// Proofs that are not read or out of their limit, of what was put right.
    pub missing: Vec<Id<Finding>>,
}

impl Outcome {
    /// Weighed on all that was seen, the last period included.
    pub fn of(standing: &Standing, a: &Assessment) -> Outcome {
        let worth: Vec<Worth> = (0..standing.fixes.len()).map(|i| worth(standing, a, i)).collect();
        let mut out = Outcome { worth, left: vec![], missing: vec![] };
        out.missing = missing(standing, a.book, &out.put_right());
        out.left = left(standing, a, &out);
        out
    }

    /// The causes that are proven to have been put right, in the order of their repairs.
    pub fn put_right(&self) -> Vec<Id<Cause>> {
        let mut out: Vec<Id<Cause>> = Vec::new();
        for worth in &self.worth {
            let Worth::Proven(causes) = worth else { continue };
            let new: Vec<Id<Cause>> = causes.iter().filter(|c| !out.contains(c)).copied().collect();
            out.extend(new);
        }
        out
    }

    /// The repairs that changed nothing.
    pub fn vain(&self, standing: &Standing) -> Vec<Id<Fix>> {
        let all = standing.fixes.iter().zip(&self.worth);
        all.filter(|(_, w)| **w == Worth::InVain).map(|(f, _)| f.fix).collect()
    }
}

/// A look before and the first after the repair that begins a period, and the last of all.
struct Change {
    before: usize,
    after: usize,
    last: usize,
}

/// How a finding stood around the repair that begins a period; none where it was not looked at on both sides.
fn change(a: &Assessment, finding: Id<Finding>, period: usize) -> Option<Change> {
    let looks = a.looks(finding);
    let state = |look: &(usize, &crate::job::Observation)| look.1.likeliest_state();
    let before = looks.iter().rfind(|(p, _)| *p < period).map(state)?;
    let after = looks.iter().find(|(p, _)| *p >= period).map(state)?;
    Some(Change { before, after, last: looks.last().map(state)? })
}

/// What the repair of this number came to.
fn worth(standing: &Standing, a: &Assessment, number: usize) -> Worth {
    let (done, period) = (&standing.fixes[number], number + 1);
    let before = a.before(period);
    let cures: Vec<(Id<Cause>, f64)> =
        a.book.fixes[done.fix].causes().filter_map(|c| Some((c, before[a.bay.car.cause(c)?]))).filter(|(_, p)| *p > 0.0).collect();
    // a fix may cure several that look alike: of those it was the likely ones
    let least = cures.iter().map(|(_, p)| *p).fold(0.0, f64::max).min(0.5);
    let changes = |c: Id<Cause>| {
        let shown = a.bay.car.findings.iter().filter(move |f| can_change(a.book, &[c], **f));
        shown.filter_map(|f| change(a, *f, period)).filter(|x| x.before > 0).collect::<Vec<_>>()
    };
    let went = number == 0 || standing.fixes[number - 1].gone != Some(true);
    let gone = done.tried && done.gone == Some(true) && went;
    let fresh = |p: &Proof| p.holds() && a.looks(p.finding).iter().all(|(at, _)| *at >= period);
    let proven = |(c, p): &(Id<Cause>, f64)| {
        let seen = *p > SEEN && a.looked_at(*c, number);
        let changes = changes(*c);
        let helped = changes.iter().any(|x| x.after < x.before && x.last < x.before);
        let stayed = done.gone == Some(false) || changes.iter().any(|x| x.after >= x.before);
        let held = !stayed && done.proofs.iter().any(fresh);
        let undone = done.proofs.iter().any(|p| p.fails() && only_of(standing, a, done.fix, *c, p.finding));
        !undone && (seen || (*p >= least && (helped || gone || held)))
    };
    let right: Vec<Id<Cause>> = cures.iter().filter(|c| proven(c)).map(|(c, _)| *c).collect();
    let same = || cures.iter().flat_map(|(c, _)| changes(*c)).any(|x| x.after >= x.before);
    match right.is_empty() {
        false => Worth::Proven(right),
        true if done.gone == Some(false) || same() => Worth::InVain,
        true => Worth::Open,
    }
}

/// Whether a finding speaks of this cause of a fix and of nothing else in question that the fix leaves: seen out of order afterwards, it says that the
/// repair is not done.
fn only_of(standing: &Standing, a: &Assessment, fix: Id<Fix>, cause: Id<Cause>, finding: Id<Finding>) -> bool {
    let others = a.bay.car.causes.iter().filter(|c| !a.book.fixes[fix].cures(**c) && a.weight(**c) > OTHERS);
    let repaired = standing.fixes.iter().filter(|f| f.fix != fix).flat_map(|f| a.book.fixes[f.fix].causes());
    can_change(a.book, &[cause], finding) && !others.copied().chain(repaired).any(|c| can_change(a.book, &[c], finding))
}

/// The open proofs that matter: those of a fix that put something right, and those that a cause put right disturbs. What a fix in vain was to show says
/// nothing of the repair.
fn missing(standing: &Standing, book: &Book, right: &[Id<Cause>]) -> Vec<Id<Finding>> {
    let own = |finding: Id<Finding>| {
        let has = |f: &&FixDone| book.fixes[f.fix].proofs.iter().any(|(p, _)| *p == finding);
        standing.fixes.iter().filter(has).any(|f| book.fixes[f.fix].causes().any(|c| right.contains(&c)))
    };
    standing.open_proofs().into_iter().map(|p| p.finding).filter(|f| own(*f) || can_change(book, right, *f)).collect()
}

/// Faults that are likely there, then readings and signs last seen out of their normal state that neither these nor what was put right since explain.
fn left(standing: &Standing, a: &Assessment, outcome: &Outcome) -> Vec<Leftover> {
    let causes: Vec<(Id<Cause>, f64)> = a.standing(LEFT).into_iter().filter(|(_, p)| *p > LEFT).collect();
    let there: Vec<Id<Cause>> = causes.iter().map(|(c, _)| *c).collect();
    let explained = |finding: Id<Finding>, period: usize| {
        let since = standing.fixes.iter().zip(&outcome.worth).skip(period);
        let right = since.filter_map(|(_, w)| if let Worth::Proven(causes) = w { Some(causes) } else { None });
        right.into_iter().any(|causes| can_change(a.book, causes, finding)) || can_change(a.book, &there, finding)
    };
    let measured = |f: &Id<Finding>| a.book.findings[*f].is_seen_on_car();
    let wrong = |f: &Id<Finding>| {
        let looks = a.looks(*f);
        looks.last().is_some_and(|(period, o)| o.abnormal() && !explained(*f, *period))
    };
    let open = |f: &Id<Finding>| !outcome.missing.contains(f);
    let out: Vec<Id<Finding>> = a.bay.car.findings.iter().filter(|f| measured(f) && open(f) && wrong(f)).copied().collect();
    let now = if out.is_empty() { vec![] } else { a.abnormal_now(&out) };
    let findings = out.into_iter().zip(now).filter(|(_, p)| *p > LEFT).map(|(f, _)| Leftover::Finding(f));
    causes.into_iter().map(|(c, p)| Leftover::Cause(c, p)).chain(findings).collect()
}

impl Standing {
    /// The last proof of each finding that is not read or is out of its limit.
    pub fn open_proofs(&self) -> Vec<&Proof> {
        let all: Vec<&Proof> = self.fixes.iter().flat_map(|f| &f.proofs).collect();
        let last = |(i, p): &(usize, &&Proof)| !all[i + 1..].iter().any(|q| q.finding == p.finding);
        all.iter().enumerate().filter(last).map(|(_, p)| *p).filter(|p| !p.holds()).collect()
    }
}
