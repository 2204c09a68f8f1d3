//! Closed jobs -> how often each cause was there, and each finding with it.

use super::first::{FirstChecks, Time, first_check, time};
use crate::bay::{can_change, with_conditions};
use crate::book::{Book, Cause, Finding, Headed, Id};
use crate::job::{JobSheet, evidence};
use crate::walk::Standing;
use std::collections::HashMap;

/// What closed jobs come to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Counts {
    /// Jobs counted: closed, and with a cause that was put right.
    pub jobs: usize,
    /// Jobs closed without one: handed on.
    pub referred: usize,
    /// Repairs done in vain in all closed jobs: what they were to cure counts in none of the numbers below.
    pub vain: usize,
    /// The first day and the last.
    pub days: Option<(String, String)>,
    /// Each cause that some job's vehicle could have, in the book's order.
    pub causes: Vec<CauseCount>,
    /// Each finding that a cause shows and that was looked at in a job with that cause, in the book's order.
    pub strengths: Vec<StrengthCount>,
    /// How good the first check was.
    pub first: FirstChecks,
    /// The time of each job.
    pub times: Vec<Time>,
    /// Jobs that could not be counted, with the reason.
    pub left_out: Vec<(String, String)>,
}

/// One cause.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CauseCount {
    /// The cause.
    pub cause: Id<Cause>,
    /// Jobs with it.
    pub there: u64,
    /// Jobs in which it was there by itself: no other cause of the job brings it about.
    pub by_itself: u64,
    /// Jobs whose vehicle could have it.
    pub of: u64,
}

/// One finding with one cause, in jobs where no other cause shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StrengthCount {
    /// The cause.
    pub cause: Id<Cause>,
    /// The finding.
    pub finding: Id<Finding>,
    /// Jobs in which it was seen in each state.
    pub states: Vec<u64>,
}

/// What one job says.
struct Told {
    traits: Vec<Option<bool>>,
    causes: Vec<Id<Cause>>,
    /// Findings by number, in the state seen before any repair.
    seen: HashMap<usize, usize>,
}

/// Counts the jobs of these names.
pub fn count(book: &Book, jobs: &[(String, JobSheet)]) -> Counts {
    let mut counts = Counts::default();
    let mut told = Vec::new();
    for (name, sheet) in jobs {
        let Some(closed) = &sheet.closed else {
            counts.left_out.push((name.clone(), "it is not closed".into()));
            continue;
        };
        counts.days = Some(match counts.days.take() {
            None => (closed.day.clone(), closed.day.clone()),
            Some((first, last)) => (first.min(closed.day.clone()), last.max(closed.day.clone())),
        });
        counts.vain += closed.vain.len();
        if !closed.cured || closed.causes.is_empty() {
            counts.referred += 1;
            continue;
        }
        match read(book, sheet, &closed.causes) {
            Err(reason) => counts.left_out.push((name.clone(), reason)),
            Ok((job, standing)) => {
                counts.jobs += 1;
                counts.first.add(first_check(book, &standing, &job.causes));
                counts.times.push(time(book, sheet, &standing));
                told.push(job);
            }
        }
    }
    counts.causes = causes(book, &told);
    counts.strengths = strengths(book, &told);
    counts
}

/// The evidence of a job before its first repair, and the causes it proved.
fn read(book: &Book, sheet: &JobSheet, names: &[String]) -> Result<(Told, Standing), String> {
    let causes: Vec<Id<Cause>> = names
        .iter()
        .map(|n| book.causes.find(n).ok_or_else(|| format!("its cause `{n}` is not in these rules")))
        .collect::<Result<_, _>>()?;
    // sheets of older rules name states among the causes put right: they end with their root, and are not counted
    let causes: Vec<Id<Cause>> = causes.into_iter().filter(|c| !book.causes[*c].is_condition()).collect();
    let standing = Standing::new(book, sheet);
    let evidence = evidence(book, &standing.sheet)
        .map_err(|errors| errors.first().map_or_else(String::new, |e| format!("{}: {}", e.place, e.message)))?;
    let later = standing.progress.seen.iter().filter(|l| l.period == 0).map(|l| &l.observation);
    let seen = evidence.seen.iter().chain(later).map(|o| (o.finding.index(), o.likeliest_state())).collect();
    Ok((Told { traits: evidence.traits, causes, seen }, standing))
}

fn causes(book: &Book, jobs: &[Told]) -> Vec<CauseCount> {
    let brings = |c: &Id<Cause>, id| with_conditions(book, &[*c]).iter().any(|x| book.causes[*x].brings.iter().any(|(b, _)| *b == id));
    let brought = |job: &Told, id: Id<Cause>| job.causes.iter().any(|c| brings(c, id));
    let one = |(id, cause): (Id<Cause>, &Cause)| {
        let with: Vec<&Told> = jobs.iter().filter(|j| j.causes.contains(&id)).collect();
        CauseCount {
            cause: id,
            there: with.len() as u64,
            by_itself: with.iter().filter(|j| !brought(j, id)).count() as u64,
            of: jobs.iter().filter(|j| cause.head().when.keeps(&j.traits)).count() as u64,
        }
    };
    book.causes.iter().filter(|(_, c)| !c.is_condition()).map(one).filter(|c| c.of > 0).collect()
}

fn strengths(book: &Book, jobs: &[Told]) -> Vec<StrengthCount> {
    let mut out = Vec::new();
    for (id, cause) in book.causes.iter() {
        for shows in &cause.shows {
            let alone = |j: &&Told| {
                let shown_by = |c: &Id<Cause>| *c != id && can_change(book, &[*c], shows.finding);
                j.causes.contains(&id) && !j.causes.iter().any(shown_by)
            };
            let mut states = vec![0; book.findings[shows.finding].states.len()];
            for job in jobs.iter().filter(alone) {
                if let Some(state) = job.seen.get(&shows.finding.index()) {
                    states[*state] += 1;
                }
            }
            if states.iter().any(|n| *n > 0) {
                out.push(StrengthCount { cause: id, finding: shows.finding, states });
            }
        }
    }
    out
}
