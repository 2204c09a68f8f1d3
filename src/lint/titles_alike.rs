//! Two blocks of one kind with the same title.

use super::prelude::*;
use foldhash::HashMap;

pub const LINT: Lint = Lint::book("FB202", "titles-alike", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let mut first = HashMap::default();
    let own_title = |kind: &str, head: &crate::book::Head| kind != "code" && head.title != head.name;
    for (kind, head) in subject::heads(subject.book).into_iter().filter(|(k, h)| own_title(k, h)) {
        let Some(twin) = first.insert((kind, plain(&head.title)), head) else { continue };
        let message = format!("`{}` and `{}` have the same title", twin.name, head.name);
        let remark = Remark::new(LINT.code, message, head.span, "this one").and(twin.span, "and this one");
        found.push(remark.help("people see titles, not names: say in each what tells it from the other"));
    }
}

/// Letters and digits alone, in small letters.
pub fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for letter in text.chars().filter(|c| c.is_alphanumeric()) {
        if letter.is_ascii() { plain.push(letter.to_ascii_lowercase()) } else { plain.extend(letter.to_lowercase()) }
    }
    plain
}
