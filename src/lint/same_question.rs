//! Two findings that are asked about in the same words.

use super::prelude::*;
use super::titles_alike::plain;
use std::collections::HashMap;

pub const LINT: Lint = Lint::book("FB215", "same-question", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let mut first = HashMap::new();
    for (_, finding) in subject.book.findings.iter() {
        let Some(question) = finding.question() else { continue };
        let head = &finding.head;
        let twin = *first.entry(plain(question)).or_insert(head);
        if std::ptr::eq(twin, head) || !subject.together(twin, head) {
            continue;
        }
        let message = format!("`{}` and `{}` ask the same question", twin.name, head.name);
        let remark = Remark::new(LINT.code, message, subject.at(head, Keyword::Ask, question), "asked here");
        let remark = remark.and(subject.at(twin, Keyword::Ask, question), "and here");
        found.push(remark.help("one answer can't settle two things: ask what tells them apart, or make them one"));
    }
}
