//! A generic code that nothing puts into words.

use super::prelude::*;
use crate::book::{Definer, FindingKind};

pub const LINT: Lint = Lint::book("FB211", "untitled-code", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter() {
        let FindingKind::Code(code) = &finding.kind else { continue };
        if code.definer() != Definer::Standard || finding.title() != code.structure() {
            continue;
        }
        let message = format!("no title is known for `{code}`");
        let remark = Remark::new(LINT.code, message, finding.head.span, format!("people see only \"{}\"", code.structure()));
        found.push(remark.help(format!("if the number is right, say what it means: `code {code} \"…\"`")));
    }
}
