//! Prove before you part: which checks would show that a fix is right, before money goes into it.
//!
//! The plan may rightly fit a part without another look, where looking costs more than it saves on average. A technician wants to
//! know what the look would be.

use super::act::Act;
use super::assessment::Assessment;
use super::model::Bay;
use crate::belief::Prepared;
use crate::book::{Book, Cause, Check, Finding, Fix, Id};
use crate::plan::{Action, ActionKind, Step};

/// A fix that the plan takes, or a car that it hands over, before the cause is proven.
#[derive(Debug, Clone, PartialEq)]
pub struct Unproven {
    /// The likeliest of the causes that the step goes by.
    pub cause: Id<Cause>,
    /// How likely it is there, 0..=1.
    pub likely: f64,
    /// Checks that would tell, the best for its price first, with how much of the doubt about the cause each takes away, 0..=1.
    pub checks: Vec<(Id<Check>, f64)>,
}

/// From here on a cause counts as proven, if something was seen on the car that it shows; what a customer reports or a module stores proves no cause alone.
const PROVEN: f64 = 0.95;

impl Assessment<'_> {
    /// How far a fix is from being proven; none where it is proven.
    pub fn unproven(&self, fix: Id<Fix>) -> Option<Unproven> {
        let all: Vec<Id<Cause>> = self.book.fixes[fix].causes().collect();
        // what another cause of the fix that is likely there brings about tells nothing of the fix: its root does
        let likely = |root: &Id<Cause>| self.bay.car.cause(*root).is_some_and(|c| self.beliefs.causes[c] > 0.5);
        let brings = |root: &Id<Cause>, id: &Id<Cause>| self.book.causes[*root].brings.iter().any(|(c, _)| c == id);
        let brought = |id: &Id<Cause>| all.iter().any(|root| likely(root) && brings(root, id));
        let cures = all.iter().filter(|c| !brought(c)).filter_map(|c| self.bay.car.cause(*c));
        doubted(self, &cures.collect::<Vec<_>>())
    }

    /// How far the likeliest fault in question is from being proven where the car is handed over: the specialist wants a finding, not a guess.
    pub fn unproven_complaint(&self) -> Option<Unproven> {
        let asked: Vec<usize> = self.standing(0.0).into_iter().filter_map(|(c, _)| self.bay.car.cause(c)).collect();
        doubted(self, &asked)
    }

    /// How far the first step of the plan is from being proven, where it is a fix or the car is handed over.
    pub fn unproven_first(&self) -> Option<Unproven> {
        let first = self.plan().ok()?.next.first()?.step;
        match (first, self.act(first)) {
            (_, Some(Act::Fix(fix))) => self.unproven(fix),
            (Step::Refer, _) => self.unproven_complaint(),
            _ => None,
        }
    }

    /// Whether a cause was seen on the car itself up to a period: a reading or a sign in a state that it pushes it to.
    pub fn looked_at(&self, cause: Id<Cause>, period: usize) -> bool {
        self.bay.car.cause(cause).is_some_and(|c| looked_at(self.book, &self.bay, c, period))
    }
}

/// The likeliest of these causes, unless it is proven, and the checks that would tell. How likely it is stands in the assessment, as on every other
/// page; only what a look would change is weighed anew.
fn doubted(a: &Assessment, causes: &[usize]) -> Option<Unproven> {
    let (book, bay) = (a.book, &a.bay);
    let (cause, likely) = causes.iter().map(|&c| (c, a.beliefs.causes[c])).max_by(|a, b| a.1.total_cmp(&b.1))?;
    if likely >= PROVEN && looked_at(book, bay, cause, bay.model.history.now()) {
        return None;
    }
    let mut prepared = Prepared::new(&bay.model.network, &bay.model.history, &a.effort.glance).ok()?;
    let before = prepared.cause(cause);
    let mut checks: Vec<(Id<Check>, f64, f64)> = Vec::new();
    for (act, action) in bay.acts.iter().zip(&bay.model.actions) {
        let (Act::Check(id), ActionKind::Check { reveals }) = (act, &action.kind) else { continue };
        let told = reveals
            .iter()
            .copied()
            .filter(|f| !bay.model.history.seen.iter().any(|s| s.finding == *f))
            .map(|f| told(&mut prepared, bay, f, cause, before))
            .fold(0.0, f64::max);
        if told > 0.05 {
            checks.push((*id, told, told / price(bay, action)));
        }
    }
    // what tells far less than the best look there is would prove nothing, however cheap
    let most = checks.iter().map(|c| c.1).fold(0.0, f64::max);
    checks.retain(|c| c.1 >= most / 2.0);
    checks.sort_by(|a, b| b.2.total_cmp(&a.2));
    checks.truncate(4);
    Some(Unproven { cause: bay.car.causes[cause], likely, checks: checks.into_iter().map(|(id, told, _)| (id, told)).collect() })
}

/// Whether a finding can be read on a vehicle of these traits: it applies, and so does a check that reveals it, where the book has any.
pub fn readable(book: &Book, traits: &[Option<bool>], finding: Id<Finding>) -> bool {
    let mut ways = book.checks.iter().filter(|(_, c)| c.reveals.contains(&finding)).map(|(_, c)| c.head.when.keeps(traits)).peekable();
    book.findings[finding].head.when.keeps(traits) && (ways.peek().is_none() || ways.any(|keeps| keeps))
}

/// Whether a reading or a sign was seen, up to this period, in a state that this cause pushes it to.
fn looked_at(book: &Book, bay: &Bay, cause: usize, period: usize) -> bool {
    let id = bay.car.causes[cause];
    bay.model.history.seen.iter().filter(|s| s.period <= period).any(|seen| {
        let finding = bay.car.findings[seen.finding];
        let measured = book.findings[finding].is_seen_on_car();
        let shows = book.causes[id].shows.iter().find(|s| s.finding == finding);
        measured && shows.is_some_and(|s| s.push.iter().zip(&seen.weights[1..]).any(|(p, w)| *p > 0.1 && *w > 0.5))
    })
}

/// How much of the doubt about the cause the finding takes away: mutual information over entropy (Shannon 1948).
fn told(prepared: &mut Prepared, bay: &Bay, finding: usize, cause: usize, likely: f64) -> f64 {
    if !bay.model.network.pushed_by(cause).contains(&finding) {
        return 0.0;
    }
    let outcomes = prepared.outcomes(finding);
    let after = |causes: &[(usize, f64)]| causes.iter().find(|(c, _)| *c == cause).map_or(likely, |(_, p)| *p);
    let left: f64 = outcomes.iter().map(|o| o.probability * doubt(after(&o.causes))).sum();
    let now = doubt(likely);
    if now > 0.0 { ((now - left) / now).clamp(0.0, 1.0) } else { 0.0 }
}

/// Entropy of a yes or no, bits.
fn doubt(p: f64) -> f64 {
    let part = |q: f64| if q > 0.0 { -q * q.log2() } else { 0.0 };
    part(p) + part(1.0 - p)
}

/// What a check costs by itself, with its own access; never zero, so that a free check is only the best, not endlessly good.
fn price(bay: &Bay, check: &Action) -> f64 {
    let closed = check.access.iter().filter(|a| !bay.model.open.contains(a));
    let access: f64 = closed.map(|a| bay.model.access[*a].minutes).sum();
    (check.minutes + access) * bay.model.rate_per_minute + check.money + 1.0
}
