//! One clause that two amendments of a layer state: the order of the files would decide which counts.

use super::prelude::*;
use crate::syntax::{Document, Span};
use std::collections::HashMap;

pub const LINT: Lint = Lint::texts("FB230", "amended-twice", Severity::Warning, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for layer in texts.layers.iter().skip(texts.borrowed) {
        within(layer, found);
    }
}

fn within(layer: &[Document], found: &mut Vec<Remark>) {
    let mut seen: HashMap<(String, Keyword, String), Span> = HashMap::new();
    for block in layer.iter().flat_map(|d| &d.blocks).filter(|b| b.amends) {
        let name = subject::known_as(block);
        for clause in &block.clauses {
            for part in parts(clause) {
                let key = (name.clone(), group(clause.keyword.value), part);
                let Some(first) = seen.get(&key) else {
                    seen.insert(key, clause.span);
                    continue;
                };
                let message = format!("two amendments of `{name}` state its `{}`", clause.keyword.value);
                let remark = Remark::new(LINT.code, message, clause.span, "this one counts, because it is read last").and(*first, "not this one");
                found.push(remark.help("keep one of the two"));
            }
        }
    }
}

/// Clauses that replace each other.
fn group(keyword: Keyword) -> Keyword {
    if keyword == Keyword::Passing { Keyword::Lasting } else { keyword }
}

/// What of the clause below it replaces; nothing where it adds to a list.
fn parts(clause: &Clause) -> Vec<String> {
    let state = |state: &Option<Word>| state.as_ref().map_or(String::new(), |s| s.value.clone());
    match &clause.value {
        Value::Pushes { finding, pushes } => pushes.iter().map(|p| format!("{} {}", finding.value, state(&p.state))).collect(),
        Value::Strays(pushes) => pushes.iter().map(|p| state(&p.state)).collect(),
        Value::Links(links) => links.iter().map(|(w, _)| w.value.clone()).collect(),
        Value::Cures(cures) => cures.iter().map(|(w, _)| w.value.clone()).collect(),
        Value::Band { name, .. } => vec![name.value.clone()],
        Value::ScaleWord { word, .. } => vec![word.value.clone()],
        _ if !clause.keyword.value.repeats() || clause.keyword.value == Keyword::States => vec![String::new()],
        _ => vec![],
    }
}
