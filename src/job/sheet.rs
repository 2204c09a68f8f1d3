//! The job sheet as it stands in its TOML file.

use super::journal::{Closed, Entry};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One car that came in.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct JobSheet {
    /// A line to know the job by.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// The vehicle.
    pub vehicle: Vehicle,
    /// What the customer says.
    pub complaint: Complaint,
    /// The trouble codes.
    pub scan: Scan,
    /// Readings by name, each with its unit: `boost-2500 = "52 kPa"`.
    pub readings: IndexMap<String, ReadingEntry>,
    /// What inspections and tests showed: `charge-hose = "oily"`.
    pub signs: IndexMap<String, String>,
    /// Logged drives, by path from the sheet.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub logs: Vec<String>,
    /// Repairs done since the intake, in order, each with what was seen after it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub done: Vec<Done>,
    /// How the job ended; written by `walk`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub closed: Option<Closed>,
    /// Every answer of the walk, in order; written by `walk`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub journal: Vec<Entry>,
}

/// The vehicle, by what is fitted and what is known not to be; what stands in neither list is not known.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Vehicle {
    /// What somebody says of it, in free words: `2.2 diesel van 2016, automatic, filter`. The traits that the words name count, unless the lists say otherwise.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Traits it has.
    pub fitted: Vec<String>,
    /// Traits it has not.
    pub not_fitted: Vec<String>,
    /// Free words: year, distance, engine. A VIN identifies a person's car: leave it out of shared sheets.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// The complaint.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Complaint {
    /// The customer's own words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Symptoms answered yes.
    pub yes: Vec<String>,
    /// Symptoms answered no.
    pub no: Vec<String>,
    /// What was done before, and by what kind of workshop.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub done_before: Vec<String>,
    /// Fixes of the book that were done before: what they cure is less common then.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub repaired_before: Vec<String>,
    /// Whether the fault comes and goes and was not there while the car was looked at: what was read as normal and passes with it says nothing then.
    #[serde(skip_serializing_if = "is_false")]
    pub asleep: bool,
}

/// A repair, and what was seen after it, before the next one.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Done {
    /// The fix, by its name in the book.
    pub fix: String,
    /// Symptoms that are there now.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub yes: Vec<String>,
    /// Symptoms that are not there now.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub no: Vec<String>,
    /// Whether the fault comes and goes and was not there while this was looked at.
    #[serde(default, skip_serializing_if = "is_false")]
    pub asleep: bool,
    /// Whether the memory was cleared after this repair. Only then is a code a look: one that nobody cleared says nothing new.
    #[serde(default, skip_serializing_if = "is_false")]
    pub cleared: bool,
    /// Whether every module was read after that, on a drive that can set codes. Only then does a code that is not listed count as absent.
    #[serde(default, skip_serializing_if = "is_false")]
    pub complete: bool,
    /// The codes that came back.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub codes: Vec<CodeEntry>,
    /// Readings by name, each with its unit.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub readings: IndexMap<String, ReadingEntry>,
    /// What inspections and tests showed.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub signs: IndexMap<String, String>,
}

#[allow(clippy::trivially_copy_pass_by_ref)] // as serde calls it
fn is_false(flag: &bool) -> bool {
    !flag
}

/// What the tester read.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Scan {
    /// Whether every module was read. Only then does a code that is not listed count as absent.
    pub complete: bool,
    /// Whether the memory was cleared a short while ago. Then an absent code says nothing.
    pub cleared: bool,
    /// The codes.
    pub codes: Vec<CodeEntry>,
}

/// A code, with or without its status.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(
    untagged,
    expecting = "a code in quotes, or `{ code = \"P0299\", status = \"pending\" }` with one of confirmed, pending, permanent, history, is wanted here"
)]
pub enum CodeEntry {
    /// `"P0299"`: stored.
    Plain(String),
    /// `{ code = "P0299", status = "pending" }`.
    Full {
        /// The code.
        code: String,
        /// Its status.
        status: CodeStatus,
    },
}

/// Status of a code.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CodeStatus {
    /// Stored and confirmed.
    #[default]
    Confirmed,
    /// Seen once, not yet confirmed.
    Pending,
    /// Only the monitor itself can take it away.
    Permanent,
    /// In the memory from before, not there now.
    History,
}

/// A reading: text with a unit, or a number in the reading's own unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged, expecting = "a reading in quotes (`\"52 kPa\"`) or a number is wanted here")]
pub enum ReadingEntry {
    /// `"52 kPa"`.
    Text(String),
    /// `52`.
    Number(f64),
}

impl CodeEntry {
    /// The code as written.
    pub fn code(&self) -> &str {
        match self {
            CodeEntry::Plain(code) | CodeEntry::Full { code, .. } => code,
        }
    }

    /// Its status.
    pub fn status(&self) -> CodeStatus {
        match self {
            CodeEntry::Plain(_) => CodeStatus::Confirmed,
            CodeEntry::Full { status, .. } => *status,
        }
    }
}

impl ReadingEntry {
    /// As people write it.
    pub fn text(&self) -> String {
        match self {
            ReadingEntry::Text(text) => text.clone(),
            ReadingEntry::Number(number) => number.to_string(),
        }
    }
}
