//! Any result -> text, JSON or HTML. Renderers never check and never decide; checks never print.

pub mod cases;
pub mod chapters;
pub mod chart;
pub mod compare;
mod excerpt;
pub mod explain;
pub mod graph;
pub mod job;
pub mod layout;
pub mod lint;
pub mod plan;
pub mod readings;
pub mod remarks;
pub mod seen;
pub mod tally;
pub mod version;
pub mod walk;
pub mod weigh;
pub mod words;

pub use remarks::Look;

/// A document for scripts: one line-broken JSON value with a line break at its end, numbers to full precision.
pub fn json<T: serde::Serialize>(document: &T) -> String {
    let mut text = serde_json::to_string_pretty(document).unwrap_or_else(|_| "{}".into());
    text.push('\n');
    text
}
