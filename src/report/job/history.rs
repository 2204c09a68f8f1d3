//! The journal in words: every entry in order, those taken back marked as such.

use super::case::Case;
use crate::book::{Book, Headed};
use crate::job::Entry;
use schemars::JsonSchema;
use serde::Serialize;

/// One entry of the journal.
#[derive(Debug, Serialize, JsonSchema)]
pub struct EntryDocument {
    /// When, UTC, as written.
    pub at: String,
    /// First figures of the digest of the book it was given under.
    pub book: String,
    /// What was asked, as written.
    pub ask: String,
    /// What was asked, in words.
    pub what: String,
    /// The answer, as written.
    pub answer: String,
    /// The answer in words: the titles of what is so, and of what is not.
    pub words: String,
    /// Whether it was taken back later.
    pub taken_back: bool,
}

/// The whole journal.
pub fn history(case: &Case) -> Vec<EntryDocument> {
    let gone = taken_back(&case.sheet.journal);
    let one = |(i, e): (usize, &Entry)| EntryDocument {
        at: e.at.clone(),
        book: e.book.clone(),
        ask: e.ask.clone(),
        what: what(case.book, e),
        words: words(case.book, e),
        answer: e.answer.clone(),
        taken_back: gone.contains(&i),
    };
    case.sheet.journal.iter().enumerate().map(one).collect()
}

/// Numbers of the entries that a later `back` takes away; the same rule as [`crate::job::effective`].
fn taken_back(entries: &[Entry]) -> Vec<usize> {
    let (mut kept, mut gone) = (Vec::new(), Vec::new());
    for (i, entry) in entries.iter().enumerate() {
        match entry.ask.as_str() {
            "back" => gone.extend(kept.pop()),
            "note" | "attach" => {}
            _ => kept.push(i),
        }
    }
    gone
}

/// Answers to a list, `+a -b`, by their titles; any other as written.
fn words(book: &Book, entry: &Entry) -> String {
    let chosen = matches!(entry.ask.as_str(), "unheard" | "which") && entry.answer.starts_with('+');
    let several = matches!(entry.ask.as_str(), "dangers" | "vehicle" | "repaired") || entry.ask.starts_with("gone:");
    if !chosen && !several {
        return entry.answer.clone();
    }
    let title = |name: &str| {
        let symptom = book.findings.find(name).map(|id| book.findings[id].title());
        let fitted = || book.traits.find(name).map(|id| book.traits[id].title());
        let fix = || book.fixes.find(name).map(|id| book.fixes[id].title());
        symptom.or_else(fitted).or_else(fix).unwrap_or(name).to_string()
    };
    let with = |sign: char| entry.answer.split_whitespace().filter_map(|w| w.strip_prefix(sign)).map(title).collect::<Vec<_>>().join("; ");
    let said = [("yes", with('+')), ("no", with('-'))];
    let said: Vec<String> = said.into_iter().filter(|(_, t)| !t.is_empty()).map(|(sign, titles)| format!("{sign}: {titles}")).collect();
    if said.is_empty() { entry.answer.clone() } else { said.join(". ") }
}

/// What was asked, in words; as written where this book has no such name.
fn what(book: &Book, entry: &Entry) -> String {
    let (topic, name) = entry.ask.split_once(':').unwrap_or((&entry.ask, ""));
    let finding = book.findings.find(name).map(|id| book.findings[id].title());
    let words = match topic {
        "symptom" => finding.map(|t| format!("Asked: {t}")),
        "find" => finding.map(|t| format!("Seen: {t}")),
        "proof" => finding.map(|t| format!("Proof: {t}")),
        "again" if !name.is_empty() => finding.map(|t| format!("To be read again: {t}")),
        "settle" => finding.map(|t| format!("Proof read again: {t}")),
        "do" | "prove" => act(book, name),
        "trait" => book.traits.find(name).map(|id| format!("Vehicle: {}", book.traits[id].title())),
        "danger" => book.hazards.find(name).map(|id| format!("Danger dealt with: {}", book.hazards[id].title())),
        "gone" => book.fixes.find(name).map(|id| format!("{}: {}", gone(&entry.answer), book.fixes[id].title())),
        "aftercare" => book.aftercare.find(name).map(|id| format!("After the repair: {}", book.aftercare[id].title())),
        _ => plain(topic).map(String::from),
    };
    words.unwrap_or_else(|| entry.ask.clone())
}

/// Of several symptoms the answer says which are still there, of one whether it is gone.
fn gone(answer: &str) -> &'static str {
    if answer.starts_with(['+', '-']) { "Still there after" } else { "Complaint gone after" }
}

fn act(book: &Book, name: &str) -> Option<String> {
    let check = book.checks.find(name).map(|id| format!("Check: {}", book.checks[id].title()));
    check.or_else(|| book.fixes.find(name).map(|id| format!("Fix: {}", book.fixes[id].title())))
}

fn plain(topic: &str) -> Option<&'static str> {
    Some(match topic {
        "words" => "The customer's words",
        "unheard" => "The customer's words, once more",
        "system" => "Looked for in the system",
        "which" => "Chosen from the list",
        "dangers" => "Dangers asked for",
        "vehicle" => "The vehicle",
        "before" => "Done before",
        "repaired" => "Repaired before",
        "codes" => "Codes stored",
        "again" => "To be tried again: the complaint",
        "scan" => "Every module read, nothing cleared",
        "refer" => "Handed to a specialist",
        "close" => "Closed",
        "note" => "Note",
        "attach" => "Attached",
        "back" => "Went back one answer",
        _ => return None,
    })
}
