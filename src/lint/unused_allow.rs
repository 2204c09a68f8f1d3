//! An `allow` that keeps nothing back.

use super::allows::Idle;
use super::prelude::*;

pub const LINT: Lint = Lint::allows("FB216", "unused-allow", Severity::Warning, check);

fn check(idle: &[Idle], found: &mut Vec<Remark>) {
    for allow in idle {
        let (label, help) = match allow.error {
            true => ("an error of the language", "errors can't be allowed: correct what it says"),
            false => ("nothing here to allow", "take the clause out: what it allowed is gone"),
        };
        let remark = Remark::new(LINT.code, format!("`allow {}` keeps nothing back", allow.word), allow.at, label).help(help);
        found.push(remark.edit(allow.removal.span, &allow.removal.text));
    }
}
