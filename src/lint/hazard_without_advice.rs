//! A danger that does not say what to do.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB207", "hazard-without-advice", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, hazard) in subject.book.hazards.iter().filter(|(_, h)| h.does.is_empty()) {
        let message = format!("`{}` does not say what to do", hazard.name());
        let remark = Remark::new(LINT.code, message, hazard.head.span, "expected a `do` clause");
        found.push(remark.help("say what is to be done now, in the words to be said beside the car: `do \"Engine off, windows open.\"`"));
    }
}
