//! A block for vehicles that do not exist.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB212", "unreachable-when", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (kind, head) in subject::heads(subject.book) {
        if subject.vehicles.together(&head.when, &head.when) {
            continue;
        }
        let at = subject.clauses(head, Keyword::When).last().map_or(head.span, |c| c.span);
        let message = format!("no vehicle has the {kind} `{}`", head.name);
        let remark = Remark::new(LINT.code, message, at, "these traits can't be there together");
        found.push(remark.help("correct the condition, or the `excludes` and `when` of the traits it names"));
    }
}
