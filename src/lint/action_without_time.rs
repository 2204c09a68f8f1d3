//! A check, fix or access step that seems to take no time.

use super::prelude::*;
use crate::book::Head;

pub const LINT: Lint = Lint::book("FB223", "action-without-time", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    let checks = book.checks.iter().map(|(_, c)| (&c.head, c.minutes));
    let fixes = book.fixes.iter().map(|(_, f)| (&f.head, f.minutes));
    let access = book.access.iter().map(|(_, a)| (&a.head, a.minutes));
    let timeless = |(head, minutes): &(&Head, f64)| *minutes <= 0.0 && subject.clauses(head, Keyword::Takes).next().is_none();
    for (head, _) in checks.chain(fixes).chain(access).filter(timeless) {
        let remark = Remark::new(LINT.code, format!("`{}` seems to take no time", head.name), head.span, "expected a `takes` clause");
        found.push(remark.help("write how long it takes: `takes 5 min`; where it is really nothing, `takes 0 min`"));
    }
}
