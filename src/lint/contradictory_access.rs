//! Access steps that close each other and are wanted open together.

use super::prelude::*;
use crate::book::{Access, Head, Id};

pub const LINT: Lint = Lint::book("FB309", "contradictory-access", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for action in subject.actions() {
        judge(subject, action.head, subject.opened(action.access), found);
    }
    for (id, step) in subject.book.access.iter() {
        let mut open = subject.opened(&step.needs);
        open.push(id);
        judge(subject, &step.head, open, found);
    }
}

fn judge(subject: &Subject, head: &Head, open: Vec<Id<Access>>, found: &mut Vec<Remark>) {
    let access = &subject.book.access;
    let closes = |a: &Id<Access>| open.iter().copied().find(|b| access[*a].undoes.contains(b));
    // hardly any step closes another: only those are looked at
    let closing = || open.iter().filter(|a| !access[**a].undoes.is_empty());
    let Some((one, other)) = closing().find_map(|a| Some((*a, closes(a)?))) else { return };
    let (one, other) = (access[one].name(), access[other].name());
    let message = format!("`{}` needs `{one}` and `{other}`, and the first undoes the second", head.name);
    let remark = Remark::new(LINT.code, message, subject.at(head, Keyword::Access, one), "both can't be open at once");
    found.push(remark.help("make two actions of it, or take one of the steps out"));
}
