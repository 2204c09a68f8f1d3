//! An `allow` of a code that no remark has.

use super::prelude::*;
use super::{code, codes};
use crate::syntax::nearest;

pub const LINT: Lint = Lint::texts("FB217", "unknown-allow", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for clause in texts.own_blocks().flat_map(|b| &b.clauses) {
        let Value::Allow { code: word, .. } = &clause.value else { continue };
        if code(&word.value).is_some() {
            continue;
        }
        // two codes that look alike have nothing to do with each other, two names do
        let number = word.value.to_uppercase().strip_prefix("FB").is_some_and(|n| n.bytes().all(|b| b.is_ascii_digit()));
        let near = nearest(&word.value, codes().map(|c| c.name)).filter(|_| !number);
        let remark = Remark::new(LINT.code, format!("no remark has the code `{}`", word.value), word.span, "allows nothing");
        found.push(remark.help("write the name that the remark shows, such as `reading-without-source`; `faultbook explain lints` lists them all").suggest(near));
    }
}
