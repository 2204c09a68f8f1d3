//! A cause that no fix cures.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB302", "uncured-cause", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    for (id, cause) in book.causes.iter().filter(|(_, c)| !c.is_condition()) {
        let mut fixes = subject.cured_by[id.index()].iter().map(|f| &book.fixes[*f]);
        let there = subject.together(&cause.head, &cause.head);
        if there && !fixes.any(|f| subject.together(&f.head, &cause.head)) {
            let remark = Remark::new(LINT.code, format!("no fix cures `{}`", cause.name()), cause.head.span, "found, and then?");
            found.push(remark.help(format!("write a fix with `cures {}`", cause.name())));
        }
    }
}
