//! A check that can never change a plan.

use super::prelude::*;
use crate::book::Check;

pub const LINT: Lint = Lint::book("FB402", "idle-check", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, check) in subject.book.checks.iter().filter(|(_, c)| !tells(subject, c)) {
        let message = format!("`{}` can never change a plan", check.name());
        let remark = Remark::new(LINT.code, message, check.head.span, "no cause shows anything that it reveals");
        found.push(remark.help("let the causes that it is for show what it reveals, or take it out"));
    }
}

/// Whether what it reveals is shown by a cause that some vehicle has together with it.
fn tells(subject: &Subject, check: &Check) -> bool {
    let book = subject.book;
    check.reveals.iter().any(|finding| {
        let fits = |head| subject.together(&check.head, head) && subject.together(&book.findings[*finding].head, head);
        subject.shown(*finding).iter().any(|(cause, _)| fits(&book.causes[*cause].head))
    })
}
