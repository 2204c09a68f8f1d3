//! `tally --json`.

use super::{TallyPage, median};
use crate::book::{Book, Headed};
use crate::tally::{Estimate, Subject};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

/// What closed jobs come to.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TallyDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Jobs counted.
    pub jobs: usize,
    /// Jobs closed without a cause put right.
    pub referred: usize,
    /// Repairs done in vain in all closed jobs.
    pub vain: usize,
    /// The first day and the last.
    pub days: Option<(String, String)>,
    /// Every cause that was there in some job, by name.
    pub causes: IndexMap<String, CauseDocument>,
    /// By cause and finding: jobs in which it was seen in each state, before any repair and with no other cause that shows it.
    pub findings: IndexMap<String, IndexMap<String, IndexMap<String, u64>>>,
    /// How good the first check was.
    pub first_checks: FirstChecksDocument,
    /// Median minutes of a job.
    pub minutes: MinutesDocument,
    /// The book's numbers beside what the jobs make of them.
    pub estimates: Vec<EstimateDocument>,
    /// Jobs that could not be counted, with the reason.
    pub left_out: IndexMap<String, String>,
}

/// One cause.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CauseDocument {
    /// Jobs with it.
    pub there: u64,
    /// Jobs in which no other cause of the job brings it about.
    pub by_itself: u64,
    /// Jobs whose vehicle could have it.
    pub of: u64,
}

/// How good first checks were.
#[derive(Debug, Serialize, JsonSchema)]
pub struct FirstChecksDocument {
    /// Jobs in which any check was done.
    pub jobs: usize,
    /// Jobs whose first check found what one of their causes shows.
    pub hits: usize,
    /// Checks in all of them.
    pub checks: usize,
}

/// Median minutes of a job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct MinutesDocument {
    /// By the times of the book.
    pub by_book: Option<f64>,
    /// By the journal, without pauses of more than an hour.
    pub by_clock: Option<f64>,
}

/// One number of the book.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EstimateDocument {
    /// The cause.
    pub cause: String,
    /// The finding it shows; null for its prior.
    pub finding: Option<String>,
    /// The state it pushes the finding to; null for a prior.
    pub state: Option<String>,
    /// What the book says.
    pub book: f64,
    /// Jobs in which it was so.
    pub seen: u64,
    /// Jobs that say anything of it.
    pub of: u64,
    /// The mean after counting.
    pub mean: f64,
    /// Lower end of the interval that holds nine in ten.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Whether it is proposed.
    pub proposed: bool,
}

/// The document for scripts.
pub fn document(book: &Book, page: &TallyPage) -> TallyDocument {
    let counts = page.counts;
    let causes = counts.causes.iter().filter(|c| c.there > 0);
    let causes = causes.map(|c| {
        let row = CauseDocument { there: c.there, by_itself: c.by_itself, of: c.of };
        (book.causes[c.cause].name().to_string(), row)
    });
    let mut findings: IndexMap<String, IndexMap<String, IndexMap<String, u64>>> = IndexMap::new();
    for count in &counts.strengths {
        let finding = &book.findings[count.finding];
        let states = finding.states.iter().cloned().zip(count.states.iter().copied()).collect();
        findings.entry(book.causes[count.cause].name().into()).or_default().insert(finding.name().into(), states);
    }
    TallyDocument {
        schema: 1,
        jobs: counts.jobs,
        referred: counts.referred,
        vain: counts.vain,
        days: counts.days.clone(),
        causes: causes.collect(),
        findings,
        first_checks: FirstChecksDocument { jobs: counts.first.jobs, hits: counts.first.hits, checks: counts.first.checks },
        minutes: MinutesDocument {
            by_book: median(counts.times.iter().map(|t| t.by_book).collect()),
            by_clock: median(counts.times.iter().filter_map(|t| t.by_clock).collect()),
        },
        estimates: page.estimates.iter().map(|e| estimate(book, e)).collect(),
        left_out: counts.left_out.iter().cloned().collect(),
    }
}

fn estimate(book: &Book, estimate: &Estimate) -> EstimateDocument {
    let (cause, finding) = match estimate.subject {
        Subject::Prior(cause) => (cause, None),
        Subject::Strength(cause, finding, state) => (cause, Some((&book.findings[finding], state))),
    };
    EstimateDocument {
        cause: book.causes[cause].name().into(),
        finding: finding.map(|(f, _)| f.name().into()),
        state: finding.map(|(f, state)| f.states[state].clone()),
        book: estimate.book,
        seen: estimate.seen,
        of: estimate.of,
        mean: estimate.mean,
        low: estimate.low,
        high: estimate.high,
        proposed: estimate.proposed,
    }
}
