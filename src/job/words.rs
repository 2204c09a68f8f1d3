//! The customer's words -> symptoms they may mean, for a person to say yes or no to. Stems, and one typing slip in longer words.

use crate::book::{Book, Finding, FindingKind, Headed, Id};
use rust_stemmers::{Algorithm, Stemmer};
use std::cell::OnceCell;
use std::collections::{HashMap, HashSet};

/// Words that carry no symptom.
const FILLERS: &[&str] = &[
    "the", "a", "an", "it", "is", "of", "in", "on", "at", "to", "and", "my", "i", "when", "up", "from", "for", "with", "its", "has",
    "have", "was",
];
/// Words that turn the next ones round.
const DENIALS: &[&str] = &["no", "not", "without", "never", "isnt", "doesnt"];
/// A word with fewer letters is heard as it is spelled: `still` is no `stall`, `small` no `smell`.
const SLIPS_FROM: usize = 6;
/// So many symptoms are offered where none is heard.
const NEAR: usize = 5;

/// A word as it is compared.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Token {
    /// Its stem, in small letters.
    pub stem: String,
    /// As it was written, in small letters.
    word: String,
}

/// What somebody said, to be compared with the phrases of a book.
pub(super) struct Said<'b> {
    book: &'b Book,
    words: Vec<Token>,
    /// The stems of all words that the book hears; only needed where one word may be a slip for another.
    known: OnceCell<HashSet<String>>,
}

/// Symptoms whose title or `heard` words stand in the complaint, best first, with the words that matched.
pub fn listen(book: &Book, complaint: &str) -> Vec<(Id<Finding>, String)> {
    let said = Said::new(book, complaint);
    let mut found: Vec<(usize, Id<Finding>, String)> = Vec::new();
    for (id, finding) in book.findings.iter() {
        let best = phrases(finding).filter_map(|p| said.matches(p).map(|n| (n, p.to_string()))).max();
        if let Some((strength, phrase)) = best {
            found.push((strength, id, phrase));
        }
    }
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    found.into_iter().map(|(_, id, phrase)| (id, phrase)).collect()
}

/// Of these symptoms those that share most with the words, best first: words that few symptoms share count most (inverse document frequency, Spärck Jones 1972).
pub fn nearest_symptoms(book: &Book, words: &str, among: impl Fn(Id<Finding>) -> bool) -> Vec<Id<Finding>> {
    let said = Said::new(book, words);
    let all: Vec<(Id<Finding>, HashSet<Token>)> = book
        .findings
        .iter()
        .filter(|(_, f)| matches!(f.kind, FindingKind::Symptom { .. }))
        .map(|(id, f)| (id, phrases(f).chain(f.question()).flat_map(telling).collect()))
        .collect();
    let mut held: HashMap<&str, usize> = HashMap::new();
    for (_, tokens) in &all {
        let stems: HashSet<&str> = tokens.iter().map(|t| t.stem.as_str()).collect();
        stems.into_iter().for_each(|s| *held.entry(s).or_default() += 1);
    }
    let tells = |stem: &str| (all.len() as f64 / held[stem] as f64).ln();
    // each word said counts once, however often the symptom has it
    let shared = |tokens: &HashSet<Token>, word: &Token| {
        let same = tokens.iter().filter(|t| said.same(word, t)).map(|t| tells(&t.stem));
        same.fold(0.0, f64::max)
    };
    let score = |tokens: &HashSet<Token>| said.words.iter().map(|w| shared(tokens, w)).sum::<f64>();
    let mut near: Vec<(f64, Id<Finding>)> =
        all.iter().filter(|(id, _)| among(*id)).map(|(id, tokens)| (score(tokens), *id)).filter(|(s, _)| *s > 0.0).collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    near.into_iter().take(NEAR).map(|(_, id)| id).collect()
}

/// The few symptoms that a name which is none may stand for, read as words: `no-power` is heard as `low-power`. None where nothing is near.
pub fn symptoms_like(book: &Book, name: &str) -> Option<String> {
    let words = name.replace(['-', '_'], " ");
    let heard: Vec<Id<Finding>> = listen(book, &words).into_iter().map(|(id, _)| id).collect();
    let ids = if heard.is_empty() { nearest_symptoms(book, &words, |_| true) } else { heard };
    let names: Vec<String> = ids.iter().take(3).map(|id| format!("`{}`", book.findings[*id].name())).collect();
    (!names.is_empty()).then(|| names.join(" or "))
}

/// What customers say of a symptom, and its title; nothing of other findings.
fn phrases(finding: &Finding) -> impl Iterator<Item = &str> {
    let heard = match &finding.kind {
        FindingKind::Symptom { heard, .. } => Some(heard.iter().map(String::as_str).chain([finding.title()])),
        _ => None,
    };
    heard.into_iter().flatten()
}

