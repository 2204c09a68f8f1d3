//! How good the first check of a job was, and how long the job took.

use crate::bay::Act;
use crate::book::{Book, Cause, Id};
use crate::job::JobSheet;
use crate::walk::Standing;
use std::collections::HashSet;

/// A longer time between two answers is a pause, in minutes.
const PAUSE: f64 = 60.0;

/// How good first checks were.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct FirstChecks {
    /// Jobs in which any check was done.
    pub jobs: usize,
    /// Jobs whose first check found what one of their causes shows.
    pub hits: usize,
    /// Checks done in all of them.
    pub checks: usize,
}

/// The time of one job, in minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Time {
    /// What its checks and repairs take by the book, with their access once.
    pub by_book: f64,
    /// From the first answer of the walk to the last, without pauses of more than an hour; none where the sheet has no journal.
    pub by_clock: Option<f64>,
}

/// What the first check of a job was worth: whether it hit, and how many checks were done.
pub(super) fn first_check(book: &Book, standing: &Standing, causes: &[Id<Cause>]) -> Option<(bool, usize)> {
    let done = standing.progress.done.iter().filter_map(|act| if let Act::Check(id) = act { Some(*id) } else { None });
    let checks: Vec<_> = done.collect();
    let first = &book.checks[*checks.first()?];
    let shown = |finding, state: usize| {
        let shows = causes.iter().flat_map(|c| &book.causes[*c].shows).filter(|s| s.finding == finding);
        state > 0 && shows.into_iter().any(|s| s.push[state - 1] > 0.0)
    };
    let found = standing.progress.seen.iter().filter(|l| l.period == 0 && first.reveals.contains(&l.observation.finding));
    Some((found.into_iter().map(|l| &l.observation).any(|o| shown(o.finding, o.likeliest_state())), checks.len()))
}

impl FirstChecks {
    pub(super) fn add(&mut self, first: Option<(bool, usize)>) {
        if let Some((hit, checks)) = first {
            self.jobs += 1;
            self.hits += usize::from(hit);
            self.checks += checks;
        }
    }
}

/// The time of a job.
pub(super) fn time(book: &Book, sheet: &JobSheet, standing: &Standing) -> Time {
    let mut access = HashSet::new();
    let mut minutes = 0.0;
    for act in &standing.progress.done {
        minutes += act.minutes(book);
        access.extend(act.access(book).iter().copied());
    }
    minutes += access.iter().map(|a| book.access[*a].minutes).sum::<f64>();
    Time { by_book: minutes, by_clock: by_clock(sheet) }
}

fn by_clock(sheet: &JobSheet) -> Option<f64> {
    let stamps: Vec<jiff::Timestamp> = sheet.journal.iter().filter_map(|e| e.at.parse().ok()).collect();
    let steps = stamps.windows(2).map(|w| w[1].duration_since(w[0]).as_secs_f64() / 60.0);
    (stamps.len() > 1).then(|| steps.filter(|m| (0.0..=PAUSE).contains(m)).sum())
}
