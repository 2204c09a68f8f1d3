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
        let near = nearest(&word.value, codes().flat_map(|c| [c.id, c.name]));
        let remark = Remark::new(LINT.code, format!("no remark has the code `{}`", word.value), word.span, "allows nothing");
        found.push(remark.help("write the code or the name that the remark shows, such as `FB206` or `reading-without-source`").suggest(near));
    }
}
