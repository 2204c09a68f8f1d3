//! The book that ships, inside the program: no install step, no path to get wrong.

use super::read::read;
use super::types::Book;
use crate::syntax::{Document, FileId, Sources, parse};
use include_dir::{Dir, DirEntry, include_dir};
use std::path::Path;
use std::sync::OnceLock;

static RULES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/rules");

/// The rule files of the book that ships: name and text, in order of their paths.
pub fn files() -> Vec<(String, &'static str)> {
    named(|path| path.extension().is_some_and(|e| e == "rules"))
}

/// The cases of the book that ships: name and text, in order of their paths.
pub fn cases() -> Vec<(String, &'static str)> {
    let in_cases = |path: &Path| path.parent().and_then(Path::file_name).is_some_and(|n| n == "cases");
    named(move |path| in_cases(path) && path.extension().is_some_and(|e| e == "toml"))
}

fn named(fits: impl Fn(&Path) -> bool) -> Vec<(String, &'static str)> {
    let mut out = Vec::new();
    collect(&RULES, &fits, &mut out);
    out.sort();
    out
}

fn collect(dir: &'static Dir<'static>, fits: &impl Fn(&Path) -> bool, out: &mut Vec<(String, &'static str)>) {
    for entry in dir.entries() {
        match entry {
            DirEntry::Dir(inner) => collect(inner, fits, out),
            DirEntry::File(file) if fits(file.path()) => {
                let name = format!("<shipped>/{}", file.path().display());
                out.extend(file.contents_utf8().map(|text| (name, text)));
            }
            DirEntry::File(_) => {}
        }
    }
}

/// The book that ships by itself, where it is sound.
pub fn book() -> Option<Book> {
    let mut sources = Sources::default();
    let mut documents = Vec::new();
    for (name, text) in files() {
        documents.push(parse(sources.add(name, text), text).0);
    }
    read(&sources, &[documents]).0
}

/// The text of another file that ships, such as `codes.toml`.
pub fn text(path: &str) -> Option<&'static str> {
    RULES.get_file(path)?.contents_utf8()
}

/// The common blocks of the book that ships (its scales and sources), parsed once.
pub(super) fn documents() -> &'static [Document] {
    static DOCUMENTS: OnceLock<Vec<Document>> = OnceLock::new();
    DOCUMENTS.get_or_init(|| {
        let common = files().into_iter().filter(|(name, _)| name.contains("/common/"));
        common.enumerate().map(|(i, (_, text))| parse(FileId(u32::MAX - i as u32), text).0).collect()
    })
}
