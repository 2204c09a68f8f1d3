//! Two words of a scale for one chance.

use super::prelude::*;
use crate::syntax::{Chance, Spanned};

pub const LINT: Lint = Lint::texts("FB226", "words-alike", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks().filter(|b| b.kind.value == Kind::Scale) {
        let mut seen: Vec<(&Word, f64)> = Vec::new();
        for clause in &block.clauses {
            let Value::ScaleWord { word, chance: Chance::Number(Spanned { value, .. }) } = &clause.value else { continue };
            if let Some((first, _)) = seen.iter().find(|(_, number)| (number - value).abs() < 1e-9) {
                let message = format!("`{}` and `{}` mean the same chance", first.value, word.value);
                let remark = Remark::new(LINT.code, message, word.span, "this one").and(first.span, "and this one");
                found.push(remark.help("keep one: whoever reads the other will think that it means something else"));
            }
            seen.push((word, *value));
        }
    }
}
