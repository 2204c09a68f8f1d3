//! Closed jobs as counts and proposals: as text for people, as one document for scripts.

mod document;
mod text;

pub use document::{TallyDocument, document};
pub use text::{counted, text};

use crate::tally::{Counts, Estimate};

/// What is shown.
pub struct TallyPage<'c> {
    /// The counts.
    pub counts: &'c Counts,
    /// What follows from them.
    pub estimates: &'c [Estimate],
}

/// The middle of a list; none where it is empty.
fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = values.get(values.len() / 2)?;
    let lower = values.get((values.len() - 1) / 2)?;
    Some((upper + lower) / 2.0)
}
