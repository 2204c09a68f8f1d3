//! An access step that another one named beside it needs anyway.

use super::fix::{take_out, take_word};
use super::prelude::*;
use crate::book::{Access, Head, Id};

pub const LINT: Lint = Lint::book("FB313", "needless-access", Severity::Note, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for action in subject.actions() {
        judge(subject, action.head, action.access, found);
    }
    for (_, step) in subject.book.access.iter() {
        judge(subject, &step.head, &step.needs, found);
    }
}

fn judge(subject: &Subject, head: &Head, access: &[Id<Access>], found: &mut Vec<Remark>) {
    for step in access {
        let needs = |other: &&Id<Access>| *other != step && subject.opened(&subject.book.access[**other].needs).contains(step);
        let Some(other) = access.iter().find(needs) else { continue };
        let (name, other) = (subject.book.access[*step].name(), subject.book.access[*other].name());
        let message = format!("`{other}` needs `{name}` anyway");
        let remark = Remark::new(LINT.code, message, subject.at(head, Keyword::Access, name), "said already");
        found.push(without(subject, head, name, remark.help("name only the last step of the way")));
    }
}

/// Adds the edit that takes the name out, where it is written in one clause alone.
fn without(subject: &Subject, head: &Head, name: &str, remark: Remark) -> Remark {
    let clauses: Vec<&Clause> = subject.clauses(head, Keyword::Access).collect();
    let places = clauses.iter().filter_map(|c| match &c.value {
        Value::Names(words) => words.iter().position(|w| w.value == name).map(|at| (*c, words, at)),
        _ => None,
    });
    let places: Vec<_> = places.collect();
    let [(clause, words, at)] = places.as_slice() else { return remark };
    let edit = take_word(words, *at).unwrap_or_else(|| take_out(subject.texts.sources, clause));
    remark.edit(edit.span, edit.text)
}
