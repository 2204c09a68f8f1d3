//! A sheet of an older book under a newer one: which of its answers no longer have a place.

use crate::book::Book;
use crate::job::{Entry, JobSheet, effective};

/// What the answers that still count ask for and this book no longer has, as the journal names it, each once.
pub fn without_place<'s>(book: &Book, sheet: &'s JobSheet) -> Vec<&'s str> {
    let mut out: Vec<&str> = Vec::new();
    for entry in effective(&sheet.journal) {
        if !has_place(book, entry) && !out.contains(&entry.ask.as_str()) {
            out.push(&entry.ask);
        }
    }
    out
}

fn has_place(book: &Book, entry: &Entry) -> bool {
    let Some((topic, name)) = entry.ask.split_once(':') else { return signed(book, entry) };
    match topic {
        "symptom" => book.findings.find(name).is_some(),
        "find" | "proof" => book.findings.find(name).is_some_and(|id| {
            let finding = &book.findings[id];
            entry.answer == "not-seen" || finding.gauge().is_some() || finding.state(&entry.answer).is_some()
        }),
        "trait" => book.traits.find(name).is_some(),
        "settle" | "again" => book.findings.find(name).is_some(),
        "gone" => book.fixes.find(name).is_some(),
        "do" => book.checks.find(name).is_some() || book.fixes.find(name).is_some(),
        "danger" => book.hazards.find(name).is_some(),
        "aftercare" => book.aftercare.find(name).is_some(),
        _ => true,
    }
}

/// Several answers at once: each name must still be there.
fn signed(book: &Book, entry: &Entry) -> bool {
    let mut names = entry.answer.split_whitespace().filter_map(|word| word.strip_prefix(['+', '-']));
    match entry.ask.as_str() {
        // else these are free words
        "unheard" | "which" if !entry.answer.starts_with('+') => true,
        "dangers" | "unheard" | "which" => names.all(|n| book.findings.find(n).is_some()),
        "vehicle" => names.all(|n| book.traits.find(n).is_some()),
        "repaired" => names.all(|n| book.fixes.find(n).is_some()),
        _ => true,
    }
}
