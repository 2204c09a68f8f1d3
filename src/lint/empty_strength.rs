//! A strength of nothing.

use super::prelude::*;
use crate::syntax::{Chance, Span};

pub const LINT: Lint = Lint::texts("FB407", "empty-strength", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks().filter(|b| b.kind.value.acts() || b.kind.value == Kind::Fix) {
        for clause in &block.clauses {
            let name = &block.name.value;
            match &clause.value {
                Value::Pushes { finding, pushes } => {
                    let none = pushes.iter().filter_map(|p| nothing(&p.chance));
                    found.extend(none.map(|at| remark(format!("`{name}` never shows `{}` so", finding.value), at)));
                }
                Value::Links(links) => {
                    let none = links.iter().filter_map(|(to, chance)| Some((to, nothing(chance)?)));
                    found.extend(none.map(|(to, at)| remark(format!("`{name}` never brings `{}` about", to.value), at)));
                }
                Value::Cures(cures) => {
                    let none = cures.iter().filter_map(|(of, chance)| Some((of, nothing(chance.as_ref()?)?)));
                    found.extend(none.map(|(of, at)| remark(format!("`{name}` never cures `{}`", of.value), at)));
                }
                _ => {}
            }
        }
    }
}

fn nothing(chance: &Chance) -> Option<Span> {
    match chance {
        Chance::Number(number) if number.value <= 0.0 => Some(number.span),
        _ => None,
    }
}

fn remark(message: String, at: Span) -> Remark {
    Remark::new(LINT.code, message, at, "says nothing").help("take it out: what is not written does not happen")
}
