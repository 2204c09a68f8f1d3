//! Reading the clauses of one block by keyword, without looking anything up.

use crate::syntax::{Block, Chance, Clause, Condition, Keyword, Quantity, Span, Spanned, Value, Word};

/// Every clause of that keyword.
pub fn every(block: &Block, keyword: Keyword) -> impl Iterator<Item = &Clause> {
    block.clauses.iter().filter(move |c| c.keyword.value == keyword)
}

/// The clause of that keyword, where it may stand once.
pub fn one(block: &Block, keyword: Keyword) -> Option<&Clause> {
    every(block, keyword).next()
}

/// The names in all clauses of that keyword.
pub fn names(block: &Block, keyword: Keyword) -> Vec<&Word> {
    every(block, keyword)
        .flat_map(|c| match &c.value {
            Value::Names(names) | Value::Hazards { names, .. } => names.iter().collect::<Vec<_>>(),
            _ => vec![],
        })
        .collect()
}

/// The prose in all clauses of that keyword.
pub fn texts(block: &Block, keyword: Keyword) -> Vec<String> {
    every(block, keyword)
        .flat_map(|c| match &c.value {
            Value::Texts(texts) => texts.iter().map(|t| t.value.clone()).collect(),
            Value::Date(day) => vec![day.value.clone()],
            _ => vec![],
        })
        .collect()
}

/// The prose of the first clause of that keyword.
pub fn text(block: &Block, keyword: Keyword) -> Option<String> {
    texts(block, keyword).into_iter().next()
}

/// The quantity after that keyword.
pub fn quantity(block: &Block, keyword: Keyword) -> Option<&Quantity> {
    match &one(block, keyword)?.value {
        Value::Quantity(quantity) => Some(quantity),
        _ => None,
    }
}

/// The bare number after that keyword.
pub fn number(block: &Block, keyword: Keyword) -> Option<&Spanned<f64>> {
    match &one(block, keyword)?.value {
        Value::Number(number) => Some(number),
        _ => None,
    }
}

/// The causes in all clauses of that keyword, each with its chance where one is given.
pub fn cures(block: &Block) -> impl Iterator<Item = &(Word, Option<Chance>)> {
    every(block, Keyword::Cures).flat_map(|c| match &c.value {
        Value::Cures(cures) => cures.as_slice(),
        _ => &[],
    })
}

/// The condition after `when`.
pub fn condition(block: &Block) -> Option<(&Condition, Span)> {
    let clause = one(block, Keyword::When)?;
    match &clause.value {
        Value::Condition(condition) => Some((condition, clause.span)),
        _ => None,
    }
}
