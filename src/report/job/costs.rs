//! What the work cost, by the book's times and prices: what was really spent is the workshop's to know.

use super::case::Case;
use crate::bay::Act;
use crate::book::Headed;
use schemars::JsonSchema;
use serde::Serialize;

/// The costs of a job.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CostsDocument {
    /// Money for an hour of work.
    pub rate: f64,
    /// Sign of the currency; may be empty.
    pub currency: String,
    /// What was done, each with its cost.
    pub lines: Vec<CostDocument>,
    /// Minutes of work of all of it.
    pub minutes: f64,
    /// Minutes of waiting of all of it.
    pub waits: f64,
    /// Money for all of it.
    pub total: f64,
}

/// One thing that was done.
#[derive(Debug, Serialize, JsonSchema)]
pub struct CostDocument {
    /// What.
    pub what: String,
    /// Minutes of work by the book.
    pub minutes: f64,
    /// Minutes of waiting by the book.
    pub waits: f64,
    /// Money for parts or material by the book.
    pub parts: f64,
    /// Money with the work and the waiting.
    pub cost: f64,
}

/// Access as it stands open, checks, repairs, aftercare that was done.
pub fn costs(case: &Case) -> CostsDocument {
    let (book, standing) = (case.book, case.standing);
    let access = standing.progress.open.iter().map(|a| (book.access[*a].title(), book.access[*a].minutes, book.access[*a].waits, 0.0));
    let checks = standing.progress.done.iter().filter_map(|act| match act {
        Act::Check(id) => Some((book.checks[*id].title(), book.checks[*id].minutes, book.checks[*id].waits, book.checks[*id].spend)),
        Act::Fix(_) => None,
    });
    let fixes = standing.fixes.iter().map(|f| &book.fixes[f.fix]).map(|f| (f.title(), f.minutes, 0.0, f.parts));
    let after = super::story::aftercare(case);
    let after = after.iter().filter(|a| a.answer.as_deref().is_some_and(|x| x.starts_with("done")));
    let after =
        after.filter_map(|a| book.aftercare.find(&a.id)).map(|id| (book.aftercare[id].title(), book.aftercare[id].minutes, 0.0, 0.0));
    let line = |(what, minutes, waits, parts): (&str, f64, f64, f64)| CostDocument {
        what: what.into(),
        minutes,
        waits,
        parts,
        cost: parts + case.a.rates.worked(minutes, waits) * case.a.rates.per_hour / 60.0,
    };
    let lines: Vec<CostDocument> = access.chain(checks).chain(fixes).chain(after).map(line).collect();
    CostsDocument {
        rate: case.a.rates.per_hour,
        currency: case.currency.into(),
        minutes: lines.iter().map(|l| l.minutes).sum(),
        waits: lines.iter().map(|l| l.waits).sum(),
        total: lines.iter().map(|l| l.cost).sum(),
        lines,
    }
}
