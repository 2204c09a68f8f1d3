//! A cause that others bring about and no fix cures.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB314", "uncured-consequence", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    for (id, cause) in book.causes.iter().filter(|(_, c)| !c.is_condition()) {
        if subject.uncured(id) && !subject.brought_by[id.index()].is_empty() {
            let message = format!("`{}` is brought about by others, and no fix cures it", cause.name());
            let remark = Remark::new(LINT.code, message, cause.head.span, "does it end with what brings it about?");
            found.push(remark.help("where it does, it is a `condition`; where it stays, write the fix that puts it right"));
        }
    }
}
