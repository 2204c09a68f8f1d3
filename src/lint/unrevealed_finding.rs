//! A reading or sign that some cause shows and that nobody can take.

use super::prelude::*;
use crate::book::FindingKind;

pub const LINT: Lint = Lint::book("FB305", "unrevealed-finding", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, finding) in subject.book.findings.iter() {
        let wants_check = match &finding.kind {
            FindingKind::Reading(gauge) => gauge.window.is_none() && gauge.counts.is_empty(),
            FindingKind::Sign { .. } => true,
            _ => false,
        };
        if !wants_check || subject.shown(id).is_empty() || !subject.revealed_by[id.index()].is_empty() {
            continue;
        }
        let message = format!("no check reveals `{}`", finding.name());
        let remark = Remark::new(LINT.code, message, finding.head.span, format!("a {} has to be taken by somebody", finding.kind_word()));
        found.push(remark.help(format!("name it in the check that shows it: `reveals {}`", finding.name())));
    }
}
