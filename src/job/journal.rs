//! The journal of a job: every answer, in order, never rewritten. Going back is an entry too.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Entry {
    /// When, UTC.
    pub at: String,
    /// First figures of the digest of the book it was given under.
    pub book: String,
    /// What was asked: `symptom:low-power`, `do:look-charge-hoses`, `find:charge-hose`, `back`, `note`, …
    pub ask: String,
    /// The answer.
    pub answer: String,
}

/// How a job ended.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Closed {
    /// The day.
    pub day: String,
    /// The causes that were put right.
    pub causes: Vec<String>,
    /// Whether the complaint is gone and a cause of it was put right; else the car was handed on, or the complaint went by itself.
    pub cured: bool,
    /// Why it was closed although a proof was out of its limit or a danger open.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
}

/// The entries that still count: each `back` takes away the last one before it.
pub fn effective(entries: &[Entry]) -> Vec<&Entry> {
    let mut out: Vec<&Entry> = Vec::new();
    for entry in entries {
        match entry.ask.as_str() {
            "back" => {
                out.pop();
            }
            "note" | "attach" => {}
            _ => out.push(entry),
        }
    }
    out
}
