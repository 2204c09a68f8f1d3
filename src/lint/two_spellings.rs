//! One unit in two spellings.

use super::mixed_units::{ends, same};
use super::prelude::*;
use indexmap::IndexMap;

pub const LINT: Lint = Lint::texts("FB205", "two-spellings", Severity::Note, check);

fn check(texts: &Texts, found: &mut Vec<Remark>) {
    let mut spellings: IndexMap<&str, Vec<&Word>> = IndexMap::new();
    for word in texts.own_blocks().flat_map(|b| &b.clauses).flat_map(units) {
        spellings.entry(&word.value).or_default().push(word);
    }
    let mut usual: Vec<(&str, usize)> = spellings.iter().map(|(s, words)| (*s, words.len())).collect();
    // of two that are as frequent the shorter one is the trade's
    usual.sort_by_key(|(spelling, count)| (std::cmp::Reverse(*count), spelling.len()));
    for (at, (spelling, _)) in usual.iter().enumerate() {
        let Some((better, count)) = usual[..at].iter().find(|(better, _)| same(better, spelling)) else { continue };
        found.push(remark(spelling, better, *count, &spellings[spelling]));
    }
}

fn remark(spelling: &str, better: &str, count: usize, places: &[&Word]) -> Remark {
    let message = format!("`{spelling}` is spelled `{better}` elsewhere in these rules, {count} time{}", if count == 1 { "" } else { "s" });
    let label = if places.len() == 1 { "only here".to_string() } else { format!("here, and {} more", places.len() - 1) };
    let remark = Remark::new(LINT.code, message, places[0].span, label).help(format!("write `{better}` throughout"));
    places.iter().fold(remark, |remark, place| remark.edit(place.span, better))
}

/// The units in a clause.
fn units(clause: &Clause) -> Vec<&Word> {
    match &clause.value {
        Value::Unit(word) => vec![word],
        Value::Quantity(quantity) => quantity.unit.iter().collect(),
        Value::Band { ranges, .. } => ranges.iter().flat_map(ends).filter_map(|q| q.unit.as_ref()).collect(),
        Value::Window(window) => {
            let holds = window.holds.iter().flat_map(|(_, range)| ends(range)).filter_map(|q| q.unit.as_ref());
            holds.chain(window.held.iter().filter_map(|h| h.unit.as_ref())).collect()
        }
        _ => vec![],
    }
}
