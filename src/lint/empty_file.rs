//! A file of rules without a rule.

use super::prelude::*;
use crate::syntax::Span;

pub const LINT: Lint = Lint::texts("FB231", "empty-file", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for document in texts.own().filter(|d| d.blocks.is_empty()) {
        let text = &texts.sources.get(document.file).text;
        // what could not be read has its own remark
        let said = |line: &str| !line.trim_start_matches('\u{FEFF}').trim().is_empty() && !line.trim_start().starts_with('#');
        if text.lines().any(said) || text.contains('\u{FFFD}') {
            continue;
        }
        let span = Span { file: document.file, start: 0, end: 0 };
        let remark = Remark::new(LINT.code, "this file holds no rules", span, "nothing but blank lines and comments");
        found.push(remark.help("write a block, or take the file out"));
    }
}
