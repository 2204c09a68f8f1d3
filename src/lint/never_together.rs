//! Two blocks that are tied together though no vehicle has both.

use super::prelude::*;
use crate::book::Head;

pub const LINT: Lint = Lint::book("FB214", "never-together", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    let mut tie = Tie { subject, found };
    for (_, cause) in book.causes.iter() {
        tie.all(&cause.head, Keyword::Shows, cause.shows.iter().map(|s| &book.findings[s.finding].head));
        tie.all(&cause.head, Keyword::Brings, cause.brings.iter().map(|(id, _)| &book.causes[*id].head));
    }
    for (_, check) in book.checks.iter() {
        tie.all(&check.head, Keyword::Reveals, check.reveals.iter().map(|id| &book.findings[*id].head));
        tie.all(&check.head, Keyword::Access, check.access.iter().map(|id| &book.access[*id].head));
    }
    for (_, fix) in book.fixes.iter() {
        tie.all(&fix.head, Keyword::Cures, fix.causes().map(|id| &book.causes[id].head));
        tie.all(&fix.head, Keyword::Proof, fix.proofs.iter().map(|(id, _)| &book.findings[*id].head));
        tie.all(&fix.head, Keyword::Then, fix.then.iter().map(|id| &book.aftercare[*id].head));
        tie.all(&fix.head, Keyword::Access, fix.access.iter().map(|id| &book.access[*id].head));
    }
}

struct Tie<'s, 'b> {
    subject: &'s Subject<'b>,
    found: &'s mut Vec<Remark>,
}

impl Tie<'_, '_> {
    fn all<'h>(&mut self, from: &Head, keyword: Keyword, to: impl Iterator<Item = &'h Head>) {
        for head in to {
            let alone = |head: &Head| self.subject.together(head, head);
            if self.subject.together(from, head) || !alone(from) || !alone(head) {
                continue;
            }
            let message = format!("no vehicle has both `{}` and `{}`", from.name, head.name);
            let at = self.subject.at(from, keyword, &head.name);
            let remark = Remark::new(LINT.code, message, at, format!("`{keyword}` ties them together")).and(head.span, "for other vehicles");
            self.found.push(remark.help("take this out, or correct the `when` of one of the two"));
        }
    }
}
