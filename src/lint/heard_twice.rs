//! The same words of a customer lead to two symptoms.

use super::prelude::*;
use super::titles_alike::plain;
use crate::book::FindingKind;
use foldhash::HashMap;

pub const LINT: Lint = Lint::book("FB203", "heard-twice", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let mut first: HashMap<(bool, String), &crate::book::Head> = HashMap::default();
    for (_, finding) in subject.book.findings.iter() {
        let FindingKind::Symptom { heard, circumstance, .. } = &finding.kind else { continue };
        for words in heard {
            let head = &finding.head;
            // circumstances are another list: "after filling up" may be one beside a symptom
            let twin = *first.entry((*circumstance, plain(words))).or_insert(head);
            if std::ptr::eq(twin, head) || !subject.together(twin, head) {
                continue;
            }
            let message = format!("`{words}` leads to `{}` and to `{}`", twin.name, head.name);
            let remark = Remark::new(LINT.code, message, subject.at(head, Keyword::Heard, words), "heard here");
            let remark = remark.and(subject.at(twin, Keyword::Heard, words), "and here");
            found.push(remark.help("give the words to the symptom they mean more often; the other is asked about anyway"));
        }
    }
}
