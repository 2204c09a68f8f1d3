//! Words for chances: their numbers, and which scale may stand at which clause.

use super::clauses;
use super::codes::*;
use crate::syntax::{Block, Chance, Keyword, Remark, Spanned, Value, Word, nearest};
use indexmap::IndexMap;

/// The clauses that take a chance.
pub const CHANCED: [Keyword; 5] = [Keyword::Prior, Keyword::Stray, Keyword::Shows, Keyword::Brings, Keyword::Cures];

/// The scales of a book.
#[derive(Default)]
pub struct Scales {
    scales: Vec<Scale>,
    /// Each word with its number and that of its scale, in the order they were written.
    words: IndexMap<String, (f64, usize)>,
}

struct Scale {
    name: String,
    /// The clauses its words may stand at.
    at: Vec<Keyword>,
}

impl Scales {
    /// Learns the words of a scale block.
    pub fn learn(&mut self, block: &Block, remarks: &mut Vec<Remark>) -> (Vec<(String, f64)>, Vec<Keyword>) {
        let scale = self.scales.len();
        self.scales.push(Scale { name: block.name.value.clone(), at: places(block, remarks) });
        let mut own = Vec::new();
        for clause in clauses::every(block, Keyword::Word) {
            let Value::ScaleWord { word, chance } = &clause.value else { continue };
            let Some(number) = self.chance(chance, Keyword::Word, remarks) else { continue };
            if self.words.insert(word.value.clone(), (number, scale)).is_some() {
                let remark = Remark::new(NAME_TWICE, format!("`{}` is a word of two scales", word.value), word.span, "again here");
                remarks.push(remark.help("give one another word"));
            }
            own.push((word.value.clone(), number));
        }
        (own, self.scales[scale].at.clone())
    }

    /// A chance after that keyword, as a number within 0..=1.
    pub fn chance(&self, chance: &Chance, at: Keyword, remarks: &mut Vec<Remark>) -> Option<f64> {
        match chance {
            Chance::Number(n) if (0.0..=1.0).contains(&n.value) => Some(n.value),
            Chance::Number(n) => {
                remarks.push(out_of_range(n));
                None
            }
            Chance::Word(word) => match self.words.get(&word.value) {
                Some((number, scale)) if self.fits(*scale, at) => Some(*number),
                Some((number, scale)) => {
                    remarks.push(self.wrong_scale(word, *number, *scale, at));
                    None
                }
                None => {
                    remarks.push(self.unknown(word, at));
                    None
                }
            },
        }
    }

    /// A scale that says nothing of it may stand anywhere.
    fn fits(&self, scale: usize, at: Keyword) -> bool {
        let places = &self.scales[scale].at;
        places.is_empty() || places.contains(&at)
    }

    fn wrong_scale(&self, word: &Word, number: f64, scale: usize, at: Keyword) -> Remark {
        let Scale { name, at: places } = &self.scales[scale];
        let places: Vec<String> = places.iter().map(|k| format!("`{k}`")).collect();
        let message = format!("`{}` is a word of the scale `{name}`, which does not stand at `{at}`", word.value);
        let label = format!("it is {}, meant for {}", in_percent(number), places.join(", "));
        Remark::new(WRONG_SCALE, message, word.span, label).help(self.choice(at))
    }

    fn unknown(&self, word: &Word, at: Keyword) -> Remark {
        let fitting = self.words.iter().filter(|(_, (_, scale))| self.fits(*scale, at));
        let near = nearest(&word.value, fitting.map(|(w, _)| w.as_str()));
        let remark = Remark::new(UNKNOWN_WORD, format!("no scale has the word `{}`", word.value), word.span, "expected a chance");
        remark.help(self.choice(at)).suggest(near)
    }

    /// What may be written at a clause.
    fn choice(&self, at: Keyword) -> String {
        let fitting = self.words.iter().filter(|(_, (_, scale))| self.fits(*scale, at));
        let words: Vec<String> = fitting.map(|(word, (number, _))| format!("`{word}` {}", in_percent(*number))).collect();
        match words.is_empty() {
            true => "write a number such as `75 %`".into(),
            false => format!("write a number such as `75 %`, or one of {}", words.join(", ")),
        }
    }
}

/// The clauses that a scale names after `stands-at`.
fn places(block: &Block, remarks: &mut Vec<Remark>) -> Vec<Keyword> {
    let mut places = Vec::new();
    for word in clauses::names(block, Keyword::StandsAt) {
        match CHANCED.iter().find(|k| k.word() == word.value) {
            Some(keyword) => places.push(*keyword),
            None => {
                let all = CHANCED.map(Keyword::word);
                let message = format!("no clause named `{}` takes a chance", word.value);
                let remark = Remark::new(UNKNOWN_WORD, message, word.span, "expected a clause with a chance");
                remarks.push(remark.help(format!("name some of `{}`", all.join("`, `"))).suggest(nearest(&word.value, all)));
            }
        }
    }
    places
}

fn out_of_range(number: &Spanned<f64>) -> Remark {
    let message = format!("{} is no chance", in_percent(number.value));
    Remark::new(CHANCE_OUT_OF_RANGE, message, number.span, "a chance is 0 to 100 %").help("correct the number")
}

/// A chance (0..=1) as the rules write it, in percent and not rounded: without the dust of binary fractions.
pub fn in_percent(chance: f64) -> String {
    format!("{} %", (chance * 1e11).round() / 1e9)
}
