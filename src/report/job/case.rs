//! What a report is made from: the sheet with its journal, and what the rooms before made of it.

use crate::bay::Assessment;
use crate::book::{Book, Cause, Finding, Headed, Id};
use crate::job::{JobSheet, Observation};
use crate::walk::{Outcome, Standing};

/// One job, read and weighed.
pub struct Case<'a> {
    /// The book.
    pub book: &'a Book,
    /// The sheet as it stands in the file.
    pub sheet: &'a JobSheet,
    /// Where the job stands by the sheet's journal.
    pub standing: &'a Standing,
    /// What is believed where it stands.
    pub a: &'a Assessment<'a>,
    /// What the repairs came to.
    pub outcome: Outcome,
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
        self.a.intake.seen.iter().chain(self.standing.progress.seen.iter().filter(|l| !l.proof).map(|l| &l.observation))
    }

    /// The day of the last thing that happened, as written; empty where there is no journal.
    pub fn day(&self) -> &str {
        let last = self.sheet.journal.last().map_or("", |e| e.at.get(..10).unwrap_or(&e.at));
        self.sheet.closed.as_ref().map_or(last, |c| &c.day)
    }

    /// How likely a cause is by all that was seen, 0..=1; 0 where it does not apply.
    pub fn weight(&self, cause: Id<Cause>) -> f64 {
        self.a.weight(cause)
    }

    /// The causes that the repairs are proven to have put right.
    pub fn wrong(&self) -> Vec<Id<Cause>> {
        self.outcome.put_right()
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
        self.book.findings[finding].is_measured()
    }

    /// The title of a finding.
    pub fn finding(&self, id: Id<Finding>) -> String {
        self.book.findings[id].title().to_string()
    }
}
