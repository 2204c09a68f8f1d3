//! A symptom or code that no cause shows.

use super::prelude::*;
use crate::book::FindingKind;

pub const LINT: Lint = Lint::book("FB405", "unshown-finding", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, finding) in subject.book.findings.iter() {
        let told = matches!(finding.kind, FindingKind::Symptom { .. } | FindingKind::Code(_));
        if !told || !subject.shown(id).is_empty() {
            continue;
        }
        let message = format!("no cause shows `{}`", finding.name());
        let label = format!("a car that comes in with this {} has nothing the book lists", finding.kind_word());
        let remark = Remark::new(LINT.code, message, finding.head.span, label);
        found.push(remark.help(format!("let the causes behind it say so: `shows {} often`", finding.name())));
    }
}
