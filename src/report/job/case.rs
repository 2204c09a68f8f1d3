//! What a report is made from: the sheet with its journal, and what the rooms before made of it.

use crate::bay::{Bay, Rates};
use crate::belief::Beliefs;
use crate::book::{Book, Cause, Finding, FindingKind, Headed, Id};
use crate::job::{Evidence, JobSheet, Observation};
use crate::walk::Standing;

/// One job, read and weighed.
pub struct Case<'a> {
    /// The book.
    pub book: &'a Book,
    /// The sheet as it stands in the file.
    pub sheet: &'a JobSheet,
    /// Where the job stands by the sheet's journal.
    pub standing: &'a Standing,
    /// What was known at the intake.
    pub evidence: &'a Evidence,
    /// The car.
    pub bay: &'a Bay,
    /// The weights with all that was seen.
    pub beliefs: &'a Beliefs,
    /// What the workshop's time costs.
    pub rates: Rates,
    /// Sign of the currency.
    pub currency: &'a str,
}

impl Case<'_> {
    /// What the job is called.
    pub fn title(&self) -> &str {
        self.sheet.title.as_deref().unwrap_or("Job without a title")
    }

    /// Everything seen before proofs, in order.
    pub fn seen(&self) -> impl Iterator<Item = &Observation> {
        self.evidence.seen.iter().chain(self.standing.progress.seen.iter().filter(|l| !l.proof).map(|l| &l.observation))
    }

    /// The day of the last thing that happened, as written; empty where there is no journal.
    pub fn day(&self) -> &str {
        let last = self.sheet.journal.last().map_or("", |e| e.at.get(..10).unwrap_or(&e.at));
        self.sheet.closed.as_ref().map_or(last, |c| &c.day)
    }

    /// How likely a cause is by all that was seen, 0..=1; 0 where it does not apply.
    pub fn weight(&self, cause: Id<Cause>) -> f64 {
        self.bay.car.cause(cause).map_or(0.0, |c| self.beliefs.causes[c])
    }

    /// The causes that the repairs put right. A fix may cure several that look alike: of those it was the likely ones.
    pub fn wrong(&self) -> Vec<Id<Cause>> {
        self.standing.put_right(self.book, |c| self.weight(c))
    }

    /// Whether a cause, itself or through what it brings about, shows what was seen.
    pub fn shown_by(&self, cause: Id<Cause>, seen: &Observation) -> bool {
        let state = seen.likeliest_state();
        let pushes = |c: &Id<Cause>| self.book.causes[*c].shows.iter().any(|s| s.finding == seen.finding && s.push[state - 1] > 0.0);
        state > 0 && self.reach(cause).iter().any(pushes)
    }

    fn reach(&self, cause: Id<Cause>) -> Vec<Id<Cause>> {
        let mut out = vec![cause];
        let mut at = 0;
        while let Some(&next) = out.get(at) {
            let new: Vec<_> = self.book.causes[next].brings.iter().map(|(c, _)| *c).filter(|c| !out.contains(c)).collect();
            out.extend(new);
            at += 1;
        }
        out
    }

    /// Whether a finding is one that somebody looked for on the car: a reading or a sign.
    pub fn looked_at(&self, finding: Id<Finding>) -> bool {
        matches!(self.book.findings[finding].kind, FindingKind::Reading(_) | FindingKind::Sign { .. })
    }

    /// The title of a finding.
    pub fn finding(&self, id: Id<Finding>) -> String {
        self.book.findings[id].title().to_string()
    }
}
