//! A reading whose limits nobody can trace.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB206", "reading-without-source", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter().filter(|(_, f)| f.gauge().is_some() && f.head.sources.is_empty()) {
        let head = &finding.head;
        let message = format!("nothing says where the limits of `{}` come from", head.name);
        let remark = Remark::new(LINT.code, message, head.span, "expected a `source` clause");
        found.push(remark.help("name what they were taken from, or `source common-practice` where it is only that"));
    }
}
