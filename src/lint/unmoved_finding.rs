//! A reading or sign that no evidence can move.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB404", "unmoved-finding", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, finding) in subject.book.findings.iter() {
        let looked_at = finding.is_measured();
        let label = match (subject.shown(id).is_empty(), finding.stray.last()) {
            (true, _) => "no cause shows it",
            (false, Some(top)) if *top >= 1.0 - 1e-9 => "its stray puts it in its last state every time",
            _ => continue,
        };
        if looked_at {
            let message = format!("nothing that is found out moves `{}`", finding.name());
            let remark = Remark::new(LINT.code, message, finding.head.span, label);
            found.push(remark.help("let the causes that disturb it show it, or take it out: to read it is time spent for nothing"));
        }
    }
}
