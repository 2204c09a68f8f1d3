//! A repair that leaves its code stored.

use super::prelude::*;
use crate::book::FindingKind;

pub const LINT: Lint = Lint::book("FB311", "fix-without-aftercare", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    let book = subject.book;
    for (_, fix) in book.fixes.iter().filter(|(_, f)| f.then.is_empty()) {
        let shown = fix.causes().flat_map(|c| &book.causes[c].shows).map(|s| &book.findings[s.finding]);
        let Some(code) = shown.into_iter().find(|f| matches!(f.kind, FindingKind::Code(_))) else { continue };
        let message = format!("`{}` cures what sets `{}`, and nothing follows it", fix.name(), code.name());
        let remark = Remark::new(LINT.code, message, fix.head.span, "expected a `then` clause");
        found.push(remark.help("name what follows the repair: clearing the codes, a relearn, a road test"));
    }
}
