//! A book that does not say who keeps it, which version it is, or when it was last looked through.

use super::prelude::*;

pub const LINT: Lint = Lint::texts("FB219", "unsigned-book", Severity::Note, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks().filter(|b| b.kind.value == Kind::Book && !b.amends) {
        let wanted = [Keyword::Version, Keyword::Reviewed, Keyword::Keeper];
        let missing = wanted.into_iter().filter(|k| !block.clauses.iter().any(|c| c.keyword.value == *k));
        let missing: Vec<String> = missing.map(|k| format!("`{k}`")).collect();
        if !missing.is_empty() {
            let message = format!("`{}` has no {}", block.name.value, missing.join(", no "));
            let remark = Remark::new(LINT.code, message, block.name.span, "whose rules are these, and how old?");
            found.push(remark.help("a job's journal names the book it was worked by: let it be one that can be found again"));
        }
    }
}
