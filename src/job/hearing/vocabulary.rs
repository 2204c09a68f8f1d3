//! `rules/words.toml`: how people speak, whatever they speak of.

use foldhash::{HashMap, HashSet};
use rust_stemmers::{Algorithm, Stemmer};
use serde::Deserialize;
use std::cell::RefCell;
use std::rc::Rc;
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

/// What a word does in a sentence.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Does {
    /// It carries nothing.
    pub filler: bool,
    /// It turns round what it is said of, and the next words.
    pub denies_all: bool,
    /// It turns round the next words.
    pub denies: bool,
    /// What it is said of is in order.
    pub well: bool,
    /// Denied, it says that all is well.
    pub loss: bool,
    /// The part before it was renewed or looked at.
    pub done: bool,
    /// The part after it was renewed, or somebody wants to renew it.
    pub new: bool,
    /// A denial ends with it.
    pub cure: bool,
    /// A denial ends before it.
    pub parts: bool,
    /// A clause ends before it.
    pub clause: bool,
    /// A run of words that belong together may begin with it.
    pub begins: bool,
    /// It is this number.
    pub number: Option<u64>,
}

/// The words by what they do in a sentence.
#[derive(Debug)]
pub(super) struct Vocabulary {
    /// What each word does that does something, so that a word is looked up once.
    does: HashMap<String, Does>,
    /// Runs of words that say nothing of either.
    pub either_way: Vec<Vec<String>>,
    /// Runs of words that are heard as one, longest first, each with its stem.
    pub one_word: Vec<(Vec<String>, String)>,
    /// Stems that mean nearly the same as a stem.
    pub alike: HashMap<String, HashSet<String>>,
}

/// The words, read once.
pub(super) fn vocabulary() -> &'static Vocabulary {
    static WORDS: OnceLock<Vocabulary> = OnceLock::new();
    WORDS.get_or_init(|| {
        // a test holds that the file can be read; without it people are still heard, only less well
        let file: File = toml::from_str(include_str!("../../../rules/words.toml")).unwrap_or_default();
        let mut alike: HashMap<String, HashSet<String>> = HashMap::default();
        for group in &file.alike {
            let stems: Vec<String> = group.iter().map(|w| stem(w).to_string()).collect();
            for one in &stems {
                alike.entry(one.clone()).or_default().extend(stems.iter().filter(|s| *s != one).cloned());
            }
        }
        Vocabulary {
            does: does(&file),
            either_way: file.either_way.iter().map(|run| run.split_whitespace().map(String::from).collect()).collect(),
            one_word: one_word(&file),
            alike,
        }
    })
}

fn one_word(file: &File) -> Vec<(Vec<String>, String)> {
    let split = |run: &String| run.split_whitespace().map(String::from).collect::<Vec<_>>();
    let line = |line: &Vec<String>| line.iter().map(|run| (split(run), stemmed(&line[0]))).collect::<Vec<_>>();
    let mut out: Vec<_> = file.one_word.iter().flat_map(line).collect();
    out.sort_by_key(|(run, _)| std::cmp::Reverse(run.len()));
    out
}

impl Vocabulary {
    /// What a word in small letters does.
    pub fn does(&self, word: &str) -> Does {
        self.does.get(word).copied().unwrap_or_default()
    }
}

fn does(file: &File) -> HashMap<String, Does> {
    let mut does: HashMap<String, Does> = HashMap::default();
    let mut each = |text: &str, mark: &dyn Fn(&mut Does, u64)| {
        text.split_whitespace().zip(0..).for_each(|(word, at)| mark(does.entry(word.to_string()).or_default(), at));
    };
    each(&file.fillers, &|d, _| d.filler = true);
    each(&file.denials_of_all, &|d, _| d.denies_all = true);
    each(&file.denials, &|d, _| d.denies = true);
    each(&file.well, &|d, _| d.well = true);
    each(&file.losses, &|d, _| d.loss = true);
    each(&file.done, &|d, _| d.done = true);
    each(&file.new, &|d, _| d.new = true);
    each(&file.cures, &|d, _| d.cure = true);
    each(&file.parts, &|d, _| d.parts = true);
    each(&file.clauses, &|d, _| d.clause = true);
    let runs = file.either_way.iter().chain(file.one_word.iter().flatten());
    runs.filter_map(|run| run.split_whitespace().next()).for_each(|first| each(first, &|d, _| d.begins = true));
    each(&file.numbers, &|d, at| d.number = Some(at));
    each(&file.tens, &|d, at| d.number = Some(10 * at));
    does
}

thread_local! {
    /// Stems of words met before: a book speaks of the same things again and again.
    static STEMS: RefCell<HashMap<String, Rc<str>>> = RefCell::default();
}
/// So many stems are kept at most: whoever reads texts all day does not grow.
const MOST_STEMS: usize = 20_000;

/// The stem of a word in small letters.
pub(super) fn stem(word: &str) -> Rc<str> {
    STEMS.with_borrow_mut(|stems| {
        if let Some(stem) = stems.get(word) {
            return Rc::clone(stem);
        }
        if stems.len() >= MOST_STEMS {
            stems.clear();
        }
        let stem: Rc<str> = stemmed(word).into();
        stems.insert(word.to_string(), Rc::clone(&stem));
        stem
    })
}

/// By Porter's second English stemmer; `noisy` is of one root with `noise`: the stemmer leaves it an `i`.
fn stemmed(word: &str) -> String {
    let stem = Stemmer::create(Algorithm::English).stem(word);
    stem.strip_suffix('i').filter(|root| root.len() >= 4).unwrap_or(&stem).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_of_words_can_be_read() {
        let words = vocabulary();
        assert!(words.does("the").filler && words.does("no").denies && words.alike[&*stem("lamp")].contains(&*stem("light")));
        assert_eq!((words.does("twelve").number, words.does("ninety").number), (Some(12), Some(90)));
        assert_eq!(stem("noisy"), stem("noises"));
    }
}
