//! A cause that no fix cures.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB302", "uncured-cause", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, cause) in subject.book.causes.iter().filter(|(_, c)| !c.is_condition()) {
        // what others bring about may be a condition: another remark
        if subject.uncured(id) && subject.brought_by[id.index()].is_empty() {
            let remark = Remark::new(LINT.code, format!("no fix cures `{}`", cause.name()), cause.head.span, "found, and then?");
            found.push(remark.help(format!("write a fix with `cures {}`", cause.name())));
        }
    }
}
