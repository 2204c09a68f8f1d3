//! A proof that was right before the repair.

use super::prelude::*;
use crate::book::{Cause, Finding, Fix, Id};

pub const LINT: Lint = Lint::book("FB304", "undisturbed-proof", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, fix) in subject.book.fixes.iter() {
        for (finding, _) in fix.proofs.iter().filter(|(f, _)| !disturbed(subject, fix, *f)) {
            let name = subject.book.findings[*finding].name();
            let message = format!("nothing that `{}` cures disturbs `{name}`", fix.name());
            let at = subject.at(&fix.head, Keyword::Proof, name);
            let remark = Remark::new(LINT.code, message, at, "normal before the fix, normal after it");
            found.push(remark.help("prove a repair by what was wrong before it, or let the cause show this finding"));
        }
    }
}

/// Whether a cause that the fix cures, or something that this brings about, shows the finding.
fn disturbed(subject: &Subject, fix: &Fix, finding: Id<Finding>) -> bool {
    let shows = |cause: Id<Cause>| subject.shown(finding).iter().any(|(c, _)| *c == cause);
    let mut open: Vec<Id<Cause>> = fix.causes().collect();
    let mut seen: Vec<Id<Cause>> = Vec::new();
    while let Some(cause) = open.pop() {
        if shows(cause) {
            return true;
        }
        if !seen.contains(&cause) {
            seen.push(cause);
            open.extend(subject.book.causes[cause].brings.iter().map(|(c, _)| *c));
        }
    }
    false
}
