//! The customer's words -> symptoms they may mean, for a person to say yes or no to. Stems, and one typing slip in longer words.

use crate::book::{Book, Finding, FindingKind, Headed, Id};
use rust_stemmers::{Algorithm, Stemmer};

/// Words that carry no symptom.
pub(super) const FILLERS: &[&str] = &[
    "the", "a", "an", "it", "is", "of", "in", "on", "at", "to", "and", "my", "i", "when", "up", "from", "for", "with", "its", "has",
    "have", "was",
];
/// Words that turn the next ones round.
const DENIALS: &[&str] = &["no", "not", "without", "never", "isnt", "doesnt"];

/// Symptoms whose title or `heard` words stand in the complaint, best first, with the words that matched.
pub fn listen(book: &Book, complaint: &str) -> Vec<(Id<Finding>, String)> {
    let said = tokens(complaint);
    let mut found: Vec<(usize, Id<Finding>, String)> = Vec::new();
    for (id, finding) in book.findings.iter() {
        let FindingKind::Symptom { heard, .. } = &finding.kind else { continue };
        let phrases = heard.iter().map(String::as_str).chain([finding.title()]);
        let best = phrases.filter_map(|p| matches(&said, p).map(|n| (n, p.to_string()))).max();
        if let Some((strength, phrase)) = best {
            found.push((strength, id, phrase));
        }
    }
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    found.into_iter().map(|(_, id, phrase)| (id, phrase)).collect()
}

/// How many words of the phrase were said near each other and not denied; none unless all were.
pub(super) fn matches(said: &[String], phrase: &str) -> Option<usize> {
    let wanted = tokens(phrase);
    let wanted: Vec<&String> = wanted.iter().filter(|w| !FILLERS.contains(&w.as_str())).collect();
    let places: Vec<usize> = wanted.iter().map(|w| said.iter().position(|s| same(s, w))).collect::<Option<_>>()?;
    let (first, last) = (*places.iter().min()?, *places.iter().max()?);
    let near = last - first <= wanted.len() + 4;
    let before = &said[first.saturating_sub(2)..first];
    let denied = before.iter().any(|s| DENIALS.contains(&s.as_str())) && !wanted.iter().any(|w| DENIALS.contains(&w.as_str()));
    (near && !denied).then_some(wanted.len())
}

/// Small words, stemmed; an apostrophe is left out, so that `won't` is one word.
pub(super) fn tokens(text: &str) -> Vec<String> {
    let stemmer = Stemmer::create(Algorithm::English);
    let plain: String = text.to_lowercase().chars().filter(|c| *c != '\'' && *c != '’').collect();
    plain.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(|w| stemmer.stem(w).into_owned()).collect()
}

/// The same word, or one slip away in a word of five letters and more.
pub(super) fn same(said: &str, wanted: &str) -> bool {
    said == wanted || (wanted.len() >= 5 && said.len() >= 4 && strsim::damerau_levenshtein(said, wanted) <= 1)
}
