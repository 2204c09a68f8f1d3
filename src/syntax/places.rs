//! Every place of a document, to be changed: the one walk over the whole tree.

use super::span::Span;
use super::tree::{Block, Chance, Clause, Condition, Document, Formula, Push, Quantity, Range, Value, Window};

/// Hands each span of a document to `f`.
pub fn each_span(document: &mut Document, f: &mut dyn FnMut(&mut Span)) {
    document.blocks.iter_mut().for_each(|b| block(b, f));
    document.closing.iter_mut().for_each(f);
}

fn block(block: &mut Block, f: &mut dyn FnMut(&mut Span)) {
    f(&mut block.kind.span);
    f(&mut block.name.span);
    f(&mut block.span);
    block.title.iter_mut().for_each(|t| f(&mut t.span));
    block.leading.iter_mut().chain(&mut block.trailing).for_each(&mut *f);
    block.clauses.iter_mut().for_each(|c| clause(c, f));
}

fn clause(clause: &mut Clause, f: &mut dyn FnMut(&mut Span)) {
    f(&mut clause.keyword.span);
    f(&mut clause.span);
    clause.leading.iter_mut().chain(&mut clause.trailing).for_each(&mut *f);
    value(&mut clause.value, f);
}

fn value(value: &mut Value, f: &mut dyn FnMut(&mut Span)) {
    match value {
        Value::Flag => {}
        Value::Texts(words) | Value::Names(words) => words.iter_mut().for_each(|w| f(&mut w.span)),
        Value::Unit(word) | Value::Date(word) => f(&mut word.span),
        Value::Quantity(q) => quantity(q, f),
        Value::Number(number) => f(&mut number.span),
        Value::Hex(byte) => f(&mut byte.span),
        Value::Chance(c) => chance(c, f),
        Value::Pushes { finding, pushes: p } => {
            f(&mut finding.span);
            pushes(p, f);
        }
        Value::Strays(p) => pushes(p, f),
        Value::Links(links) => links.iter_mut().for_each(|(cause, c)| {
            f(&mut cause.span);
            chance(c, f);
        }),
        Value::Cures(cures) => cures.iter_mut().for_each(|(cause, c)| {
            f(&mut cause.span);
            c.iter_mut().for_each(|c| chance(c, f));
        }),
        Value::Proofs(proofs) => proofs.iter_mut().for_each(|(finding, state)| {
            f(&mut finding.span);
            state.iter_mut().for_each(|s| f(&mut s.span));
        }),
        Value::Band { name, ranges } => {
            f(&mut name.span);
            ranges.iter_mut().for_each(|r| range(r, f));
        }
        Value::Hazards { names, states } => names.iter_mut().chain(states).for_each(|w| f(&mut w.span)),
        Value::Condition(c) => condition(c, f),
        Value::Allow { code, reason } => [code, reason].into_iter().for_each(|w| f(&mut w.span)),
        Value::Drop { keyword, words } => std::iter::once(keyword).chain(words).for_each(|w| f(&mut w.span)),
        Value::Window(w) => window(w, f),
        Value::ScaleWord { word, chance: c } => {
            f(&mut word.span);
            chance(c, f);
        }
    }
}

fn quantity(quantity: &mut Quantity, f: &mut dyn FnMut(&mut Span)) {
    f(&mut quantity.span);
    quantity.unit.iter_mut().for_each(|u| f(&mut u.span));
}

fn chance(chance: &mut Chance, f: &mut dyn FnMut(&mut Span)) {
    match chance {
        Chance::Word(word) => f(&mut word.span),
        Chance::Number(number) => f(&mut number.span),
    }
}

fn pushes(pushes: &mut [Push], f: &mut dyn FnMut(&mut Span)) {
    for push in pushes {
        push.state.iter_mut().for_each(|s| f(&mut s.span));
        chance(&mut push.chance, f);
    }
}

fn range(range: &mut Range, f: &mut dyn FnMut(&mut Span)) {
    match range {
        Range::Below(end) | Range::Above(end) => quantity(end, f),
        Range::Between(low, high) => [low, high].into_iter().for_each(|end| quantity(end, f)),
    }
}

fn condition(c: &mut Condition, f: &mut dyn FnMut(&mut Span)) {
    match c {
        Condition::Is(word) => f(&mut word.span),
        Condition::Not(inner) => condition(inner, f),
        Condition::All(parts) | Condition::Any(parts) => parts.iter_mut().for_each(|p| condition(p, f)),
    }
}

fn window(window: &mut Window, f: &mut dyn FnMut(&mut Span)) {
    formula(&mut window.value, f);
    window.holds.iter_mut().for_each(|(channel, r)| {
        f(&mut channel.span);
        range(r, f);
    });
    window.held.iter_mut().for_each(|h| quantity(h, f));
    window.taken.iter_mut().for_each(|t| f(&mut t.span));
}

fn formula(part: &mut Formula, f: &mut dyn FnMut(&mut Span)) {
    match part {
        Formula::Number(number) => f(&mut number.span),
        Formula::Channel(word) => f(&mut word.span),
        Formula::Binary(left, _, right) => [left, right].into_iter().for_each(|p| formula(p, f)),
    }
}
