//! The names of the book for shells that complete words: of the rules that the settings here name, else of the book that ships.

use super::args::Money;
use super::explain::list;
use super::files::load;
use super::settings::Settings;
use crate::book::{Book, shipped};
use crate::lint::codes;
use clap_complete::engine::CompletionCandidate;
use std::path::Path;

/// Kinds of blocks whose names `explain` lists.
const KINDS: &[&str] = &[
    "symptoms",
    "codes",
    "readings",
    "signs",
    "causes",
    "conditions",
    "checks",
    "fixes",
    "hazards",
    "traits",
    "tools",
    "sources",
    "channels",
    "aftercare",
    "access",
    "scales",
];

/// The book; none where the rules are broken: a shell is no place for remarks.
fn book() -> Option<Book> {
    let settings = Settings::find(Path::new("."), &Money::default()).ok()?;
    if settings.rules.is_empty() { shipped::book() } else { load(&settings.rules).ok()?.book }
}

fn of(kinds: &[&str]) -> Vec<CompletionCandidate> {
    let Some(book) = book() else { return vec![] };
    let all = kinds.iter().filter_map(|kind| list(&book, kind)).flatten();
    all.map(|(name, title)| CompletionCandidate::new(name).help(Some(title.into()))).collect()
}

/// Symptoms.
pub fn symptoms() -> Vec<CompletionCandidate> {
    of(&["symptoms"])
}

/// Trouble codes that the rules speak of.
pub fn codes_of_the_book() -> Vec<CompletionCandidate> {
    of(&["codes"])
}

/// Traits.
pub fn traits() -> Vec<CompletionCandidate> {
    of(&["traits"])
}

/// Fixes.
pub fn fixes() -> Vec<CompletionCandidate> {
    of(&["fixes"])
}

/// Causes.
pub fn causes() -> Vec<CompletionCandidate> {
    of(&["causes"])
}

/// Readings, up to their `=`.
pub fn readings() -> Vec<CompletionCandidate> {
    let Some(book) = book() else { return vec![] };
    let all = list(&book, "readings").unwrap_or_default().into_iter();
    all.map(|(name, title)| CompletionCandidate::new(format!("{name}=")).help(Some(title.into()))).collect()
}

/// Signs with each of their states.
pub fn signs() -> Vec<CompletionCandidate> {
    let Some(book) = book() else { return vec![] };
    let signs = book.findings.iter().filter(|(_, f)| f.kind_word() == "sign").map(|(_, f)| f);
    let pairs = signs.flat_map(|f| f.states.iter().map(|s| (format!("{}={s}", f.head.name), f.head.title.clone())));
    pairs.map(|(pair, title)| CompletionCandidate::new(pair).help(Some(title.into()))).collect()
}

/// Whatever `explain` explains.
pub fn explained() -> Vec<CompletionCandidate> {
    let remarks = codes().map(|c| CompletionCandidate::new(c.id).help(Some(c.name.into())));
    let kinds = KINDS.iter().chain(&["lints"]).map(|k| CompletionCandidate::new(*k));
    kinds.chain(of(KINDS)).chain(remarks).collect()
}
