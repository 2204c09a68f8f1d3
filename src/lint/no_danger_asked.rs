//! A book by itself that asks nobody about a danger: the questions of the book that ships are not in it.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB317", "no-danger-asked", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    if !book.asks_no_danger() {
        return;
    }
    let blocks = || subject.texts.own_blocks();
    let Some(at) = blocks().find(|b| b.kind.value == Kind::Book).or_else(|| blocks().next()) else { return };
    let message = "no question asked of everybody is about a danger";
    let remark = Remark::new(LINT.code, message, at.name.span, "work on a car would begin without one");
    found.push(remark.help("write `over faultbook` in the `book` block to lie over the book that ships, or let a symptom with a `hazard` be `always-ask`"));
}
