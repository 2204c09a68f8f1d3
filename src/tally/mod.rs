//! Closed jobs -> counts -> proposed priors and strengths -> amendments in a rule file.
//!
//! It counts what a job proved, and what was seen before anything was repaired. It writes no file: it is handed texts and gives texts.

mod count;
mod first;
mod propose;
mod rewrite;

pub use count::{CauseCount, Counts, StrengthCount, count};
pub use first::{FirstChecks, Time};
pub use propose::{Counted, Estimate, Subject, Weights, counted, estimates};
pub use rewrite::{above, rewrite};
