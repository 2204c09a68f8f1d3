//! A cause that leaves no trace.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB312", "silent-cause", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, cause) in subject.book.causes.iter().filter(|(_, c)| c.shows.is_empty() && (c.brings.is_empty() || !c.is_condition())) {
        let (message, label) = match cause.brings.is_empty() {
            true => (format!("`{}` shows nothing and brings nothing about", cause.name()), "expected a `shows` clause"),
            false => (format!("`{}` shows nothing of its own", cause.name()), "known only by what it brings about"),
        };
        let remark = Remark::new(LINT.code, message, cause.head.span, label);
        found.push(remark.help("write what a technician can see, hear or measure of it: `shows charge-hose usually`"));
    }
}
