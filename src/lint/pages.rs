//! The page of each code: what it is, why it matters, a wrong and a right example, when to allow it.

use include_dir::{Dir, include_dir};

static PAGES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/src/lint/pages");

/// The page of a code, given by id or name, as Markdown; none where no remark has it.
pub fn page(id_or_name: &str) -> Option<&'static str> {
    let code = super::code(id_or_name)?;
    PAGES.get_file(format!("{}.md", code.name))?.contents_utf8()
}

/// The names of all pages.
pub fn names() -> impl Iterator<Item = &'static str> {
    PAGES.files().filter_map(|f| f.path().file_stem()?.to_str())
}
