//! A text -> its words, each with what the words around it make of it: said, denied, or said to be in order.

use super::vocabulary::{Does, Vocabulary, stem, vocabulary};
use std::rc::Rc;

/// So many telling words after a denial are denied.
const DENIED: usize = 3;
/// So many telling words beside "new" or "changed" are the part that was.
const RENEWED: usize = 3;

/// What the words around a word make of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sense {
    /// It is said.
    Plain,
    /// It is said not to be.
    Denied,
    /// It is said to be in order, or new.
    Well,
}

/// What a word does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// It tells something.
    Telling,
    /// It carries nothing.
    Filler,
    /// It turns others round.
    Denial,
}

/// A word of a text.
#[derive(Debug, Clone)]
pub(super) struct Word {
    /// In small letters, without apostrophe.
    pub plain: String,
    /// Its stem.
    pub stem: Rc<str>,
    /// Its place among the words; a comma or stop counts as two words.
    pub place: usize,
    /// Its clause.
    pub clause: usize,
    /// Where it stands in the text, in bytes.
    pub bytes: (usize, usize),
    /// The number that it is, alone or with the words before.
    number: Option<u64>,
    /// What it does by itself.
    does: Does,
    /// What it does here.
    pub role: Role,
    /// What the others make of it.
    pub sense: Sense,
}

impl Word {
    fn new(plain: String, place: usize, clause: usize, bytes: (usize, usize), vocabulary: &Vocabulary) -> Word {
        let does = vocabulary.does(&plain);
        let role = match does {
            Does { denies: true, .. } | Does { denies_all: true, .. } => Role::Denial,
            Does { filler: true, .. } => Role::Filler,
            _ => Role::Telling,
        };
        let number = plain.parse().ok().or(does.number);
        let stem = number.map_or_else(|| stem(&plain), size);
        // a clause ends before a word that opens one
        Word { stem, plain, place, clause: clause + usize::from(does.clause), bytes, number, does, role, sense: Sense::Plain }
    }

    /// Whether this word makes the number so many times greater; then it belongs to it.
    fn multiply(&mut self, by: &str, end: usize) -> bool {
        let Some(number) = self.number else { return false };
        let times = match by {
            "hundred" => 100,
            "thousand" | "k" => 1000,
            "grand" if number <= 12 => 1000,
            _ => return false,
        };
        let number = number.saturating_mul(times);
        (self.number, self.stem, self.bytes.1) = (Some(number), size(number), end);
        true
    }

    /// Whether it tells something.
    pub(super) fn tells(&self) -> bool {
        self.role == Role::Telling
    }

    /// Whether it says by itself that something is in order or was renewed.
    pub(super) fn says_well(&self) -> bool {
        self.tells() && (self.does.well || self.does.done || self.does.new)
    }
}

/// Numbers are heard by their size: a speed or a temperature, low revs, revs, high revs, a distance.
fn size(number: u64) -> Rc<str> {
    match number {
        0..=12 => number.to_string().into(),
        13..=199 => "up to 199".into(),
        200..=799 => "up to 799".into(),
        800..=1999 => "up to 1999".into(),
        2000..=9999 => "up to 9999".into(),
        _ => "10000 and more".into(),
    }
}

/// The words of a text.
pub(super) fn words(text: &str) -> Vec<Word> {
    let vocabulary = vocabulary();
    let mut words = split(text, vocabulary);
    join(&mut words, vocabulary);
    silence(&mut words, vocabulary);
    deny(&mut words);
    let mut from = 0;
    while from < words.len() {
        let clause = words[from].clause;
        let to = from + words[from..].iter().take_while(|w| w.clause == clause).count();
        settle(&mut words[from..to]);
        from = to;
    }
    words
}

fn split(text: &str, vocabulary: &Vocabulary) -> Vec<Word> {
    let mut out: Vec<Word> = Vec::new();
    let (mut place, mut clause) = (0, 0);
    let in_word = |c: char| c.is_alphanumeric() || matches!(c, '\'' | '’');
    let mut from = 0;
    while let Some(first) = text[from..].chars().next() {
        let length: usize = text[from..].chars().take_while(|c| in_word(*c)).map(char::len_utf8).sum();
        if length == 0 {
            let ends = matches!(first, ',' | '.' | ';' | ':' | '!' | '?' | '\n');
            // a point between figures is no stop
            let next = text[from + first.len_utf8()..].chars().next();
            if ends && !(matches!(first, '.' | ',') && next.is_some_and(|c| c.is_ascii_digit())) {
                clause += 1;
                place += 2;
            }
            from += first.len_utf8();
            continue;
        }
        let plain = plain(&text[from..from + length]);
        let whole = (from, from + length);
        if out.last_mut().is_some_and(|last| last.place + 1 == place && last.multiply(&plain, whole.1)) {
            // "fifteen hundred" is one word
        } else if !plain.is_empty() {
            let word = Word::new(plain, place, clause, whole, vocabulary);
            clause = word.clause;
            out.push(word);
            place += 1;
        }
        from += length;
    }
    out
}

/// A word in small letters, without apostrophe.
fn plain(word: &str) -> String {
    if word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit()) {
        return word.to_string();
    }
    word.to_lowercase().replace(['\'', '’'], "")
}

