//! `explain --json`: what a name means, the names of a kind, or the page of a remark.

use super::lint::pages::CodeDocument;
use schemars::JsonSchema;
use serde::Serialize;

/// Whichever was asked for.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum ExplainDocument {
    /// What a name means.
    Name(NameDocument),
    /// The names of a kind.
    Names(NamesDocument),
    /// The page of a remark.
    Code(CodeDocument),
}

/// What a name means.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NameDocument {
    /// Version of this shape.
    pub schema: u32,
    /// The name.
    pub name: String,
    /// What is said of it, in order.
    pub lines: Vec<LineDocument>,
}

/// One line.
#[derive(Debug, Serialize, JsonSchema)]
pub struct LineDocument {
    /// What it is about, such as `takes`; may be empty.
    pub lead: String,
    /// What is said.
    pub text: String,
}

/// The names of a kind.
#[derive(Debug, Serialize, JsonSchema)]
pub struct NamesDocument {
    /// Version of this shape.
    pub schema: u32,
    /// The names, in the order of the book.
    pub names: Vec<TitleDocument>,
}

/// A name with its title.
#[derive(Debug, Serialize, JsonSchema)]
pub struct TitleDocument {
    /// The name.
    pub name: String,
    /// Its title.
    pub title: String,
}
