//! A strength that makes a cause certain or impossible at once.

use super::prelude::*;
use crate::book::{Cause, Finding};
use crate::syntax::Span;

pub const LINT: Lint = Lint::book("FB406", "certain-strength", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    subject.book.causes.iter().for_each(|(_, cause)| judge(subject, cause, found));
    for (_, finding) in subject.book.findings.iter().filter(|(_, f)| certain(f.stray.iter().sum())) {
        let at = clause(subject, &finding.head, Keyword::Stray);
        let message = format!("`{}` is always disturbed by something that is not listed", finding.name());
        found.push(remark(message, at, "then no cause is ever needed to explain it"));
    }
}

fn judge(subject: &Subject, cause: &Cause, found: &mut Vec<Remark>) {
    let name = cause.name();
    if certain(cause.prior) {
        let at = clause(subject, &cause.head, if cause.is_condition() { Keyword::Stray } else { Keyword::Prior });
        found.push(remark(format!("`{name}` is there in every vehicle"), at, "then nothing is left to find out"));
    }
    for shows in cause.shows.iter().filter(|s| certain(s.push.iter().sum())) {
        let finding: &Finding = &subject.book.findings[shows.finding];
        let message = format!("`{name}` shows `{}` every time", finding.name());
        found.push(remark(message, shows.span, "one normal answer makes the cause impossible"));
    }
    for (other, _) in cause.brings.iter().filter(|(_, chance)| certain(*chance)) {
        let other = subject.book.causes[*other].name();
        let at = subject.at(&cause.head, Keyword::Brings, other);
        found.push(remark(format!("`{name}` brings `{other}` about every time"), at, "without the one the other is impossible"));
    }
}

fn certain(chance: f64) -> bool {
    chance >= 1.0 - 1e-9
}

fn clause(subject: &Subject, head: &crate::book::Head, keyword: Keyword) -> Span {
    subject.clauses(head, keyword).last().map_or(head.span, |c| c.span)
}

fn remark(message: String, at: Span, label: &str) -> Remark {
    Remark::new(LINT.code, message, at, label).help("leave room for the odd car and the odd reading: 97 % is still nearly always")
}
