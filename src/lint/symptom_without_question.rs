//! A symptom that nobody can be asked about.

use super::prelude::*;
use crate::book::FindingKind;

pub const LINT: Lint = Lint::book("FB208", "symptom-without-question", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter() {
        if !matches!(&finding.kind, FindingKind::Symptom { ask: None, .. }) {
            continue;
        }
        let message = format!("`{}` has no question", finding.name());
        let remark = Remark::new(LINT.code, message, finding.head.span, "expected an `ask` clause");
        found.push(remark.help("write the question as a customer would understand it: `ask \"Does it lack power?\"`"));
    }
}
