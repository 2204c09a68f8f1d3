//! A finding that nothing but the listed causes can disturb.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB408", "finding-without-stray", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let bare = subject.book.findings.iter().filter(|(id, f)| f.stray.iter().all(|p| *p <= 0.0) && !subject.shown(*id).is_empty());
    let (said, unsaid): (Vec<_>, Vec<_>) = bare.map(|(_, f)| &f.head).partition(|h| subject.clauses(h, Keyword::Stray).next().is_some());
    for head in said {
        let at = subject.clauses(head, Keyword::Stray).last().map_or(head.span, |c| c.span);
        found.push(Remark::new(LINT.code, message(&head.name), at, "one odd reading proves a cause").help("leave it a little: `stray 0.5 %`"));
    }
    if let Some((first, rest)) = unsaid.split_first() {
        let label = if rest.is_empty() { "it has no `stray`".to_string() } else { format!("no `stray`, as {} more", rest.len()) };
        let remark = Remark::new(LINT.code, message(&first.name), first.span, label);
        found.push(remark.help("give the book one for all findings, `stray 0.5 %` in its `book` block, or each its own"));
    }
}

fn message(name: &str) -> String {
    format!("nothing but the causes of this book can disturb `{name}`")
}
