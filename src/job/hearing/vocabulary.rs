//! `rules/words.toml`: how people speak, whatever they speak of.

use rust_stemmers::{Algorithm, Stemmer};
use serde::Deserialize;
use std::collections::{HashMap, HashSet};
use std::sync::OnceLock;

#[derive(Debug, Default, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct File {
    fillers: String,
    denials_of_all: String,
    denials: String,
    well: String,
    losses: String,
    done: String,
    new: String,
    cures: String,
    parts: String,
    clauses: String,
    either_way: Vec<String>,
    one_word: Vec<Vec<String>>,
    numbers: String,
    tens: String,
    alike: Vec<Vec<String>>,
}

/// The words by what they do in a sentence.
#[derive(Debug)]
pub(super) struct Vocabulary {
    /// They carry nothing.
    pub fillers: HashSet<String>,
    /// They turn round what they are said of, and the next words.
    pub denials_of_all: HashSet<String>,
    /// They turn round the next words.
    pub denials: HashSet<String>,
    /// What they are said of is in order.
    pub well: HashSet<String>,
    /// Denied, they say that all is well.
    pub losses: HashSet<String>,
    /// The part before them was renewed or looked at.
    pub done: HashSet<String>,
    /// The part after them was renewed, or somebody wants to renew it.
    pub new: HashSet<String>,
    /// A denial ends with them.
    pub cures: HashSet<String>,
    /// A denial ends before them.
    pub parts: HashSet<String>,
    /// A clause ends before them.
    pub clauses: HashSet<String>,
    /// Runs of words that say nothing of either.
    pub either_way: Vec<Vec<String>>,
    /// Runs of words that are heard as one, longest first, each with its stem.
    pub one_word: Vec<(Vec<String>, String)>,
    /// Numbers in words.
    pub numbers: HashMap<String, u64>,
    /// Stems that mean nearly the same as a stem.
    pub alike: HashMap<String, HashSet<String>>,
}

/// The words, read once.
pub(super) fn vocabulary() -> &'static Vocabulary {
    static WORDS: OnceLock<Vocabulary> = OnceLock::new();
    WORDS.get_or_init(|| {
        // a test holds that the file can be read; without it people are still heard, only less well
        let file: File = toml::from_str(include_str!("../../../rules/words.toml")).unwrap_or_default();
        let set = |text: &str| text.split_whitespace().map(String::from).collect::<HashSet<String>>();
        let mut alike: HashMap<String, HashSet<String>> = HashMap::new();
        for group in &file.alike {
            let stems: Vec<String> = group.iter().map(|w| stem(w)).collect();
            for one in &stems {
                alike.entry(one.clone()).or_default().extend(stems.iter().filter(|s| *s != one).cloned());
            }
        }
        Vocabulary {
            fillers: set(&file.fillers),
            denials_of_all: set(&file.denials_of_all),
            denials: set(&file.denials),
            well: set(&file.well),
            losses: set(&file.losses),
            done: set(&file.done),
            new: set(&file.new),
            cures: set(&file.cures),
            parts: set(&file.parts),
            clauses: set(&file.clauses),
            either_way: file.either_way.iter().map(|run| run.split_whitespace().map(String::from).collect()).collect(),
            one_word: one_word(&file),
            numbers: numbers(&file),
            alike,
        }
    })
}

fn one_word(file: &File) -> Vec<(Vec<String>, String)> {
    let split = |run: &String| run.split_whitespace().map(String::from).collect::<Vec<_>>();
    let line = |line: &Vec<String>| line.iter().map(|run| (split(run), stem(&line[0]))).collect::<Vec<_>>();
    let mut out: Vec<_> = file.one_word.iter().flat_map(line).collect();
    out.sort_by_key(|(run, _)| std::cmp::Reverse(run.len()));
    out
}

fn numbers(file: &File) -> HashMap<String, u64> {
    let ones = file.numbers.split_whitespace().zip(0..);
    let tens = file.tens.split_whitespace().zip((0..).step_by(10));
    ones.chain(tens).map(|(word, number)| (word.to_string(), number)).collect()
}

/// The stem of a word in small letters (Porter's second English stemmer); `noisy` is of one root with `noise`: the stemmer leaves it an `i`.
pub(super) fn stem(word: &str) -> String {
    let stem = Stemmer::create(Algorithm::English).stem(word);
    stem.strip_suffix('i').filter(|root| root.len() >= 4).unwrap_or(&stem).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_of_words_can_be_read() {
        let words = vocabulary();
        assert!(words.fillers.contains("the") && words.denials.contains("no") && words.alike[&stem("lamp")].contains(&stem("light")));
        assert_eq!((words.numbers["twelve"], words.numbers["ninety"]), (12, 90));
        assert_eq!(stem("noisy"), stem("noises"));
    }
}
