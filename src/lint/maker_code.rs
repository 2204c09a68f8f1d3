//! A code that each vehicle maker gives its own meaning.

use super::prelude::*;
use crate::book::{Definer, FindingKind};

pub const LINT: Lint = Lint::book("FB209", "maker-code", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, finding) in subject.book.findings.iter() {
        let FindingKind::Code(code) = &finding.kind else { continue };
        let titled = finding.title() != code.structure();
        if code.definer() != Definer::Maker || titled {
            continue;
        }
        let message = format!("`{code}` means something else with each maker");
        let remark = Remark::new(LINT.code, message, finding.head.span, "from a range the standard leaves to the makers");
        let help = format!("use a generic code, or say what it means on the vehicles these rules are for: `code {code} \"…\"`");
        found.push(remark.help(help));
    }
}
