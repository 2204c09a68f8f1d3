//! A code from a range that the standard has given to nobody.

use super::prelude::*;
use crate::book::{Definer, FindingKind};

pub const LINT: Lint = Lint::book("FB210", "reserved-code", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter() {
        let FindingKind::Code(code) = &finding.kind else { continue };
        if code.definer() != Definer::Reserved {
            continue;
        }
        let message = format!("the standard gives `{code}` to nobody");
        let remark = Remark::new(LINT.code, message, finding.head.span, "from a reserved range");
        found.push(remark.help("look the number up again: it is probably a slip"));
    }
}
