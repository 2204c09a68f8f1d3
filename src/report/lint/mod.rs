//! What a lint run found -> JSON, SARIF 2.1.0, lines for a CI log, or the lists of build servers and code hosts. The page for people is `remarks`.

pub mod annotations;
pub mod baseline;
pub mod checkstyle;
pub mod json;
pub mod pages;
pub mod quality;
pub mod sarif;

use crate::lint::fingerprints;
use crate::syntax::{Document, Remark, Severity, Sources, Span};

/// A run, as every renderer is handed it.
pub struct Run<'r> {
    /// The files.
    pub sources: &'r Sources,
    /// All remarks, in order of their places.
    pub remarks: &'r [Remark],
    /// The fingerprint of each.
    pub fingerprints: Vec<String>,
    /// How many of the remarks are shown at most.
    pub most: usize,
    /// How many were left out because a baseline has them.
    pub known: usize,
}

impl<'r> Run<'r> {
    /// A run with nothing left out.
    pub fn new<'d>(sources: &'r Sources, remarks: &'r [Remark], documents: impl Iterator<Item = &'d Document>) -> Self {
        let fingerprints = fingerprints(remarks, sources, documents);
        Run { sources, remarks, fingerprints, most: usize::MAX, known: 0 }
    }

    /// The remarks that are shown, with their fingerprints.
    pub fn shown(&self) -> impl Iterator<Item = (&'r Remark, &str)> {
        self.remarks.iter().zip(self.fingerprints.iter().map(String::as_str)).take(self.most)
    }

    /// How many are not shown.
    pub fn left_out(&self) -> usize {
        self.remarks.len().saturating_sub(self.most)
    }

    /// How many have that severity, shown or not.
    pub fn count(&self, severity: Severity) -> usize {
        self.remarks.iter().filter(|r| r.severity == severity).count()
    }
}

/// The word of a severity, for scripts.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// Lines and columns (from 1) of a span's start and of what follows its end.
pub fn region(span: Span, sources: &Sources) -> [usize; 4] {
    let (line, column) = sources.line_column(span);
    let (end_line, end_column) = sources.line_column(Span { start: span.end.max(span.start), ..span });
    [line, column, end_line, end_column]
}
