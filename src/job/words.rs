//! The customer's words -> symptoms they may mean, for a person to say yes or no to. Stems, and one typing slip in longer words.

use crate::book::{Book, Finding, FindingKind, Headed, Id};
use rust_stemmers::{Algorithm, Stemmer};
use std::borrow::Cow;

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
    let plain = plain(phrase);
    let mut places: Vec<usize> = Vec::new();
    let mut denies = false;
    // most phrases part at their first word: the rest of them is not even stemmed
    for word in stems(&plain).filter(|w| !FILLERS.contains(&w.as_ref())) {
        denies |= DENIALS.contains(&word.as_ref());
        places.push(said.iter().position(|s| same(s, &word))?);
    }
    let (first, last) = (*places.iter().min()?, *places.iter().max()?);
    let near = last - first <= places.len() + 4;
    let before = &said[first.saturating_sub(2)..first];
    let denied = before.iter().any(|s| DENIALS.contains(&s.as_str())) && !denies;
    (near && !denied).then_some(places.len())
}

/// Small words, stemmed; an apostrophe is left out, so that `won't` is one word.
pub(super) fn tokens(text: &str) -> Vec<String> {
    stems(&plain(text)).map(Cow::into_owned).collect()
}

fn plain(text: &str) -> String {
    text.to_lowercase().replace(['\'', '’'], "")
}

fn stems(plain: &str) -> impl Iterator<Item = Cow<'_, str>> {
    let stemmer = Stemmer::create(Algorithm::English);
    plain.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).map(move |w| stemmer.stem(w))
}

/// The same word, or one slip away in a word of five letters and more.
pub(super) fn same(said: &str, wanted: &str) -> bool {
    said == wanted || (wanted.len() >= 5 && said.len() >= 4 && strsim::damerau_levenshtein(said, wanted) <= 1)
}
