//! A fix that is never proven.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB303", "fix-without-proof", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, fix) in subject.book.fixes.iter().filter(|(_, f)| f.proofs.is_empty()) {
        let message = format!("nothing proves `{}`", fix.name());
        let remark = Remark::new(LINT.code, message, fix.head.span, "expected a `proof` clause");
        found.push(remark.help("name a reading or sign that the cause disturbs, to be taken again afterwards: `proof boost-2500 healthy`"));
    }
}
