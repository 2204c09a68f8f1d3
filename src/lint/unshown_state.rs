//! A band or state that no cause ever brings about.

use super::prelude::*;
use crate::book::FindingKind;

pub const LINT: Lint = Lint::book("FB411", "unshown-state", Severity::Note, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, finding) in subject.book.findings.iter().filter(|(id, _)| !subject.shown(*id).is_empty()) {
        let keyword = match finding.kind {
            FindingKind::Reading(_) => Keyword::Band,
            FindingKind::Sign { .. } => Keyword::States,
            _ => continue,
        };
        for (at, state) in finding.states.iter().enumerate().skip(1) {
            if subject.shown(id).iter().any(|(_, push)| push[at - 1] > 0.0) {
                continue;
            }
            let message = format!("no cause brings `{}` to `{state}`", finding.name());
            let remark = Remark::new(LINT.code, message, subject.at(&finding.head, keyword, state), "found so, it explains nothing");
            found.push(remark.help(format!("let a cause show it, `shows {} {state} often`, or join it to the state beside it", finding.name())));
        }
    }
}
