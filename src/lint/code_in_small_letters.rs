//! A code that is not written as the standard writes it.

use super::prelude::*;
use crate::book::Dtc;

pub const LINT: Lint = Lint::texts("FB218", "code-in-small-letters", Severity::Note, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks() {
        let header = (block.kind.value == Kind::Code).then_some(&block.name);
        let named = block.clauses.iter().filter(|c| names_findings(c.keyword.value)).flat_map(|c| subject::words(&c.value));
        for word in header.into_iter().chain(named).filter(|w| w.value.len() == 5) {
            let Ok(code) = Dtc::parse(&word.value) else { continue };
            let code = code.to_string();
            if code == word.value {
                continue;
            }
            let remark = Remark::new(LINT.code, format!("`{}` is written `{code}`", word.value), word.span, "in small letters");
            found.push(remark.help("write codes as the tester shows them").edit(word.span, code));
        }
    }
}

fn names_findings(keyword: Keyword) -> bool {
    matches!(keyword, Keyword::Shows | Keyword::Reveals | Keyword::Proof)
}
