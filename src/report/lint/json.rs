//! A lint run as one document for scripts.

use super::{Run, region, severity_word};
use crate::lint::can_be_allowed;
use crate::syntax::{Edit, Label, Remark, Severity, Sources};
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
    pub edits: Vec<EditDocument>,
    /// Whether `allow` can keep it back.
    pub can_be_allowed: bool,
    /// What it is known by from run to run; it does not change when lines move.
    pub fingerprint: String,
}

/// A change of a text: what stands from the first byte to the last is replaced.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EditDocument {
    /// The file.
    pub file: String,
    /// First line, from 1.
    pub line: usize,
    /// Column of the first character, from 1.
    pub column: usize,
    /// Last line.
    pub end_line: usize,
    /// Column after the last character.
    pub end_column: usize,
    /// First byte, from 0.
    pub start_byte: u32,
    /// Byte after the last.
    pub end_byte: u32,
    /// What comes in its place.
    pub text: String,
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
    /// What is to be seen there.
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
        places: remark.labels.iter().map(|label| place(label, sources)).collect(),
        fixable: !remark.edits.is_empty(),
        edits: remark.edits.iter().map(|edit| edit_document(edit, sources)).collect(),
        can_be_allowed: can_be_allowed(remark.code),
        fingerprint: fingerprint.into(),
    }
}

fn edit_document(edit: &Edit, sources: &Sources) -> EditDocument {
    let [line, column, end_line, end_column] = region(edit.span, sources);
    let (file, text) = (sources.get(edit.span.file).name.clone(), edit.text.clone());
    EditDocument { file, line, column, end_line, end_column, start_byte: edit.span.start, end_byte: edit.span.end, text }
}

fn place(label: &Label, sources: &Sources) -> PlaceDocument {
    let [line, column, end_line, end_column] = region(label.span, sources);
    PlaceDocument {
        file: sources.get(label.span.file).name.clone(),
        line,
        column,
        end_line,
        end_column,
        start_byte: label.span.start,
        end_byte: label.span.end,
        text: label.text.clone(),
    }
}
