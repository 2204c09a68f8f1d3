//! A lint run as one document for scripts.

use super::{Run, region, severity_word};
use crate::lint::can_be_allowed;
use crate::syntax::{Remark, Severity, Sources, Span};
use schemars::JsonSchema;
use serde::Serialize;

/// `lint --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LintDocument {
    /// Version of this shape.
    pub schema: u32,
    /// How many errors, shown or not.
    pub errors: usize,
    /// How many warnings, shown or not.
    pub warnings: usize,
    /// How many notes, shown or not.
    pub notes: usize,
    /// How many remarks are counted but not shown.
    pub left_out: usize,
    /// How many remarks a baseline kept back.
    pub known: usize,
    /// The remarks, in order of their places.
    pub remarks: Vec<RemarkDocument>,
}

/// One remark.
#[derive(Debug, Serialize, JsonSchema)]
pub struct RemarkDocument {
    /// Stable code, such as `FB206`.
    pub code: String,
    /// Readable name, such as `reading-without-source`.
    pub name: String,
    /// `error`, `warning` or `note`.
    pub severity: String,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
    /// Where: the first place is the main one.
    pub places: Vec<PlaceDocument>,
    /// Whether `lint --fix` puts it right.
    pub fixable: bool,
    /// The changes of text that put it right, as `lint --fix` makes them; none where it takes judgement.
    pub edits: Vec<PlaceDocument>,
    /// Whether `allow` can keep it back.
    pub can_be_allowed: bool,
    /// What it is known by from run to run; it does not change when lines move.
    pub fingerprint: String,
}

/// A place in a file. Lines and columns count from 1, columns in characters; bytes count from 0.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PlaceDocument {
    /// The file.
    pub file: String,
    /// First line.
    pub line: usize,
    /// Column of the first character.
    pub column: usize,
    /// Last line.
    pub end_line: usize,
    /// Column after the last character.
    pub end_column: usize,
    /// First byte.
    pub start_byte: u32,
    /// Byte after the last.
    pub end_byte: u32,
    /// What is to be seen there; of an edit, what comes in its place.
    pub text: String,
}

/// The document for scripts.
pub fn document(run: &Run) -> LintDocument {
    LintDocument {
        schema: 1,
        errors: run.count(Severity::Error),
        warnings: run.count(Severity::Warning),
        notes: run.count(Severity::Note),
        left_out: run.left_out(),
        known: run.known,
        remarks: run.shown().map(|(remark, fingerprint)| remark_document(remark, fingerprint, run.sources)).collect(),
    }
}

fn remark_document(remark: &Remark, fingerprint: &str, sources: &Sources) -> RemarkDocument {
    RemarkDocument {
        code: remark.code.id.into(),
        name: remark.code.name.into(),
        severity: severity_word(remark.severity).into(),
        message: remark.message.clone(),
        help: remark.help.clone(),
        places: remark.labels.iter().map(|label| place(label.span, &label.text, sources)).collect(),
        fixable: !remark.edits.is_empty(),
        edits: remark.edits.iter().map(|edit| place(edit.span, &edit.text, sources)).collect(),
        can_be_allowed: can_be_allowed(remark.code),
        fingerprint: fingerprint.into(),
    }
}

fn place(span: Span, text: &str, sources: &Sources) -> PlaceDocument {
    let [line, column, end_line, end_column] = region(span, sources);
    let file = sources.get(span.file).name.clone();
    PlaceDocument { file, line, column, end_line, end_column, start_byte: span.start, end_byte: span.end, text: text.into() }
}
