//! Text -> blocks: the rule language as written, with every place kept; and blocks -> text in one layout.
//!
//! This room knows the shape of the language and nothing of cars: it resolves no name and reads no file.

pub mod codes;
mod format;
mod hints;
mod kind;
mod lines;
mod message;
mod parse;
mod places;
mod remark;
mod shapes;
mod span;
mod tree;

pub use format::{Unformatted, format};
pub use kind::{Keyword, Kind, Shape};
pub use parse::parse;
pub use remark::{Code, Edit, Label, Remark, Severity, nearest};
pub use span::{FileId, Source, Sources, Span, Spanned, Word};
pub use tree::{Block, Chance, Clause, Condition, Document, Formula, Push, Quantity, Range, Value, Window};
