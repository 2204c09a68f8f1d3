//! Any result -> text, JSON or HTML. Renderers never check and never decide; checks never print.

pub mod cases;
pub mod chapters;
pub mod chart;
pub mod compare;
mod excerpt;
pub mod explain;
pub mod explained;
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

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// A path as it stands in a URI reference (RFC 3986): all that has a meaning there escaped.
pub fn escaped_path(path: &str) -> String {
    const ESCAPED: &AsciiSet = &NON_ALPHANUMERIC.remove(b'/').remove(b'-').remove(b'_').remove(b'.').remove(b'~');
    utf8_percent_encode(path, ESCAPED).to_string()
}

/// A document for scripts: one line-broken JSON value with a line break at its end, numbers to full precision.
pub fn json<T: serde::Serialize>(document: &T) -> String {
    let mut text = serde_json::to_string_pretty(document).unwrap_or_else(|_| "{}".into());
    text.push('\n');
    text
}
