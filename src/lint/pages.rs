//! The page of each code: what it is, why it matters, a wrong and a right example, when to allow it.

use crate::shelf;

/// The page of a code, given by id or name, as Markdown; none where no remark has it.
pub fn page(id_or_name: &str) -> Option<&'static str> {
    let code = super::code(id_or_name)?;
    shelf::pages().find(|(name, _)| *name == format!("{}.md", code.name)).map(|(_, text)| text)
}

/// The names of all pages.
pub fn names() -> impl Iterator<Item = &'static str> {
    shelf::pages().filter_map(|(name, _)| name.strip_suffix(".md"))
}
