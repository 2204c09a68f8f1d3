//! A name changed everywhere: in all rules of one's own and in their cases.

use super::books::Books;
use super::places::{Encoding, Lines};
use super::uses::{Sort, Use};
use crate::syntax::FileId;
use lsp_types::TextEdit;
use std::collections::BTreeMap;

/// The edits of each file, by its name; or why it can't be done.
pub fn edits(
    books: &Books,
    cases: &[(String, String)],
    file: FileId,
    byte: usize,
    new: &str,
    encoding: Encoding,
) -> Result<BTreeMap<String, Vec<TextEdit>>, String> {
    let used = can(books, file, byte)?;
    sound(books, &used, new)?;
    let mut out: BTreeMap<String, Vec<TextEdit>> = BTreeMap::new();
    for other in books.alike(&used) {
        let source = books.source(other.word.span.file);
        let range = Lines::new(&source.text, encoding).range(other.word.span);
        out.entry(source.name.clone()).or_default().push(TextEdit { range, new_text: new.into() });
    }
    if !matches!(used.sort, Sort::Chance(_)) {
        for (name, text) in cases {
            let found = in_case(text, &used, new, encoding);
            if !found.is_empty() {
                out.insert(name.clone(), found);
            }
        }
    }
    Ok(out)
}

/// What would be renamed there.
pub fn can<'b>(books: &'b Books, file: FileId, byte: usize) -> Result<Use<'b>, String> {
    let used = books.at(file, byte).ok_or("nothing with a name stands here")?;
    if matches!(used.sort, Sort::Block(crate::syntax::Kind::Code)) || crate::book::Dtc::parse(&used.word.value).is_ok() {
        return Err("a trouble code has the name that the standard gives it".into());
    }
    match books.alike(&used).iter().find(|u| books.is_borrowed(u.word.span.file)) {
        Some(other) => {
            Err(format!("`{}` is named in `{}`, which is not yours to change", used.word.value, books.source(other.word.span.file).name))
        }
        None => Ok(used),
    }
}

fn sound(books: &Books, used: &Use, new: &str) -> Result<(), String> {
    let kebab = new.starts_with(|c: char| c.is_ascii_lowercase())
        && new.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
        && !new.ends_with('-')
        && !new.contains("--");
    if !kebab {
        return Err(format!("`{new}` is no name: small letters, digits and single dashes, a letter first"));
    }
    let block = !matches!(used.sort, Sort::State(_) | Sort::Chance(_));
    if block && books.definition(new).is_some() {
        return Err(format!("`{new}` is the name of another block"));
    }
    Ok(())
}

/// The places of a name in a case: between quotes or before `=`, alone.
fn in_case(text: &str, used: &Use, new: &str, encoding: Encoding) -> Vec<TextEdit> {
    let old = used.word.value.as_str();
    let lines = Lines::new(text, encoding);
    let part = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    let mut out = Vec::new();
    for (at, _) in text.match_indices(old) {
        let (before, after) = (&text[..at], &text[at + old.len()..]);
        let alone = !before.ends_with(part) && !after.starts_with(part);
        let line = before.rsplit('\n').next().unwrap_or("");
        let quoted = before.ends_with('"') && after.starts_with('"');
        let keyed = line.trim().is_empty() && after.trim_start().starts_with('=');
        let meant = match &used.sort {
            // a state stands after the finding that it is of
            Sort::State(finding) => quoted && line.trim_start().starts_with(finding.as_str()),
            _ => quoted || keyed,
        };
        if alone && meant && !line.trim_start().starts_with('#') {
            let range = lsp_types::Range { start: lines.position(at), end: lines.position(at + old.len()) };
            out.push(TextEdit { range, new_text: new.into() });
        }
    }
    out
}
