//! What was done and seen since the intake, in the book's terms.

use super::act::Act;
use super::reach::can_change;
use crate::book::{Access, Book, Cause, Check, Finding, Fix, Id};
use crate::job::{Evidence, Observation, Period};

/// What the workshop's time costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rates {
    /// Money for an hour of work, 0 or more.
    pub per_hour: f64,
    /// Money it costs to hand the car to a specialist, 0 or more; the repairs still needed come on top.
    pub refer: f64,
    /// A repair that cures nothing counts so many times what it costs, 1 or more.
    pub vain_factor: f64,
    /// A minute of waiting counts so much of a minute of work, 0..=1: the bay is taken, the hands are free.
    pub waiting: f64,
}

impl Rates {
    /// What a workshop has that sets nothing, and what cases are judged by everywhere: 60 an hour, 1200 for a specialist (the recovery and the lost job;
    /// his repairs come on top), a repair in vain counts twice, a minute of waiting a tenth.
    pub const USUAL: Rates = Rates { per_hour: 60.0, refer: 1200.0, vain_factor: 2.0, waiting: 0.1 };

    /// Minutes of work and of waiting as minutes of work.
    pub fn worked(self, minutes: f64, waits: f64) -> f64 {
        minutes + waits * self.waiting
    }
}

/// What was done since the intake. A period ends with each repair: period 0 is the intake and all that was seen before the first, period `t` begins with
/// the `t`-th.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Progress {
    /// Access steps that are open.
    pub open: Vec<Id<Access>>,
    /// Checks and fixes done, in order.
    pub done: Vec<Act>,
    /// Checks and fixes that can't be done here: no tool, no way to reach.
    pub skipped: Vec<Act>,
    /// The repairs, in order.
    pub repairs: Vec<Id<Fix>>,
    /// What was seen since, in order.
    pub seen: Vec<Later>,
    /// What a check was to show and could not be seen, once for each time it was tried. The check counts as done without result.
    pub unseen: Vec<(Id<Check>, Id<Finding>)>,
    /// Whether the fault comes and goes and is not there right now.
    pub asleep: bool,
    /// What was found normal since it fell asleep and may be otherwise when it wakes: it says nothing.
    pub slept: Vec<(Id<Check>, Id<Finding>)>,
}

/// Something seen after the intake.
#[derive(Debug, Clone, PartialEq)]
pub struct Later {
    /// What was seen.
    pub observation: Observation,
    /// After so many repairs.
    pub period: usize,
    /// Whether it was to prove a repair: a proof that was read, or what is left of the complaint.
    pub proof: bool,
}

impl Progress {
    /// Where a sheet stands before anything is done here: after the repairs that it tells of.
    pub fn begun(book: &Book, evidence: &Evidence) -> Progress {
        let repairs: Vec<Id<Fix>> = evidence.periods.iter().map(|p| p.fix).collect();
        let later = |(p, period): (&Period, usize)| {
            p.seen.iter().map(move |o| Later { observation: o.clone(), period, proof: true }).collect::<Vec<_>>()
        };
        let seen = evidence.periods.iter().zip(1..).flat_map(later).collect();
        let looks = |f: &Id<Finding>| {
            book.checks.iter().filter(|(_, c)| c.wakes.is_none() && c.reveals.contains(f)).map(|(id, _)| (id, *f)).collect::<Vec<_>>()
        };
        let slept = evidence.slept.iter().flat_map(looks).collect();
        Progress {
            done: repairs.iter().map(|f| Act::Fix(*f)).collect(),
            repairs,
            seen,
            slept,
            asleep: evidence.asleep,
            ..Progress::default()
        }
    }

    /// The period that runs now.
    pub fn period(&self) -> usize {
        self.repairs.len()
    }

    /// The causes that the first so many repairs were to put right.
    pub fn cured_by(&self, book: &Book, period: usize) -> Vec<Id<Cause>> {
        let mut out: Vec<Id<Cause>> = Vec::new();
        for cause in self.repairs.iter().take(period).flat_map(|f| book.fixes[*f].causes()) {
            if !out.contains(&cause) {
                out.push(cause);
            }
        }
        out
    }

    /// Whether a repair since this period can have changed a finding.
    pub fn changed_since(&self, book: &Book, period: usize, finding: Id<Finding>) -> bool {
        self.repairs.iter().skip(period).any(|f| can_change(book, &book.fixes[*f].causes().collect::<Vec<_>>(), finding))
    }

    /// The period of the last look since the intake at a finding; none where it was not looked at since.
    pub fn looked(&self, finding: Id<Finding>) -> Option<usize> {
        self.seen.iter().filter(|l| l.observation.finding == finding).map(|l| l.period).max()
    }

    /// Whether a finding was in this state when it was last looked at since the intake.
    pub fn in_state(&self, finding: Id<Finding>, state: usize) -> bool {
        self.seen.iter().rfind(|l| l.observation.finding == finding).is_some_and(|l| l.observation.likeliest_state() == state)
    }

    /// Keeps what was seen in this period; the newest look of a period counts alone.
    pub fn see(&mut self, observation: Observation, proof: bool) {
        let period = self.period();
        self.seen.retain(|l| l.period != period || l.observation.finding != observation.finding);
        self.seen.push(Later { observation, period, proof });
    }

    /// The evidence as it stands now: what was seen since takes the place of what was seen before.
    pub fn now(&self, evidence: &Evidence) -> Evidence {
        let mut now = evidence.clone();
        for later in &self.seen {
            now.seen.retain(|o| o.finding != later.observation.finding);
            now.seen.push(later.observation.clone());
        }
        now
    }
}
