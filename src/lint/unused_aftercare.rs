//! Aftercare that no fix ever needs.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB308", "unused-aftercare", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    let mut needed = vec![false; book.aftercare.len()];
    book.fixes.iter().flat_map(|(_, f)| &f.then).for_each(|id| needed[id.index()] = true);
    for (_, step) in book.aftercare.iter().filter(|(id, _)| !needed[id.index()]) {
        let remark = Remark::new(LINT.code, format!("no fix is followed by `{}`", step.name()), step.head.span, "never done");
        found.push(remark.help(format!("name it in the fixes that need it: `then {}`", step.name())));
    }
}
