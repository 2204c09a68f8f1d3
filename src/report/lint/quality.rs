//! A lint run as the list of remarks that code hosts show beside a change (the code-quality report of CI systems).

use super::{Run, region};
use crate::syntax::Severity;
use serde::Serialize;

/// One remark.
#[derive(Debug, Serialize)]
pub struct Issue {
    /// What is wrong, and what to do.
    pub description: String,
    /// The code and its name.
    pub check_name: String,
    /// What it is known by from run to run.
    pub fingerprint: String,
    /// `major` (an error), `minor` (a warning) or `info`.
    pub severity: &'static str,
    /// Where.
    pub location: Location,
}

/// A place.
#[derive(Debug, Serialize)]
pub struct Location {
    /// The file, from the folder of the repository where it was named so.
    pub path: String,
    /// The lines.
    pub lines: Lines,
}

/// Lines, from 1.
#[derive(Debug, Serialize)]
pub struct Lines {
    /// The first.
    pub begin: usize,
    /// The last.
    pub end: usize,
}

/// The list.
pub fn issues(run: &Run) -> Vec<Issue> {
    let issue = |(remark, fingerprint): (&crate::syntax::Remark, &str)| {
        let [begin, _, end, _] = remark.span().map_or([1; 4], |s| region(s, run.sources));
        let name = remark.span().map_or("", |s| run.sources.get(s.file).name.as_str());
        let help = remark.help.as_ref().map(|h| format!("; {h}")).unwrap_or_default();
        Issue {
            description: format!("{}{help}", remark.message),
            check_name: format!("{} {}", remark.code.id, remark.code.name),
            fingerprint: fingerprint.into(),
            severity: match remark.severity {
                Severity::Error => "major",
                Severity::Warning => "minor",
                Severity::Note => "info",
            },
            location: Location { path: name.strip_prefix("./").unwrap_or(name).into(), lines: Lines { begin, end } },
        }
    };
    run.shown().map(issue).collect()
}
