//! Quotes with nothing in them.

use super::prelude::*;

pub const LINT: Lint = Lint::texts("FB221", "empty-words", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks() {
        let prose = block.clauses.iter().flat_map(|c| prose(c).into_iter().map(|w| (c.keyword.value.word(), w)));
        for (what, word) in block.title.iter().map(|t| ("title", t)).chain(prose) {
            if word.value.trim().is_empty() {
                let remark = Remark::new(LINT.code, format!("the `{what}` of `{}` says nothing", block.name.value), word.span, "empty");
                found.push(remark.help("write what people should read there, or take it out"));
            }
        }
    }
}

fn prose(clause: &Clause) -> Vec<&Word> {
    match &clause.value {
        Value::Texts(words) => words.iter().collect(),
        Value::Allow { reason, .. } => vec![reason],
        _ => vec![],
    }
}
