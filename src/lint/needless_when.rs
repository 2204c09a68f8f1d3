//! A condition that holds for every vehicle.

use super::prelude::*;
use crate::book::Need;

pub const LINT: Lint = Lint::book("FB213", "needless-when", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let bound = |need: &Need| !matches!(need, Need::Always | Need::Has(_));
    for (_, head) in subject::heads(subject.book).into_iter().filter(|(_, h)| bound(&h.when)) {
        if !subject.vehicles.implies(&Need::Always, &head.when) {
            continue;
        }
        let at = subject.clauses(head, Keyword::When).last().map_or(head.span, |c| c.span);
        let message = format!("the condition of `{}` holds for every vehicle", head.name);
        let remark = Remark::new(LINT.code, message, at, "always so");
        found.push(remark.help("take it out, or correct it: an `or` in the place of an `and` reads much the same"));
    }
}
