//! A day that is in no calendar.

use super::prelude::*;

pub const LINT: Lint = Lint::texts("FB220", "impossible-day", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for clause in texts.own_blocks().flat_map(|b| &b.clauses) {
        let Value::Date(day) = &clause.value else { continue };
        if day.value.parse::<jiff::civil::Date>().is_err() {
            let remark = Remark::new(LINT.code, format!("`{}` is in no calendar", day.value), day.span, "year, month, day");
            found.push(remark.help("write the day as `2026-11-25`"));
        }
    }
}
