//! A finding that only conditions of another system show.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB316", "conditions-elsewhere", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    let systems_with_causes: Vec<&str> = book.causes.iter().map(|(_, c)| book.system(&c.head)).collect();
    for (id, finding) in book.findings.iter() {
        let own = book.system(&finding.head);
        let causes = || subject.shown(id).iter().map(|(c, _)| &book.causes[*c]);
        let elsewhere = causes().next().is_some() && causes().all(|c| c.is_condition() && book.system(&c.head) != own);
        // findings that all systems share stand in a part of the book that has no causes at all
        if elsewhere && systems_with_causes.contains(&own) {
            let names: Vec<String> = causes().map(|c| format!("`{}`", c.name())).collect();
            let message = format!("`{}` is shown by {} alone, of another system", finding.name(), names.join(" and "));
            let remark = Remark::new(LINT.code, message, finding.head.span, "nothing here shows it by itself");
            found.push(remark.help("let a cause of its own system show it too, or move it to where the condition stands"));
        }
    }
}
