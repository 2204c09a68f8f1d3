//! A trait that decides and that nobody is asked about.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB229", "trait-without-question", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (_, row) in subject.book.traits.iter().filter(|(_, t)| t.ask.is_none()) {
        let message = format!("nobody is asked whether a vehicle has `{}`", row.name());
        let remark = Remark::new(LINT.code, message, row.head.span, "expected an `ask` clause");
        found.push(remark.help("write a question that a look at the car can answer: `ask \"Does it have a turbocharger?\"`"));
    }
}