impl<'b> Said<'b> {
    pub(super) fn new(book: &'b Book, text: &str) -> Said<'b> {
        Said { book, words: tokens(text), known: OnceCell::new() }
    }

    /// How many words of the phrase were said near each other and not denied; none unless all were.
    pub(super) fn matches(&self, phrase: &str) -> Option<usize> {
        let plain = plain(phrase);
        let mut places: Vec<usize> = Vec::new();
        let mut denies = false;
        // most phrases part at their first word: the rest of them is not even stemmed
        for word in stems(&plain).filter(|t| !FILLERS.contains(&t.stem.as_str())) {
            denies |= DENIALS.contains(&word.stem.as_str());
            places.push(self.words.iter().position(|s| self.same(s, &word))?);
        }
        let (first, last) = (*places.iter().min()?, *places.iter().max()?);
        let near = last - first <= places.len() + 4;
        let before = &self.words[first.saturating_sub(2)..first];
        let denied = before.iter().any(|s| DENIALS.contains(&s.stem.as_str())) && !denies;
        (near && !denied).then_some(places.len())
    }

    /// Whether a word was said.
    pub(super) fn holds(&self, wanted: &Token) -> bool {
        self.words.iter().any(|s| self.same(s, wanted))
    }

    /// The same word; or one slip away, where both are long and what was said is no word that the book hears itself.
    fn same(&self, said: &Token, wanted: &Token) -> bool {
        let long = |t: &Token| t.word.chars().count() >= SLIPS_FROM;
        let near = |a: &str, b: &str| strsim::damerau_levenshtein(a, b) <= 1;
        // a slip may spoil the stem: `gutles` has another one than `gutless`
        let slip = || near(&said.stem, &wanted.stem) || near(&said.word, &wanted.word);
        said.stem == wanted.stem || (long(said) && long(wanted) && slip() && !self.known(&said.stem))
    }

    fn known(&self, stem: &str) -> bool {
        let all = || {
            let fixes = self.book.fixes.iter().flat_map(|(_, f)| f.heard.iter().map(String::as_str).chain([f.title()]));
            let phrases = self.book.findings.iter().flat_map(|(_, f)| phrases(f)).chain(fixes);
            phrases.flat_map(tokens).map(|t| t.stem).collect()
        };
        self.known.get_or_init(all).contains(stem)
    }
}

/// The words of a text; an apostrophe is left out, so that `won't` is one word.
fn tokens(text: &str) -> Vec<Token> {
    stems(&plain(text)).collect()
}

/// The words of a text that may tell something.
pub(super) fn telling(text: &str) -> Vec<Token> {
    let mut all = tokens(text);
    all.retain(|t| !FILLERS.contains(&t.stem.as_str()) && !DENIALS.contains(&t.stem.as_str()));
    all
}

fn plain(text: &str) -> String {
    text.to_lowercase().replace(['\'', '’'], "")
}

fn stems(plain: &str) -> impl Iterator<Item = Token> + '_ {
    let stemmer = Stemmer::create(Algorithm::English);
    let words = plain.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.map(move |w| Token { stem: root(&stemmer.stem(w)).to_string(), word: w.to_string() })
}

/// `noisy` is of one root with `noise`, `sooty` with `soot`: the stemmer leaves them an `i`.
fn root(stem: &str) -> &str {
    stem.strip_suffix('i').filter(|root| root.len() >= 4).unwrap_or(stem)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::shipped;

    fn book() -> Book {
        shipped::book().unwrap()
    }

    fn heard(book: &Book, words: &str) -> Vec<String> {
        listen(book, words).into_iter().map(|(id, _)| book.findings[id].name().to_string()).collect()
    }

    /// The rule of before: one slip in every word of which five letters of the stem are left.
    fn loose(said: &Token, wanted: &Token) -> bool {
        let slip = wanted.stem.len() >= 5 && said.stem.len() >= 4;
        said.stem == wanted.stem || (slip && strsim::damerau_levenshtein(&said.stem, &wanted.stem) <= 1)
    }

    /// Every word that the book hears, said, is taken for no other word of the book; of the rule of before this does not hold.
    #[test]
    fn no_word_of_the_book_is_taken_for_another() {
        let book = book();
        let all: Vec<&str> = book.findings.iter().flat_map(|(_, f)| phrases(f)).collect();
        let words: HashSet<Token> = all.iter().flat_map(|p| telling(p)).collect();
        let said = Said::new(&book, &all.join(" "));
        let slips = |same: &dyn Fn(&Token, &Token) -> bool| {
            let pairs = words.iter().flat_map(|a| words.iter().map(move |b| (a, b)));
            pairs.filter(|(a, b)| a.stem != b.stem && same(a, b)).map(|(a, b)| format!("{}/{}", a.stem, b.stem)).collect::<Vec<_>>()
        };
        let (before, now) = (slips(&loose), slips(&|a, b| said.same(a, b)));
        assert!(words.len() > 300 && !before.is_empty(), "there is something to confuse");
        assert_eq!(now, Vec::<String>::new());
    }

    #[test]
    fn short_words_are_heard_as_they_are_spelled() {
        let book = book();
        assert!(!heard(&book, "it is still fine").iter().any(|s| s.contains("stall")));
        assert!(!heard(&book, "a small noise of fuel").contains(&"fuel-smell".to_string()));
        assert_eq!(tokens("noisy")[0].stem, tokens("noises")[0].stem);
        assert!(heard(&book, "Smells of fuel").contains(&"fuel-smell".to_string()), "the same stem");
    }

    #[test]
    fn a_slip_in_a_long_word_is_still_heard() {
        let book = book();
        for (right, slipped) in [("gutless", "gutles"), ("sluggish", "slugish"), ("overheats", "ovreheats")] {
            assert!(!heard(&book, right).is_empty(), "{right}");
            assert_eq!(heard(&book, slipped), heard(&book, right), "{slipped}");
        }
    }

    #[test]
    fn what_is_not_heard_has_near_symptoms() {
        let book = book();
        let words = "there is this odd whistling business going on from the turbo";
        let near = nearest_symptoms(&book, words, |_| true);
        assert!((1..=NEAR).contains(&near.len()));
        assert!(near.iter().any(|id| book.findings[*id].name() == "air-whistle"), "{near:?}");
        assert!(nearest_symptoms(&book, "xyzzy", |_| true).is_empty());
        assert!(nearest_symptoms(&book, words, |_| false).is_empty());
    }
}