/// "At the lights" is one word, and no lamp.
fn join(words: &mut Vec<Word>, vocabulary: &Vocabulary) {
    let mut from = 0;
    while from < words.len() {
        let clause = words[from].clause;
        let stands = |run: &[String]| {
            let here = words.get(from..from + run.len());
            here.is_some_and(|here| here.iter().zip(run).all(|(w, wanted)| w.plain == *wanted && w.clause == clause))
        };
        let found = words[from].does.begins.then(|| vocabulary.one_word.iter().find(|(run, _)| stands(run))).flatten();
        if let Some((run, stem)) = found {
            let end = words[from + run.len() - 1].bytes.1;
            words.drain(from + 1..from + run.len());
            let word = &mut words[from];
            (word.plain, word.stem, word.role, word.bytes.1) = (run.join(" "), stem.as_str().into(), Role::Telling, end);
            word.does = Does::default();
        }
        from += 1;
    }
}

/// "Hot or cold": neither is told.
fn silence(words: &mut [Word], vocabulary: &Vocabulary) {
    for from in (0..words.len()).filter(|from| words[*from].does.begins).collect::<Vec<_>>() {
        for run in &vocabulary.either_way {
            let here = words[from..].iter().take(run.len());
            if run.len() <= here.len() && here.zip(run).all(|(word, wanted)| word.plain == *wanted) {
                words[from..from + run.len()].iter_mut().for_each(|w| w.role = Role::Filler);
            }
        }
    }
}

fn deny(words: &mut [Word]) {
    let (mut left, mut clause, mut last) = (0, 0, 0);
    for word in words {
        let comma = word.place > last + 1;
        if comma || word.clause != clause || word.does.parts {
            left = 0;
        }
        (clause, last) = (word.clause, word.place);
        match word.role {
            Role::Denial => left = DENIED,
            Role::Telling if left > 0 => {
                word.sense = Sense::Denied;
                left = if word.does.cure { 0 } else { left - 1 };
            }
            _ => {}
        }
    }
}

/// What one clause says of its words.
fn settle(words: &mut [Word]) {
    for at in 0..words.len() {
        let does = words[at].does;
        if does.denies_all {
            let before = words[..at].iter_mut().rev().take_while(|w| !w.does.parts);
            before.filter(|w| w.tells() && w.sense == Sense::Plain).for_each(|w| w.sense = Sense::Denied);
        }
        if does.done || does.new {
            let (before, after) = words.split_at_mut(at);
            let beside: Vec<&mut Word> = if does.new { after[1..].iter_mut().collect() } else { before.iter_mut().rev().collect() };
            let ends = |w: &&mut Word| w.does.parts || w.role == Role::Denial;
            let near = beside.into_iter().take_while(|w| !ends(w)).filter(|w| w.tells());
            near.take(RENEWED).for_each(|w| w.sense = Sense::Well);
        }
        // "kettle-like whistle: no"
        if at + 1 == words.len() && matches!(words[at].plain.as_str(), "no" | "none") {
            words[..at].iter_mut().filter(|w| w.tells()).for_each(|w| w.sense = Sense::Denied);
        }
        if does.loss && words[at].sense == Sense::Denied {
            words.iter_mut().for_each(|w| w.sense = Sense::Well);
        }
        let denied = at > 0 && words[at - 1].role == Role::Denial;
        if does.well && !denied && words[at].sense != Sense::Denied && words[at].tells() {
            words.iter_mut().for_each(|w| w.sense = Sense::Well);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn senses(text: &str) -> String {
        let mark = |w: &Word| match w.sense {
            Sense::Plain => w.plain.clone(),
            Sense::Denied => format!("!{}", w.plain),
            Sense::Well => format!("={}", w.plain),
        };
        words(text).iter().filter(|w| w.tells()).map(mark).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn what_the_words_around_make_of_a_word() {
        assert_eq!(senses("It won't start when it's hot"), "!start hot");
        assert_eq!(senses("The clutch doesn't slip"), "!clutch !slip");
        assert_eq!(senses("no smoke, lots of noise"), "!smoke lots noise");
        assert_eq!(senses("brakes are fine but it pulls left"), "=brakes =fine but pulls left");
        assert_eq!(senses("not fine"), "!fine");
        assert_eq!(senses("new fuel pump and it still stalls"), "=new =fuel =pump still stalls".replace("=new", "new"));
        assert_eq!(senses("the new sensor did not cure the shake"), "!new =sensor !cure shake");
        assert_eq!(senses("smells at the traffic lights"), "smells at the traffic lights");
        assert_eq!(words("at the lights")[0].stem, words("at traffic lights")[0].stem);
        assert_eq!(senses("quoted for a turbo but it whistles"), "quoted =turbo but whistles");
        assert_eq!(senses("it has not lost any power"), "=lost =power");
        assert_eq!(senses("blue smoke no, white smoke yes"), "!blue !smoke white smoke");
        assert_eq!(senses("shakes, hot or cold"), "shakes");
        assert_eq!(senses("drinks 9.5 litres"), "drinks 9 5 litres");
        assert_eq!(senses(""), "");
    }

    #[test]
    fn numbers_are_heard_by_their_size() {
        let stems = |text: &str| words(text).iter().filter(|w| w.tells()).map(|w| w.stem.clone()).collect::<Vec<_>>();
        assert_eq!(stems("idles at fifteen hundred"), stems("idles at 1500"));
        assert_eq!(stems("stuck at 3 thousand"), stems("stuck at 2 grand"));
        assert_ne!(stems("idles at 400"), stems("idles at 1500"));
        assert_eq!(stems("runs on three"), stems("runs on 3"));
        assert_eq!(stems("99999999999999999999999 revs").len(), 2);
    }
}
