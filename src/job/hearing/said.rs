//! A text -> its words, each with what the words around it make of it: said, denied, or said to be in order.

use super::vocabulary::{Vocabulary, stem, vocabulary};

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
    pub stem: String,
    /// Its place among the words; a comma or stop counts as two words.
    pub place: usize,
    /// Its clause.
    pub clause: usize,
    /// Where it stands in the text, in bytes.
    pub bytes: (usize, usize),
    /// What it does.
    pub role: Role,
    /// What the others make of it.
    pub sense: Sense,
}

impl Word {
    /// Whether it tells something.
    pub(super) fn tells(&self) -> bool {
        self.role == Role::Telling
    }

    /// Whether it says by itself that something is in order or was renewed.
    pub(super) fn says_well(&self) -> bool {
        let words = vocabulary();
        self.tells() && (words.well.contains(&self.plain) || words.done.contains(&self.plain))
    }
}

/// The words of a text.
pub(super) fn words(text: &str) -> Vec<Word> {
    let vocabulary = vocabulary();
    let mut words = split(text, vocabulary);
    silence(&mut words, vocabulary);
    deny(&mut words, vocabulary);
    let mut from = 0;
    while from < words.len() {
        let clause = words[from].clause;
        let to = from + words[from..].iter().take_while(|w| w.clause == clause).count();
        settle(&mut words[from..to], vocabulary);
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
        let plain = text[from..from + length].to_lowercase().replace(['\'', '’'], "");
        if !plain.is_empty() {
            clause += usize::from(vocabulary.clauses.contains(&plain));
            let role = match &plain {
                w if vocabulary.denials.contains(w) || vocabulary.denials_of_all.contains(w) => Role::Denial,
                w if vocabulary.fillers.contains(w) => Role::Filler,
                _ => Role::Telling,
            };
            out.push(Word { stem: stem(&plain), plain, place, clause, bytes: (from, from + length), role, sense: Sense::Plain });
            place += 1;
        }
        from += length;
    }
    out
}

/// "Hot or cold": neither is told.
fn silence(words: &mut [Word], vocabulary: &Vocabulary) {
    for run in &vocabulary.either_way {
        for from in 0..(words.len() + 1).saturating_sub(run.len()) {
            let here = &mut words[from..from + run.len()];
            if here.iter().zip(run).all(|(word, wanted)| word.plain == *wanted) {
                here.iter_mut().for_each(|w| w.role = Role::Filler);
            }
        }
    }
}

fn deny(words: &mut [Word], vocabulary: &Vocabulary) {
    let (mut left, mut clause, mut last) = (0, 0, 0);
    for word in words {
        let comma = word.place > last + 1;
        if comma || word.clause != clause || vocabulary.parts.contains(&word.plain) {
            left = 0;
        }
        (clause, last) = (word.clause, word.place);
        match word.role {
            Role::Denial => left = DENIED,
            Role::Telling if left > 0 => {
                word.sense = Sense::Denied;
                left -= 1;
            }
            _ => {}
        }
    }
}

/// What one clause says of its words.
fn settle(words: &mut [Word], vocabulary: &Vocabulary) {
    for at in 0..words.len() {
        let plain = words[at].plain.clone();
        if vocabulary.denials_of_all.contains(&plain) {
            let before = words[..at].iter_mut().rev().take_while(|w| !vocabulary.parts.contains(&w.plain));
            before.filter(|w| w.tells() && w.sense == Sense::Plain).for_each(|w| w.sense = Sense::Denied);
        }
        if vocabulary.done.contains(&plain) {
            let (before, after) = words.split_at_mut(at);
            let beside: Vec<&mut Word> = if plain == "new" { after[1..].iter_mut().collect() } else { before.iter_mut().rev().collect() };
            let near = beside.into_iter().take_while(|w| !vocabulary.parts.contains(&w.plain)).filter(|w| w.tells());
            near.take(RENEWED).for_each(|w| w.sense = Sense::Well);
        }
        let denied = at > 0 && words[at - 1].role == Role::Denial;
        if vocabulary.well.contains(&plain) && !denied && words[at].sense != Sense::Denied && words[at].tells() {
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
        assert_eq!(senses("brakes are fine but it pulls left"), "=brakes =fine pulls left");
        assert_eq!(senses("not fine"), "!fine");
        assert_eq!(senses("new fuel pump and it still stalls"), "=new =fuel =pump still stalls".replace("=new", "new"));
        assert_eq!(senses("shakes, hot or cold"), "shakes");
        assert_eq!(senses("drinks 9.5 litres"), "drinks 9 5 litres");
        assert_eq!(senses(""), "");
    }
}
