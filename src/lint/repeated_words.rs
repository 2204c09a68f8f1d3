//! The same prose twice in one block.

use super::fix::take_out;
use super::prelude::*;

pub const LINT: Lint = Lint::texts("FB222", "repeated-words", Severity::Note, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    for block in texts.own_blocks() {
        let mut seen: Vec<&Word> = Vec::new();
        for clause in &block.clauses {
            let Value::Texts(words) = &clause.value else { continue };
            for word in words {
                match seen.iter().find(|w| w.value == word.value) {
                    Some(first) => found.push(remark(texts, block, clause, word, first)),
                    None => seen.push(word),
                }
            }
        }
    }
}

fn remark(texts: &Texts, block: &Block, clause: &Clause, word: &Word, first: &Word) -> Remark {
    let remark = Remark::new(LINT.code, format!("`{}` says this twice", block.name.value), word.span, "again here").and(first.span, "first here");
    let remark = remark.help("once is enough; if the second was meant to say more, say it");
    match &clause.value {
        Value::Texts(words) if words.len() == 1 => {
            let removal = take_out(texts.sources, clause);
            remark.edit(removal.span, removal.text)
        }
        _ => remark,
    }
}
