//! Which program this is, and which book is in it: `--version --json`.

use crate::book::Book;
use schemars::JsonSchema;
use serde::Serialize;

/// Edition of the rule language that this program reads; an `edition` that is not this one is remark FB120.
const EDITION: u32 = 1;

/// `--version --json`.
#[derive(Debug, Serialize, JsonSchema)]
pub struct VersionDocument {
    /// Version of this shape.
    pub schema: u32,
    /// Version of the program (semantic versioning 2.0.0).
    pub version: String,
    /// Edition of the rule language that it reads.
    pub language_edition: u32,
    /// The book that ships in it.
    pub book: BookDocument,
}

/// A book of rules.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BookDocument {
    /// Its name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Its version, as its `book` block writes it.
    pub version: String,
    /// The day it was last reviewed.
    pub reviewed: String,
    /// SHA-256 of all its texts in order, in hexadecimal: the same figures that a journal and the report for the file carry.
    pub digest: String,
}

/// The program with its book.
pub fn document(book: &Book) -> VersionDocument {
    let about = &book.about;
    VersionDocument {
        schema: 1,
        version: env!("CARGO_PKG_VERSION").into(),
        language_edition: EDITION,
        book: BookDocument {
            name: about.name.clone(),
            title: about.title.clone(),
            version: about.version.clone(),
            reviewed: about.reviewed.clone(),
            digest: about.digest.clone(),
        },
    }
}
