//! What somebody says of the car -> its traits: `2.2 diesel van 2016, automatic, filter`.

use super::said::{Sense, Word, words};
use crate::book::{Book, Id, Trait};

/// The traits of which a `heard` phrase was said, word for word, each with whether it is there: "no turbo" is not.
///
/// `of_the_car` says that the text is about nothing else. In a complaint one word is not enough: "smells of diesel" is said of petrol cars too.
pub(in crate::job) fn heard_traits(book: &Book, text: &str, of_the_car: bool) -> Vec<(Id<Trait>, bool)> {
    let said = words(text);
    let mut out = Vec::new();
    for (id, row) in book.traits.iter() {
        let phrases = row.heard.iter().map(|p| words(p)).filter(|p| of_the_car || p.len() > 1);
        let found: Vec<bool> = phrases.filter_map(|phrase| stands(&said, &phrase)).collect();
        // who says both says neither
        match (found.contains(&true), found.contains(&false)) {
            (true, false) => out.push((id, true)),
            (false, true) => out.push((id, false)),
            _ => {}
        }
    }
    out
}

/// Whether the phrase stands in what was said, and whether it is said to be so.
fn stands(said: &[Word], phrase: &[Word]) -> Option<bool> {
    let same = |here: &&[Word]| here.iter().zip(phrase).all(|(a, b)| a.stem == b.stem);
    let here = said.windows(phrase.len().max(1)).find(same)?;
    Some(!here.iter().any(|w| w.sense == Sense::Denied))
}
