//! A condition that nothing in the book brings about.

use super::prelude::*;

pub const LINT: Lint = Lint::book("FB315", "unbrought-condition", Severity::Warning, check);

fn check(subject: &Subject, found: &mut Vec<Remark>) {
    for (id, condition) in subject.book.causes.iter().filter(|(_, c)| c.is_condition()) {
        if subject.brought_by[id.index()].is_empty() {
            let message = format!("nothing brings `{}` about", condition.name());
            let remark = Remark::new(LINT.code, message, condition.head.span, "seen, and then?");
            found.push(remark.help("write in each cause of it `brings NAME CHANCE`; where it needs a fix of its own, it is a `cause`"));
        }
    }
}
